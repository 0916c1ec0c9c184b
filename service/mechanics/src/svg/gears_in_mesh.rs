//! Two gears in mesh, in transverse section, to scale, with true involute flanks.

use std::f64::consts::PI;

use super::drawing::{Drawing, InvoluteTeeth, Look, polar};
use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::GearTeeth;
use crate::gear::{BasicRack, ToothSystem, checked_teeth};

/// Most teeth drawn; more would be a grey ring.
const TEETH_MOST: f64 = 400.0;

struct Drawn {
    teeth: u32,
    system: ToothSystem,
    base: f64,
    tip: f64,
    root: f64,
    base_half_angle: f64,
}

fn needed(field: &'static str, value: Option<f64>) -> Result<f64, BadInput> {
    value.ok_or(BadInput::Contradiction { field, problem: "is needed for a drawing" })
}

fn read(gear: &GearTeeth) -> Result<Drawn, BadInput> {
    let teeth = checked_teeth("tooth_count", gear.tooth_count)?;
    Bound { least: 3.0, most: TEETH_MOST, unit: "1" }.check("tooth_count", teeth)?;
    let helix = match gear.helix_hand {
        Some(crate::feature::Hand::Spur) => 0.0,
        _ => needed("helix_angle_deg", gear.helix_angle_deg)?,
    };
    let system = ToothSystem::new(
        needed("normal_module_mm", gear.normal_module_mm)?,
        needed("normal_pressure_angle_deg", gear.normal_pressure_angle_deg)?,
        helix,
    )?;
    let shift = bounds::PROFILE_SHIFT.check("profile_shift", needed("profile_shift", gear.profile_shift)?)?;
    let rack = BasicRack::ISO_53_A;
    let base = system.base_diameter_mm(gear.tooth_count);
    let of_rack = (
        system.tip_diameter_mm(gear.tooth_count, shift, &rack, 0.0),
        system.root_diameter_mm(gear.tooth_count, shift, &rack),
    );
    let tip = bounds::DIAMETER.check("tip_diameter_mm", gear.tip_diameter_mm.unwrap_or(of_rack.0))?;
    let root = bounds::DIAMETER.check("root_diameter_mm", gear.root_diameter_mm.unwrap_or(of_rack.1))?;
    if tip <= base || root >= tip {
        return Err(BadInput::Contradiction {
            field: "tip_diameter_mm",
            problem: "must be larger than base and root circle",
        });
    }
    Ok(Drawn {
        teeth: gear.tooth_count,
        base,
        tip,
        root,
        base_half_angle: system.base_thickness_mm(gear.tooth_count, shift) / base,
        system,
    })
}

/// The picture: flanks, tip and working pitch circles, line of action with the part in contact.
///
/// # Errors
/// A figure that is missing or out of range, by its field; a centre distance below the base circles.
pub fn gears_in_mesh(a: &GearTeeth, b: &GearTeeth, centre_distance_mm: f64) -> Result<String, BadInput> {
    let distance = bounds::CENTRE_DISTANCE.check("centre_distance_mm", centre_distance_mm)?;
    let (first, second) = (read(a)?, read(b)?);
    let cosine = (first.base + second.base) / (2.0 * distance);
    if cosine >= 1.0 {
        return Err(BadInput::OutOfRange {
            field: "centre_distance_mm",
            value: distance,
            least: (first.base + second.base) / 2.0,
            most: bounds::CENTRE_DISTANCE.most,
            unit: "mm",
        });
    }
    let centres = [(0.0, 0.0), (distance, 0.0)];
    let high = first.tip.max(second.tip) / 2.0;
    let margin = 2.0 * first.system.normal_module_mm;
    let left = -first.tip / 2.0 - margin;
    let width = first.tip / 2.0 + distance + second.tip / 2.0 + 2.0 * margin;
    let title = format!("Gears of {} and {} teeth in mesh", first.teeth, second.teeth);
    let mut drawing = Drawing::new(&title, [left, -high - margin, width, 2.0 * (high + margin)]);
    let hair = first.system.normal_module_mm / 20.0;
    // A tooth of the first gear points at a space of the second.
    let directions = [0.0, PI + PI / f64::from(second.teeth)];
    let ratio = first.base / (first.base + second.base);
    let working = [distance * ratio, distance * (1.0 - ratio)];
    for (i, gear) in [&first, &second].into_iter().enumerate() {
        let teeth = InvoluteTeeth {
            centre: centres[i],
            tooth_count: gear.teeth,
            base_radius: gear.base / 2.0,
            tip_radius: gear.tip / 2.0,
            root_radius: gear.root / 2.0,
            base_half_angle: gear.base_half_angle,
            first_tooth: directions[i],
        };
        let fill = if i == 0 { "#dfe7ee" } else { "#eee6da" };
        drawing.path(&teeth.outline(), Look::area("#223", fill, hair));
        drawing.circle(centres[i], working[i], Look::dashed("#777", hair, 10.0 * hair));
        drawing.circle(centres[i], gear.base / 2.0, Look::line("#b9b", hair));
        drawing.circle(centres[i], 3.0 * hair, Look::area("#223", "#223", hair));
    }
    line_of_action(&mut drawing, (&first, &second), cosine, working[0], hair);
    Ok(drawing.finish())
}

