//! `crownwheel export`: the catalogue as CSV files.

use std::io::{self, Write};
use std::path::PathBuf;

use operations::export_catalogue::{ExportError, export_catalogue};
use operations::shop::Shop;

use crate::ended::Ended;
use crate::progress::sheet_bar;

/// Writes the catalogue as a folder of CSV files that imports to the same catalogue.
#[derive(Debug, Clone, PartialEq, Eq, clap::Args)]
pub struct ExportArgs {
    /// The folder; it is made where it is absent, and its files of the same names are replaced.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
}

/// Why the catalogue was not exported.
#[derive(Debug, thiserror::Error)]
pub enum ExportFailed {
    /// It could not be written.
    #[error(transparent)]
    Export(#[from] ExportError),
    /// What was done could not be printed.
    #[error("the output failed: {0}")]
    Output(#[from] io::Error),
}

/// Writes the files and prints how many rows they hold.
pub async fn export(shop: &Shop, args: &ExportArgs, out: &mut dyn Write) -> Result<Ended, ExportFailed> {
    let bar = sheet_bar();
    let sheets = export_catalogue(shop, &args.folder, |sheet| {
        bar.set_message(format!("{}.csv", sheet.sheet));
        bar.inc(1);
    })
    .await?;
    bar.finish_and_clear();
    let rows: u64 = sheets.iter().map(|sheet| sheet.rows).sum();
    writeln!(out, "{rows} rows in {} files in {}", sheets.len(), args.folder.display())?;
    Ok(Ended::Well)
}
