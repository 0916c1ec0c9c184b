//! `crownwheel import`: a folder of CSV files into the catalogue.

use std::io::{self, Write};
use std::path::PathBuf;

use chrono::NaiveDate;
use operations::check_catalogue::ToldFinding;
use operations::check_catalogue::catalogue_check::Severity;
use operations::import_catalogue::{
    BundleSource, ImportError, ImportRefused, ImportReport, ImportRequest, SheetReport, import_catalogue,
};
use operations::shop::Shop;

use crate::ended::Ended;
use crate::findings::write_findings;
use crate::progress::byte_bar;
use crate::table::{Flush, write_table};

/// Takes a folder of CSV files into the catalogue: all of it or nothing.
#[derive(Debug, Clone, PartialEq, Eq, clap::Args)]
pub struct ImportArgs {
    /// The folder.
    #[arg(value_name = "DIR")]
    pub folder: PathBuf,
    /// Only print what would change.
    #[arg(long)]
    pub dry_run: bool,
    /// Remove rows that this file does not name; may be given several times.
    #[arg(long, value_name = "FILE")]
    pub replace: Vec<String>,
    /// Refuse the bundle also for faults of meaning: errors and warnings of the catalogue check.
    #[arg(long)]
    pub strict: bool,
    /// Leave out the catalogue check after the import.
    #[arg(long, conflicts_with = "strict")]
    pub no_check: bool,
    /// How many faults are told.
    #[arg(long, value_name = "COUNT", default_value_t = 100)]
    pub faults: usize,
    /// The day against which the catalogue is checked; today if not given.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub as_of: Option<NaiveDate>,
    /// Who imports, for the audit.
    #[arg(long, value_name = "NAME", default_value = "terminal")]
    pub who: String,
    /// A note for the audit.
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub note: String,
}

impl ImportArgs {
    fn request(&self, today: NaiveDate) -> ImportRequest {
        ImportRequest {
            replace: self.replace.iter().cloned().collect(),
            dry_run: self.dry_run,
            strict: self.strict,
            report_findings: !self.no_check,
            fault_limit: self.faults,
            as_of: self.as_of.unwrap_or(today),
            at_price_revision: None,
            at_structure_revision: None,
            who: self.who.clone(),
            note: self.note.clone(),
            paper: None,
        }
    }
}

/// Why an import came to nothing for another reason than the bundle's faults.
#[derive(Debug, thiserror::Error)]
pub enum ImportFailed {
    /// It could not be done.
    #[error(transparent)]
    Import(#[from] ImportError),
    /// What was done could not be printed.
    #[error("the output failed: {0}")]
    Output(#[from] io::Error),
}

/// Imports the folder and prints what changed; where it is refused, prints why and ends badly.
pub async fn import(
    shop: &Shop,
    args: &ImportArgs,
    today: NaiveDate,
    out: &mut (dyn Write + Send),
) -> Result<Ended, ImportFailed> {
    let bar = byte_bar();
    let source = BundleSource::Folder(args.folder.clone());
    let outcome = import_catalogue(shop, source, &args.request(today), &mut |at| {
        bar.set_length(at.bytes_total);
        bar.set_position(at.bytes);
        bar.set_message(format!("{} rows", at.rows));
    })
    .await;
    bar.finish_and_clear();
    match outcome {
        Ok(report) => {
            write_report(out, &report)?;
            Ok(Ended::Well)
        }
        Err(ImportError::Refused(refused)) => {
            write_refusal(out, &refused)?;
            Ok(Ended::Badly)
        }
        Err(error) => Err(error.into()),
    }
}

fn write_report(out: &mut dyn Write, report: &ImportReport) -> io::Result<()> {
    let words = ["file", "added", "changed", "removed", "retired", "unchanged"];
    let mut rows = vec![words.map(str::to_owned).to_vec()];
    rows.extend(report.sheets.iter().map(|sheet: &SheetReport| {
        let counts = [sheet.added, sheet.changed, sheet.removed, sheet.retired, sheet.unchanged];
        let mut row = vec![format!("{}.csv", sheet.sheet)];
        row.extend(counts.iter().map(ToString::to_string));
        row
    }));
    let right = [Flush::Right; 5];
    write_table(out, &[&[Flush::Left][..], &right].concat(), &rows)?;
    if report.dry_run {
        write_samples(out, report)?;
        writeln!(out, "a dry run: nothing was stored")?;
    } else {
        writeln!(
            out,
            "structure revision {}, price revision {}, ledger sequence {}",
            report.structure_revision, report.price_revision, report.ledger_sequence
        )?;
    }
    if let Some(why) = &report.check_failed {
        writeln!(out, "the rows went in, but the catalogue could not be checked after it: {why}")?;
    }
    match &report.findings {
        None => Ok(()),
        Some(findings) if findings.is_empty() => writeln!(out, "the catalogue check found nothing"),
        Some(findings) => {
            // Notes would bury what matters after an import; `check` lists them.
            let (notes, grave): (Vec<ToldFinding>, Vec<ToldFinding>) =
                findings.iter().cloned().partition(|finding| finding.severity == Severity::Note);
            writeln!(out, "\nthe catalogue check found:")?;
            write_findings(out, &grave)?;
            match notes.len() {
                0 => Ok(()),
                count => writeln!(out, "notes that `crownwheel check` lists: {count}"),
            }
        }
    }
}

/// The first changes of each file.
fn write_samples(out: &mut dyn Write, report: &ImportReport) -> io::Result<()> {
    let rows: Vec<Vec<String>> = report
        .sheets
        .iter()
        .flat_map(|sheet| {
            sheet.samples.iter().map(move |sample| {
                vec![format!("{}.csv", sheet.sheet), sample.change.clone(), sample.key.clone()]
            })
        })
        .collect();
    if rows.is_empty() {
        return Ok(());
    }
    writeln!(out, "\namong the changes:")?;
    write_table(out, &[Flush::Left, Flush::Left, Flush::Left], &rows)
}

fn write_refusal(out: &mut dyn Write, refused: &ImportRefused) -> io::Result<()> {
    let rows: Vec<Vec<String>> =
        refused.faults.iter().map(|fault| vec![format!("{}:", fault.place()), fault.cause()]).collect();
    write_table(out, &[Flush::Left, Flush::Left], &rows)?;
    let more = refused.total.saturating_sub(refused.faults.len() as u64);
    match (more, refused.ended_early) {
        (0, false) => {}
        (0, true) => writeln!(out, "there may be more; they were not looked for")?,
        (more, _) => writeln!(out, "and at least {more} more")?,
    }
    if !refused.findings.is_empty() {
        writeln!(out, "faults of meaning, for which a strict import is refused:")?;
        write_findings(out, &refused.findings)?;
    }
    writeln!(out, "{refused}; nothing was stored")
}
