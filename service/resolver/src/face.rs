//! A feature of the catalogue as a face that mechanics can judge.

use catalogue::{Feature, FeatureKind, Hand};
use mechanics::iso_286::ToleranceClass;
use mechanics::{
    Cone, Cylinder, CylinderRole, DogTeeth, GearTeeth, SealSeat, ShaftSeal, SplineStandard, SplineTeeth,
    Thread, ThrustFace, Tolerance,
};

/// The face of a feature; figures that the row leaves empty stay unknown.
pub(crate) fn face(row: &Feature) -> mechanics::Feature {
    match row.kind {
        FeatureKind::Gear => mechanics::Feature::Gear(gear(row)),
        FeatureKind::SplineShaft => mechanics::Feature::Spline(spline(row, true)),
        FeatureKind::SplineHub => mechanics::Feature::Spline(spline(row, false)),
        FeatureKind::Bore => mechanics::Feature::Cylinder(cylinder(row, CylinderRole::Bore)),
        FeatureKind::Journal => mechanics::Feature::Cylinder(cylinder(row, CylinderRole::Journal)),
        FeatureKind::BearingBore => mechanics::Feature::Cylinder(cylinder(row, CylinderRole::BearingBore)),
        FeatureKind::BearingOutside => {
            mechanics::Feature::Cylinder(cylinder(row, CylinderRole::BearingOutside))
        }
        FeatureKind::Seal => mechanics::Feature::Seal(seal(row)),
        FeatureKind::SealSeat => mechanics::Feature::SealSeat(SealSeat {
            shaft_mm: row.diameter_mm,
            bore_mm: None,
            width_mm: row.length_mm,
        }),
        FeatureKind::SealBore => mechanics::Feature::SealSeat(SealSeat {
            shaft_mm: None,
            bore_mm: row.diameter_mm,
            width_mm: row.length_mm,
        }),
        FeatureKind::ThreadOutside => mechanics::Feature::Thread(thread(row, false)),
        FeatureKind::ThreadInside => mechanics::Feature::Thread(thread(row, true)),
        FeatureKind::ThrustFace => mechanics::Feature::ThrustFace(ThrustFace {
            inner_diameter_mm: row.inside_diameter_mm,
            outer_diameter_mm: row.outside_diameter_mm,
            thickness_mm: row.length_mm,
        }),
        FeatureKind::DogTeeth => mechanics::Feature::DogTeeth(DogTeeth {
            tooth_count: count(row.tooth_count),
            internal: None,
            pitch_diameter_mm: row.diameter_mm,
            flank_angle_deg: row.pressure_angle_deg,
            length_mm: row.length_mm,
        }),
        FeatureKind::Cone => mechanics::Feature::Cone(Cone {
            internal: None,
            half_angle_deg: row.cone_angle_deg.map(|whole| whole / 2.0),
            mean_diameter_mm: row.diameter_mm,
            width_mm: row.length_mm,
        }),
    }
}

fn count(teeth: Option<i64>) -> u32 {
    teeth.and_then(|teeth| u32::try_from(teeth).ok()).unwrap_or(0)
}

fn hand(row: &Feature) -> Option<mechanics::Hand> {
    match (row.hand, row.helix_angle_deg) {
        (Some(Hand::Left), _) => Some(mechanics::Hand::Left),
        (Some(Hand::Right), _) => Some(mechanics::Hand::Right),
        (None, Some(0.0)) => Some(mechanics::Hand::Spur),
        (None, _) => None,
    }
}

fn gear(row: &Feature) -> GearTeeth {
    GearTeeth {
        tooth_count: count(row.tooth_count),
        normal_module_mm: row.module_mm,
        normal_pressure_angle_deg: row.pressure_angle_deg,
        helix_angle_deg: row.helix_angle_deg,
        helix_hand: hand(row),
        profile_shift: row.profile_shift,
        tip_diameter_mm: row.outside_diameter_mm,
        root_diameter_mm: row.inside_diameter_mm,
        face_width_mm: row.length_mm,
        base_pitch_uncertainty_mm: row.uncertainty_mm,
        ..GearTeeth::default()
    }
}

fn spline(row: &Feature, external: bool) -> SplineTeeth {
    let designation = row.designation.as_deref().unwrap_or("").to_uppercase();
    let standard = if designation.contains("5480") {
        SplineStandard::Din5480
    } else if designation.contains("B92") {
        SplineStandard::AnsiB92
    } else if row.module_mm.is_none() && row.pressure_angle_deg.is_none() {
        SplineStandard::Straight
    } else {
        SplineStandard::Iso4156
    };
    SplineTeeth {
        module_mm: row.module_mm,
        pressure_angle_deg: row.pressure_angle_deg,
        reference_diameter_mm: row.diameter_mm,
        major_diameter_mm: row.outside_diameter_mm,
        minor_diameter_mm: row.inside_diameter_mm,
        engaged_length_mm: row.length_mm,
        carrying_teeth: row.carrying_teeth.and_then(|teeth| u32::try_from(teeth).ok()),
        ..SplineTeeth::new(standard, count(row.tooth_count), external)
    }
}

fn cylinder(row: &Feature, role: CylinderRole) -> Cylinder {
    let tolerance = row.tolerance.as_deref().and_then(|text| text.parse::<ToleranceClass>().ok());
    Cylinder {
        role,
        diameter_mm: row.diameter_mm,
        tolerance: tolerance.map(Tolerance::Iso286),
        length_mm: row.length_mm,
    }
}

/// The three sizes of `50x72x8`.
fn three_sizes(designation: Option<&str>) -> [Option<f64>; 3] {
    let mut sizes = designation
        .unwrap_or("")
        .split(['x', 'X', '×'])
        .map(|size| size.trim().parse::<f64>().ok().filter(|size| size.is_finite() && *size > 0.0));
    [sizes.next().flatten(), sizes.next().flatten(), sizes.next().flatten()]
}

fn seal(row: &Feature) -> ShaftSeal {
    let [shaft, bore, width] = three_sizes(row.designation.as_deref());
    ShaftSeal {
        shaft_mm: row.inside_diameter_mm.or(shaft),
        bore_mm: row.outside_diameter_mm.or(bore),
        width_mm: row.length_mm.or(width),
    }
}

fn thread(row: &Feature, internal: bool) -> Thread {
    let text = row.designation.as_deref().unwrap_or("").trim().trim_start_matches(['M', 'm']);
    let [diameter, pitch, _] = three_sizes(Some(text));
    Thread {
        diameter_mm: row.diameter_mm.or(diameter),
        pitch_mm: row.pitch_mm.or(pitch),
        hand: match row.hand {
            Some(Hand::Left) => Some(mechanics::Hand::Left),
            Some(Hand::Right) => Some(mechanics::Hand::Right),
            None => None,
        },
        internal,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_designation_gives_the_sizes_it_names() {
        assert_eq!(three_sizes(Some("50x72x8")), [Some(50.0), Some(72.0), Some(8.0)]);
        assert_eq!(three_sizes(Some("30×1.5")), [Some(30.0), Some(1.5), None]);
        assert_eq!(three_sizes(Some("x-3xNaN")), [None, None, None]);
    }
}
