//! Lists of units, vehicles and parts, piece by piece in the order of their keys.

use catalogue::{Code, Part, PartKey, Unit, UnitKey, Vehicle};

use crate::listed::Listed;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// The units behind a code, at most so many.
pub async fn list_units(shop: &Shop, after: Option<&str>, limit: u64) -> Result<Listed<Unit>, LookupError> {
    let after = after
        .map(|text| UnitKey::parse(text).map_err(|fault| malformed("unit code", text, fault)))
        .transpose()?;
    let units = shop.store().list_units(after.as_ref(), limit.saturating_add(1)).await?;
    Ok(Listed::of(units, limit, |unit| unit.unit.to_string()))
}

/// The vehicles behind a code, at most so many.
pub async fn list_vehicles(
    shop: &Shop,
    after: Option<&str>,
    limit: u64,
) -> Result<Listed<Vehicle>, LookupError> {
    let after = after
        .map(|text| Code::parse(text).map_err(|fault| malformed("vehicle code", text, fault)))
        .transpose()?;
    let vehicles = shop.store().list_vehicles(after.as_ref(), limit.saturating_add(1)).await?;
    Ok(Listed::of(vehicles, limit, |vehicle| vehicle.vehicle.to_string()))
}

/// The parts behind a part, at most so many.
pub async fn list_parts(shop: &Shop, after: Option<&str>, limit: u64) -> Result<Listed<Part>, LookupError> {
    let after =
        after.map(|text| PartKey::parse(text).map_err(|fault| malformed("part", text, fault))).transpose()?;
    let parts = shop.store().list_parts(after.as_ref(), limit.saturating_add(1)).await?;
    Ok(Listed::of(parts, limit, |part| part.part.to_string()))
}

fn malformed(what: &'static str, text: &str, fault: catalogue::key::KeyFault) -> LookupError {
    LookupError::Malformed { what, written: text.to_owned(), fault }
}
