//! The second half of the mesh test: two gears of one tooth system at a centre distance. Backlash, tips, roots,
//! contact ratio and interference.

use std::f64::consts::PI;

use crate::backlash::base_share_of_normal_thickness;
use crate::bounds;
use crate::gear::{BasicRack, ToothSystem};
use crate::involute::inverse_involute_near;
use crate::joint::Joint;
use crate::mesh_gear::{MeshGear, out_of};
use crate::tooth_thickness::thickness_at;
use crate::undercut::least_shift;
use crate::verdict::{FaultKind, Judgement, Missing, MissingReason, Side, WarningKind};

/// Rounding of catalogue figures that is not taken for jamming (own choice: shifts to three decimals).
pub const BACKLASH_ROUNDING_MM: f64 = 0.005;
/// Largest backlash in normal modules where the joint names none (common practice, no source).
pub const BACKLASH_MOST_MODULES: f64 = 0.2;
/// Backlash in normal modules above which a new pair deserves a second look (common practice, no source).
pub const BACKLASH_USUAL_MODULES: f64 = 0.1;
/// Floor of the tip clearance in normal modules (common practice, no source).
pub const TIP_CLEARANCE_FLOOR_MODULES: f64 = 0.15;
/// Usual tip clearance in normal modules (ISO 53).
pub const TIP_CLEARANCE_USUAL_MODULES: f64 = 0.25;
/// Least transverse contact ratio.
pub const CONTACT_RATIO_LEAST: f64 = 1.0;
/// Contact ratio advised for spur gears (common practice, no source).
pub const CONTACT_RATIO_ADVISED: f64 = 1.2;
/// Tip thickness advised, in normal modules (common practice, no source).
pub const TIP_THICKNESS_ADVISED_MODULES: f64 = 0.2;
/// Radial depth in normal modules to which a tip may reach below the mate's form circle before it fouls the fillet
/// (own choice: the fillet leaves the involute tangentially, so this depth costs a hundredth of that in thickness).
pub const INTERFERENCE_DEPTH_MODULES: f64 = 0.01;

const ISO_21771: &str = "ISO 21771";
const RACK: BasicRack = BasicRack::ISO_53_A;

/// The working position of the pair.
struct Working {
    distance: f64,
    cosine: f64,
    sine: f64,
    angle: f64,
    involute: f64,
    bases: [f64; 2],
    pitch: f64,
    module: f64,
}

/// One gear's circles: given, or taken from the basic rack.
#[derive(Clone, Copy)]
struct Circles {
    /// Tip used for contact: the shortest possible one if assumed.
    tip: f64,
    /// Tip used for clearance: the longest possible one if assumed.
    full_tip: f64,
    root: Option<f64>,
    tip_assumed: bool,
}

/// Makes all tests that need the centre distance.
pub(crate) fn test_contact(
    out: &mut Judgement,
    joint: &Joint,
    distance: f64,
    (first, of_a): (&MeshGear, &ToothSystem),
    (second, of_b): (&MeshGear, &ToothSystem),
) {
    let bases = [of_a.base_diameter_mm(first.tooth_count), of_b.base_diameter_mm(second.tooth_count)];
    let cosine = (bases[0] + bases[1]) / (2.0 * distance);
    if cosine >= 1.0 {
        let least = (bases[0] + bases[1]) / 2.0;
        out.beyond(FaultKind::CentreDistanceOutOfReach, distance, least, "mm");
        return;
    }
    let sine = (1.0 - cosine * cosine).sqrt();
    let angle = cosine.acos();
    let at = Working {
        distance,
        cosine,
        sine,
        angle,
        involute: sine / cosine - angle,
        bases,
        pitch: (of_a.transverse_base_pitch_mm + of_b.transverse_base_pitch_mm) / 2.0,
        module: (of_a.normal_module_mm + of_b.normal_module_mm) / 2.0,
    };
    out.figure(("centre distance", "a", "mm"), distance, ("given by the case", ""));
    let rule = ("acos((d_b1 + d_b2)/(2a))", ISO_21771);
    out.figure(("working transverse pressure angle", "α_wt", "deg"), angle.to_degrees(), rule);

    let teeth = f64::from(first.tooth_count) + f64::from(second.tooth_count);
    let tight_sum = teeth * (at.involute - of_a.inv_transverse_angle) / (2.0 * of_a.tan_normal_angle);
    let rule = ("(z1 + z2)(inv α_wt − inv α_t)/(2·tan α_n)", ISO_21771);
    out.figure(("sum of profile shifts without backlash", "Σx_tight", "1"), tight_sum, rule);
    if let (Some(a), Some(b)) = (first.shift, second.shift) {
        out.figure(("sum of profile shifts of the gears", "Σx", "1"), a + b, ("x1 + x2", ISO_21771));
        test_backlash(out, joint, &at, [(first, of_a, a), (second, of_b, b)]);
    }
    let shortening = {
        let given = first.shift.unwrap_or(0.0) + second.shift.unwrap_or(0.0);
        let reference = (of_a.reference_diameter_mm(first.tooth_count)
            + of_b.reference_diameter_mm(second.tooth_count))
            / 2.0;
        (given - (distance - reference) / at.module).max(0.0)
    };
    let circles = (
        circles_of(out, first, of_a, bases[0], shortening),
        circles_of(out, second, of_b, bases[1], shortening),
    );
    if let (Some(a), Some(b)) = circles {
        test_contact_ratio(out, joint, &at, (first, of_a, a), (second, of_b, b));
        test_tip_clearance(out, &at, a, b);
        test_interference(out, &at, (first, of_a, a), (second, of_b, b));
    }
}

