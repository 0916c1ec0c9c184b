//! A gear pair the other way round from a mesh verdict: the centre distance that shifts make, the shifts that a centre
//! distance asks for, and the backlash of both together.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::backlash::{Backlash, backlash, backlash_of_small_opening_mm, shift_for_backlash};
use mechanics::gear::{BasicRack, ToothSystem};
use mechanics::gear_pair::{
    PairGeometry, WorkingPair, overlap_ratio, pair_at_centre_distance, pair_from_shifts,
};
use resolver::FigureValue;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::sheet::figure;

/// Two external gears of one tooth system on parallel shafts. Give profile shifts, or a centre distance, or both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearPairAsked {
    /// Teeth of both gears.
    #[schema(example = json!([22, 40]))]
    pub tooth_counts: [u32; 2],
    /// Normal module m_n.
    pub normal_module_mm: f64,
    /// Normal pressure angle of the tool.
    #[serde(default = "usual_angle")]
    #[schema(default = 20.0)]
    pub normal_pressure_angle_deg: f64,
    /// Helix angle on the reference cylinder; 0 is spur.
    #[serde(default)]
    pub helix_angle_deg: f64,
    /// Profile shift coefficients of both gears.
    pub profile_shifts: Option<[f64; 2]>,
    /// Centre distance of the case.
    pub centre_distance_mm: Option<f64>,
    /// Normal thickness allowances of both gears, usually negative.
    #[serde(default)]
    #[schema(default = json!([0.0, 0.0]))]
    pub thickness_allowances_mm: [f64; 2],
    /// Width in which both gears overlap, for the overlap ratio.
    pub common_width_mm: Option<f64>,
    /// Circumferential backlash wanted: the answer tells what shift makes it.
    pub wanted_backlash_mm: Option<f64>,
}

fn usual_angle() -> f64 {
    20.0
}

/// The pair.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearPairResult {
    /// Ratio z2/z1.
    pub ratio: f64,
    /// What the profile shifts make, free of backlash; null without shifts.
    pub from_shifts: Option<PairFromShifts>,
    /// What the centre distance asks for; null without one.
    pub at_centre_distance: Option<PairAtDistance>,
    /// Backlash of these shifts at this centre distance; null without both.
    pub backlash: Option<PairBacklash>,
    /// Overlap ratio; null without a width.
    pub overlap_ratio: Option<f64>,
    /// Change of one gear's profile shift that makes the wanted backlash.
    pub shift_for_backlash: Option<f64>,
}

/// A pair by its profile shifts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PairFromShifts {
    /// Centre distance without backlash.
    pub centre_distance_mm: f64,
    /// Working transverse pressure angle.
    pub working_pressure_angle_deg: f64,
    /// Tip shortening k that keeps the clearance, in modules.
    pub tip_shortening: f64,
    /// Tip diameters.
    pub tip_diameters_mm: [f64; 2],
    /// Root diameters.
    pub root_diameters_mm: [f64; 2],
    /// Working pitch diameters.
    pub working_diameters_mm: [f64; 2],
    /// Clearance at the root of each gear.
    pub tip_clearances_mm: [f64; 2],
    /// Transverse contact ratio.
    pub contact_ratio: f64,
}

/// A pair by its centre distance.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PairAtDistance {
    /// Reference centre distance.
    pub reference_centre_distance_mm: f64,
    /// Working transverse pressure angle.
    pub working_pressure_angle_deg: f64,
    /// Sum of profile shifts without backlash.
    pub sum_of_shifts: f64,
    /// Working pitch diameters.
    pub working_diameters_mm: [f64; 2],
}

/// Backlash of a pair; negative where it binds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PairBacklash {
    /// On the working pitch circle.
    pub circumferential_mm: f64,
    /// Normal to the flanks.
    pub normal_mm: f64,
    /// On the line of action in the transverse section.
    pub base_transverse_mm: f64,
    /// The linear estimate from how far the centres are open, for comparison; null where that is too far to estimate.
    pub linear_estimate_mm: Option<f64>,
}

