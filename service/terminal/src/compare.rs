//! `crownwheel compare`: a stored quote against today or another day.

use operations::compare_quote::QuoteComparison;
use operations::{Cause, Change};

use crate::arguments::CompareArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Prints what changed since a quote was stored.
pub(crate) async fn compare(arguments: &CompareArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let text = source.comparison(&arguments.number, arguments.as_of.as_deref()).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&comparison_text(&read(&text)?, terminal_width()))
}

fn comparison_text(compared: &QuoteComparison, width: usize) -> String {
    let comparison = &compared.comparison;
    let mut text = format!("QUOTE {} of {} against {}\n", compared.number, comparison.then, comparison.now);
    if comparison.changes.is_empty() {
        text.push_str("Nothing changed.\n");
    } else {
        let mut table = WrappedTable::new(&["what", "where", "was", "is", "because of"]);
        for change in &comparison.changes {
            table.row([
                change.subject.word().replace('_', " "),
                place(change),
                change.before.clone().unwrap_or_else(|| "-".to_owned()),
                change.after.clone().unwrap_or_else(|| "-".to_owned()),
                change.causes.iter().map(cause).collect::<Vec<_>>().join("; "),
            ]);
        }
        text.push_str(&table.text(width));
    }
    text.push_str(&format!("\n{}\n", compared.deferral));
    text
}

fn place(change: &Change) -> String {
    match (&change.unit, &change.position) {
        (Some(unit), Some(position)) => format!("{unit} {position}"),
        (Some(unit), None) => unit.to_string(),
        (None, _) => String::new(),
    }
}

/// What is behind a difference, in words.
pub(crate) fn cause(cause: &Cause) -> String {
    let none = || "none".to_owned();
    match cause {
        Cause::Notice { notice, old, new, effective_from } => {
            format!("notice {notice} of {effective_from}: {old} to {new}")
        }
        Cause::Price { supplier, part, before, after } => {
            let amount =
                |amount: &Option<catalogue::Money>| amount.map_or_else(none, |amount| amount.to_string());
            format!("price of {part} at {supplier}: {} to {}", amount(before), amount(after))
        }
        Cause::Movement { part, before, after, after_sequence, to_sequence } => {
            format!(
                "stock of {part}: {before} to {after} (movements {} to {to_sequence})",
                after_sequence + 1
            )
        }
        Cause::Catalogue { sheet, row } | Cause::Rule { sheet, row } => format!("{sheet}: {row}"),
        Cause::Finding { position, before, after, .. } => {
            let was = if before.is_empty() { "nothing" } else { before };
            format!("the bench at {position}: {after} (was {was})")
        }
        Cause::Follows => "the other changes".to_owned(),
    }
}
