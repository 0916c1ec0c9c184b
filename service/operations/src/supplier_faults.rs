//! What a supplier's boxes were short of over time, and what else was wrong with them.

use catalogue::{Code, Money, PartKey, Quantity, Supplier};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::claims::ClaimKind;
use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;
use crate::shop::Shop;

/// What was wrong with a supplier's boxes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplierFaults {
    /// The supplier.
    pub supplier: Code,
    /// Its name.
    pub name: String,
    /// By month, kind and part; claims that were withdrawn are left out.
    pub faults: Vec<SupplierFaultSheet>,
}

/// What was wrong with one part in one month.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SupplierFaultSheet {
    /// First day of the month.
    pub month: NaiveDate,
    /// What was wrong.
    pub kind: ClaimKind,
    /// The part; empty: numbers that the catalogue does not know.
    pub part: Option<PartKey>,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What was claimed, in the base currency.
    #[schema(value_type = String)]
    pub amount: Money,
    /// On how many claims.
    pub claims: i64,
}

/// What was wrong with the boxes of a supplier, month by month.
pub async fn supplier_faults(shop: &Shop, written: &str) -> Result<SupplierFaults, ReceiptError> {
    let suppliers = shop.store().all_rows::<Supplier>().await?;
    let code = Code::parse(written).ok();
    let Some(supplier) = suppliers.iter().find(|row| Some(&row.supplier) == code.as_ref()) else {
        let known = suppliers.iter().map(|row| row.supplier.to_string()).collect();
        return Err(ReceiptError::SupplierNotFound { written: written.to_owned(), known });
    };
    let mut faults = Vec::new();
    for fault in shop.store().supplier_faults(&supplier.supplier).await? {
        let bad = store::StoreError::BadRow { table: "claim_lines", column: "kind".to_owned() };
        faults.push(SupplierFaultSheet {
            month: fault.month,
            kind: ClaimKind::from_word(&fault.kind).ok_or(ReceiptError::Order(OrderError::Store(bad)))?,
            part: fault.part,
            quantity: fault.quantity,
            amount: fault.amount,
            claims: fault.claims,
        });
    }
    Ok(SupplierFaults { supplier: supplier.supplier.clone(), name: supplier.name.clone(), faults })
}
