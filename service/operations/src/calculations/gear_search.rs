//! Gears that fit a given centre distance near a wanted ratio.

use catalogue::Hazard;
use mechanics::gear_search::{FittingPair, GearSearch, search_gears};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry};
use crate::calculations::sheet::figure;

/// Most systems tried: modules times helix angles.
pub const SYSTEMS_MOST: usize = 200;
/// Most answers given.
pub const ANSWERS_MOST: usize = 100;

/// What is wanted of a pair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearSearchAsked {
    /// Centre distance of the case.
    pub centre_distance_mm: f64,
    /// Ratio z2/z1 wanted.
    pub wanted_ratio: f64,
    /// Largest difference from it, in per cent.
    #[serde(default = "usual_tolerance")]
    #[schema(default = 3.0)]
    pub ratio_tolerance_percent: f64,
    /// Normal modules to try.
    pub normal_modules_mm: Vec<f64>,
    /// Normal pressure angle.
    #[serde(default = "usual_angle")]
    #[schema(default = 20.0)]
    pub normal_pressure_angle_deg: f64,
    /// Helix angles to try; 0 is spur.
    pub helix_angles_deg: Vec<f64>,
    /// Fewest teeth of a gear.
    #[serde(default = "usual_teeth")]
    #[schema(default = 12)]
    pub least_teeth: u32,
    /// The second gear, where it stays.
    pub kept_wheel: Option<KeptWheel>,
    /// Smallest transverse contact ratio taken.
    #[serde(default = "usual_contact")]
    #[schema(default = 1.2)]
    pub least_contact_ratio: f64,
    /// Most pairs given, the nearest to the ratio first.
    #[serde(default = "usual_answers")]
    #[schema(default = 20, maximum = 100)]
    pub answers_most: usize,
}

fn usual_tolerance() -> f64 {
    3.0
}
fn usual_angle() -> f64 {
    20.0
}
fn usual_teeth() -> u32 {
    12
}
fn usual_contact() -> f64 {
    1.2
}
fn usual_answers() -> usize {
    20
}

/// A gear that stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct KeptWheel {
    /// Its teeth.
    pub tooth_count: u32,
    /// Its profile shift coefficient.
    pub profile_shift: f64,
}

/// The pairs that fit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearSearchResult {
    /// The pairs, nearest to the ratio first.
    pub pairs: Vec<FoundPair>,
}

/// A pair that fits the centre distance without backlash, free of undercut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FoundPair {
    /// Teeth of both gears.
    pub tooth_counts: [u32; 2],
    /// Normal module.
    pub normal_module_mm: f64,
    /// Helix angle.
    pub helix_angle_deg: f64,
    /// Ratio z2/z1.
    pub ratio: f64,
    /// Difference from the wanted ratio.
    pub ratio_error_percent: f64,
    /// Profile shifts.
    pub profile_shifts: [f64; 2],
    /// Tip diameters, tips shortened to keep the clearance.
    pub tip_diameters_mm: [f64; 2],
    /// Working transverse pressure angle.
    pub working_pressure_angle_deg: f64,
    /// Transverse contact ratio.
    pub contact_ratio: f64,
    /// Thickness of the thinner tip.
    pub least_tip_thickness_mm: f64,
}

impl FoundPair {
    fn of(pair: &FittingPair) -> Self {
        Self {
            tooth_counts: pair.tooth_counts,
            normal_module_mm: pair.normal_module_mm,
            helix_angle_deg: pair.helix_angle_deg,
            ratio: pair.ratio,
            ratio_error_percent: pair.ratio_error_percent,
            profile_shifts: pair.profile_shifts,
            tip_diameters_mm: pair.tip_diameters_mm,
            working_pressure_angle_deg: pair.working_pressure_angle_deg,
            contact_ratio: pair.contact_ratio,
            least_tip_thickness_mm: pair.least_tip_thickness_modules * pair.normal_module_mm,
        }
    }
}

/// Answer to [`GearSearchAsked`].
pub type GearSearchSheet = CalculationSheet<GearSearchAsked, GearSearchResult>;

/// Searches for pairs.
pub fn calculate_gear_search(asked: &GearSearchAsked) -> Result<GearSearchSheet, CalculationFault> {
    let systems = asked.normal_modules_mm.len().saturating_mul(asked.helix_angles_deg.len());
    if systems > SYSTEMS_MOST {
        let detail = format!(
            "{systems} systems (modules times helix angles) would be tried; at most {SYSTEMS_MOST} are: list fewer"
        );
        return Err(CalculationFault::at("/normal_modules_mm", "out_of_range", detail));
    }
    if asked.answers_most > ANSWERS_MOST {
        let detail =
            format!("answers_most is {}; at most {ANSWERS_MOST} pairs are given", asked.answers_most);
        return Err(CalculationFault::at("/answers_most", "out_of_range", detail));
    }
    let wanted = GearSearch {
        centre_distance_mm: asked.centre_distance_mm,
        wanted_ratio: asked.wanted_ratio,
        ratio_tolerance_percent: asked.ratio_tolerance_percent,
        normal_modules_mm: asked.normal_modules_mm.clone(),
        normal_pressure_angle_deg: asked.normal_pressure_angle_deg,
        helix_angles_deg: asked.helix_angles_deg.clone(),
        least_teeth: asked.least_teeth,
        kept_wheel: asked.kept_wheel.as_ref().map(|wheel| (wheel.tooth_count, wheel.profile_shift)),
        least_contact_ratio: asked.least_contact_ratio,
        answers_most: asked.answers_most,
    };
    let pairs = search_gears(&wanted).map_err(|error| match error.field() {
        "normal_module_mm" => entry("/normal_modules_mm", asked.normal_modules_mm.iter().copied())(error),
        "helix_angle_deg" => entry("/helix_angles_deg", asked.helix_angles_deg.iter().copied())(error),
        _ => CalculationFault::from(error),
    })?;
    let mut figures = Vec::new();
    if let Some(best) = pairs.first() {
        let rule = ("z_2/z_1", "ISO 21771");
        figures.push(figure(("ratio of the nearest pair", "i", "1"), best.ratio, rule));
        let rule = ("(z_1 + z_2)(inv α_wt − inv α_t)/(2·tan α_n)", "ISO 21771");
        let sum = best.profile_shifts[0] + best.profile_shifts[1];
        figures.push(figure(("sum of profile shifts of the nearest pair", "Σx", "1"), sum, rule));
    }
    let result = GearSearchResult { pairs: pairs.iter().map(FoundPair::of).collect() };
    let hazards = [Hazard::Press, Hazard::ChangedGearing];
    Ok(CalculationSheet::new("gear-search", asked.clone(), result, figures, &hazards))
}
