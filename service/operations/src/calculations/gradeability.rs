//! The steepest grade a laden vehicle holds in each gear, and whether a changed gear still holds a stated one.

use catalogue::Hazard;
use mechanics::gear_train::overall_ratio;
use mechanics::gradeability::{Pull, TorqueCurve, VehicleResistance, steepest_grade};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, entry, field};
use crate::calculations::road_speed::{GearRatioAsked, circumference, one};
use crate::calculations::sheet::{figure, shown};

/// Most gears at once.
const GEARS_MOST: usize = 24;
/// Most points of a torque curve.
const POINTS_MOST: usize = 200;

/// A laden vehicle, its engine and its gears.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GradeabilityAsked {
    /// The gears, in order.
    pub gears: Vec<GearRatioAsked>,
    /// Ratio of the drop box.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub transfer_ratio: f64,
    /// Ratio of the axle.
    pub final_drive_ratio: f64,
    /// Full-load torque over engine speed, in order of speed.
    pub torque_curve: Vec<TorquePoint>,
    /// Mass with load.
    pub mass_kg: f64,
    /// Rolling resistance coefficient.
    pub rolling_coefficient: f64,
    /// Growth of the rolling resistance with speed.
    #[serde(default)]
    pub rolling_growth_s_per_m: f64,
    /// Drag coefficient times frontal area.
    pub drag_area_m2: f64,
    /// Density of the air.
    #[serde(default = "usual_air")]
    #[schema(default = 1.2)]
    pub air_density_kg_m3: f64,
    /// Tyre designation, such as 265/70R16.
    pub tyre: Option<String>,
    /// Rolling circumference instead of the tyre.
    pub rolling_circumference_m: Option<f64>,
    /// Efficiency of the driveline.
    #[serde(default = "usual_efficiency")]
    #[schema(default = 0.9)]
    pub efficiency: f64,
    /// Slip of the driven wheels.
    #[serde(default)]
    pub slip: f64,
    /// The grade that the vehicle should hold, in per cent; left out: none is asked for.
    pub stated_grade_percent: Option<f64>,
}

fn usual_air() -> f64 {
    1.2
}
fn usual_efficiency() -> f64 {
    0.9
}

/// One point of the torque curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct TorquePoint {
    /// Engine speed in 1/min.
    pub engine_speed_per_min: f64,
    /// Torque in N·m.
    pub torque_nm: f64,
}

/// What the gears hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GradeabilityResult {
    /// The gears, in order.
    pub gears: Vec<GearPull>,
    /// Gears that held the stated grade before the change and do not hold it after, each in words.
    pub pull_lost: Vec<String>,
}

/// What one gear holds.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearPull {
    /// Its name.
    pub name: String,
    /// Its best pull.
    pub before: BestPull,
    /// Its best pull after the change.
    pub after: Option<BestPull>,
    /// Whether it holds the stated grade, after the change if there is one.
    pub holds: Option<bool>,
}

/// The best pull of a gear over the torque curve.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct BestPull {
    /// Overall ratio.
    pub total_ratio: f64,
    /// Steepest grade held, in per cent; negative where the vehicle loses speed on the level; 100 at most.
    pub grade_percent: f64,
    /// Road speed there.
    pub road_speed_kmh: f64,
    /// Engine speed there, in 1/min.
    pub engine_speed_per_min: f64,
    /// Force at the wheels, in N.
    pub wheel_force_n: f64,
}

impl BestPull {
    fn of(total_ratio: f64, pull: &Pull) -> Self {
        Self {
            total_ratio,
            grade_percent: pull.grade * 100.0,
            road_speed_kmh: pull.speed_m_s * 3.6,
            engine_speed_per_min: pull.engine_speed_per_min,
            wheel_force_n: pull.wheel_force_n,
        }
    }
}

/// Answer to [`GradeabilityAsked`].
pub type GradeabilitySheet = CalculationSheet<GradeabilityAsked, GradeabilityResult>;

