//! What torque a spline carries, and a new part's capacity against the old one's.

use catalogue::Hazard;
use mechanics::spline_capacity::{
    CarryingSpline, capacity_ratio, length_for_torque_mm, pressure_under_torque, shift_force_n,
    torque_at_pressure_nm,
};
use mechanics::spline_involute::parse_din_5480;
use mechanics::spline_straight::parse_straight_spline;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, within};
use crate::calculations::sheet::figure;

/// A spline, perhaps with the one it replaces.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplineCapacityAsked {
    /// The spline.
    pub new: CarryingSplineAsked,
    /// The one it replaces.
    pub old: Option<CarryingSplineAsked>,
    /// Torque through it.
    pub torque_nm: Option<f64>,
    /// Flank pressure that it may bear, in N/mm².
    pub flank_pressure_n_mm2: Option<f64>,
    /// Coefficient of friction, for the force that shifts a hub under torque.
    pub friction: Option<f64>,
}

/// What carries. A designation `6x26x30` or `DIN 5480 - W 30 x 2 x 14` fills teeth, height and radius where they are left out.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct CarryingSplineAsked {
    /// Designation of straight sides or of DIN 5480.
    pub designation: Option<String>,
    /// Teeth that really carry: all, or those of the groups.
    pub carrying_teeth: Option<u32>,
    /// Bearing height of a flank.
    pub flank_height_mm: Option<f64>,
    /// Engaged length.
    pub engaged_length_mm: f64,
    /// Mean radius of the flanks.
    pub mean_radius_mm: Option<f64>,
    /// Share of the teeth that bears by workmanship; 1 for all alike, 0.75 often quoted.
    #[serde(default = "all_alike")]
    #[schema(default = 1.0)]
    pub load_share: f64,
}

fn all_alike() -> f64 {
    1.0
}

/// What the spline carries.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SplineCapacityResult {
    /// Torque that makes one N/mm² of flank pressure.
    pub torque_per_pressure_nm: f64,
    /// Capacity over the old spline's at the same flank pressure.
    pub capacity_ratio: Option<f64>,
    /// Flank pressure under the torque, in N/mm².
    pub flank_pressure_n_mm2: Option<f64>,
    /// Torque at the flank pressure.
    pub torque_nm: Option<f64>,
    /// Length needed for the torque at the flank pressure.
    pub length_needed_mm: Option<f64>,
    /// Force that shifts the hub under the torque, in N.
    pub shift_force_n: Option<f64>,
}

/// Answer to [`SplineCapacityAsked`].
pub type SplineCapacitySheet = CalculationSheet<SplineCapacityAsked, SplineCapacityResult>;

/// Calculates what a spline carries.
pub fn calculate_spline_capacity(
    asked: &SplineCapacityAsked,
) -> Result<SplineCapacitySheet, CalculationFault> {
    let new = carrying(&asked.new, "/new")?;
    let per_pressure = torque_at_pressure_nm(&new, 1.0).map_err(within("/new"))?;
    let rule = |formula| (formula, "general mechanics");
    let mut figures = vec![figure(
        ("torque at 1 N/mm² of flank pressure", "T_1", "N.m"),
        per_pressure,
        rule("k·n·h·L·r_m"),
    )];
    let ratio = match &asked.old {
        Some(old) => {
            let old = carrying(old, "/old")?;
            torque_at_pressure_nm(&old, 1.0).map_err(within("/old"))?;
            Some(capacity_ratio(&new, &old)?)
        }
        None => None,
    };
    if let Some(ratio) = ratio {
        figures.push(figure(("capacity over the old spline's", "T/T_old", "1"), ratio, rule("T_1/T_1,old")));
    }
    let pressure = asked.torque_nm.map(|torque| pressure_under_torque(&new, torque)).transpose()?;
    let torque = asked.flank_pressure_n_mm2.map(|p| torque_at_pressure_nm(&new, p)).transpose()?;
    let length = match (asked.torque_nm, asked.flank_pressure_n_mm2) {
        (Some(torque), Some(pressure)) => Some(length_for_torque_mm(&new, torque, pressure)?),
        _ => None,
    };
    let force = match (asked.torque_nm, asked.friction) {
        (Some(torque), Some(friction)) => Some(shift_force_n(torque, friction, new.mean_radius_mm)?),
        _ => None,
    };
    for (head, value, formula) in [
        (("flank pressure under the torque", "p", "N/mm2"), pressure, "T/(k·n·h·L·r_m)"),
        (("torque at the flank pressure", "T", "N.m"), torque, "p·k·n·h·L·r_m"),
        (("length needed", "L", "mm"), length, "T/(p·k·n·h·r_m)"),
        (("force to shift under torque", "F", "N"), force, "μ·T/r_m"),
    ] {
        figures.extend(value.map(|value| figure(head, value, rule(formula))));
    }
    let result = SplineCapacityResult {
        torque_per_pressure_nm: per_pressure,
        capacity_ratio: ratio,
        flank_pressure_n_mm2: pressure,
        torque_nm: torque,
        length_needed_mm: length,
        shift_force_n: force,
    };
    Ok(CalculationSheet::new("spline-capacity", asked.clone(), result, figures, &[Hazard::Press]))
}

fn carrying(asked: &CarryingSplineAsked, object: &str) -> Result<CarryingSpline, CalculationFault> {
    let told = asked.designation.as_deref().map(|text| of_designation(text, object)).transpose()?;
    let needed = |field: &str| {
        let detail = format!("{field} is needed, or a designation that tells it");
        CalculationFault::at(format!("{object}/{field}"), "contradiction", detail)
    };
    Ok(CarryingSpline {
        carrying_teeth: asked
            .carrying_teeth
            .or(told.map(|told| told.0))
            .ok_or_else(|| needed("carrying_teeth"))?,
        flank_height_mm: asked
            .flank_height_mm
            .or(told.map(|told| told.1))
            .ok_or_else(|| needed("flank_height_mm"))?,
        engaged_length_mm: asked.engaged_length_mm,
        mean_radius_mm: asked
            .mean_radius_mm
            .or(told.map(|told| told.2))
            .ok_or_else(|| needed("mean_radius_mm"))?,
        load_share: asked.load_share,
    })
}

/// Teeth, flank height and mean radius that a designation tells.
fn of_designation(text: &str, object: &str) -> Result<(u32, f64, f64), CalculationFault> {
    let wrong = |error| CalculationFault::of(&error, format!("{object}/designation"));
    let upper = text.trim().to_uppercase();
    if upper.contains("5480") || upper.starts_with(['W', 'N']) {
        let read = parse_din_5480(text).map_err(wrong)?;
        let reference = read.reference_diameter_mm.unwrap_or(read.module_mm * f64::from(read.tooth_count));
        let geometry =
            mechanics::spline_involute::din_5480_geometry(reference, read.module_mm, read.tooth_count)
                .map_err(wrong)?;
        let (outer, inner) = (geometry.shaft_tip_mm, geometry.hub_tip_mm);
        return Ok((read.tooth_count, (outer - inner) / 2.0, (outer + inner) / 4.0));
    }
    let read = parse_straight_spline(text).map_err(wrong)?;
    Ok((read.tooth_count, read.flank_height_mm(), read.mean_radius_mm()))
}
