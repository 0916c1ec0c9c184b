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

/// How many findings there are of each severity that occurs.
fn summary(findings: &[ToldFinding]) -> String {
    let counts: Vec<String> =
        [(Severity::Error, "error"), (Severity::Warning, "warning"), (Severity::Note, "note")]
            .into_iter()
            .map(|(severity, word)| {
                (findings.iter().filter(|finding| finding.severity == severity).count(), word)
            })
            .filter(|(count, _)| *count > 0)
            .map(|(count, word)| format!("{count} {word}{}", if count == 1 { "" } else { "s" }))
            .collect();
    if counts.is_empty() { "no errors, no warnings".to_owned() } else { counts.join(", ") }
}