/// Space left beside the teeth on the line of action, least and most with the allowances.
fn test_backlash(
    out: &mut Judgement,
    joint: &Joint,
    at: &Working,
    gears: [(&MeshGear, &ToothSystem, f64); 2],
) {
    let mut thickness = 0.0;
    let (mut upper, mut lower) = (0.0, 0.0);
    for (gear, system, shift) in gears {
        thickness += system.base_thickness_mm(gear.tooth_count, shift);
        let share = base_share_of_normal_thickness(system);
        // One allowance given alone stands for both.
        let given =
            (gear.allowance_upper.or(gear.allowance_lower), gear.allowance_lower.or(gear.allowance_upper));
        upper += given.0.unwrap_or(0.0) * share;
        lower += given.1.unwrap_or(0.0) * share;
        if given.0.is_none() && joint.minimum_backlash_mm.is_some() {
            out.warn(WarningKind::ThicknessAllowanceAssumed, gear.side, 0.0, 0.0, "mm");
        }
    }
    let sum = at.bases[0] + at.bases[1];
    let base = at.pitch - thickness + sum * at.involute;
    let tight = inverse_involute_near((thickness + upper - at.pitch) / sum, at.angle);
    let tight_rule = ("(d_b1 + d_b2)/(2·cos α_wt,tight)", ISO_21771);
    out.figure(("centre distance without backlash", "a_tight", "mm"), sum / (2.0 * tight.cos()), tight_rule);
    let least = (base - upper) / at.cosine;
    let most = (base - lower) / at.cosine;
    let rule = ("[p_bt − s_bt1 − s_bt2 + (d_b1 + d_b2)·inv α_wt]/cos α_wt", ISO_21771);
    out.figure(("least circumferential backlash", "j_wt,min", "mm"), least, rule);
    out.figure(("largest circumferential backlash", "j_wt,max", "mm"), most, rule);
    let normal = least * at.cosine * gears[0].1.cos_base_helix;
    out.figure(("least normal backlash", "j_bn,min", "mm"), normal, ("j_wt·cos α_wt·cos β_b", ISO_21771));

    let limit = |value: Option<f64>, otherwise: f64| value.filter(|v| v.is_finite()).unwrap_or(otherwise);
    let least_allowed = limit(joint.minimum_backlash_mm, 0.0);
    let most_allowed = limit(joint.maximum_backlash_mm, BACKLASH_MOST_MODULES * at.module);
    if least < least_allowed - BACKLASH_ROUNDING_MM {
        out.beyond(FaultKind::BacklashTooSmall, least, least_allowed, "mm");
    }
    if most > most_allowed + BACKLASH_ROUNDING_MM {
        out.beyond(FaultKind::BacklashTooLarge, most, most_allowed, "mm");
    } else if joint.maximum_backlash_mm.is_none() && most > BACKLASH_USUAL_MODULES * at.module {
        out.warn(WarningKind::LargeBacklash, Side::Joint, most, BACKLASH_USUAL_MODULES * at.module, "mm");
    }
}

