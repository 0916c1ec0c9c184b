//! `crownwheel check`: what is wrong with the catalogue.

use std::io::{self, Write};

use chrono::NaiveDate;
use operations::check_catalogue::catalogue_check::Severity;
use operations::check_catalogue::{CheckError, check_catalogue};
use operations::shop::Shop;

use crate::ended::Ended;
use crate::findings::write_findings;

/// Looks for faults of meaning: circles, positions that nothing can fill, prices that ran out.
#[derive(Debug, Clone, Default, PartialEq, Eq, clap::Args)]
pub struct CheckArgs {
    /// The day against which the catalogue is held; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<NaiveDate>,
    /// Print the findings as JSON.
    #[arg(long)]
    pub json: bool,
}

/// Why the check came to nothing.
#[derive(Debug, thiserror::Error)]
pub enum CheckFailed {
    /// The catalogue could not be checked.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// The findings could not be written as JSON.
    #[error(transparent)]
    Json(#[from] serde_json::Error),
    /// The findings could not be printed.
    #[error("the output failed: {0}")]
    Output(#[from] io::Error),
}

/// Prints all findings; ends badly where one of them is an error.
pub async fn check(
    shop: &Shop,
    args: &CheckArgs,
    today: NaiveDate,
    out: &mut dyn Write,
) -> Result<Ended, CheckFailed> {
    let findings = check_catalogue(shop, args.as_of.unwrap_or(today)).await?;
    if args.json {
        writeln!(out, "{}", serde_json::to_string_pretty(&findings)?)?;
    } else if findings.is_empty() {
        writeln!(out, "nothing was found")?;
    } else {
        write_findings(out, &findings)?;
    }
    let sound = findings.iter().all(|finding| finding.severity != Severity::Error);
    Ok(if sound { Ended::Well } else { Ended::Badly })
}
