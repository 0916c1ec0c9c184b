//! The sheet by which a box is counted: what is still to come of an order, in the order of the kits' lists.

use std::collections::BTreeMap;

use catalogue::{Code, Gtin, Part, PartKey, Quantity, UnitOfMeasure};
use exchange::{CountSheetRow, write_count_sheet};
use serde::{Deserialize, Serialize};
use store::StoreError;
use utoipa::ToSchema;

use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;
use crate::receipt_expected::against_order;
use crate::shop::Shop;

/// A count sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CountSheet {
    /// The order.
    pub order: String,
    /// Who sends it.
    pub supplier: Code,
    /// What is still to come, in the order of the order's lines and the kits' lists.
    pub lines: Vec<CountSheetLine>,
}

/// A line of a count sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CountSheetLine {
    /// Number of the order line.
    pub order_line: i64,
    /// Number of the frozen content of that line.
    pub content: i64,
    /// The kit in whose box it lies.
    pub kit: Option<PartKey>,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
    /// The part.
    pub part: PartKey,
    /// The number as the maker writes it.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// Its GTIN.
    pub gtin: Option<Gtin>,
    /// How many are still to come.
    #[schema(value_type = String)]
    pub expected: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
    /// The bin where most of it lies.
    pub bin: Option<Code>,
}

/// The count sheet of an order.
pub async fn count_sheet(shop: &Shop, order: &str) -> Result<CountSheet, ReceiptError> {
    let against = against_order(shop, order, &[]).await.map_err(|error| match error {
        // The order stands in the address here, not in a body.
        ReceiptError::Order(OrderError::Bad { pointer, .. }) if pointer == "/order" => {
            ReceiptError::Order(OrderError::NotFound(order.trim().to_uppercase()))
        }
        error => error,
    })?;
    let parts: Vec<PartKey> = against.expected.iter().map(|line| line.part.clone()).collect();
    let bins = shop.store().usual_bins(&parts).await?;
    let snapshot = shop.store().load_part_families(&parts).await?;
    let known: BTreeMap<&PartKey, &Part> = snapshot.parts.iter().map(|part| (&part.part, part)).collect();
    let to_come = against.expected.into_iter().filter(|line| line.quantity > Quantity::ZERO);
    let lines = to_come.map(|line| {
        let part = known.get(&line.part);
        CountSheetLine {
            order_line: line.order_line,
            content: line.content,
            kit: line.kit,
            option_group: line.option_group,
            number: part.map_or(String::new(), |part| part.number.clone()),
            name: part.map_or(String::new(), |part| part.name.clone()),
            gtin: part.and_then(|part| part.gtin.clone()),
            expected: line.quantity,
            measure: part.map_or(UnitOfMeasure::Piece, |part| part.measure),
            bin: bins.get(&line.part).cloned(),
            part: line.part,
        }
    });
    let lines = lines.collect();
    let order = against.order.ok_or_else(|| OrderError::NotFound(order.to_owned()))?;
    Ok(CountSheet { order: order.number, supplier: order.supplier, lines })
}

/// The same as CSV, to be filled in and sent with the receipt.
pub async fn count_sheet_csv(shop: &Shop, order: &str) -> Result<String, ReceiptError> {
    let sheet = count_sheet(shop, order).await?;
    let rows: Vec<CountSheetRow> = sheet
        .lines
        .into_iter()
        .map(|line| CountSheetRow {
            part: line.part.to_string(),
            expected: line.expected,
            name: line.name,
            bin: line.bin.map_or(String::new(), |bin| bin.to_string()),
        })
        .collect();
    let unwritable = |_| StoreError::BadRow { table: "order_contents", column: "part".to_owned() };
    Ok(write_count_sheet(&rows).map_err(unwritable)?)
}