/// Answer to [`GearPairAsked`].
pub type GearPairSheet = CalculationSheet<GearPairAsked, GearPairResult>;

/// Calculates the pair.
pub fn calculate_gear_pair(asked: &GearPairAsked) -> Result<GearPairSheet, CalculationFault> {
    let teeth = asked.tooth_counts;
    let system =
        ToothSystem::new(asked.normal_module_mm, asked.normal_pressure_angle_deg, asked.helix_angle_deg)?;
    if asked.profile_shifts.is_none() && asked.centre_distance_mm.is_none() {
        let detail = "give profile_shifts, or centre_distance_mm, or both";
        return Err(CalculationFault::at("/profile_shifts", "contradiction", detail));
    }
    let made = asked
        .profile_shifts
        .map(|shifts| pair_from_shifts(&system, teeth, shifts, &BasicRack::ISO_53_A, true))
        .transpose()
        .map_err(placed)?;
    let wanted = asked
        .centre_distance_mm
        .map(|distance| pair_at_centre_distance(&system, teeth, distance))
        .transpose()
        .map_err(placed)?;
    let play = match (asked.profile_shifts, asked.centre_distance_mm) {
        (Some(shifts), Some(distance)) => {
            Some(backlash(&system, teeth, shifts, asked.thickness_allowances_mm, distance).map_err(placed)?)
        }
        _ => None,
    };
    let angle = wanted
        .map(|pair| pair.working_pressure_angle_rad)
        .or(made.map(|pair| pair.working_pressure_angle_rad))
        .map_or(asked.normal_pressure_angle_deg, f64::to_degrees);
    let overlap = asked.common_width_mm.map(|width| overlap_ratio(&system, width)).transpose()?;
    let change = asked
        .wanted_backlash_mm
        .map(|play| shift_for_backlash(&system, angle, play))
        .transpose()
        .map_err(placed)?;
    let estimate = match (made, asked.centre_distance_mm) {
        (Some(made), Some(distance)) => {
            backlash_of_small_opening_mm(distance - made.centre_distance_mm, angle).ok().map(|both| both.0)
        }
        _ => None,
    };
    let result = GearPairResult {
        ratio: f64::from(teeth[1]) / f64::from(teeth[0]),
        from_shifts: made.map(PairFromShifts::of),
        at_centre_distance: wanted.map(PairAtDistance::of),
        backlash: play.map(|play| PairBacklash::of(play, estimate)),
        overlap_ratio: overlap,
        shift_for_backlash: change,
    };
    let figures = figures_of(&system, &result);
    let hazards = [Hazard::Press, Hazard::ChangedGearing];
    Ok(CalculationSheet::new("gear-pair", asked.clone(), result, figures, &hazards))
}

/// The fields of the two gears stand in pairs in the request.
fn placed(error: BadInput) -> CalculationFault {
    let name = error.field();
    let pointer = match name {
        "tooth_count_1" => "/tooth_counts/0",
        "tooth_count_2" => "/tooth_counts/1",
        "profile_shift_1" => "/profile_shifts/0",
        "profile_shift_2" => "/profile_shifts/1",
        "thickness_allowance_1_mm" => "/thickness_allowances_mm/0",
        "thickness_allowance_2_mm" => "/thickness_allowances_mm/1",
        "circumferential_backlash_mm" => "/wanted_backlash_mm",
        // A pair whose tips fall below the base circles has shifts that make no gear.
        "tip_diameter_mm"
        | "base_diameter_mm"
        | "transverse_base_pitch_mm"
        | "working_pressure_angle_rad" => "/profile_shifts",
        "working_pressure_angle_deg" => "/centre_distance_mm",
        _ => return error.into(),
    };
    CalculationFault::of(&error, pointer)
}

