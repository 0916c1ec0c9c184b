//! Whether two gears run together on parallel shafts at the centre distance of their case.
//!
//! All of these must hold (ISO 21771 terms): equal normal and transverse base pitch, hence equal base helix; opposite
//! hands; centre distance between jamming and the largest backlash; tip clearance; contact ratio of one or more; no
//! tip running below the usable involute of its mate. Partial data give a partial verdict: what is known may already
//! refuse the pair, and what is not known is listed.

use crate::feature::{GearTeeth, Hand};
use crate::gear::ToothSystem;
use crate::joint::Joint;
use crate::mesh_contact::test_contact;
use crate::mesh_gear::MeshGear;
use crate::verdict::{FaultKind, Judgement, Missing, MissingReason, Side, WarningKind};

/// Largest difference of base pitches, as a share of the pitch. About the single pitch deviation of a coarse vehicle
/// gear, and half the distance between module 3 and diametral pitch 8.5 (common practice, no source).
pub const BASE_PITCH_SHARE: f64 = 0.002;
/// Largest difference of base helix angles in degrees: 17 µm over a face of 20 mm (common practice, no source).
pub const BASE_HELIX_LIMIT_DEG: f64 = 0.05;
/// Modules further apart than this ratio cannot have equal base pitches with pressure angles of 14.5° to 25°.
pub const MODULE_RATIO_LIMIT: f64 = 1.0683;
/// Smallest and largest centre distance modification y that shifts of real gears reach (common practice, no source).
pub const CENTRE_MODIFICATION_REACH: (f64, f64) = (-2.0, 3.0);
/// Steepest helix angle that is taken for possible where none is given.
const STEEPEST_HELIX_DEG: f64 = 45.0;

const ISO_21771: &str = "ISO 21771";

/// The verdict on a mesh.
pub fn judge_mesh(joint: &Joint, a: &GearTeeth, b: &GearTeeth) -> Judgement {
    let mut out = Judgement::open(26);
    let (first, second) = (MeshGear::read(&mut out, Side::A, a), MeshGear::read(&mut out, Side::B, b));
    let (Some(first), Some(second)) = (first, second) else { return out.close() };
    let centre_distance = read_centre_distance(&mut out, joint);
    first.note_lacks(&mut out);
    second.note_lacks(&mut out);
    test_hands(&mut out, &first, &second);
    note_uncertainty(&mut out, &first);
    note_uncertainty(&mut out, &second);

    let systems = match (first.system(), first.same_system_figures(&second)) {
        (Some(system), true) => Some((system, system)),
        (Some(system), false) => second.system().map(|other| (system, other)),
        (None, _) => None,
    };
    let alike = match &systems {
        Some((of_a, of_b)) => test_systems(&mut out, &first, &second, of_a, of_b),
        None => {
            test_partial_systems(&mut out, &first, &second);
            false
        }
    };
    let Some(distance) = centre_distance else { return out.close() };
    let shifts_known = first.shift.is_some() && second.shift.is_some();
    test_reach(&mut out, &first, &second, distance, systems.is_some() && shifts_known);
    if let (Some((of_a, of_b)), true) = (&systems, alike) {
        test_contact(&mut out, joint, distance, (&first, of_a), (&second, of_b));
    }
    out.close()
}

fn read_centre_distance(out: &mut Judgement, joint: &Joint) -> Option<f64> {
    match crate::bounds::CENTRE_DISTANCE.check_known("centre_distance_mm", joint.centre_distance_mm) {
        Ok(Some(distance)) => Some(distance),
        Ok(None) => {
            out.lacks(Side::Joint, "centre_distance_mm");
            None
        }
        Err(error) => {
            out.impossible(Side::Joint, &error);
            None
        }
    }
}

fn note_uncertainty(out: &mut Judgement, gear: &MeshGear) {
    if gear.uncertainty > 0.0 {
        out.warn(WarningKind::MeasuredFigure, gear.side, gear.uncertainty, 0.0, "mm");
    }
}

/// External gears on parallel shafts need opposite hands; a spur gear needs a spur gear.
fn test_hands(out: &mut Judgement, first: &MeshGear, second: &MeshGear) {
    if let (Some(a), Some(b)) = (first.hand, second.hand) {
        let opposite = match a {
            Hand::Spur => b == Hand::Spur,
            Hand::Left => b == Hand::Right,
            Hand::Right => b == Hand::Left,
        };
        if !opposite {
            out.word_fault(FaultKind::HelixHand, a.code(), b.code());
        }
    }
}

/// Compares two pitches; true if they can be taken as equal.
fn test_pitch(
    out: &mut Judgement,
    kind: FaultKind,
    (a, b): (f64, f64),
    uncertainty: (f64, f64),
    figure: &'static str,
) -> bool {
    let difference = (a - b).abs();
    let limit = BASE_PITCH_SHARE * a.max(b);
    let doubt = uncertainty.0 + uncertainty.1;
    if difference - doubt > limit {
        out.differs(kind, a, b, limit, "mm");
        return false;
    }
    if difference + doubt > limit {
        let side = if uncertainty.0 >= uncertainty.1 { Side::A } else { Side::B };
        let reason = MissingReason::TooUncertain { uncertainty: doubt, difference, limit, unit: "mm" };
        out.missing.push(Missing { side, figure, reason });
    }
    true
}

