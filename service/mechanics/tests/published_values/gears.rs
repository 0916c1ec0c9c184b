//! Gear computations of the published values.

use mechanics::backlash::{backlash, backlash_of_small_opening_mm};
use mechanics::gear::{BasicRack, ToothSystem, involute_of_deg};
use mechanics::gear_pair::{
    PairGeometry, pair_at_centre_distance, pair_from_shifts, transverse_contact_ratio,
};
use mechanics::pitch::{
    MODULES_FIRST_SERIES_MM, MODULES_SECOND_SERIES_MM, base_pitch_mm, module_of_diametral_pitch_mm,
};
use mechanics::tooth_thickness::{span_mm, thickness_at_diameter_mm};
use mechanics::undercut::{least_shift_without_undercut, least_teeth_without_undercut};
use mechanics::{FaultKind, GearTeeth, Hand, Joint, Verdict};
use serde_json::json;

use crate::entry::{Entry, Given};

const RACK: BasicRack = BasicRack::ISO_53_A;

fn system(e: &Entry) -> ToothSystem {
    let beta = if e.has("beta") { e.num("beta") } else { 0.0 };
    ToothSystem::new(e.num("m_n"), e.num("alpha_n"), beta).unwrap()
}

pub(crate) fn involute(e: &Entry) -> Given {
    vec![("inv", json!(involute_of_deg(e.num("alpha")).unwrap()))]
}

pub(crate) fn standard_modules(e: &Entry) -> Given {
    let mut all: Vec<f64> = [MODULES_FIRST_SERIES_MM, MODULES_SECOND_SERIES_MM].concat();
    all.retain(|m| (e.num("from")..=e.num("to")).contains(m) && *m != e.num("left_out"));
    all.sort_by(f64::total_cmp);
    vec![("modules", json!(all))]
}

pub(crate) fn pitch_conversion(e: &Entry) -> Given {
    let module = module_of_diametral_pitch_mm(e.num("P_d")).unwrap();
    vec![("m", json!(module)), ("p_b", json!(base_pitch_mm(module, e.num("alpha")).unwrap()))]
}

pub(crate) fn single_dp(e: &Entry) -> Given {
    // A transverse diametral pitch: m_n = 25.4/P_t·cos β.
    let normal = e.num("P_t") / e.num("beta").to_radians().cos();
    let system = ToothSystem::from_normal_diametral_pitch(normal, e.num("alpha_n"), e.num("beta")).unwrap();
    vec![
        ("d", json!(system.reference_diameter_mm(e.count("z")) / 25.4)),
        ("p_t", json!(system.transverse_pitch_mm() / 25.4)),
        ("p_n", json!(system.normal_pitch_mm() / 25.4)),
        ("p_x", json!(system.axial_pitch_mm().unwrap() / 25.4)),
        ("P_n", json!(25.4 / system.normal_module_mm)),
        ("alpha_t", json!(system.transverse_pressure_angle_rad.to_degrees())),
    ]
}

fn described(system: &ToothSystem, pair: &PairGeometry, shifts: [f64; 2], rack: &BasicRack) -> Given {
    let angle = pair.working_pressure_angle_rad;
    let ha = [0, 1].map(|i| system.normal_module_mm * (rack.addendum + shifts[i] - pair.tip_shortening));
    vec![
        ("alpha_wt", json!(angle.to_degrees())),
        ("inv_alpha_wt", json!(angle.tan() - angle)),
        ("y", json!(pair.centre_modification)),
        ("y_t", json!(pair.centre_modification * system.normal_module_mm / system.transverse_module_mm)),
        ("a", json!(pair.centre_distance_mm)),
        ("d1", json!(pair.reference_diameters_mm[0])),
        ("d2", json!(pair.reference_diameters_mm[1])),
        ("db1", json!(pair.base_diameters_mm[0])),
        ("db2", json!(pair.base_diameters_mm[1])),
        ("dw1", json!(pair.working_diameters_mm[0])),
        ("dw2", json!(pair.working_diameters_mm[1])),
        ("ha1", json!(ha[0])),
        ("ha2", json!(ha[1])),
        ("h", json!((pair.tip_diameters_mm[0] - pair.root_diameters_mm[0]) / 2.0)),
        ("da1", json!(pair.tip_diameters_mm[0])),
        ("da2", json!(pair.tip_diameters_mm[1])),
        ("df1", json!(pair.root_diameters_mm[0])),
        ("df2", json!(pair.root_diameters_mm[1])),
        ("eps_alpha", json!(pair.contact_ratio)),
    ]
}

