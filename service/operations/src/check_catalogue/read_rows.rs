//! Reading what the check looks at.

use std::collections::BTreeMap;

use catalogue::{Cell, Sheet, bundle};
use resolver::catalogue_check::CatalogueRows;
use store::{Export, Store, StoreError};

/// Rows as cells, by the name of their sheet.
pub(crate) type RowsBySheet = BTreeMap<&'static str, Vec<Vec<Cell>>>;

/// Takes the rows of one sheet out of all.
fn take<T: Sheet>(rows: &mut RowsBySheet) -> Result<Vec<T>, StoreError> {
    rows.remove(T::SPEC.name).unwrap_or_default().iter().map(|cells| row_of(cells)).collect()
}

fn row_of<T: Sheet>(cells: &[Cell]) -> Result<T, StoreError> {
    T::from_cells(cells).map_err(|at| StoreError::BadRow {
        table: T::SPEC.name,
        column: T::SPEC.columns.get(at).map_or_else(String::new, |column| column.name.to_owned()),
    })
}

/// Reads the rows of one sheet, none of which is kept as cells.
async fn read<T: Sheet + Send>(export: &Export) -> Result<Vec<T>, StoreError> {
    let mut rows = Vec::new();
    export
        .sheet::<StoreError>(&T::SPEC, &mut |cells| {
            rows.push(row_of(&cells)?);
            Ok(())
        })
        .await?;
    Ok(rows)
}

/// The rows that the check reads, from cells.
pub(crate) fn rows_of(mut cells: RowsBySheet) -> Result<CatalogueRows, StoreError> {
    take_rows(&mut cells)
}

/// The rows that the check reads, each list made by an expression.
macro_rules! catalogue_rows {
    ($list:expr) => {
        CatalogueRows {
            parts: $list,
            features: $list,
            units: $list,
            variants: $list,
            positions: $list,
            candidates: $list,
            joints: $list,
            fit_statements: $list,
            companions: $list,
            kit_lines: $list,
            supersessions: $list,
            supersession_needs: $list,
            fluids: $list,
            outside_work: $list,
            weak_points: $list,
            suppliers: $list,
            prices: $list,
            exchange_rates: $list,
            tax_rates: $list,
            customers: $list,
            price_rules: $list,
            settings: $list,
            stock: $list,
        }
    };
}

fn take_rows(rows: &mut RowsBySheet) -> Result<CatalogueRows, StoreError> {
    Ok(catalogue_rows!(take(rows)?))
}

/// Sheets that the check does not read.
const UNREAD: &[&str] = &[
    "makers",
    "vehicles",
    "engine_points",
    "vehicle_units",
    "bench_values",
    "bench_renewals",
    "set_positions",
    "operations",
    "operation_scope",
    "cautions",
    "bins",
    "minimums",
];

/// The cells of all sheets that the check reads, as they are at one moment.
pub(crate) async fn read_cells(store: &Store) -> Result<RowsBySheet, StoreError> {
    let export = store.begin_export().await?;
    let mut rows = RowsBySheet::new();
    for spec in bundle::SHEETS.iter().filter(|spec| !UNREAD.contains(&spec.name)) {
        let sheet = rows.entry(spec.name).or_default();
        export
            .sheet::<StoreError>(spec, &mut |cells| {
                sheet.push(cells);
                Ok(())
            })
            .await?;
    }
    Ok(rows)
}

/// The rows that the check reads, as they are at one moment.
pub(crate) async fn read_rows(store: &Store) -> Result<CatalogueRows, StoreError> {
    let export = store.begin_export().await?;
    Ok(catalogue_rows!(read(&export).await?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_sheet_is_read_or_named_as_unread() {
        let mut rows: RowsBySheet = bundle::SHEETS.iter().map(|spec| (spec.name, Vec::new())).collect();
        for name in UNREAD {
            assert!(rows.remove(name).is_some(), "{name}");
        }
        take_rows(&mut rows).unwrap();
        assert_eq!(rows.into_keys().collect::<Vec<_>>(), Vec::<&str>::new());
    }
}
