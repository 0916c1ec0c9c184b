//! Findings of the catalogue check, as lines.

use std::io::{self, Write};

use operations::check_catalogue::ToldFinding;
use operations::check_catalogue::catalogue_check::Severity;

use crate::table::{Flush, write_table};

/// Writes the findings and how many there are of each severity.
pub(crate) fn write_findings(out: &mut dyn Write, findings: &[ToldFinding]) -> io::Result<()> {
    let line = |finding: &ToldFinding| {
        vec![finding.severity.to_string(), finding.fact.code().to_owned(), finding.sentence.clone()]
    };
    let rows: Vec<Vec<String>> = findings.iter().map(line).collect();
    write_table(out, &[Flush::Left, Flush::Left, Flush::Left], &rows)?;
    writeln!(out, "{}", summary(findings))
}

/// How many findings there are of each severity.
fn summary(findings: &[ToldFinding]) -> String {
    let count = |severity: Severity, word: &str| {
        let count = findings.iter().filter(|finding| finding.severity == severity).count();
        format!("{count} {word}{}", if count == 1 { "" } else { "s" })
    };
    format!(
        "{}, {}, {}",
        count(Severity::Error, "error"),
        count(Severity::Warning, "warning"),
        count(Severity::Note, "note")
    )
}
