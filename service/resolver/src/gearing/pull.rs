//! Whether the laden vehicle still climbs in its top gear.

use mechanics::gear_train::overall_ratio;
use mechanics::gradeability::{TorqueCurve, VehicleResistance, steepest_grade};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::context::Context;
use crate::gearing::SpeedChange;
use crate::gearing::road::{RoadBasis, vehicle};

/// The setting that holds the grade in per cent that a laden vehicle should hold in its top gear.
pub const GRADE_SETTING: &str = "TOP-GEAR-GRADE-PERCENT";

/// Density of air in kg/m³ at some 300 m above the sea, and efficiency of a driveline (common practice, no source).
const AIR_KG_M3: f64 = 1.2;
const EFFICIENCY: f64 = 0.9;

/// The steepest grade that the laden vehicle holds in the top gear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TopGearPull {
    /// The speed.
    pub name: String,
    /// Mass with load.
    pub laden_mass_kg: f64,
    /// Steepest grade before; negative where the vehicle loses speed on the level.
    pub grade_before_percent: f64,
    /// Steepest grade after.
    pub grade_after_percent: f64,
    /// The grade that it should hold, where the shop's settings state one.
    pub stated_grade_percent: Option<f64>,
    /// Whether it holds that grade after the change.
    pub holds: Option<bool>,
    /// What to tell the driver, where the change takes the pull for the stated grade away.
    pub danger: Option<String>,
}

/// The pull in the last of the forward speeds.
pub(super) fn top_gear_pull(
    context: &Context<'_>,
    road: &RoadBasis,
    speeds: &[SpeedChange],
) -> Option<TopGearPull> {
    let vehicle = vehicle(context)?;
    let top = speeds.iter().rfind(|speed| !speed.reverse)?;
    let points = context.graph.snapshot.engine_points.iter().filter(|point| point.vehicle == vehicle.vehicle);
    // Engine speeds are far below what a float holds exactly.
    let mut points: Vec<(f64, f64)> = points.map(|point| (point.speed_rpm as f64, point.torque_nm)).collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let curve = TorqueCurve::new(points).ok()?;
    let mass = vehicle.laden_mass_kg?;
    let resistance = VehicleResistance {
        mass_kg: mass,
        rolling_coefficient: vehicle.rolling_resistance?,
        rolling_growth_s_per_m: 0.0,
        drag_area_m2: vehicle.drag_area_m2?,
        air_density_kg_m3: AIR_KG_M3,
        wheel_radius_m: road.rolling_circumference_m / (2.0 * std::f64::consts::PI),
        efficiency: EFFICIENCY,
        slip: 0.0,
    };
    let grade = |ratio: f64| {
        let total = overall_ratio(ratio, road.transfer_ratio, road.axle_ratio).ok()?;
        steepest_grade(&resistance, total, &curve).ok().map(|pull| pull.grade * 100.0)
    };
    let (before, after) = (grade(top.ratio_before)?, grade(top.ratio_after)?);
    let setting = context.input.prices.settings.iter().find(|row| row.setting.as_str() == GRADE_SETTING);
    let stated =
        setting.and_then(|row| row.value.trim().parse::<f64>().ok()).filter(|grade| grade.is_finite());
    let danger = stated.filter(|stated| before >= *stated && after < *stated).map(|stated| {
        format!(
            "In {} the truck held {before:.1} % with {mass:.0} kg and will hold {after:.1} % after the change: less than the \
             stated {stated} %. Tell the driver, and test climbing and brakes before it carries its load.",
            top.name
        )
    });
    Some(TopGearPull {
        name: top.name.clone(),
        laden_mass_kg: mass,
        grade_before_percent: before,
        grade_after_percent: after,
        stated_grade_percent: stated,
        holds: stated.map(|stated| after >= stated),
        danger,
    })
}
