//! The order in which the rows of a sheet stand.

use std::cmp::Ordering;

use crate::cell::Cell;
use crate::sheet::{Sheet, SheetSpec};

/// Puts the rows of a sheet into the order of its key.
pub fn sort_by_key<T: Sheet>(rows: &mut [T]) {
    // Rows that stand in order, as those of a store do, are not moved.
    let order = |one: &T, other: &T| key_order(&T::SPEC, &one.to_cells(), &other.to_cells());
    rows.sort_by(order);
}

/// The order of two rows of cells by the key of their sheet: the same wherever they come from.
pub fn key_order(spec: &SheetSpec, one: &[Cell], other: &[Cell]) -> Ordering {
    spec.key
        .iter()
        .filter_map(|name| spec.column_index(name))
        .map(|at| by_value(&one[at], &other[at]))
        .find(|order| order.is_ne())
        .unwrap_or(Ordering::Equal)
}

fn by_value(one: &Cell, other: &Cell) -> Ordering {
    match (one, other) {
        (Cell::Text(one), Cell::Text(other)) => one.cmp(other),
        (Cell::Integer(one), Cell::Integer(other)) => one.cmp(other),
        (Cell::Real(one), Cell::Real(other)) => one.total_cmp(other),
        (Cell::Flag(one), Cell::Flag(other)) => one.cmp(other),
        (Cell::Date(one), Cell::Date(other)) => one.cmp(other),
        // A column holds cells of one kind, or nothing, which comes first.
        (one, other) => (*one != Cell::Null).cmp(&(*other != Cell::Null)),
    }
}