impl PairFromShifts {
    fn of(pair: PairGeometry) -> Self {
        Self {
            centre_distance_mm: pair.centre_distance_mm,
            working_pressure_angle_deg: pair.working_pressure_angle_rad.to_degrees(),
            tip_shortening: pair.tip_shortening,
            tip_diameters_mm: pair.tip_diameters_mm,
            root_diameters_mm: pair.root_diameters_mm,
            working_diameters_mm: pair.working_diameters_mm,
            tip_clearances_mm: pair.tip_clearances_mm,
            contact_ratio: pair.contact_ratio,
        }
    }
}

impl PairAtDistance {
    fn of(pair: WorkingPair) -> Self {
        Self {
            reference_centre_distance_mm: pair.reference_centre_distance_mm,
            working_pressure_angle_deg: pair.working_pressure_angle_rad.to_degrees(),
            sum_of_shifts: pair.sum_of_shifts,
            working_diameters_mm: pair.working_diameters_mm,
        }
    }
}

impl PairBacklash {
    fn of(play: Backlash, estimate: Option<f64>) -> Self {
        Self {
            circumferential_mm: play.circumferential_mm,
            normal_mm: play.normal_mm,
            base_transverse_mm: play.base_transverse_mm,
            linear_estimate_mm: estimate,
        }
    }
}

fn figures_of(system: &ToothSystem, found: &GearPairResult) -> Vec<FigureValue> {
    let iso = |formula| (formula, "ISO 21771");
    let mut figures = vec![
        figure(("ratio", "i", "1"), found.ratio, iso("z_2/z_1")),
        figure(("normal base pitch", "p_bn", "mm"), system.normal_base_pitch_mm, iso("π·m_n·cos α_n")),
    ];
    if let Some(made) = &found.from_shifts {
        let rule = iso("m_t·(z_1 + z_2)/2·cos α_t/cos α_wt");
        figures.push(figure(("centre distance free of backlash", "a", "mm"), made.centre_distance_mm, rule));
        let rule = iso("[√(d_a1² − d_b1²)/2 + √(d_a2² − d_b2²)/2 − a·sin α_wt]/p_bt");
        figures.push(figure(("transverse contact ratio", "ε_α", "1"), made.contact_ratio, rule));
        figures.push(figure(("tip shortening", "k", "1"), made.tip_shortening, iso("Σx − y")));
    }
    if let Some(wanted) = &found.at_centre_distance {
        let rule = iso("cos α_wt = a_0·cos α_t/a");
        figures.push(figure(
            ("working pressure angle", "α_wt", "deg"),
            wanted.working_pressure_angle_deg,
            rule,
        ));
        let rule = iso("(z_1 + z_2)·(inv α_wt − inv α_t)/(2·tan α_n)");
        figures.push(figure(("sum of profile shifts", "Σx", "1"), wanted.sum_of_shifts, rule));
    }
    if let Some(play) = &found.backlash {
        let rule = iso("(d_b1 + d_b2)·(inv α_wt − inv α_wt,tight)/cos α_wt");
        figures.push(figure(("circumferential backlash", "j_wt", "mm"), play.circumferential_mm, rule));
        figures.push(figure(("normal backlash", "j_bn", "mm"), play.normal_mm, iso("j_bt·cos β_b")));
        let rule = ("2·Δa·tan α_wt", "linear estimate, for small openings");
        let estimate = play.linear_estimate_mm;
        figures.extend(estimate.map(|j| figure(("backlash by estimate", "j_wt,lin", "mm"), j, rule)));
    }
    figures.extend(
        found.overlap_ratio.map(|e| figure(("overlap ratio", "ε_β", "1"), e, iso("b·sin β/(π·m_n)"))),
    );
    let rule = ("−j_wt/(2·m_t·tan α_n)·cos α_wt/cos α_t", "own calculation from ISO 21771");
    let change = found.shift_for_backlash;
    figures.extend(change.map(|x| figure(("shift for the wanted backlash", "Δx", "1"), x, rule)));
    figures
}
