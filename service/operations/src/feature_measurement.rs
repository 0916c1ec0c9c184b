//! What the bench measured on a face of a part: stored on the part with who, when and how certain, and used by every verdict
//! from then on.

use std::collections::BTreeMap;

use catalogue::{Basis, Code, Feature, Sheet, bundle};
use chrono::{NaiveDate, Utc};
use exchange::SheetWriter;
use serde::{Deserialize, Serialize};
use store::StoreError;
use utoipa::ToSchema;

use crate::identify_part::identify_part;
use crate::import_catalogue::{BundleSource, ImportError, ImportRequest, import_catalogue};
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// Most letters of a name.
const NAME_LETTERS_MAX: usize = 80;

/// What was measured. Figures that are left out stay as they are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct Measurement {
    /// Who measured.
    #[schema(min_length = 1, max_length = 80, example = "bench 2")]
    pub measured_by: String,
    /// When; left out: today (UTC).
    pub measured_on: Option<NaiveDate>,
    /// Uncertainty of the measured figure that decides: of a gear its base pitch, else the diameter.
    #[schema(minimum = 0)]
    pub uncertainty_mm: f64,
    /// Teeth counted.
    #[schema(minimum = 1)]
    pub tooth_count: Option<i64>,
    /// Normal module of a gear, module of a spline.
    pub module_mm: Option<f64>,
    /// Normal pressure angle.
    pub pressure_angle_deg: Option<f64>,
    /// Helix angle on the reference cylinder, without sign.
    pub helix_angle_deg: Option<f64>,
    /// Profile shift coefficient.
    pub profile_shift: Option<f64>,
    /// Largest diameter.
    pub outside_diameter_mm: Option<f64>,
    /// Smallest diameter.
    pub inside_diameter_mm: Option<f64>,
    /// Diameter of a bore, journal, seat or thread.
    pub diameter_mm: Option<f64>,
    /// Length, width or thickness.
    pub length_mm: Option<f64>,
}

