//! Splines, bearings, fits, seals, threads, heat, settings and wear of the published values.

use mechanics::bearing_designation::parse_bearing;
use mechanics::bearing_life::{
    RollingElement, equivalent_load, rating_life_h, rating_life_mrev, required_rating, tapered_factors,
};
use mechanics::bearing_tolerance::fit_in_housing;
use mechanics::iso_286::{fit_from_text, limits, parse_sized_class};
use mechanics::pinion_depth::{EtchedSense, pinion_depth};
use mechanics::preload::{ShimPlace, shim_for_preload};
use mechanics::shaft_seal::{SealCase, parse_seal, seal_press_fit};
use mechanics::shrink_fit::{growth_mm, temperature_difference_k};
use mechanics::spline_capacity::{
    CarryingSpline, DudleyInput, dudley_stress, pressure_under_torque, torque_at_pressure_nm,
};
use mechanics::spline_din_5480_tolerance::din_5480_tolerance;
use mechanics::spline_involute::{
    Din5480Making, RootForm, ansi_b92_geometry, din_5480_geometry, iso_4156_geometry, parse_din_5480,
};
use mechanics::thread::{coarse_pitch_mm, parse_thread, screw_limits_6g, thread_geometry};
use mechanics::wear::{WEAR_FINDINGS, WearLimits, wear_reading};
use serde_json::json;

use crate::entry::{Entry, Given};

pub(crate) fn bearing(e: &Entry) -> Given {
    let got = parse_bearing(e.text("designation")).unwrap();
    let size = got.dimensions;
    let mut given = vec![
        ("type", json!(got.bearing_type.code())),
        ("d", json!(size.bore_mm)),
        ("D", json!(size.outside_mm)),
        ("B", json!(size.width_mm)),
    ];
    if let (Some(t), Some(c)) = (size.assembled_width_mm, size.cup_width_mm) {
        given.extend([("T", json!(t)), ("C", json!(c))]);
    }
    given
}

fn element(e: &Entry) -> RollingElement {
    if e.text("type") == "ball" { RollingElement::Ball } else { RollingElement::Roller }
}

pub(crate) fn life(e: &Entry) -> Given {
    let mut given = vec![("L10", json!(rating_life_mrev(e.num("C"), e.num("P"), element(e)).unwrap()))];
    if e.has("n") {
        let hours = rating_life_h(e.num("C"), e.num("P"), element(e), e.num("n")).unwrap();
        given.push(("L10h", json!(hours)));
    }
    given
}

pub(crate) fn rating(e: &Entry) -> Given {
    let c = required_rating(e.num("P"), element(e), e.num("n"), e.num("L10h")).unwrap();
    let l10 = rating_life_mrev(c, e.num("P"), element(e)).unwrap();
    vec![("L10", json!(l10)), ("C", json!(c))]
}

pub(crate) fn load(e: &Entry) -> Given {
    if e.has("e") {
        let got = tapered_factors(e.num("e")).unwrap();
        return vec![
            ("Y", json!(got.axial_factor)),
            ("Y0", json!(got.static_axial_factor)),
            ("Y_published", json!(got.axial_factor)),
        ];
    }
    let p = equivalent_load(e.num("F_r"), e.num("F_a"), e.num("X"), e.num("Y"), e.num("V")).unwrap();
    vec![("P", json!(p)), ("Fa_over_VFr", json!(e.num("F_a") / (e.num("V") * e.num("F_r"))))]
}

pub(crate) fn iso_286(e: &Entry) -> Given {
    let (size, class) = parse_sized_class(e.text("designation")).unwrap();
    assert_eq!(class.hole, e.text("feature") == "hole");
    let got = limits(size, class).unwrap();
    if class.hole {
        vec![("ES", json!(got.upper_um)), ("EI", json!(got.lower_um))]
    } else {
        vec![("es", json!(got.upper_um)), ("ei", json!(got.lower_um))]
    }
}

pub(crate) fn fit_pair(e: &Entry) -> Given {
    let got = fit_from_text(e.text("fit")).unwrap();
    vec![
        ("clearance_min", json!(got.clearance_min_um)),
        ("clearance_max", json!(got.clearance_max_um)),
        ("kind", json!(got.kind.code())),
    ]
}

pub(crate) fn housing(e: &Entry) -> Given {
    assert_eq!(e.text("bearing_class"), "Normal");
    let got = fit_in_housing(e.num("D"), e.text("housing_class").parse().unwrap()).unwrap();
    vec![("clearance_min", json!(got.clearance_min_um)), ("clearance_max", json!(got.clearance_max_um))]
}

