//! What the road needs to know: the vehicle that carries the units, its tyre, and the ratios between gearbox and wheel.

use catalogue::{Code, UnitKey, UnitKind, Vehicle, VehicleRole, VehicleUnit};
use mechanics::gear_train::overall_ratio;
use mechanics::road_speed::road_speed;
use mechanics::tyre::parse_tyre;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::context::Context;
use crate::explain::road_gap_sentence;
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

catalogue::choice! {
    /// What lacks for road speeds.
    pub enum RoadGapKind {
        /// No vehicle of the catalogue carries the units, or several do.
        Vehicle = "vehicle",
        /// The vehicle has no tyre whose size can be read.
        Tyre = "tyre",
        /// The vehicle's drop box is not in the request.
        DropBox = "drop_box",
        /// The vehicle has no driven axle, or none of them is in the request.
        Axle = "axle",
        /// The drop box or axle is in the request, and its teeth do not tell one ratio.
        Ratio = "ratio",
    }
}

/// One thing that lacks for road speeds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct RoadGap {
    /// What lacks.
    pub lacks: RoadGapKind,
    /// The unit that would have to be asked for too, or whose data lack.
    pub unit: Option<UnitKey>,
    /// The same in words.
    pub sentence: String,
}

fn gap(lacks: RoadGapKind, unit: Option<&UnitKey>) -> RoadGap {
    RoadGap { lacks, unit: unit.cloned(), sentence: road_gap_sentence(lacks, unit) }
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

/// The basis of road speeds, where drop box and a driven axle of the vehicle are in the request too; else all that lacks.
pub(super) fn road_basis(context: &Context<'_>, solved: &Solved<'_>) -> Result<RoadBasis, Vec<RoadGap>> {
    let Some(vehicle) = vehicle(context) else { return Err(vec![gap(RoadGapKind::Vehicle, None)]) };
    let size = vehicle.tyre.as_deref().and_then(|tyre| parse_tyre(tyre).ok());
    let transfer = transfer_ratio(context, solved, vehicle);
    let axle = driven_axle_ratio(context, solved, vehicle);
    match (&vehicle.tyre, size, transfer, axle) {
        (Some(tyre), Some(size), Ok(transfer_ratio), Ok(axle_ratio)) => Ok(RoadBasis {
            vehicle: vehicle.vehicle.clone(),
            tyre: tyre.clone(),
            rolling_circumference_m: size.rolling_circumference_mm / 1000.0,
            transfer_ratio,
            axle_ratio,
        }),
        (_, size, transfer, axle) => {
            let tyre = size.is_none().then(|| gap(RoadGapKind::Tyre, None));
            Err(tyre.into_iter().chain(transfer.err()).chain(axle.err()).collect())
        }
    }
}

fn carried<'a>(context: &Context<'a>, vehicle: &Vehicle) -> impl Iterator<Item = &'a VehicleUnit> {
    let vehicle = vehicle.vehicle.clone();
    context.graph.snapshot.vehicle_units.iter().filter(move |row| row.vehicle == vehicle)
}

fn index_of(context: &Context<'_>, key: &UnitKey) -> Option<usize> {
    context.units.iter().find(|unit| unit.unit.unit == *key).map(|unit| unit.index)
}

/// Ratio of the vehicle's drop box; 1 where it has none.
fn transfer_ratio(context: &Context<'_>, solved: &Solved<'_>, vehicle: &Vehicle) -> Result<f64, RoadGap> {
    let Some(row) = carried(context, vehicle).find(|row| row.role == VehicleRole::DropBox) else {
        return Ok(1.0);
    };
    let unit = index_of(context, &row.unit).ok_or_else(|| gap(RoadGapKind::DropBox, Some(&row.unit)))?;
    match speeds(context, solved, unit, &fitted).as_deref() {
        Some([only]) => Ok(only.ratio),
        _ => Err(gap(RoadGapKind::Ratio, Some(&row.unit))),
    }
}

/// Ratio of the first driven axle that is in the request.
fn driven_axle_ratio(context: &Context<'_>, solved: &Solved<'_>, vehicle: &Vehicle) -> Result<f64, RoadGap> {
    let driven = || carried(context, vehicle).filter(|row| row.driven);
    let is_axle = |unit: &usize| context.units[*unit].unit.kind == UnitKind::Axle;
    let asked = driven().find_map(|row| Some((row, index_of(context, &row.unit).filter(is_axle)?)));
    let Some((row, unit)) = asked else {
        let axles = [VehicleRole::RearAxle, VehicleRole::FrontAxle];
        let other = axles.iter().find_map(|role| driven().find(|row| row.role == *role));
        return Err(gap(RoadGapKind::Axle, other.map(|row| &row.unit)));
    };
    axle_ratio_at(context, solved, unit, &fitted).ok_or_else(|| gap(RoadGapKind::Ratio, Some(&row.unit)))
}