pub(crate) fn pair_geometry(e: &Entry) -> Given {
    let system = system(e);
    let shifts = [e.num("x1"), e.num("x2")];
    let pair =
        pair_from_shifts(&system, [e.count("z1"), e.count("z2")], shifts, &RACK, e.flag("tip_shortening"))
            .unwrap();
    described(&system, &pair, shifts, &RACK)
}

/// In the transverse system the rack's proportions and the shifts count in transverse modules.
pub(crate) fn pair_geometry_transverse(e: &Entry) -> Given {
    let system = ToothSystem::from_transverse(e.num("m_t"), e.num("alpha_t"), e.num("beta")).unwrap();
    let per = system.transverse_module_mm / system.normal_module_mm;
    let rack = BasicRack { addendum: per, dedendum: 1.25 * per, form_dedendum: per };
    let shifts = [e.num("x_t1") * per, e.num("x_t2") * per];
    let pair =
        pair_from_shifts(&system, [e.count("z1"), e.count("z2")], shifts, &rack, e.flag("tip_shortening"))
            .unwrap();
    described(&system, &pair, shifts, &rack)
}

pub(crate) fn contact_ratio(e: &Entry) -> Given {
    if e.has("m_n") {
        let pair = pair_geometry_of_plain(e);
        return vec![
            ("eps_alpha", json!(pair.contact_ratio)),
            ("arc_of_contact", json!(pair.contact_ratio * std::f64::consts::PI * e.num("m_n"))),
            ("a", json!(pair.centre_distance_mm)),
        ];
    }
    let pitch = if e.has("p_bt") {
        e.num("p_bt")
    } else {
        std::f64::consts::PI * e.num("m_t") * e.num("alpha_t").to_radians().cos()
    };
    let ratio = transverse_contact_ratio(
        [e.num("da1"), e.num("da2")],
        [e.num("db1"), e.num("db2")],
        e.num("a"),
        e.num("alpha_wt").to_radians(),
        pitch,
    )
    .unwrap();
    vec![("eps_alpha", json!(ratio))]
}

fn pair_geometry_of_plain(e: &Entry) -> PairGeometry {
    pair_from_shifts(&system(e), [e.count("z1"), e.count("z2")], [e.num("x1"), e.num("x2")], &RACK, false)
        .unwrap()
}

pub(crate) fn backlash_exact(e: &Entry) -> Given {
    let got = backlash(
        &system(e),
        [e.count("z1"), e.count("z2")],
        [e.num("x1"), e.num("x2")],
        [0.0; 2],
        e.num("a"),
    )
    .unwrap();
    vec![
        ("j_bt", json!(got.base_transverse_mm)),
        ("j_wt", json!(got.circumferential_mm)),
        ("j_bn", json!(got.normal_mm)),
    ]
}

pub(crate) fn backlash_linear(e: &Entry) -> Given {
    if e.has("delta_a") {
        let (j_t, j_n) = backlash_of_small_opening_mm(e.num("delta_a"), e.num("alpha")).unwrap();
        return vec![("j_t", json!(j_t)), ("j_n", json!(j_n)), ("da_per_j", json!(e.num("delta_a") / j_t))];
    }
    let (j_t, _) = backlash_of_small_opening_mm(e.num("a") - e.num("a_tight"), e.num("alpha_wt")).unwrap();
    vec![("j_wt_linear", json!(j_t))]
}

pub(crate) fn tip_clearance(e: &Entry) -> Given {
    let system = system(e);
    let counts = [e.count("z1"), e.count("z2")];
    let shifts = [e.num("x1"), e.num("x2")];
    let full = pair_from_shifts(&system, counts, shifts, &RACK, e.flag("tip_shortening")).unwrap();
    let short = pair_from_shifts(&system, counts, shifts, &RACK, true).unwrap();
    let least = full.tip_clearances_mm[0].min(full.tip_clearances_mm[1]);
    vec![
        ("da1", json!(full.tip_diameters_mm[0])),
        ("tip_clearance", json!(least)),
        ("k", json!(short.tip_shortening)),
        ("clearance_ok_at_0p25m", json!(least >= 0.25 * e.num("m_n") - 1e-9)),
    ]
}

pub(crate) fn tip_thickness(e: &Entry) -> Given {
    let system = system(e);
    if e.has("z") {
        let got = thickness_at_diameter_mm(&system, e.count("z"), e.num("x"), e.num("da")).unwrap();
        return vec![("s_ta", json!(got))];
    }
    let (teeth, shifts, tips) = (e.nums("z_list"), e.nums("x_list"), e.nums("da_list"));
    let list: Vec<f64> = (0..teeth.len())
        .map(|i| {
            thickness_at_diameter_mm(&system, teeth[i] as u32, shifts[i], tips[i]).unwrap()
                / system.normal_module_mm
        })
        .collect();
    vec![("s_a_over_m_list", json!(list))]
}

