//! Trains, tyres, road speed and grades of the published values, converted from the units of their sources.

use mechanics::gear_train::{Chain, train_ratio};
use mechanics::gradeability::{GRAVITY, VehicleResistance, pull_at, resistances_small_angle};
use mechanics::road_speed::{engine_speed, ratio_change};
use mechanics::tyre::parse_tyre;
use serde_json::json;

use crate::entry::{Entry, Given};

const MILE_KM: f64 = 1.609_344;
const INCH_M: f64 = 0.0254;
const FOOT_M: f64 = 0.3048;
const POUND_KG: f64 = 0.453_592_37;
const POUND_FORCE_N: f64 = POUND_KG * GRAVITY;
/// One slug is one pound-force over one foot a second squared.
const SLUG_KG: f64 = POUND_FORCE_N / FOOT_M;

pub(crate) fn gearbox(e: &Entry) -> Given {
    let (driving, driven) = (e.nums("driving"), e.nums("driven"));
    let chains: Vec<Chain> =
        driving.iter().zip(&driven).map(|(a, b)| Chain::pair(*a as u32, *b as u32)).collect();
    let sum = |i: usize| json!(driving[i] as u32 + driven[i] as u32);
    vec![("ratio", json!(train_ratio(&chains).unwrap().ratio)), ("sum_pair1", sum(0)), ("sum_pair2", sum(1))]
}

pub(crate) fn tyre(e: &Entry) -> Given {
    let size = parse_tyre(e.text("designation")).unwrap();
    vec![
        ("section_width", json!(size.section_width_mm)),
        ("section_height", json!(size.section_height_mm)),
        ("rim_diameter", json!(size.rim_diameter_mm)),
        ("overall_diameter", json!(size.overall_diameter_mm)),
        ("geometric_circumference", json!(size.geometric_circumference_mm)),
        ("revs_per_km", json!(1e6 / size.geometric_circumference_mm)),
    ]
}

pub(crate) fn speed(e: &Entry) -> Given {
    let ratio = if e.has("i_total") { e.num("i_total") } else { e.num("i_gear") * e.num("i_final") };
    let around = std::f64::consts::PI * e.num("tyre_diameter") * INCH_M;
    vec![("n", json!(engine_speed(e.num("v") * MILE_KM, ratio, around, 0.0).unwrap()))]
}

pub(crate) fn change(e: &Entry) -> Given {
    let around = 2.0 * std::f64::consts::PI * e.num("tyre_radius") * INCH_M;
    let before = engine_speed(e.num("v") * MILE_KM, e.num("i_old") * e.num("i_final"), around, 0.0).unwrap();
    let got = ratio_change(before, e.num("i_old"), e.num("i_new")).unwrap();
    vec![
        ("n_old", json!(got.engine_speed_before)),
        ("n_new", json!(got.engine_speed_after)),
        ("drop_rpm", json!(got.drop)),
        ("drop", json!(got.drop_percent)),
    ]
}

/// The sources' rolling resistance: 0.01·(1 + v/147) with v in ft/s.
fn vehicle(e: &Entry) -> VehicleResistance {
    VehicleResistance {
        mass_kg: e.num("W") * POUND_KG,
        rolling_coefficient: 0.01,
        rolling_growth_s_per_m: 1.0 / (147.0 * FOOT_M),
        drag_area_m2: e.num("C_D") * e.num("A_f") * FOOT_M * FOOT_M,
        air_density_kg_m3: e.num("rho") * SLUG_KG / FOOT_M.powi(3),
        wheel_radius_m: if e.has("r_wheel") { e.num("r_wheel") * INCH_M } else { 0.35 },
        efficiency: if e.has("efficiency") { e.num("efficiency") } else { 1.0 },
        slip: if e.has("slip") { e.num("slip") } else { 0.0 },
    }
}

pub(crate) fn tractive(e: &Entry) -> Given {
    let speed = e.num("v") * MILE_KM / 3.6;
    let got = resistances_small_angle(&vehicle(e), speed, e.num("G")).unwrap();
    vec![
        ("R_a", json!(got.air_n / POUND_FORCE_N)),
        ("R_rl", json!(got.rolling_n / POUND_FORCE_N)),
        ("R_g", json!(got.grade_n / POUND_FORCE_N)),
        ("F", json!(got.total_n / POUND_FORCE_N)),
    ]
}

pub(crate) fn gradeability(e: &Entry) -> Given {
    let torque = e.num("torque") * POUND_FORCE_N * FOOT_M;
    let got = pull_at(&vehicle(e), e.num("i_total"), e.num("n"), torque).unwrap();
    vec![
        ("v", json!(got.speed_m_s / FOOT_M)),
        ("F_e", json!(got.wheel_force_n / POUND_FORCE_N)),
        ("R_a", json!(got.air_n / POUND_FORCE_N)),
        ("R_rl", json!(got.rolling_n / POUND_FORCE_N)),
        ("G", json!(got.grade_small_angle)),
    ]
}
