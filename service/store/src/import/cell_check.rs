//! Whether a cell can lie in its column.

use catalogue::{Cell, Column, ColumnKind, SheetSpec};
use chrono::{Datelike, NaiveDate};

/// Longest text in a key column, in characters: a database's index does not take keys of any length.
const KEY_TEXT_MAX: usize = catalogue::key::KEY_LENGTH_MAX;

/// What is wrong with a cell in a column of a sheet; `None` where it can be stored.
pub(super) fn wrong_with(spec: &SheetSpec, column: &Column, cell: &Cell) -> Option<&'static str> {
    let in_key = spec.key.contains(&column.name);
    match cell {
        Cell::Null => {
            let needed = column.required || in_key || column.kind == ColumnKind::Mark;
            return needed.then_some("is missing");
        }
        Cell::Text(text) => {
            if let Some(wrong) = wrong_with_text(column.kind, text, in_key) {
                return Some(wrong);
            }
        }
        Cell::Real(value) if !value.is_finite() => return Some("is no number"),
        Cell::Date(day) if !is_of_our_time(*day) => return Some("is not of our time"),
        Cell::Integer(_) | Cell::Real(_) | Cell::Flag(_) | Cell::Date(_) => {}
    }
    if !fits(column.kind, cell) { Some("is of another kind") } else { column.bound.broken_by(cell) }
}

fn wrong_with_text(kind: ColumnKind, text: &str, in_key: bool) -> Option<&'static str> {
    if text.contains('\0') {
        return Some("holds a character that cannot be stored");
    }
    if in_key && text.len() > KEY_TEXT_MAX && text.chars().count() > KEY_TEXT_MAX {
        return Some("is too long for a key");
    }
    match kind {
        ColumnKind::Choice(words) if !words.contains(&text) => Some("is not known here"),
        _ => None,
    }
}

/// Whether a staging table, which has types but no rules, can hold a cell.
pub(super) fn can_lie_in_stage(kind: ColumnKind, cell: &Cell) -> bool {
    let storable = match cell {
        Cell::Text(text) => !text.contains('\0'),
        Cell::Real(value) => value.is_finite(),
        Cell::Date(day) => is_of_our_time(*day),
        Cell::Null | Cell::Integer(_) | Cell::Flag(_) => true,
    };
    storable && fits(kind, cell)
}

/// Outside these years the databases do not write a day in the same way.
fn is_of_our_time(day: NaiveDate) -> bool {
    (1..=9999).contains(&day.year())
}

/// Whether a cell is of the kind that a column holds.
fn fits(kind: ColumnKind, cell: &Cell) -> bool {
    match (kind, cell) {
        (_, Cell::Null) => true,
        (
            ColumnKind::Integer
            | ColumnKind::Money
            | ColumnKind::Quantity
            | ColumnKind::Percent
            | ColumnKind::Rate,
            cell,
        ) => matches!(cell, Cell::Integer(_)),
        (ColumnKind::Real, cell) => matches!(cell, Cell::Real(_)),
        (ColumnKind::Flag, cell) => matches!(cell, Cell::Flag(_)),
        (ColumnKind::Date, cell) => matches!(cell, Cell::Date(_)),
        (
            ColumnKind::Text
            | ColumnKind::Mark
            | ColumnKind::Code
            | ColumnKind::Part
            | ColumnKind::Unit
            | ColumnKind::Currency
            | ColumnKind::Gtin
            | ColumnKind::Choice(_),
            cell,
        ) => matches!(cell, Cell::Text(_)),
    }
}
