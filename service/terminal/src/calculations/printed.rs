//! The text of a calculation: what came of it, the figures with formula and standard, what to mind, cautions.

use std::fmt::Write;
use std::path::Path;

use operations::calculations::joint_verdict::JointVerdictResult;
use operations::calculations::{CalculationFault, CalculationSheet};
use serde::Serialize;

use crate::failure::Failure;
use crate::output::say;
use crate::wrapped_table::{WrappedTable, terminal_width, wrapped};

/// What a command has to say beside the figures.
#[derive(Default)]
pub(super) struct Told {
    /// First line.
    pub(super) title: String,
    /// What came of it, a sentence each.
    pub(super) lines: Vec<String>,
    /// Tables under a heading each.
    pub(super) tables: Vec<(&'static str, WrappedTable)>,
    /// What to mind, a sentence each.
    pub(super) mind: Vec<String>,
}

impl Told {
    /// A title and one sentence.
    pub(super) fn of(title: impl Into<String>, line: impl Into<String>) -> Self {
        Self { title: title.into(), lines: vec![line.into()], ..Self::default() }
    }

    /// Adds what a verdict says.
    pub(super) fn verdict(mut self, verdict: &JointVerdictResult) -> Self {
        self.lines.push(verdict.sentence.clone());
        self.mind.extend(verdict.warnings.iter().map(|warning| warning.sentence.clone()));
        self
    }
}

/// Prints a sheet, as JSON or as text.
pub(super) fn printed<A: Serialize, R: Serialize>(
    sheet: Result<CalculationSheet<A, R>, CalculationFault>,
    json: bool,
    told: impl FnOnce(&CalculationSheet<A, R>) -> Told,
) -> Result<(), Failure> {
    let sheet = sheet?;
    if json {
        let text = serde_json::to_string_pretty(&sheet)
            .map_err(|error| Failure::service(format!("cannot write the answer: {error}")))?;
        return say(&format!("{text}\n"));
    }
    let told = told(&sheet);
    say(&text(&sheet, told, terminal_width()))
}

/// Writes a drawing to a file, if one is asked for.
pub(super) fn drawn(
    file: Option<&Path>,
    draw: impl FnOnce() -> Result<String, CalculationFault>,
) -> Result<(), Failure> {
    let Some(file) = file else { return Ok(()) };
    let picture = draw()?;
    std::fs::write(file, picture)
        .map_err(|error| Failure::asked(format!("cannot write {}: {error}", file.display())))
}

fn text<A, R>(sheet: &CalculationSheet<A, R>, told: Told, width: usize) -> String {
    let mut text = String::new();
    let _ = writeln!(text, "{}", told.title);
    for line in &told.lines {
        for piece in wrapped(line, width.saturating_sub(2)) {
            let _ = writeln!(text, "  {piece}");
        }
    }
    for (title, table) in &told.tables {
        section(&mut text, title, table, width);
    }
    let mut figures = WrappedTable::new(&["figure", "symbol", ">value", "unit", "formula", "standard"]);
    for figure in &sheet.figures {
        figures.row([
            figure.name.clone(),
            figure.symbol.clone(),
            number(figure.value),
            if figure.unit == "1" { String::new() } else { figure.unit.clone() },
            figure.formula.clone(),
            figure.standard.clone(),
        ]);
    }
    section(&mut text, "FIGURES", &figures, width);
    if !told.mind.is_empty() {
        text.push_str("\nMIND\n");
        told.mind.iter().for_each(|line| bullet(&mut text, line, width));
    }
    text.push_str("\nCAUTIONS\n");
    for caution in &sheet.cautions {
        bullet(&mut text, &format!("{}: {}", caution.hazard.word().replace('_', " "), caution.text), width);
    }
    bullet(&mut text, &sheet.deferral, width);
    text
}

fn section(text: &mut String, title: &str, table: &WrappedTable, width: usize) {
    if !table.is_empty() {
        let _ = write!(text, "\n{title}\n{}", table.text(width));
    }
}

fn bullet(text: &mut String, words: &str, width: usize) {
    for (at, line) in wrapped(words, width.saturating_sub(4)).iter().enumerate() {
        let _ = writeln!(text, "  {} {line}", if at == 0 { "-" } else { " " });
    }
}

/// A figure as a person reads it: four decimals, fewer where it is large, and powers of ten where it is tiny.
pub(super) fn number(value: f64) -> String {
    let size = value.abs();
    let text = if size >= 10_000.0 {
        format!("{value:.1}")
    } else if size > 0.0 && size < 0.0005 {
        return format!("{value:.2e}");
    } else {
        format!("{value:.4}")
    };
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The same of a figure that may not be there.
pub(super) fn number_or_dash(value: Option<f64>) -> String {
    value.map_or("-".to_owned(), number)
}

#[cfg(test)]
mod tests {
    use super::number;

    #[test]
    fn figures_are_as_long_as_they_are_worth() {
        let cases =
            [(0.0, "0"), (7.38033, "7.3803"), (-0.25, "-0.25"), (42_300.04, "42300"), (1.15e-5, "1.15e-5")];
        for (value, text) in cases {
            assert_eq!(number(value), text);
        }
    }
}
