//! What the road needs to know: the vehicle that carries the units, its tyre, and the ratios between gearbox and wheel.

use catalogue::{Code, UnitKind, Vehicle, VehicleRole};
use mechanics::gear_train::overall_ratio;
use mechanics::road_speed::road_speed;
use mechanics::tyre::parse_tyre;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::context::Context;
use crate::gearing::axles::axle_ratio_at;
use crate::gearing::fitted;
use crate::gearing::train::speeds;
use crate::requirement::Solved;

/// What road speeds were calculated with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoadBasis {
    /// The vehicle.
    pub vehicle: Code,
    /// Its tyre.
    pub tyre: String,
    /// Rolling circumference of that tyre.
    pub rolling_circumference_m: f64,
    /// Ratio of the drop box; 1 where the vehicle has none.
    pub transfer_ratio: f64,
    /// Ratio of the driven axle.
    pub axle_ratio: f64,
}

impl RoadBasis {
    /// Road speed at an engine speed in a speed of the gearbox.
    pub(super) fn speed_kmh(&self, engine_per_min: f64, ratio: f64) -> Option<f64> {
        let total = overall_ratio(ratio, self.transfer_ratio, self.axle_ratio).ok()?;
        road_speed(engine_per_min, total, self.rolling_circumference_m, 0.0).ok()
    }
}

/// The one vehicle that carries all units of the request.
pub(super) fn vehicle<'a>(context: &Context<'a>) -> Option<&'a Vehicle> {
    let snapshot = context.graph.snapshot;
    let carries = |vehicle: &&Vehicle| {
        context.units.iter().all(|unit| {
            snapshot
                .vehicle_units
                .iter()
                .any(|row| row.vehicle == vehicle.vehicle && row.unit == unit.unit.unit)
        })
    };
    let mut carrying = snapshot.vehicles.iter().filter(carries);
    carrying.next().filter(|_| carrying.next().is_none())
}

/// The basis of road speeds, where drop box and a driven axle of the vehicle are in the request too.
pub(super) fn road_basis(context: &Context<'_>, solved: &Solved<'_>) -> Option<RoadBasis> {
    let vehicle = vehicle(context)?;
    let tyre = vehicle.tyre.clone()?;
    let around = parse_tyre(&tyre).ok()?.rolling_circumference_mm / 1000.0;
    let carried = || context.graph.snapshot.vehicle_units.iter().filter(|row| row.vehicle == vehicle.vehicle);
    let index = |key: &catalogue::UnitKey| {
        context.units.iter().find(|unit| unit.unit.unit == *key).map(|unit| unit.index)
    };
    let transfer_ratio = match carried().find(|row| row.role == VehicleRole::DropBox) {
        None => 1.0,
        Some(row) => match speeds(context, solved, index(&row.unit)?, &fitted)?.as_slice() {
            [only] => only.ratio,
            _ => return None,
        },
    };
    let axle = carried()
        .filter(|row| row.driven)
        .filter_map(|row| index(&row.unit))
        .find(|unit| context.units[*unit].unit.kind == UnitKind::Axle)?;
    let axle_ratio = axle_ratio_at(context, solved, axle, &fitted)?;
    Some(RoadBasis {
        vehicle: vehicle.vehicle.clone(),
        tyre,
        rolling_circumference_m: around,
        transfer_ratio,
        axle_ratio,
    })
}
