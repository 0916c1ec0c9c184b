//! A row that a query of the import gave, from either database.

use catalogue::{Cell, Column, ColumnKind, SheetSpec};
use chrono::NaiveDate;
use rusqlite::types::Value;
use sea_orm::QueryResult;

use crate::cells::cell_of;
use crate::error::StoreError;

/// A row.
#[derive(Debug)]
pub(super) enum Row {
    /// The values of a row of SQLite.
    Sqlite(Vec<Value>),
    /// A row of PostgreSQL.
    Postgres(QueryResult),
}

impl Row {
    /// The columns of a sheet that stand first and in order.
    pub(super) fn cells(&self, spec: &SheetSpec) -> Result<Vec<Cell>, StoreError> {
        spec.columns.iter().enumerate().map(|(at, column)| self.cell(at, column)).collect()
    }

    /// A column of a sheet from its place.
    pub(super) fn cell(&self, at: usize, column: &Column) -> Result<Cell, StoreError> {
        match self {
            Self::Sqlite(values) => {
                let value = values.get(at).ok_or_else(|| unreadable(at))?;
                cell_of_value(column.kind, value).ok_or_else(|| unreadable(at))
            }
            Self::Postgres(row) => cell_of(row, at, column),
        }
    }

    /// A whole number.
    pub(super) fn whole(&self, at: usize) -> Result<i64, StoreError> {
        match self {
            Self::Sqlite(values) => match values.get(at) {
                Some(Value::Integer(value)) => Ok(*value),
                _ => Err(unreadable(at)),
            },
            Self::Postgres(row) => Ok(row.try_get_by_index(at)?),
        }
    }

    /// Yes or no.
    pub(super) fn flag(&self, at: usize) -> Result<bool, StoreError> {
        match self {
            Self::Sqlite(_) => Ok(self.whole(at)? != 0),
            Self::Postgres(row) => Ok(row.try_get_by_index(at)?),
        }
    }

    /// A text.
    pub(super) fn text(&self, at: usize) -> Result<String, StoreError> {
        match self {
            Self::Sqlite(values) => match values.get(at) {
                Some(Value::Text(text)) => Ok(text.clone()),
                _ => Err(unreadable(at)),
            },
            Self::Postgres(row) => Ok(row.try_get_by_index(at)?),
        }
    }
}

fn unreadable(at: usize) -> StoreError {
    StoreError::BadRow { table: "a question of the import", column: at.to_string() }
}

/// The value of SQLite as a cell; nothing where it is none of the column's kind.
fn cell_of_value(kind: ColumnKind, value: &Value) -> Option<Cell> {
    let whole = matches!(
        kind,
        ColumnKind::Integer
            | ColumnKind::Money
            | ColumnKind::Quantity
            | ColumnKind::Percent
            | ColumnKind::Rate
    );
    match (kind, value) {
        (_, Value::Null) => Some(Cell::Null),
        (_, Value::Integer(value)) if whole => Some(Cell::Integer(*value)),
        (ColumnKind::Real, Value::Real(value)) => Some(Cell::Real(*value)),
        (ColumnKind::Flag, Value::Integer(value)) => Some(Cell::Flag(*value != 0)),
        (ColumnKind::Date, Value::Text(day)) => NaiveDate::parse_from_str(day, "%F").ok().map(Cell::Date),
        (ColumnKind::Real | ColumnKind::Flag | ColumnKind::Date, _) => None,
        (_, Value::Text(text)) if !whole => Some(Cell::Text(text.clone())),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_of_another_kind_is_not_taken_for_a_cell() {
        let day = NaiveDate::from_ymd_opt(2026, 2, 3).unwrap();
        let text = |text: &str| Value::Text(text.to_owned());
        for (kind, value, cell) in [
            (ColumnKind::Money, Value::Integer(7), Some(Cell::Integer(7))),
            (ColumnKind::Money, text("7"), None),
            (ColumnKind::Real, Value::Real(0.5), Some(Cell::Real(0.5))),
            (ColumnKind::Real, Value::Integer(1), None),
            (ColumnKind::Flag, Value::Integer(1), Some(Cell::Flag(true))),
            (ColumnKind::Date, text("2026-02-03"), Some(Cell::Date(day))),
            (ColumnKind::Date, text("tomorrow"), None),
            (ColumnKind::Text, text("x"), Some(Cell::Text("x".into()))),
            (ColumnKind::Code, Value::Integer(1), None),
            (ColumnKind::Gtin, Value::Null, Some(Cell::Null)),
        ] {
            assert_eq!(cell_of_value(kind, &value), cell, "{kind:?} {value:?}");
        }
    }
}