/// Tip and root of a gear; records what is impossible or lacking.
fn circles_of(
    out: &mut Judgement,
    gear: &MeshGear,
    system: &ToothSystem,
    base: f64,
    shortening: f64,
) -> Option<Circles> {
    let rack_root = gear.shift.map(|shift| system.root_diameter_mm(gear.tooth_count, shift, &RACK));
    if gear.root.is_none()
        && let Some(root) = rack_root
    {
        out.warn(WarningKind::RootDiameterAssumed, gear.side, root, root, "mm");
    }
    let root = gear.root.or(rack_root);
    let most = system.reference_diameter_mm(gear.tooth_count) + 10.0 * system.normal_module_mm;
    match (gear.tip, gear.shift) {
        (Some(tip), _) if tip <= base || tip > most => {
            out.impossible(gear.side, &out_of("tip_diameter_mm", tip, base, most));
            None
        }
        (Some(tip), _) => Some(Circles { tip, full_tip: tip, root, tip_assumed: false }),
        (None, Some(shift)) => {
            let full_tip = system.tip_diameter_mm(gear.tooth_count, shift, &RACK, 0.0);
            let tip = full_tip - 2.0 * system.normal_module_mm * shortening;
            out.warn(WarningKind::TipDiameterAssumed, gear.side, tip, tip, "mm");
            if tip <= base {
                out.lacks(gear.side, "tip_diameter_mm");
                return None;
            }
            Some(Circles { tip, full_tip, root, tip_assumed: true })
        }
        (None, None) => {
            out.lacks(gear.side, "tip_diameter_mm");
            None
        }
    }
}

/// Half the chord between tip and base circle: the radius of curvature at the tip.
#[inline]
fn tip_curvature(tip: f64, base: f64) -> f64 {
    (tip * tip - base * base).max(0.0).sqrt() / 2.0
}

/// Whether contact that begins at one radius of curvature lies below where the flank becomes usable at another.
#[inline]
pub(crate) fn runs_below_usable_involute(start: f64, form: f64, base_diameter: f64, module: f64) -> bool {
    let allowed = INTERFERENCE_DEPTH_MODULES * module;
    if start < -allowed {
        return true;
    }
    let radius = |curvature: f64| (base_diameter * base_diameter / 4.0 + curvature * curvature).sqrt();
    radius(start.max(0.0)) < radius(form.max(0.0)) - allowed
}

fn test_contact_ratio(
    out: &mut Judgement,
    joint: &Joint,
    at: &Working,
    (first, of_a, a): (&MeshGear, &ToothSystem, Circles),
    (second, _, b): (&MeshGear, &ToothSystem, Circles),
) {
    let length =
        tip_curvature(a.tip, at.bases[0]) + tip_curvature(b.tip, at.bases[1]) - at.distance * at.sine;
    let ratio = length / at.pitch;
    let rule = ("[√(d_a1² − d_b1²)/2 + √(d_a2² − d_b2²)/2 − a·sin α_wt]/p_bt", ISO_21771);
    out.figure(("transverse contact ratio", "ε_α", "1"), ratio, rule);
    if ratio < CONTACT_RATIO_LEAST {
        if a.tip_assumed || b.tip_assumed {
            lack_assumed_tips(out, a, b);
        } else {
            out.beyond(FaultKind::ContactRatio, ratio, CONTACT_RATIO_LEAST, "1");
        }
    } else if of_a.helix_angle_rad == 0.0 && ratio < CONTACT_RATIO_ADVISED {
        out.warn(WarningKind::LowContactRatio, Side::Joint, ratio, CONTACT_RATIO_ADVISED, "1");
    }
    let widths = match (first.width, second.width) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (known, other) => known.or(other),
    };
    let given = bounds::LENGTH.check_known("common_width_mm", joint.common_width_mm);
    if let Err(error) = &given {
        if joint.common_width_mm.is_some_and(|width| width <= 0.0) {
            out.beyond(FaultKind::NoOverlap, joint.common_width_mm.unwrap_or(0.0), 0.0, "mm");
        } else {
            out.impossible(Side::Joint, error);
        }
    }
    if let Some(width) = given.unwrap_or(None).or(widths) {
        out.figure(
            ("common face width", "b", "mm"),
            width,
            ("min(b1, b2) unless the joint tells", ISO_21771),
        );
        // cos β is m_n/m_t.
        let cos_helix = of_a.normal_module_mm / of_a.transverse_module_mm;
        let sin_helix = (1.0 - cos_helix * cos_helix).max(0.0).sqrt();
        let overlap = width * sin_helix / (PI * of_a.normal_module_mm);
        out.figure(("overlap ratio", "ε_β", "1"), overlap, ("b·sin β/(π·m_n)", ISO_21771));
        out.figure(("total contact ratio", "ε_γ", "1"), ratio + overlap, ("ε_α + ε_β", ISO_21771));
    }
}

