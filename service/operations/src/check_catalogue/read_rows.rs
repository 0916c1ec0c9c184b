//! Reading what the check looks at.

use std::collections::BTreeMap;

use catalogue::{Cell, Sheet, bundle};
use resolver::catalogue_check::CatalogueRows;
use store::{Store, StoreError};

/// Rows as cells, by the name of their sheet.
pub(crate) type RowsBySheet = BTreeMap<&'static str, Vec<Vec<Cell>>>;

/// Takes the rows of one sheet out of all.
fn take<T: Sheet>(rows: &mut RowsBySheet) -> Result<Vec<T>, StoreError> {
    let cells = rows.remove(T::SPEC.name).unwrap_or_default();
    cells
        .iter()
        .map(|row| {
            T::from_cells(row).map_err(|at| StoreError::BadRow {
                table: T::SPEC.name,
                column: T::SPEC.columns.get(at).map_or_else(String::new, |column| column.name.to_owned()),
            })
        })
        .collect()
}

/// The rows that the check reads, from cells.
pub(crate) fn rows_of(mut cells: RowsBySheet) -> Result<CatalogueRows, StoreError> {
    take_rows(&mut cells)
}

fn take_rows(rows: &mut RowsBySheet) -> Result<CatalogueRows, StoreError> {
    Ok(CatalogueRows {
        parts: take(rows)?,
        features: take(rows)?,
        units: take(rows)?,
        variants: take(rows)?,
        positions: take(rows)?,
        candidates: take(rows)?,
        joints: take(rows)?,
        fit_statements: take(rows)?,
        companions: take(rows)?,
        kit_lines: take(rows)?,
        supersessions: take(rows)?,
        supersession_needs: take(rows)?,
        fluids: take(rows)?,
        outside_work: take(rows)?,
        weak_points: take(rows)?,
        suppliers: take(rows)?,
        prices: take(rows)?,
        exchange_rates: take(rows)?,
        tax_rates: take(rows)?,
        customers: take(rows)?,
        price_rules: take(rows)?,
        settings: take(rows)?,
        stock: take(rows)?,
    })
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
    rows_of(read_cells(store).await?)
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
