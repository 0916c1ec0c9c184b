//! The sheet by which the shelf is counted: every lot, by bin, as the ledger holds it at one movement.

use std::collections::BTreeMap;

use catalogue::{Code, Mark, Part, PartKey, Quantity, UnitOfMeasure};
use exchange::{ShelfSheetRow, write_shelf_sheet};
use serde::{Deserialize, Serialize};
use store::{AsOf, LotFilter, StoreError};
use utoipa::ToSchema;

use crate::shop::Shop;
use crate::stock_error::StockError;
use crate::stock_words::code;

/// The count sheet of the shelf.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfSheet {
    /// The movement after which the shelf was as the sheet says; it goes back with the count.
    pub ledger_sequence: i64,
    /// The only bin on it; empty: the whole shelf.
    pub bin: Option<Code>,
    /// The lots, by bin, part and mark.
    pub lines: Vec<ShelfSheetLine>,
}

/// A lot on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShelfSheetLine {
    /// The bin.
    pub bin: Code,
    /// The part.
    pub part: PartKey,
    /// The number as the maker writes it.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// The mark etched on a matched set; empty: none.
    pub mark: Mark,
    /// How many should lie there.
    pub booked: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
}

/// The sheet of the whole shelf, or of one bin.
pub async fn shelf_sheet(shop: &Shop, bin: Option<&str>) -> Result<ShelfSheet, StockError> {
    let bin = bin.map(|written| code(written, "bin", "/bin")).transpose()?;
    if let Some(bin) = &bin {
        let known: Vec<catalogue::Bin> = shop.store().all_rows().await?;
        if !known.iter().any(|row| row.bin == *bin) {
            return Err(StockError::bad("/bin", format!("there is no bin `{bin}`")));
        }
    }
    let ledger_sequence = shop.store().revisions().await?.ledger;
    let filter = LotFilter { part: None, bin: bin.clone(), empty: false };
    let held =
        shop.store().past_balances(AsOf::Sequence(ledger_sequence), &filter, None, u64::from(u32::MAX));
    let held = held.await?;
    let parts: Vec<PartKey> = held.iter().map(|lot| lot.lot.part.clone()).collect();
    let snapshot = shop.store().load_part_families(&parts).await?;
    let known: BTreeMap<&PartKey, &Part> = snapshot.parts.iter().map(|part| (&part.part, part)).collect();
    let line = |held: store::PastBalance| {
        let part = known.get(&held.lot.part);
        ShelfSheetLine {
            number: part.map_or(String::new(), |part| part.number.clone()),
            name: part.map_or(String::new(), |part| part.name.clone()),
            measure: part.map_or(UnitOfMeasure::Piece, |part| part.measure),
            bin: held.lot.bin,
            part: held.lot.part,
            mark: held.lot.mark,
            booked: held.quantity,
        }
    };
    let mut lines: Vec<ShelfSheetLine> = held.into_iter().map(line).collect();
    lines.sort_by(|a, b| (&a.bin, &a.part, &a.mark).cmp(&(&b.bin, &b.part, &b.mark)));
    Ok(ShelfSheet { ledger_sequence, bin, lines })
}

/// The same sheet as CSV, to be filled in.
pub fn shelf_sheet_csv(sheet: &ShelfSheet) -> Result<String, StockError> {
    let row = |line: &ShelfSheetLine| ShelfSheetRow {
        bin: line.bin.to_string(),
        part: line.part.to_string(),
        mark: line.mark.0.clone(),
        booked: line.booked,
        measure: line.measure.sign().to_owned(),
        name: line.name.clone(),
    };
    let rows: Vec<ShelfSheetRow> = sheet.lines.iter().map(row).collect();
    let unwritable = |_| StoreError::BadRow { table: "stock", column: "part".to_owned() };
    Ok(write_shelf_sheet(&rows).map_err(unwritable)?)
}