/// Calculates what each gear holds.
pub fn calculate_gradeability(asked: &GradeabilityAsked) -> Result<GradeabilitySheet, CalculationFault> {
    if asked.gears.is_empty() || asked.gears.len() > GEARS_MOST {
        let detail = format!("{} gears are named; name from 1 to {GEARS_MOST}", asked.gears.len());
        return Err(CalculationFault::at("/gears", "out_of_range", detail));
    }
    if let Some(grade) = asked.stated_grade_percent.filter(|grade| !(0.0..=100.0).contains(grade)) {
        let detail = format!("stated_grade_percent is {grade} %; it must lie from 0 to 100 %");
        return Err(CalculationFault::at("/stated_grade_percent", "out_of_range", detail));
    }
    let curve = torque_curve(asked)?;
    let around = circumference(asked.tyre.as_deref(), asked.rolling_circumference_m)?;
    let vehicle = resistance(asked, around);
    let mut result = GradeabilityResult { gears: Vec::new(), pull_lost: Vec::new() };
    let mut figures = Vec::new();
    for (at, gear) in asked.gears.iter().enumerate() {
        let pull = |ratio: f64, name: &str| -> Result<BestPull, CalculationFault> {
            let total =
                overall_ratio(ratio, asked.transfer_ratio, asked.final_drive_ratio).map_err(|error| {
                    if error.field() == "gear_ratio" {
                        field(&format!("/gears/{at}/{name}"))(error)
                    } else {
                        error.into()
                    }
                })?;
            let best = steepest_grade(&vehicle, total, &curve).map_err(|error| match error.field() {
                "wheel_radius_m" => field("/rolling_circumference_m")(error),
                "engine_speed_per_min" => field("/torque_curve")(error),
                "total_ratio" => field(&format!("/gears/{at}/{name}"))(error),
                _ => error.into(),
            })?;
            Ok(BestPull::of(total, &best))
        };
        let before = pull(gear.ratio, "ratio")?;
        let after = gear.ratio_after.map(|ratio| pull(ratio, "ratio_after")).transpose()?;
        let rule = ("sin θ + f·cos θ = (F_wheel − F_air)/(m·g)", "own calculation");
        figures.push(figure(
            (&format!("steepest grade in {}", gear.name), "tan θ", "%"),
            before.grade_percent,
            rule,
        ));
        if let Some(after) = &after {
            let name = format!("steepest grade in {} after", gear.name);
            figures.push(figure((&name, "tan θ'", "%"), after.grade_percent, rule));
        }
        let holds =
            asked.stated_grade_percent.map(|grade| after.as_ref().unwrap_or(&before).grade_percent >= grade);
        if let (Some(after), Some(grade)) = (&after, asked.stated_grade_percent)
            && before.grade_percent >= grade
            && after.grade_percent < grade
        {
            result.pull_lost.push(format!(
                "{} held {} % with {} kg and will hold {} % after the change: less than the stated {} %",
                gear.name,
                shown(before.grade_percent),
                shown(asked.mass_kg),
                shown(after.grade_percent),
                shown(grade)
            ));
        }
        result.gears.push(GearPull { name: gear.name.clone(), before, after, holds });
    }
    let hazards = [Hazard::ChangedGearing, Hazard::Brakes];
    Ok(CalculationSheet::new("gradeability", asked.clone(), result, figures, &hazards))
}

fn torque_curve(asked: &GradeabilityAsked) -> Result<TorqueCurve, CalculationFault> {
    if asked.torque_curve.len() > POINTS_MOST {
        let detail =
            format!("the curve has {} points; at most {POINTS_MOST} are taken", asked.torque_curve.len());
        return Err(CalculationFault::at("/torque_curve", "out_of_range", detail));
    }
    let points =
        asked.torque_curve.iter().map(|point| (point.engine_speed_per_min, point.torque_nm)).collect();
    TorqueCurve::new(points).map_err(|error| {
        let (name, values): (&str, Vec<f64>) = match error.field() {
            "torque_curve.torque_nm" => {
                ("torque_nm", asked.torque_curve.iter().map(|p| p.torque_nm).collect())
            }
            _ => {
                ("engine_speed_per_min", asked.torque_curve.iter().map(|p| p.engine_speed_per_min).collect())
            }
        };
        let mut fault = entry("/torque_curve", values)(error);
        if let Some(first) = fault.fields.first_mut().filter(|first| first.pointer != "/torque_curve") {
            first.pointer = format!("{}/{name}", first.pointer);
        }
        fault
    })
}

fn resistance(asked: &GradeabilityAsked, around: f64) -> VehicleResistance {
    VehicleResistance {
        mass_kg: asked.mass_kg,
        rolling_coefficient: asked.rolling_coefficient,
        rolling_growth_s_per_m: asked.rolling_growth_s_per_m,
        drag_area_m2: asked.drag_area_m2,
        air_density_kg_m3: asked.air_density_kg_m3,
        wheel_radius_m: around / (2.0 * std::f64::consts::PI),
        efficiency: asked.efficiency,
        slip: asked.slip,
    }
}