pub(crate) fn heating_fit(e: &Entry) -> Given {
    if e.has("bore") {
        let interference = e.num("shaft") - e.num("bore");
        let rise = temperature_difference_k(e.num("bore"), interference, e.num("clearance"), e.num("alpha"))
            .unwrap();
        return vec![("delta_T", json!(rise))];
    }
    // The shaft is cooled, so its own diameter shrinks; centimetres in the source.
    let (shaft, hole) = (e.num("shaft") * 10.0, e.num("hole") * 10.0);
    let fall = temperature_difference_k(shaft, shaft - hole, 0.0, e.num("alpha")).unwrap();
    vec![("T", json!(e.num("T_start") - fall))]
}

pub(crate) fn heating_growth(e: &Entry) -> Given {
    let list: Vec<f64> = e
        .nums("T_list")
        .into_iter()
        .map(|to| growth_mm(e.num("bore"), e.num("alpha"), e.num("T_start"), to).unwrap())
        .collect();
    vec![("growth_list", json!(list))]
}

pub(crate) fn depth(e: &Entry) -> Given {
    let got = pinion_depth(
        e.num("nominal_mounting_distance"),
        e.num("etched_deviation"),
        EtchedSense::PlusIsFurtherOut,
        e.num("measured_distance"),
    )
    .unwrap();
    vec![("required", json!(got.required_mm)), ("shim_change", json!(got.shim_change_mm))]
}

pub(crate) fn shim(e: &Entry) -> Given {
    let place = [ShimPlace::BetweenCones, ShimPlace::BehindCup]
        .into_iter()
        .find(|place| place.code() == e.text("arrangement"))
        .unwrap();
    let got = shim_for_preload(place, e.num("trial_shim"), e.num("end_float"), e.num("preload")).unwrap();
    vec![("new_shim", json!(got.thickness_mm)), ("change", json!(got.change_mm))]
}

pub(crate) fn seal(e: &Entry) -> Given {
    let got = parse_seal(e.text("designation")).unwrap();
    vec![
        ("d1_shaft", json!(got.shaft_mm)),
        ("d2_bore", json!(got.bore_mm)),
        ("b", json!(got.width_mm)),
        ("rubber_covered", json!(got.case == Some(SealCase::Rubber))),
        ("dust_lip", json!(got.dust_lip)),
        ("metal_case", json!(matches!(got.case, Some(SealCase::Metal | SealCase::MetalWithInnerRing)))),
    ]
}

pub(crate) fn seal_fit(e: &Entry) -> Given {
    let case = if e.text("case") == "rubber" { SealCase::Rubber } else { SealCase::Metal };
    let got = seal_press_fit(e.num("bore"), e.text("bore_class").parse().unwrap(), case).unwrap();
    vec![
        ("bore_upper", json!(got.bore_upper_um)),
        ("seal_od_min_allow", json!(got.allowance_min_mm)),
        ("seal_od_max_allow", json!(got.allowance_max_mm)),
        ("interference_min", json!(got.interference_min_mm)),
        ("interference_max", json!(got.interference_max_mm)),
    ]
}

pub(crate) fn dudley(e: &Entry) -> Given {
    let got = dudley_stress(&DudleyInput {
        torque: e.num("T"),
        pitch_diameter: e.num("D"),
        tooth_count: e.count("N"),
        effective_length: e.num("F_e"),
        tooth_thickness: e.num("t_c"),
        contact_height: e.num("h"),
        distribution_factor: e.num("K_m"),
        shaft_root_diameter: e.num("D_re"),
        shaft_bore: e.num("D_h"),
    })
    .unwrap();
    vec![
        ("S_s_teeth", json!(got.tooth_shear)),
        ("S_c_teeth", json!(got.flank_compression)),
        ("S_s_shaft", json!(got.shaft_shear)),
    ]
}

pub(crate) fn straight_capacity(e: &Entry) -> Given {
    let spline = |teeth: u32, share: f64| CarryingSpline {
        carrying_teeth: teeth,
        flank_height_mm: e.num("h"),
        engaged_length_mm: e.num("L"),
        mean_radius_mm: e.num("r_m"),
        load_share: share,
    };
    if e.has("p") {
        let torque = torque_at_pressure_nm(&spline(e.count("n"), e.num("load_share")), e.num("p")).unwrap();
        return vec![("T", json!(torque))];
    }
    let pressure = |teeth| pressure_under_torque(&spline(teeth, 1.0), e.num("T")).unwrap();
    vec![("p_full", json!(pressure(e.count("n_full")))), ("p_engaged", json!(pressure(e.count("n_engaged"))))]
}

