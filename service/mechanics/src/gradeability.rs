//! The steepest grade a laden vehicle holds in each gear.
//!
//! F_wheel = M·i_tot·η/r against F_roll = f·m·g·cos θ, F_grade = m·g·sin θ and F_air = ½·ρ·c_d·A·v². Tyre grip is not
//! considered.

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};

/// Standard acceleration of free fall, m/s².
pub const GRAVITY: f64 = 9.806_65;

const RADIUS: Bound = Bound { least: 0.05, most: 3.0, unit: "m" };
const ROLLING: Bound = Bound { least: 0.0, most: 0.5, unit: "1" };
const ROLLING_GROWTH: Bound = Bound { least: 0.0, most: 0.1, unit: "s/m" };
const DRAG_AREA: Bound = Bound { least: 0.0, most: 50.0, unit: "m2" };
const DENSITY: Bound = Bound { least: 0.3, most: 2.0, unit: "kg/m3" };
const SPEED: Bound = Bound { least: 0.0, most: 300.0, unit: "m/s" };
const SLIP: Bound = Bound { least: 0.0, most: 0.9, unit: "1" };
/// Grades beyond 100 % are told as 100 %.
const STEEPEST_RAD: f64 = std::f64::consts::FRAC_PI_4;

/// What resists and what drives, apart from engine and gears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct VehicleResistance {
    /// Mass with load.
    pub mass_kg: f64,
    /// Rolling resistance coefficient f at standstill.
    pub rolling_coefficient: f64,
    /// Growth of f with speed: f(v) = f·(1 + growth·v); nought where unknown.
    pub rolling_growth_s_per_m: f64,
    /// c_d·A.
    pub drag_area_m2: f64,
    /// Air density ρ.
    pub air_density_kg_m3: f64,
    /// Loaded radius of the driven wheels r.
    pub wheel_radius_m: f64,
    /// Efficiency of the driveline η.
    pub efficiency: f64,
    /// Slip of the driven wheels.
    pub slip: f64,
}

impl VehicleResistance {
    fn checked(&self) -> Result<Self, BadInput> {
        Ok(Self {
            mass_kg: bounds::MASS.check("mass_kg", self.mass_kg)?,
            rolling_coefficient: ROLLING.check("rolling_coefficient", self.rolling_coefficient)?,
            rolling_growth_s_per_m: ROLLING_GROWTH
                .check("rolling_growth_s_per_m", self.rolling_growth_s_per_m)?,
            drag_area_m2: DRAG_AREA.check("drag_area_m2", self.drag_area_m2)?,
            air_density_kg_m3: DENSITY.check("air_density_kg_m3", self.air_density_kg_m3)?,
            wheel_radius_m: RADIUS.check("wheel_radius_m", self.wheel_radius_m)?,
            efficiency: bounds::EFFICIENCY.check("efficiency", self.efficiency)?,
            slip: SLIP.check("slip", self.slip)?,
        })
    }

    fn rolling_at(&self, speed_m_s: f64) -> f64 {
        self.rolling_coefficient * (1.0 + self.rolling_growth_s_per_m * speed_m_s)
    }

    fn air_at(&self, speed_m_s: f64) -> f64 {
        0.5 * self.air_density_kg_m3 * self.drag_area_m2 * speed_m_s * speed_m_s
    }
}

/// The three resistances at a speed on a grade, in newtons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resistances {
    /// Air.
    pub air_n: f64,
    /// Rolling.
    pub rolling_n: f64,
    /// Grade.
    pub grade_n: f64,
    /// All three.
    pub total_n: f64,
}

/// Resistances at a speed on a grade with the small-angle form of textbooks: F_grade = m·g·G, F_roll = f·m·g.
///
/// # Errors
/// A figure out of range.
pub fn resistances_small_angle(
    vehicle: &VehicleResistance,
    speed_m_s: f64,
    grade: f64,
) -> Result<Resistances, BadInput> {
    let vehicle = vehicle.checked()?;
    let speed = SPEED.check("speed_m_s", speed_m_s)?;
    let grade = Bound { least: -1.0, most: 1.0, unit: "1" }.check("grade", grade)?;
    let weight = vehicle.mass_kg * GRAVITY;
    let (air, rolling) = (vehicle.air_at(speed), vehicle.rolling_at(speed) * weight);
    Ok(Resistances {
        air_n: air,
        rolling_n: rolling,
        grade_n: weight * grade,
        total_n: air + rolling + weight * grade,
    })
}

