//! From what the driver notices to what is likely to be found, and what to check on the vehicle first.

use std::sync::Arc;

use catalogue::{Snapshot, UnitKey};
use resolver::{KnownSymptom, RequestFault, SymptomAnswer};
use serde::{Deserialize, Serialize};
use store::StoreError;
use utoipa::ToSchema;

use crate::identify_unit::{identify_unit, identify_units_of_vehicle};
use crate::lookup_error::LookupError;
use crate::shop::{Shop, WorkLost};

/// The symptoms that the catalogue knows of a unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SymptomList {
    /// The unit.
    pub unit: UnitKey,
    /// Its symptoms, by their words.
    pub items: Vec<KnownSymptom>,
}

/// Why a symptom was not answered.
#[derive(Debug, thiserror::Error)]
pub enum SymptomError {
    /// There is no such unit or vehicle.
    #[error(transparent)]
    Lookup(#[from] LookupError),
    /// Nothing was said, or the catalogue's weak points contradict themselves.
    #[error(transparent)]
    Fault(#[from] RequestFault),
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
    /// The work was broken off.
    #[error(transparent)]
    Lost(#[from] WorkLost),
}

/// The symptoms of a unit; with a text those that it may mean, however it is mistyped.
pub async fn known_symptoms(
    shop: &Shop,
    written: &str,
    text: Option<&str>,
) -> Result<SymptomList, LookupError> {
    let unit = identify_unit(shop, written).await?.unit;
    let units = [unit.clone()];
    let snapshot = snapshot_of(shop, &units).await?;
    let items = resolver::known_symptoms(&snapshot, &units, text);
    Ok(SymptomList { unit, items })
}

/// What a symptom points to in one unit.
pub async fn likely_findings(
    shop: &Shop,
    written: &str,
    symptom: &str,
) -> Result<SymptomAnswer, SymptomError> {
    let unit = identify_unit(shop, written).await?.unit;
    answered(shop, vec![unit], symptom).await
}

/// What a symptom points to in the units of a vehicle.
pub async fn likely_findings_of_vehicle(
    shop: &Shop,
    written: &str,
    symptom: &str,
) -> Result<SymptomAnswer, SymptomError> {
    let carried = identify_units_of_vehicle(shop, written, None).await?;
    let mut units: Vec<UnitKey> = carried.into_iter().map(|carried| carried.unit).collect();
    units.sort();
    units.dedup();
    answered(shop, units, symptom).await
}

async fn answered(shop: &Shop, units: Vec<UnitKey>, symptom: &str) -> Result<SymptomAnswer, SymptomError> {
    let snapshot = snapshot_of(shop, &units).await?;
    let symptom = symptom.to_owned();
    Ok(shop.work(move || resolver::symptom(&snapshot, &units, &symptom)).await??)
}

async fn snapshot_of(shop: &Shop, units: &[UnitKey]) -> Result<Arc<Snapshot>, StoreError> {
    let revisions = shop.store().revisions().await?;
    shop.snapshots().get(shop.store(), units, revisions.structure).await
}