/// The tangent to both base circles, bold where teeth touch.
fn line_of_action(
    drawing: &mut Drawing,
    (first, second): (&Drawn, &Drawn),
    cosine: f64,
    pitch: f64,
    hair: f64,
) {
    let sine = (1.0 - cosine * cosine).sqrt();
    let angle = cosine.acos();
    // Tangent point on the first base circle; from there the line runs towards the second.
    let start = polar((0.0, 0.0), first.base / 2.0, angle);
    let along = |length: f64| (start.0 + length * sine, start.1 + length * cosine);
    let whole = (pitch + pitch * second.base / first.base) * sine;
    drawing.segment(along(0.0), along(whole), Look::line("#a33", hair));
    let reach = |gear: &Drawn| (gear.tip * gear.tip - gear.base * gear.base).max(0.0).sqrt() / 2.0;
    let (from, to) = ((whole - reach(second)).max(0.0), reach(first).min(whole));
    if from < to {
        drawing.segment(along(from), along(to), Look::line("#d00", 4.0 * hair));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::feature::Hand;

    fn gear(teeth: u32, shift: f64) -> GearTeeth {
        GearTeeth {
            tooth_count: teeth,
            normal_module_mm: Some(3.0),
            normal_pressure_angle_deg: Some(20.0),
            helix_hand: Some(Hand::Spur),
            profile_shift: Some(shift),
            ..GearTeeth::default()
        }
    }

    #[test]
    fn the_picture_is_the_same_every_time_and_has_every_tooth() {
        let svg = gears_in_mesh(&gear(12, 0.6), &gear(24, 0.36), 56.5).unwrap();
        assert_eq!(svg, gears_in_mesh(&gear(12, 0.6), &gear(24, 0.36), 56.5).unwrap());
        let arcs: usize =
            svg.lines().filter(|line| line.starts_with("<path")).map(|line| line.matches('A').count()).sum();
        // One root arc between neighbouring teeth, the last closed by Z.
        assert_eq!(arcs, 11 + 23);
        assert!(svg.starts_with("<svg ") && svg.ends_with("</svg>\n") && !svg.contains("NaN"));
    }

    #[test]
    fn the_flank_runs_through_the_reference_thickness() {
        // On the reference circle an unshifted tooth is π·m/2 thick: half an angle of π/2z.
        let drawn = read(&gear(20, 0.0)).unwrap();
        let cosine: f64 = drawn.base / 60.0;
        let inv = cosine.acos().tan() - cosine.acos();
        assert!((drawn.base_half_angle - inv - PI / 40.0).abs() < 1e-12);
    }

    #[test]
    fn what_is_missing_is_named() {
        let unknown = GearTeeth { profile_shift: None, ..gear(12, 0.0) };
        assert_eq!(gears_in_mesh(&unknown, &gear(24, 0.0), 54.0).unwrap_err().field(), "profile_shift");
        assert_eq!(
            gears_in_mesh(&gear(12, 0.0), &gear(24, 0.0), 40.0).unwrap_err().field(),
            "centre_distance_mm"
        );
        assert_eq!(gears_in_mesh(&gear(0, 0.0), &gear(24, 0.0), 54.0).unwrap_err().field(), "tooth_count");
    }
}