/// Pull at the wheels and what is left of it for climbing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pull {
    /// Engine speed.
    pub engine_speed_per_min: f64,
    /// Road speed.
    pub speed_m_s: f64,
    /// F_wheel.
    pub wheel_force_n: f64,
    /// F_air.
    pub air_n: f64,
    /// F_roll on the level.
    pub rolling_n: f64,
    /// Steepest grade held, tan θ; negative where the vehicle loses speed on the level.
    pub grade: f64,
    /// (F − F_air − F_roll)/(m·g): the small-angle form, good below about 10 %.
    pub grade_small_angle: f64,
}

/// The grade held at one engine speed and torque.
///
/// # Errors
/// A figure out of range.
pub fn pull_at(
    vehicle: &VehicleResistance,
    total_ratio: f64,
    engine_speed_per_min: f64,
    torque_nm: f64,
) -> Result<Pull, BadInput> {
    let vehicle = vehicle.checked()?;
    let ratio = bounds::RATIO.check("total_ratio", total_ratio)?;
    let engine = bounds::SHAFT_SPEED.check("engine_speed_per_min", engine_speed_per_min)?;
    let torque = bounds::TORQUE.check("torque_nm", torque_nm)?;
    let turns_per_s = engine / 60.0 / ratio;
    let speed = 2.0 * std::f64::consts::PI * vehicle.wheel_radius_m * turns_per_s * (1.0 - vehicle.slip);
    let speed = SPEED.check("engine_speed_per_min", speed)?;
    let force = torque * ratio * vehicle.efficiency / vehicle.wheel_radius_m;
    let weight = vehicle.mass_kg * GRAVITY;
    let (air, rolling) = (vehicle.air_at(speed), vehicle.rolling_at(speed));
    let share = (force - air) / weight;
    Ok(Pull {
        engine_speed_per_min: engine,
        speed_m_s: speed,
        wheel_force_n: force,
        air_n: air,
        rolling_n: rolling * weight,
        grade: angle_held(share, rolling).tan(),
        grade_small_angle: share - rolling,
    })
}

/// Solves sin θ + f·cos θ = share by bisection; the left side rises with θ over the range taken.
fn angle_held(share: f64, rolling: f64) -> f64 {
    let climb = |angle: f64| angle.sin() + rolling.min(0.9) * angle.cos();
    let (mut low, mut high) = (-STEEPEST_RAD, STEEPEST_RAD);
    if share >= climb(high) {
        return high;
    }
    if share <= climb(low) {
        return low;
    }
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if climb(middle) < share {
            low = middle;
        } else {
            high = middle;
        }
    }
    (low + high) / 2.0
}

/// Full-load torque over engine speed, straight between its points.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueCurve {
    points: Vec<(f64, f64)>,
}

impl TorqueCurve {
    /// From points (1/min, N·m) of rising engine speed.
    ///
    /// # Errors
    /// Fewer than two points, more than a thousand, speeds that do not rise, or a figure out of range.
    pub fn new(points: Vec<(f64, f64)>) -> Result<Self, BadInput> {
        if points.len() < 2 || points.len() > 1000 {
            return Err(BadInput::Contradiction {
                field: "torque_curve",
                problem: "needs from two to a thousand points",
            });
        }
        for (speed, torque) in &points {
            bounds::SHAFT_SPEED.check("torque_curve.engine_speed_per_min", *speed)?;
            bounds::TORQUE.check("torque_curve.torque_nm", *torque)?;
        }
        if points.windows(2).any(|pair| pair[0].0 >= pair[1].0) {
            return Err(BadInput::Contradiction {
                field: "torque_curve.engine_speed_per_min",
                problem: "engine speeds must rise from point to point",
            });
        }
        Ok(Self { points })
    }

    /// Torque at an engine speed; none outside the curve.
    pub fn torque_at(&self, engine_speed_per_min: f64) -> Option<f64> {
        self.points.windows(2).find_map(|pair| {
            let ((n1, m1), (n2, m2)) = (pair[0], pair[1]);
            (n1..=n2)
                .contains(&engine_speed_per_min)
                .then(|| m1 + (m2 - m1) * (engine_speed_per_min - n1) / (n2 - n1))
        })
    }