pub(crate) fn din_5480(e: &Entry) -> Given {
    let read = parse_din_5480(e.text("designation")).unwrap();
    let reference = read.reference_diameter_mm.unwrap();
    let got = din_5480_geometry(reference, read.module_mm, read.tooth_count).unwrap();
    let tolerance = din_5480_tolerance(&read).unwrap();
    let part = if read.external { "shaft" } else { "hub" };
    vec![
        ("part", json!(part)),
        ("d_B", json!(reference)),
        ("m", json!(read.module_mm)),
        ("z", json!(read.tooth_count)),
        ("tolerance_grade", json!(read.grade)),
        ("deviation", json!(read.deviation)),
        ("d", json!(got.pitch_diameter_mm)),
        ("d_b", json!(got.base_diameter_mm)),
        ("x", json!(got.shift_coefficient)),
        ("xm", json!(got.shift_mm)),
        ("da1", json!(got.shaft_tip_mm)),
        ("da2", json!(got.hub_tip_mm)),
        ("df1_broached_hub_profile", json!(got.shaft_root_mm(read.module_mm, Din5480Making::Broached))),
        ("A_s", json!(tolerance.deviation_um)),
        ("T_act", json!(tolerance.actual_um)),
        ("T_eff", json!(tolerance.effective_um)),
    ]
}

fn root(e: &Entry) -> RootForm {
    if e.text("root") == "flat" { RootForm::Flat } else { RootForm::Fillet }
}

pub(crate) fn ansi_b92(e: &Entry) -> Given {
    assert_eq!((e.num("alpha"), e.text("fit")), (30.0, "side"));
    let got = ansi_b92_geometry(e.count("N"), e.num("P"), root(e)).unwrap();
    vec![
        ("P_s", json!(got.stub_pitch)),
        ("D", json!(got.pitch_diameter_in)),
        ("D_b", json!(got.base_diameter_in)),
        ("p", json!(got.circular_pitch_in)),
        ("D_ri", json!(got.hub_major_in)),
        ("D_o", json!(got.shaft_major_in)),
        ("D_i", json!(got.hub_minor_in)),
        ("D_re", json!(got.shaft_minor_in)),
        ("s_v_min", json!(got.space_width_in)),
    ]
}

pub(crate) fn iso_4156(e: &Entry) -> Given {
    let got = iso_4156_geometry(e.count("z"), e.num("m"), e.num("alpha"), root(e), e.num("es_v")).unwrap();
    vec![
        ("D", json!(got.pitch_diameter_mm)),
        ("D_b", json!(got.base_diameter_mm)),
        ("p", json!(got.circular_pitch_mm)),
        ("D_ei_min", json!(got.hub_major_min_mm)),
        ("D_ee_max", json!(got.shaft_major_max_mm)),
        ("D_ie_max", json!(got.shaft_minor_max_mm)),
        ("E", json!(got.basic_space_width_mm)),
    ]
}

pub(crate) fn thread_designation(e: &Entry) -> Given {
    if e.has("designations") {
        let pitches: Vec<f64> = e
            .texts("designations")
            .into_iter()
            .map(|text| {
                let read = parse_thread(text).unwrap();
                assert_eq!(coarse_pitch_mm(read.diameter_mm), Some(read.pitch_mm));
                read.pitch_mm
            })
            .collect();
        return vec![("P_list", json!(pitches))];
    }
    let got = parse_thread(e.text("designation")).unwrap();
    vec![
        ("d", json!(got.diameter_mm)),
        ("P", json!(got.pitch_mm)),
        ("tolerance", json!(got.tolerance)),
        ("left_hand", json!(got.left_hand)),
        ("coarse", json!(got.coarse)),
    ]
}

pub(crate) fn thread(e: &Entry) -> Given {
    let read = parse_thread(e.text("designation")).unwrap();
    let got = thread_geometry(read.diameter_mm, read.pitch_mm).unwrap();
    vec![
        ("d2", json!(got.pitch_diameter_mm)),
        ("D1", json!(got.nut_minor_diameter_mm)),
        ("d3", json!(got.screw_minor_diameter_mm)),
        ("A_s", json!(got.stress_area_mm2)),
    ]
}

pub(crate) fn thread_6g(e: &Entry) -> Given {
    let got = screw_limits_6g(e.num("P")).unwrap();
    vec![("es", json!(got.upper_deviation_um)), ("T_d", json!(got.major_tolerance_um))]
}

pub(crate) fn consequence(e: &Entry) -> Given {
    let actions: Vec<&str> = e
        .texts("findings")
        .into_iter()
        .map(|text| WEAR_FINDINGS.iter().find(|finding| finding.code() == text).unwrap().action().code())
        .collect();
    vec![("actions", json!(actions))]
}

pub(crate) fn wear(e: &Entry) -> Given {
    let limits = WearLimits {
        new_min: e.num("new_min"),
        new_max: e.num("new_max"),
        wear_limit: Some(e.num("wear_limit")),
    };
    vec![("verdict", json!(wear_reading(e.num("measured"), &limits).unwrap().verdict.code()))]
}