pub(crate) fn undercut(e: &Entry) -> Given {
    let system = ToothSystem::new(1.0, e.num("alpha_n"), e.num("beta")).unwrap();
    let rack = BasicRack { addendum: e.num("ha"), form_dedendum: e.num("ha"), ..RACK };
    let least = least_teeth_without_undercut(&system, e.num("x"), &rack).unwrap();
    vec![
        ("z_min_exact", json!(least)),
        ("z_min", json!(least.ceil())),
        ("x_min", json!(least_shift_without_undercut(&system, e.count("z"), &rack).unwrap())),
    ]
}

pub(crate) fn span(e: &Entry) -> Given {
    vec![("W", json!(span_mm(&system(e), e.count("z"), e.num("x"), e.count("k")).unwrap()))]
}

fn teeth(count: u32, module: f64, alpha: f64, beta: f64, hand: Hand) -> GearTeeth {
    GearTeeth {
        tooth_count: count,
        normal_module_mm: Some(module),
        normal_pressure_angle_deg: Some(alpha),
        helix_angle_deg: Some(beta),
        helix_hand: Some(hand),
        ..GearTeeth::default()
    }
}

pub(crate) fn mesh(e: &Entry) -> Given {
    if e.has("m1") {
        return mesh_of_two_racks(e);
    }
    if e.has("m_n_upgrade") {
        return mesh_of_two_modules(e);
    }
    let system = system(e);
    let kept = |z1| pair_at_centre_distance(&system, [z1, e.count("z2")], e.num("a")).unwrap();
    let upgrade = kept(e.count("z1_upgrade"));
    let x1 = upgrade.sum_of_shifts - e.num("x2");
    let side = |count, hand: &str, shift| GearTeeth {
        profile_shift: Some(shift),
        ..teeth(
            count,
            e.num("m_n"),
            e.num("alpha_n"),
            e.num("beta"),
            if hand == "left" { Hand::Left } else { Hand::Right },
        )
    };
    let judged = mechanics::mesh::judge_mesh(
        &Joint::mesh(e.num("a")),
        &side(e.count("z1_upgrade"), e.text("hand1"), x1),
        &side(e.count("z2"), e.text("hand2"), e.num("x2")),
    );
    vec![
        ("sum_x_original", json!(kept(e.count("z1_original")).sum_of_shifts)),
        ("x1_upgrade_for_zero_backlash", json!(x1)),
        ("alpha_wt_upgrade", json!(judged.value_of("α_wt").unwrap())),
        ("eps_alpha_upgrade", json!(judged.value_of("ε_α").unwrap())),
        ("meshes", json!(judged.verdict == Verdict::Fits)),
    ]
}

fn mesh_of_two_racks(e: &Entry) -> Given {
    let judged = mechanics::mesh::judge_mesh(
        &Joint::mesh(148.9),
        &teeth(20, e.num("m1"), e.num("alpha1"), 0.0, Hand::Spur),
        &teeth(40, e.num("m2"), e.num("alpha2"), 0.0, Hand::Spur),
    );
    let equal = !judged.faults.iter().any(|fault| fault.kind == FaultKind::NormalBasePitch);
    vec![
        ("p_b1", json!(judged.value_of("p_bn1").unwrap())),
        ("p_b2", json!(judged.value_of("p_bn2").unwrap())),
        ("base_pitch_equal", json!(equal)),
    ]
}

fn mesh_of_two_modules(e: &Entry) -> Given {
    let (alpha, beta) = (e.num("alpha_n"), e.num("beta"));
    let judged = mechanics::mesh::judge_mesh(
        &Joint::mesh(e.num("a")),
        &teeth(e.count("z1_upgrade"), e.num("m_n_upgrade"), alpha, beta, Hand::Left),
        &teeth(e.count("z2"), e.num("m_n_wheel"), alpha, beta, Hand::Right),
    );
    vec![
        ("p_bn_upgrade", json!(judged.value_of("p_bn1").unwrap())),
        ("p_bn_wheel", json!(judged.value_of("p_bn2").unwrap())),
        ("meshes", json!(judged.verdict == Verdict::Fits)),
        ("wheel_must_change", json!(judged.verdict == Verdict::DoesNotFit)),
    ]
}
