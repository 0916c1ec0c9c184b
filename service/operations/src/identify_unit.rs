//! From what a person writes to a unit: the code on its plate, or a vehicle and the role in it.

use catalogue::{Code, Unit, UnitKey, Vehicle, VehicleRole, VehicleUnit};

use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// How many codes are named when one is unknown.
pub(crate) const CLOSEST: usize = 3;

/// The unit of a code as written; spaces, dashes, dots and case do not matter.
#[tracing::instrument(skip(shop))]
pub async fn identify_unit(shop: &Shop, written: &str) -> Result<Unit, LookupError> {
    let key = UnitKey::parse(written).map_err(|fault| LookupError::Malformed {
        what: "unit code",
        written: written.to_owned(),
        fault,
    })?;
    match shop.store().find_unit(&key).await? {
        Some(unit) => Ok(unit),
        None => {
            let closest = shop.store().closest_units(&key, CLOSEST).await?;
            let closest = closest.into_iter().map(|unit| unit.code).collect();
            Err(LookupError::Unit { written: written.to_owned(), closest })
        }
    }
}

/// The vehicle of a code as written.
pub async fn identify_vehicle(shop: &Shop, written: &str) -> Result<Vehicle, LookupError> {
    let code = Code::parse(written).map_err(|fault| LookupError::Malformed {
        what: "vehicle code",
        written: written.to_owned(),
        fault,
    })?;
    match shop.store().vehicle(&code).await? {
        Some(vehicle) => Ok(vehicle),
        None => {
            let known = shop.store().all_rows::<Vehicle>().await?;
            let known = known.iter().map(|vehicle| vehicle.vehicle.as_str());
            let closest = resolver::closest::closest(code.as_str(), known, CLOSEST);
            Err(LookupError::Vehicle { written: written.to_owned(), closest })
        }
    }
}

/// The units of a vehicle in a role, or all of them.
pub async fn identify_units_of_vehicle(
    shop: &Shop,
    written: &str,
    role: Option<VehicleRole>,
) -> Result<Vec<VehicleUnit>, LookupError> {
    let vehicle = identify_vehicle(shop, written).await?;
    let mut carried = shop.store().vehicle_units(&vehicle.vehicle).await?;
    carried.retain(|unit| role.is_none_or(|role| unit.role == role));
    Ok(carried)
}