/// Base pitches and base helix of two known systems; true if the rest of the test makes sense.
fn test_systems(
    out: &mut Judgement,
    first: &MeshGear,
    second: &MeshGear,
    of_a: &ToothSystem,
    of_b: &ToothSystem,
) -> bool {
    let normal = ("π·m_n·cos α_n", ISO_21771);
    let transverse = ("π·m_t·cos α_t", ISO_21771);
    out.figure(("normal base pitch of the first gear", "p_bn1", "mm"), of_a.normal_base_pitch_mm, normal);
    out.figure(("normal base pitch of the second gear", "p_bn2", "mm"), of_b.normal_base_pitch_mm, normal);
    let pitches = (of_a.transverse_base_pitch_mm, of_b.transverse_base_pitch_mm);
    out.figure(("transverse base pitch of the first gear", "p_bt1", "mm"), pitches.0, transverse);
    out.figure(("transverse base pitch of the second gear", "p_bt2", "mm"), pitches.1, transverse);

    let doubt = (first.uncertainty, second.uncertainty);
    let normal = (of_a.normal_base_pitch_mm, of_b.normal_base_pitch_mm);
    let mut alike = test_pitch(out, FaultKind::NormalBasePitch, normal, doubt, "normal_base_pitch");
    let transverse_doubt = (doubt.0 / of_a.cos_base_helix, doubt.1 / of_b.cos_base_helix);
    // What is too uncertain in the normal section is so in the transverse one: told once.
    let told = out.missing.len();
    alike &= test_pitch(out, FaultKind::TransverseBasePitch, pitches, transverse_doubt, "normal_base_pitch");
    if told > 0 && out.missing.len() > told && out.missing[told - 1].figure == "normal_base_pitch" {
        out.missing.truncate(told);
    }
    let helix = (of_a.base_helix_angle_rad.to_degrees(), of_b.base_helix_angle_rad.to_degrees());
    if helix.0 > 0.0 || helix.1 > 0.0 {
        let rule = ("asin(sin β·cos α_n)", ISO_21771);
        out.figure(("base helix angle of the first gear", "β_b1", "deg"), helix.0, rule);
        out.figure(("base helix angle of the second gear", "β_b2", "deg"), helix.1, rule);
        if (helix.0 - helix.1).abs() > BASE_HELIX_LIMIT_DEG {
            out.differs(FaultKind::HelixAngle, helix.0, helix.1, BASE_HELIX_LIMIT_DEG, "deg");
            alike = false;
        }
    }
    let modules = (of_a.normal_module_mm, of_b.normal_module_mm);
    if alike && (modules.0 - modules.1).abs() > BASE_PITCH_SHARE * modules.0.max(modules.1) {
        out.warn(WarningKind::ModulesDiffer, Side::Joint, modules.1, modules.0, "mm");
    }
    alike
}

/// What module, pressure angle and helix can refuse when not all of them are known.
fn test_partial_systems(out: &mut Judgement, first: &MeshGear, second: &MeshGear) {
    if let (Some(a), Some(b)) = (first.module, second.module) {
        if let (Some(angle_a), Some(angle_b)) = (first.pressure_deg, second.pressure_deg) {
            let pitch = |module: f64, angle: f64| std::f64::consts::PI * module * angle.to_radians().cos();
            let normal = (pitch(a, angle_a), pitch(b, angle_b));
            let rule = ("π·m_n·cos α_n", ISO_21771);
            out.figure(("normal base pitch of the first gear", "p_bn1", "mm"), normal.0, rule);
            out.figure(("normal base pitch of the second gear", "p_bn2", "mm"), normal.1, rule);
            let doubt = (first.uncertainty, second.uncertainty);
            test_pitch(out, FaultKind::NormalBasePitch, normal, doubt, "normal_base_pitch");
        } else if a.max(b) / a.min(b) > MODULE_RATIO_LIMIT {
            out.differs(FaultKind::Module, a, b, (MODULE_RATIO_LIMIT - 1.0) * a.min(b), "mm");
        }
    }
    if let (Some(a), Some(b)) = (first.helix_deg, second.helix_deg) {
        let spur_on_helical = (a == 0.0) != (b == 0.0);
        let same_rack = first.module == second.module
            && first.pressure_deg.is_some()
            && first.pressure_deg == second.pressure_deg;
        if spur_on_helical || (same_rack && (a - b).abs() > BASE_HELIX_LIMIT_DEG) {
            out.differs(FaultKind::HelixAngle, a, b, BASE_HELIX_LIMIT_DEG, "deg");
        }
    }
}

/// Whether any usual shifts bring these teeth together at this distance, and whether the tips meet at all.
///
/// With systems and shifts known the backlash tells more, and only the tips are looked at here.
fn test_reach(out: &mut Judgement, first: &MeshGear, second: &MeshGear, distance: f64, all_known: bool) {
    if let (Some(a), Some(b)) = (first.tip, second.tip) {
        let reach = (a + b) / 2.0;
        if distance >= reach {
            out.beyond(FaultKind::TeethDoNotReach, distance, reach, "mm");
        }
    }
    if all_known {
        return;
    }
    let Some(module) = first.module.or(second.module) else { return };
    let teeth = f64::from(first.tooth_count) + f64::from(second.tooth_count);
    let reference = |helix_deg: f64| module * teeth / 2.0 / helix_deg.to_radians().cos();
    let helix = first.helix_deg.or(second.helix_deg);
    let least = reference(helix.unwrap_or(0.0)) + CENTRE_MODIFICATION_REACH.0 * module;
    let most = reference(helix.unwrap_or(STEEPEST_HELIX_DEG)) + CENTRE_MODIFICATION_REACH.1 * module;
    if distance < least {
        out.beyond(FaultKind::CentreDistanceOutOfReach, distance, least, "mm");
    } else if distance > most {
        out.beyond(FaultKind::CentreDistanceOutOfReach, distance, most, "mm");
    }
}

#[cfg(test)]
#[path = "mesh_tests.rs"]
mod tests;
