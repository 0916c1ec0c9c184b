//! One vehicle with its engine and the units it carries.

use catalogue::{EnginePoint, Unit, Vehicle, VehicleRole};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::identify_unit::identify_vehicle;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// A vehicle with the units it carries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VehicleSheet {
    /// The vehicle.
    pub vehicle: Vehicle,
    /// Full-load torque of its engine, by speed.
    pub engine_points: Vec<EnginePoint>,
    /// The units it carries.
    pub units: Vec<CarriedUnit>,
}

/// A unit that a vehicle carries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CarriedUnit {
    /// What it does in the vehicle.
    pub role: VehicleRole,
    /// Whether it drives wheels.
    pub driven: bool,
    /// The unit.
    #[serde(flatten)]
    pub unit: Unit,
}

/// The vehicle of a code as written.
pub async fn show_vehicle(shop: &Shop, written: &str) -> Result<VehicleSheet, LookupError> {
    let vehicle = identify_vehicle(shop, written).await?;
    let mut units = Vec::new();
    for carried in shop.store().vehicle_units(&vehicle.vehicle).await? {
        if let Some(unit) = shop.store().find_unit(&carried.unit).await? {
            units.push(CarriedUnit { role: carried.role, driven: carried.driven, unit });
        }
    }
    let engine_points = shop.store().all_rows::<EnginePoint>().await?;
    let engine_points = engine_points.into_iter().filter(|point| point.vehicle == vehicle.vehicle).collect();
    Ok(VehicleSheet { vehicle, engine_points, units })
}
