//! The kits for a unit and scope side by side.

use catalogue::{Code, UnitKey};
use chrono::NaiveDate;
use resolver::KitComparison;
use resolver::answer::CautionNote;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::asked::Asked;
use crate::quote_rebuild::{gather, in_asked_words};
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::unit_cautions::unit_cautions;

/// The ways to meet the need of an operation, with one kit each and with none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitsSheet {
    /// The unit.
    pub unit: UnitKey,
    /// The operation.
    pub operation: Code,
    /// The ways, cheapest first.
    #[serde(flatten)]
    pub comparison: KitComparison,
    /// What can hurt someone who fits what is bought.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// What each kit for an operation on a unit holds of the need, lacks, brings beyond it, and costs with its loose remainder,
/// on a day (today where none is given).
pub async fn kits_side_by_side(
    shop: &Shop,
    unit: &str,
    operation: Option<&str>,
    as_of: Option<NaiveDate>,
) -> Result<KitsSheet, RebuildError> {
    let mut asked = Asked { as_of, ..Asked::overhaul(unit) };
    if let Some(first) = asked.units.first_mut() {
        first.operation = operation.map(str::to_owned);
    }
    let (input, translated) = gather(shop, &asked).await?;
    let Some(first) = translated.request.units.first() else {
        return Err(RebuildError::bad("/units", "no unit is named; name one"));
    };
    let (unit, operation) = (first.unit.clone(), first.operation.clone());
    let cautions = unit_cautions(&input.snapshot, &unit);
    let compared = shop.work(move || resolver::kits_side_by_side(&input)).await?;
    let comparison = compared.map_err(|fault| in_asked_words(&translated, fault.into()))?;
    Ok(KitsSheet { unit, operation, comparison, cautions, deferral: resolver::DEFERRAL.to_owned() })
}