    /// The points.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }
}

/// The best pull of a gear over the whole curve.
///
/// # Errors
/// A figure out of range.
pub fn steepest_grade(
    vehicle: &VehicleResistance,
    total_ratio: f64,
    curve: &TorqueCurve,
) -> Result<Pull, BadInput> {
    /// Parts a straight piece of the curve is looked at in.
    const PARTS: u32 = 32;
    let mut best: Option<Pull> = None;
    for pair in curve.points.windows(2) {
        for part in 0..=PARTS {
            let share = f64::from(part) / f64::from(PARTS);
            let engine = pair[0].0 + (pair[1].0 - pair[0].0) * share;
            let torque = pair[0].1 + (pair[1].1 - pair[0].1) * share;
            let pull = pull_at(vehicle, total_ratio, engine, torque)?;
            if best.is_none_or(|known| pull.grade > known.grade) {
                best = Some(pull);
            }
        }
    }
    best.ok_or(BadInput::Contradiction { field: "torque_curve", problem: "needs at least two points" })
}

/// A longer top gear against the load and grade it should hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TopGearCheck {
    /// Best pull before the change.
    pub before: Pull,
    /// Best pull after.
    pub after: Pull,
    /// Whether the new gear holds the stated grade.
    pub holds: bool,
}

/// Whether a changed top gear still holds a stated grade with the stated mass.
///
/// # Errors
/// A figure out of range.
pub fn check_top_gear(
    vehicle: &VehicleResistance,
    curve: &TorqueCurve,
    old_total_ratio: f64,
    new_total_ratio: f64,
    wanted_grade: f64,
) -> Result<TopGearCheck, BadInput> {
    let wanted = Bound { least: -0.9, most: 1.0, unit: "1" }.check("wanted_grade", wanted_grade)?;
    let before = steepest_grade(vehicle, old_total_ratio, curve)?;
    let after = steepest_grade(vehicle, new_total_ratio, curve)?;
    Ok(TopGearCheck { before, after, holds: after.grade >= wanted })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const TRUCK: VehicleResistance = VehicleResistance {
        mass_kg: 7500.0,
        rolling_coefficient: 0.012,
        rolling_growth_s_per_m: 0.0,
        drag_area_m2: 4.0,
        air_density_kg_m3: 1.2,
        wheel_radius_m: 0.4,
        efficiency: 0.9,
        slip: 0.0,
    };

    fn curve() -> TorqueCurve {
        TorqueCurve::new(vec![(1000.0, 380.0), (1600.0, 420.0), (2800.0, 330.0)]).unwrap()
    }

    #[test]
    fn a_longer_top_gear_holds_less() {
        let check = check_top_gear(&TRUCK, &curve(), 4.0, 3.4, 0.02).unwrap();
        assert!(check.after.grade < check.before.grade);
        let lost = check_top_gear(&TRUCK, &curve(), 4.0, 3.4, check.before.grade).unwrap();
        assert!(!lost.holds);
    }

    #[test]
    fn the_curve_is_straight_between_points_and_ends() {
        assert_eq!(curve().torque_at(1300.0), Some(400.0));
        assert_eq!(curve().torque_at(900.0), None);
        assert!(TorqueCurve::new(vec![(1000.0, 1.0)]).is_err());
        assert!(TorqueCurve::new(vec![(1000.0, 1.0), (1000.0, 2.0)]).is_err());
    }

    proptest! {
        #[test]
        fn the_angle_solves_the_balance(ratio in 2.0_f64..60.0, torque in 0.0_f64..600.0, speed in 600.0_f64..3000.0) {
            let pull = pull_at(&TRUCK, ratio, speed, torque).unwrap();
            let angle = pull.grade.atan();
            let need = TRUCK.mass_kg * GRAVITY * (angle.sin() + 0.012 * angle.cos()) + pull.air_n;
            if pull.grade < 0.999 {
                prop_assert!((need - pull.wheel_force_n).abs() < 1e-6 * TRUCK.mass_kg * GRAVITY);
            }
            prop_assert!(pull.grade.is_finite());
        }
    }
}
