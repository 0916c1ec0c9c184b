//! Section of a splined shaft with the teeth that carry.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::drawing::{Drawing, InvoluteTeeth, Look, point, polar};
use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::{SplineStandard, SplineTeeth};
use crate::involute::involute;

const CARRYING: &str = "#c22";
const IDLE: &str = "#e8e8e8";

/// The picture: teeth that carry are filled, missing ones drawn pale. `groups` says in how many groups round the shaft the
/// carrying teeth stand; each group begins its part of the circle. Of a hub the shaft is drawn that it would carry on.
///
/// # Errors
/// A figure that is missing or out of range, or groups that do not go into the tooth counts.
pub fn spline_section(spline: &SplineTeeth, groups: u32) -> Result<String, BadInput> {
    let teeth = bounds::SPLINE_TEETH.check("tooth_count", f64::from(spline.tooth_count))?;
    let carrying = spline.carrying_teeth.unwrap_or(spline.tooth_count);
    Bound { least: 1.0, most: teeth, unit: "1" }.check("carrying_teeth", f64::from(carrying))?;
    Bound { least: 1.0, most: f64::from(carrying), unit: "1" }.check("groups", f64::from(groups))?;
    if !spline.tooth_count.is_multiple_of(groups) || !carrying.is_multiple_of(groups) {
        return Err(BadInput::Contradiction {
            field: "groups",
            problem: "must go into the full tooth count and into the carrying teeth",
        });
    }
    let (per_group, standing) = (spline.tooth_count / groups, carrying / groups);
    let carries = |index: u32| index % per_group < standing;
    match spline.standard {
        SplineStandard::Straight => straight(spline, carrying, carries),
        SplineStandard::Iso4156 | SplineStandard::Din5480 | SplineStandard::AnsiB92 => {
            involute_spline(spline, carrying, carries)
        }
    }
}

fn needed(bound: &Bound, field: &'static str, value: Option<f64>) -> Result<f64, BadInput> {
    let known = value.ok_or(BadInput::Contradiction { field, problem: "is needed for a drawing" })?;
    bound.check(field, known)
}

fn frame(spline: &SplineTeeth, carrying: u32, radius: f64) -> Drawing {
    let title = format!("Spline of {} teeth, {carrying} carry", spline.tooth_count);
    let edge = 1.1 * radius;
    Drawing::new(&title, [-edge, -edge, 2.0 * edge, 2.0 * edge])
}

fn straight(spline: &SplineTeeth, carrying: u32, carries: impl Fn(u32) -> bool) -> Result<String, BadInput> {
    let major = needed(&bounds::DIAMETER, "major_diameter_mm", spline.major_diameter_mm)? / 2.0;
    let minor = needed(&bounds::DIAMETER, "minor_diameter_mm", spline.minor_diameter_mm)? / 2.0;
    // Half of the pitch on the minor circle where the width is not known.
    let width = spline.tooth_or_space_width_mm.unwrap_or(TAU * minor / f64::from(spline.tooth_count) / 2.0);
    let half =
        Bound { least: 0.01, most: 2.0 * minor, unit: "mm" }.check("tooth_or_space_width_mm", width)? / 2.0;
    if minor >= major || half >= minor {
        return Err(BadInput::Contradiction {
            field: "minor_diameter_mm",
            problem: "must be smaller than the major diameter and larger than a tooth is wide",
        });
    }
    let mut drawing = frame(spline, carrying, major);
    let hair = major / 150.0;
    drawing.circle((0.0, 0.0), minor, Look::area("#223", "#dfe7ee", hair));
    for index in 0..spline.tooth_count {
        let middle = TAU * f64::from(index) / f64::from(spline.tooth_count);
        let corner =
            |radius: f64, side: f64| polar((0.0, 0.0), radius, middle + side * (half / radius).asin());
        let mut data = String::new();
        point(&mut data, 'M', corner(minor, -1.0));
        point(&mut data, 'L', corner(major, -1.0));
        point(&mut data, 'L', corner(major, 1.0));
        point(&mut data, 'L', corner(minor, 1.0));
        data.push('Z');
        drawing.path(&data, Look::area("#223", if carries(index) { CARRYING } else { IDLE }, hair));
    }
    Ok(drawing.finish())
}

