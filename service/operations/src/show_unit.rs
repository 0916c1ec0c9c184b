//! One unit with what a bench or counter asks of it.

use std::sync::Arc;

use catalogue::{
    BenchValue, Candidate, Operation, Position, Snapshot, Unit, Variant, VehicleUnit, WeakPoint,
};
use resolver::answer::CautionNote;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::identify_unit::identify_unit;
use crate::lookup_error::LookupError;
use crate::shop::Shop;
use crate::unit_cautions::unit_cautions;

/// A unit with its variants, positions and operations.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct UnitSheet {
    /// The unit.
    pub unit: Unit,
    /// The structure revision at which it was read.
    pub structure_revision: i64,
    /// The vehicles that carry it, and what it does there.
    pub vehicles: Vec<VehicleUnit>,
    /// The ways in which it was built.
    pub variants: Vec<Variant>,
    /// Its operations.
    pub operations: Vec<Operation>,
    /// Its positions, in order of assembly.
    pub positions: Vec<Position>,
    /// What may stand at the positions.
    pub candidates: Vec<Candidate>,
    /// What the bench needs at the positions.
    pub bench_values: Vec<BenchValue>,
    /// What is likely to be found bad.
    pub weak_points: Vec<WeakPoint>,
    /// What can hurt someone who works on it.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// The unit of a code as written.
pub async fn show_unit(shop: &Shop, written: &str) -> Result<UnitSheet, LookupError> {
    let (unit, snapshot) = unit_snapshot(shop, written).await?;
    let mut positions = snapshot.positions.clone();
    positions.sort_by(|a, b| (a.assembly_order, &a.position).cmp(&(b.assembly_order, &b.position)));
    let vehicles = snapshot.vehicle_units.iter().filter(|carried| carried.unit == unit.unit);
    Ok(UnitSheet {
        vehicles: vehicles.cloned().collect(),
        structure_revision: snapshot.structure_revision,
        variants: snapshot.variants.clone(),
        operations: snapshot.operations.clone(),
        positions,
        candidates: snapshot.candidates.clone(),
        bench_values: snapshot.bench_values.clone(),
        weak_points: snapshot.weak_points.clone(),
        cautions: unit_cautions(&snapshot, &unit.unit),
        deferral: resolver::DEFERRAL.to_owned(),
        unit,
    })
}

/// A unit and all that it alone can reach.
pub(crate) async fn unit_snapshot(shop: &Shop, written: &str) -> Result<(Unit, Arc<Snapshot>), LookupError> {
    let unit = identify_unit(shop, written).await?;
    let revisions = shop.store().revisions().await?;
    let units = [unit.unit.clone()];
    let snapshot = shop.snapshots().get(shop.store(), &units, revisions.structure).await?;
    Ok((unit, snapshot))
}