/// Why a face was not shown or a measurement not stored.
#[derive(Debug, thiserror::Error)]
pub enum FeatureError {
    /// The part cannot be found.
    #[error(transparent)]
    Lookup(#[from] LookupError),
    /// The part has no such face.
    #[error("the part has no face `{written}`; it has {}", known.join(", "))]
    NotFound {
        /// The name as written.
        written: String,
        /// The names there are.
        known: Vec<String>,
    },
    /// The face was changed since the measurement was decided on.
    #[error("the face was changed in the meantime")]
    Stale,
    /// A value is none that the face can hold.
    #[error("{field} {wrong}; {right}")]
    BadValue {
        /// The field of the measurement.
        field: String,
        /// What is wrong with it, to be read after it.
        wrong: String,
        /// What would be right.
        right: String,
    },
    /// The measurement was not taken in.
    #[error("the measurement was not stored")]
    Import(#[source] ImportError),
}

impl From<StoreError> for FeatureError {
    fn from(error: StoreError) -> Self {
        Self::Lookup(LookupError::Store(error))
    }
}

/// The faces of a part, by name.
pub async fn list_features(shop: &Shop, part: &str) -> Result<Vec<Feature>, FeatureError> {
    let part = identify_part(shop, part).await?;
    Ok(shop.store().features_of_part(&part.part).await?)
}

/// One face of a part.
pub async fn show_feature(shop: &Shop, part: &str, written: &str) -> Result<Feature, FeatureError> {
    let features = list_features(shop, part).await?;
    let code = Code::parse(written).ok();
    let found = features.iter().find(|feature| Some(&feature.feature) == code.as_ref());
    found.cloned().ok_or_else(|| FeatureError::NotFound {
        written: written.to_owned(),
        known: features.iter().map(|feature| feature.feature.to_string()).collect(),
    })
}

/// Stores a measurement as a bundle of one row would: checked, audited, and counted as a change of structure.
///
/// `still_holds` says whether it was decided on the face as it is now.
pub async fn store_measurement(
    shop: &Shop,
    part: &str,
    written: &str,
    measurement: &Measurement,
    mut still_holds: impl FnMut(&Feature) -> bool,
) -> Result<Feature, FeatureError> {
    check(measurement)?;
    loop {
        // Whoever else changes the structure in between moves its revision; then the face is looked at again.
        let revision = shop.store().revisions().await?.structure;
        let current = show_feature(shop, part, written).await?;
        if !still_holds(&current) {
            return Err(FeatureError::Stale);
        }
        match take_in(shop, &with(current, measurement), measurement, revision).await {
            Err(FeatureError::Lookup(LookupError::Store(StoreError::RevisionMoved { .. }))) => {}
            Err(error) => return Err(error),
            Ok(()) => return show_feature(shop, part, written).await,
        }
    }
}

fn check(measurement: &Measurement) -> Result<(), FeatureError> {
    let bad = |field: &str, wrong: &str, right: &str| FeatureError::BadValue {
        field: field.to_owned(),
        wrong: wrong.to_owned(),
        right: right.to_owned(),
    };
    let letters = measurement.measured_by.trim().chars().count();
    if letters == 0 || letters > NAME_LETTERS_MAX {
        return Err(bad("measured_by", "must not be empty or longer than 80 letters", "write who measured"));
    }
    if !(0.0..=10.0).contains(&measurement.uncertainty_mm) {
        return Err(bad("uncertainty_mm", "is out of range", "it must lie from 0 to 10 mm"));
    }
    if figures(measurement).iter().all(Option::is_none) && measurement.tooth_count.is_none() {
        return Err(bad("tooth_count", "is missing, and so is every other figure", "give what was measured"));
    }
    Ok(())
}

fn figures(measurement: &Measurement) -> [Option<f64>; 8] {
    let m = measurement;
    [
        m.module_mm,
        m.pressure_angle_deg,
        m.helix_angle_deg,
        m.profile_shift,
        m.outside_diameter_mm,
        m.inside_diameter_mm,
        m.diameter_mm,
        m.length_mm,
    ]
}

fn with(current: Feature, measurement: &Measurement) -> Feature {
    let m = measurement;
    Feature {
        tooth_count: m.tooth_count.or(current.tooth_count),
        module_mm: m.module_mm.or(current.module_mm),
        pressure_angle_deg: m.pressure_angle_deg.or(current.pressure_angle_deg),
        helix_angle_deg: m.helix_angle_deg.or(current.helix_angle_deg),
        profile_shift: m.profile_shift.or(current.profile_shift),
        outside_diameter_mm: m.outside_diameter_mm.or(current.outside_diameter_mm),
        inside_diameter_mm: m.inside_diameter_mm.or(current.inside_diameter_mm),
        diameter_mm: m.diameter_mm.or(current.diameter_mm),
        length_mm: m.length_mm.or(current.length_mm),
        basis: Basis::Measured,
        uncertainty_mm: Some(m.uncertainty_mm),
        measured_by: Some(m.measured_by.trim().to_owned()),
        measured_on: Some(m.measured_on.unwrap_or_else(|| Utc::now().date_naive())),
        ..current
    }
}

async fn take_in(
    shop: &Shop,
    changed: &Feature,
    measurement: &Measurement,
    revision: i64,
) -> Result<(), FeatureError> {
    let text = one_row(changed).map_err(|source| {
        let path = std::path::PathBuf::from("features.csv");
        FeatureError::Import(ImportError::File { path, source })
    })?;
    let source = BundleSource::Texts(BTreeMap::from([("features.csv".to_owned(), text)]));
    let request = ImportRequest {
        report_findings: false,
        at_structure_revision: Some(revision),
        who: measurement.measured_by.trim().to_owned(),
        note: format!("measured {} of {}", changed.feature, changed.part),
        ..ImportRequest::on(Utc::now().date_naive())
    };
    match import_catalogue(shop, source, &request, &mut |_| ()).await {
        Ok(_) => Ok(()),
        Err(ImportError::Store(error)) => Err(error.into()),
        Err(ImportError::Refused(refused)) => match refused.faults.into_iter().next() {
            Some(fault) => Err(FeatureError::BadValue {
                field: fault.column.clone().unwrap_or_else(|| "measured_by".to_owned()),
                wrong: fault.wrong,
                right: fault.right,
            }),
            None => Err(FeatureError::Import(ImportError::BrokenOff)),
        },
        Err(error) => Err(FeatureError::Import(error)),
    }
}

fn one_row(feature: &Feature) -> std::io::Result<Vec<u8>> {
    let spec =
        bundle::sheet(Feature::SPEC.name).ok_or_else(|| std::io::Error::other("there is no such sheet"))?;
    let mut writer = SheetWriter::new(spec, Vec::new())?;
    writer.write_row(&feature.to_cells())?;
    writer.finish()
}