fn involute_spline(
    spline: &SplineTeeth,
    carrying: u32,
    carries: impl Fn(u32) -> bool,
) -> Result<String, BadInput> {
    let module = needed(&bounds::MODULE, "module_mm", spline.module_mm)?;
    let given = match spline.standard {
        SplineStandard::Din5480 => spline.pressure_angle_deg.or(Some(30.0)),
        _ => spline.pressure_angle_deg,
    };
    let angle = needed(&bounds::PRESSURE_ANGLE, "pressure_angle_deg", given)?.to_radians();
    let teeth = f64::from(spline.tooth_count);
    let pitch = module * teeth / 2.0;
    let shift = match spline.reference_diameter_mm {
        Some(reference) if spline.standard == SplineStandard::Din5480 => {
            (reference - 2.0 * pitch - 1.1 * module) / 2.0
        }
        _ => 0.0,
    };
    let tip = spline.major_diameter_mm.map_or(pitch + shift + 0.5 * module, |major| major / 2.0);
    let root = spline.minor_diameter_mm.map_or(pitch + shift - 0.75 * module, |minor| minor / 2.0);
    let limit = Bound { least: 0.05 * module, most: bounds::DIAMETER.most / 2.0, unit: "mm" };
    let (tip, root) = (limit.check("major_diameter_mm", tip)?, limit.check("minor_diameter_mm", root)?);
    let base_radius = pitch * angle.cos();
    if root >= tip || base_radius >= tip {
        return Err(BadInput::Contradiction {
            field: "major_diameter_mm",
            problem: "must be larger than the minor diameter and the base circle",
        });
    }
    let thickness = FRAC_PI_2 * module + 2.0 * shift * angle.tan();
    let outline = InvoluteTeeth {
        centre: (0.0, 0.0),
        tooth_count: spline.tooth_count,
        base_radius,
        tip_radius: tip,
        root_radius: root,
        base_half_angle: thickness / (2.0 * pitch) + involute(angle),
        first_tooth: FRAC_PI_2,
    };
    let mut drawing = frame(spline, carrying, tip);
    let hair = tip / 200.0;
    drawing.circle((0.0, 0.0), root, Look::area("#223", "#dfe7ee", hair));
    for index in 0..spline.tooth_count {
        let fill = if carries(index) { CARRYING } else { IDLE };
        drawing.path(&outline.tooth_area(index), Look::area("#223", fill, hair));
    }
    drawing.circle((0.0, 0.0), pitch, Look::dashed("#777", hair, 8.0 * hair));
    Ok(drawing.finish())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn spline(carrying: Option<u32>) -> SplineTeeth {
        SplineTeeth {
            module_mm: Some(2.0),
            pressure_angle_deg: Some(30.0),
            carrying_teeth: carrying,
            ..SplineTeeth::new(SplineStandard::Iso4156, 24, true)
        }
    }

    #[test]
    fn the_carrying_teeth_are_filled() {
        let half = spline_section(&spline(Some(12)), 3).unwrap();
        assert_eq!((half.matches(CARRYING).count(), half.matches(IDLE).count()), (12, 12));
        assert_eq!(spline_section(&spline(None), 1).unwrap().matches(CARRYING).count(), 24);
        assert_eq!(spline_section(&spline(Some(12)), 5).unwrap_err().field(), "groups");
    }

    #[test]
    fn straight_teeth_have_their_diameters() {
        let straight = crate::spline_straight::parse_straight_spline("8x32x36").unwrap().feature(true);
        let svg = spline_section(&straight, 1).unwrap();
        assert_eq!(svg.matches("<path").count(), 8);
        let unknown = SplineTeeth { major_diameter_mm: None, ..straight };
        assert_eq!(spline_section(&unknown, 1).unwrap_err().field(), "major_diameter_mm");
    }

    proptest! {
        #[test]
        fn no_figures_give_nan(
            teeth in 0_u32..80, module in proptest::num::f64::ANY, major in proptest::option::of(-5.0_f64..200.0),
            minor in proptest::option::of(-5.0_f64..200.0), reference in proptest::option::of(0.0_f64..200.0),
        ) {
            for standard in [SplineStandard::Iso4156, SplineStandard::Din5480, SplineStandard::Straight] {
                let odd = SplineTeeth {
                    standard,
                    tooth_count: teeth,
                    module_mm: Some(if module.abs() < 1e3 { module } else { 2.5 }),
                    major_diameter_mm: major,
                    minor_diameter_mm: minor,
                    reference_diameter_mm: reference,
                    ..spline(None)
                };
                if let Ok(svg) = spline_section(&odd, 1) {
                    prop_assert!(!svg.contains("NaN") && !svg.contains("inf"));
                }
            }
        }
    }
}