fn lack_assumed_tips(out: &mut Judgement, a: Circles, b: Circles) {
    for (side, circles) in [(Side::A, a), (Side::B, b)] {
        let told = out.missing.iter().any(|known| known.side == side && known.figure == "tip_diameter_mm");
        if circles.tip_assumed && !told {
            out.lacks(side, "tip_diameter_mm");
        }
    }
}

/// Clearance of each tip to the other root. With an assumed tip the longest one counts, and only asks for the figure.
fn test_tip_clearance(out: &mut Judgement, at: &Working, a: Circles, b: Circles) {
    let floor = TIP_CLEARANCE_FLOOR_MODULES * at.module;
    let usual = TIP_CLEARANCE_USUAL_MODULES * at.module;
    let sides = [
        (
            a,
            b,
            FaultKind::TipClearanceAtRootOfB,
            Side::B,
            ("tip clearance at the root of the second gear", "c_2", "mm"),
        ),
        (
            b,
            a,
            FaultKind::TipClearanceAtRootOfA,
            Side::A,
            ("tip clearance at the root of the first gear", "c_1", "mm"),
        ),
    ];
    for (tip_of, root_of, fault, side, name) in sides {
        let Some(root) = root_of.root else {
            out.lacks(side, "root_diameter_mm");
            continue;
        };
        let clearance = at.distance - tip_of.tip / 2.0 - root / 2.0;
        out.figure(name, clearance, ("a − d_a/2 − d_f/2", ISO_21771));
        let worst = at.distance - tip_of.full_tip / 2.0 - root / 2.0;
        if worst < floor {
            if tip_of.tip_assumed {
                lack_assumed_tips(out, a, b);
            } else {
                out.beyond(fault, worst, floor, "mm");
            }
        } else if worst < usual - 0.01 * at.module {
            out.warn(WarningKind::LowTipClearance, side, worst, usual, "mm");
        }
    }
}

/// Where each tip leaves the mate's flank, against where that flank begins; and thin tips and undercut.
fn test_interference(
    out: &mut Judgement,
    at: &Working,
    a: (&MeshGear, &ToothSystem, Circles),
    b: (&MeshGear, &ToothSystem, Circles),
) {
    let line = at.distance * at.sine;
    let pairs = [
        (a, b, at.bases[0], FaultKind::InterferenceAtRootOfB, "ρ_start2"),
        (b, a, at.bases[1], FaultKind::InterferenceAtRootOfA, "ρ_start1"),
    ];
    for ((gear, system, circles), (mate, mate_system, _), base, fault, symbol) in pairs {
        let start = line - tip_curvature(circles.tip, base);
        let rule = ("a·sin α_wt − √(d_a² − d_b²)/2 of the mate's tip", ISO_21771);
        out.figure(("radius of curvature where contact begins", symbol, "mm"), start, rule);
        let form = mate
            .shift
            .map_or(0.0, |shift| mate_system.form_curvature_mm(mate.tooth_count, shift, &RACK).max(0.0));
        let mate_base = at.bases[0] + at.bases[1] - base;
        if runs_below_usable_involute(start, form, mate_base, at.module) {
            if circles.tip_assumed {
                lack_assumed_tips(out, a.2, b.2);
            } else {
                out.beyond(fault, start, form, "mm");
            }
        }
        let Some(shift) = gear.shift else { continue };
        let least = least_shift(system, gear.tooth_count, &RACK);
        if shift < least {
            out.warn(WarningKind::Undercut, gear.side, shift, least, "1");
        }
        let thickness = thickness_at(system, gear.tooth_count, shift, circles.tip);
        test_tip_thickness(out, gear, system, thickness, circles);
    }
}

/// A tip beyond the point where the flanks meet cannot exist: the diameter or the shift is wrong.
fn test_tip_thickness(
    out: &mut Judgement,
    gear: &MeshGear,
    system: &ToothSystem,
    thickness: f64,
    circles: Circles,
) {
    let symbol = if gear.side == Side::A { "s_at1" } else { "s_at2" };
    let rule = ("d_a(s_t/d + inv α_t − inv α_at)", ISO_21771);
    out.figure(("transverse tooth thickness at the tip", symbol, "mm"), thickness, rule);
    let advised = TIP_THICKNESS_ADVISED_MODULES * system.normal_module_mm;
    if thickness < 0.0 {
        let reason = MissingReason::Impossible {
            value: circles.tip,
            least: system.base_diameter_mm(gear.tooth_count),
            most: circles.tip,
            unit: "mm",
        };
        out.missing.push(Missing { side: gear.side, figure: "tip_diameter_mm", reason });
    } else if thickness < advised {
        out.warn(WarningKind::ThinTip, gear.side, thickness, advised, "mm");
    }
}
