//! Rows of a table as cells, and cells as values of the catalogue.

pub(crate) use catalogue::key_order as by_key;
use catalogue::{Cell, Column, ColumnKind, Sheet, SheetSpec};
use chrono::NaiveDate;
use sea_orm::QueryResult;

use crate::error::StoreError;

/// Reads the columns of a sheet from a row in which they stand first and in order.
pub(crate) fn cells_of(row: &QueryResult, spec: &SheetSpec) -> Result<Vec<Cell>, StoreError> {
    spec.columns.iter().enumerate().map(|(at, column)| cell_of(row, at, column)).collect()
}

/// Reads one column from its place in a row.
pub(crate) fn cell_of(row: &QueryResult, at: usize, column: &Column) -> Result<Cell, StoreError> {
    Ok(match column.kind {
        ColumnKind::Integer
        | ColumnKind::Money
        | ColumnKind::Quantity
        | ColumnKind::Percent
        | ColumnKind::Rate => row.try_get_by_index::<Option<i64>>(at)?.map_or(Cell::Null, Cell::Integer),
        ColumnKind::Real => row.try_get_by_index::<Option<f64>>(at)?.map_or(Cell::Null, Cell::Real),
        ColumnKind::Flag => row.try_get_by_index::<Option<bool>>(at)?.map_or(Cell::Null, Cell::Flag),
        ColumnKind::Date => row.try_get_by_index::<Option<NaiveDate>>(at)?.map_or(Cell::Null, Cell::Date),
        ColumnKind::Text
        | ColumnKind::Mark
        | ColumnKind::Code
        | ColumnKind::Part
        | ColumnKind::Unit
        | ColumnKind::Currency
        | ColumnKind::Gtin
        | ColumnKind::Choice(_) => row.try_get_by_index::<Option<String>>(at)?.map_or(Cell::Null, Cell::Text),
    })
}

/// The noun of a row of cells.
pub(crate) fn noun_of<T: Sheet>(cells: &[Cell]) -> Result<T, StoreError> {
    T::from_cells(cells).map_err(|at| StoreError::BadRow {
        table: T::SPEC.name,
        column: T::SPEC.columns.get(at).map_or_else(String::new, |column| column.name.to_owned()),
    })
}
