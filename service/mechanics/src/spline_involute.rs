//! Involute splines: geometry of ISO 4156, ANSI B92.1 and DIN 5480, and the designations of ISO 4156 and DIN 5480.

use std::f64::consts::{FRAC_PI_2, PI};

use crate::bad_input::BadInput;
use crate::bounds::{self, Bound};
use crate::feature::{SplineStandard, SplineTeeth};

/// Form of the spline root.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum RootForm {
    /// Flat root.
    Flat,
    /// Fillet root.
    Fillet,
}

/// Geometry of an ISO 4156 spline.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Iso4156Geometry {
    /// Pitch diameter D = m·z.
    pub pitch_diameter_mm: f64,
    /// Base diameter D_b = m·z·cos α.
    pub base_diameter_mm: f64,
    /// Circular pitch p = π·m.
    pub circular_pitch_mm: f64,
    /// Basic space width E = S = π·m/2.
    pub basic_space_width_mm: f64,
    /// Major diameter of the hub, least, D_ei min.
    pub hub_major_min_mm: f64,
    /// Major diameter of the shaft, most, D_ee max.
    pub shaft_major_max_mm: f64,
    /// Minor diameter of the shaft, most, D_ie max.
    pub shaft_minor_max_mm: f64,
}

/// Geometry after ISO 4156. `es_v_um` is the deviation of the effective tooth thickness (nought or negative).
///
/// # Errors
/// A figure out of range, or a pressure angle other than 30, 37.5 or 45 degrees with its root forms.
pub fn iso_4156_geometry(
    tooth_count: u32,
    module_mm: f64,
    pressure_angle_deg: f64,
    root: RootForm,
    es_v_um: f64,
) -> Result<Iso4156Geometry, BadInput> {
    let teeth = bounds::SPLINE_TEETH.check("tooth_count", f64::from(tooth_count))?;
    let module = bounds::MODULE.check("module_mm", module_mm)?;
    let deviation = bounds::DEVIATION_UM.check("es_v_um", es_v_um)? / 1000.0;
    let angle = bounds::PRESSURE_ANGLE.check("pressure_angle_deg", pressure_angle_deg)?;
    // Teeth added for hub major, shaft major, and taken for shaft minor.
    let (hub_major, shaft_major, shaft_minor) = match (angle, root) {
        (30.0, RootForm::Flat) => (1.5, 1.0, 1.5),
        (30.0, RootForm::Fillet) => (1.8, 1.0, 1.8),
        (37.5, RootForm::Fillet) => (1.4, 0.9, 1.4),
        (45.0, RootForm::Fillet) => (1.2, 0.8, 1.2),
        _ => {
            return Err(BadInput::NotInTable {
                field: "pressure_angle_deg",
                text: format!("{angle} {root:?}").to_lowercase(),
                table: "ISO 4156 (30 flat or fillet, 37.5 fillet, 45 fillet)",
            });
        }
    };
    let shift = deviation / angle.to_radians().tan();
    Ok(Iso4156Geometry {
        pitch_diameter_mm: module * teeth,
        base_diameter_mm: module * teeth * angle.to_radians().cos(),
        circular_pitch_mm: PI * module,
        basic_space_width_mm: FRAC_PI_2 * module,
        hub_major_min_mm: module * (teeth + hub_major),
        shaft_major_max_mm: module * (teeth + shaft_major) + shift,
        shaft_minor_max_mm: module * (teeth - shaft_minor) + shift,
    })
}

/// Geometry of an ANSI B92.1 spline of 30° with side fit, in inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnsiB92Geometry {
    /// Stub pitch P_s = 2P.
    pub stub_pitch: f64,
    /// Pitch diameter D = N/P.
    pub pitch_diameter_in: f64,
    /// Base diameter D_b.
    pub base_diameter_in: f64,
    /// Circular pitch p = π/P.
    pub circular_pitch_in: f64,
    /// Major diameter of the hub D_ri.
    pub hub_major_in: f64,
    /// Major diameter of the shaft D_o.
    pub shaft_major_in: f64,
    /// Minor diameter of the hub D_i.
    pub hub_minor_in: f64,
    /// Minor diameter of the shaft D_re.
    pub shaft_minor_in: f64,
    /// Least effective space width s_v = π/(2P).
    pub space_width_in: f64,
}

/// Geometry after ANSI B92.1, 30°, side fit; the fillet root's 1.8 is from memory.
///
/// # Errors
/// A figure out of range.
pub fn ansi_b92_geometry(tooth_count: u32, pitch: f64, root: RootForm) -> Result<AnsiB92Geometry, BadInput> {
    let teeth = bounds::SPLINE_TEETH.check("tooth_count", f64::from(tooth_count))?;
    let pitch = bounds::DIAMETRAL_PITCH.check("diametral_pitch", pitch)?;
    let deep = match root {
        RootForm::Flat => 1.35,
        RootForm::Fillet => 1.8,
    };
    Ok(AnsiB92Geometry {
        stub_pitch: 2.0 * pitch,
        pitch_diameter_in: teeth / pitch,
        base_diameter_in: teeth / pitch * 30.0_f64.to_radians().cos(),
        circular_pitch_in: PI / pitch,
        hub_major_in: (teeth + deep) / pitch,
        shaft_major_in: (teeth + 1.0) / pitch,
        hub_minor_in: (teeth - 1.0) / pitch,
        shaft_minor_in: (teeth - deep) / pitch,
        space_width_in: FRAC_PI_2 / pitch,
    })
}

/// How the teeth of a DIN 5480 part are made; decides the root depth h_fP*.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Din5480Making {
    /// Broached hub: 0.55.
    Broached,
    /// Hobbed shaft: 0.60.
    Hobbed,
    /// Shaped: 0.65.
    Shaped,
    /// Cold rolled: 0.84.
    Rolled,
}

impl Din5480Making {
    /// h_fP*.
    pub fn root_depth(self) -> f64 {
        match self {
            Self::Broached => 0.55,
            Self::Hobbed => 0.60,
            Self::Shaped => 0.65,
            Self::Rolled => 0.84,
        }
    }
}

/// Geometry of a DIN 5480 connection, 30°.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Din5480Geometry {
    /// Reference diameter d_B.
    pub reference_diameter_mm: f64,
    /// Pitch diameter d = m·z. Never equal to d_B.
    pub pitch_diameter_mm: f64,
    /// Base diameter d_b = m·z·cos 30°.
    pub base_diameter_mm: f64,
    /// Profile shift x of the shaft, x·m = (d_B − m·z − 1.1·m)/2.
    pub shift_coefficient: f64,
    /// x·m.
    pub shift_mm: f64,
    /// Tip diameter of the shaft, d_B − 0.2·m.
    pub shaft_tip_mm: f64,
    /// Tip diameter of the hub, d_B − 2·m.
    pub hub_tip_mm: f64,
}

impl Din5480Geometry {
    /// Root diameter of the shaft, m·z + 2x·m − 2·h_fP.
    pub fn shaft_root_mm(&self, module_mm: f64, making: Din5480Making) -> f64 {
        self.pitch_diameter_mm + 2.0 * self.shift_mm - 2.0 * making.root_depth() * module_mm
    }
}

/// Geometry after DIN 5480-1.
///
/// # Errors
/// A figure out of range, or a reference diameter too far from m·z.
pub fn din_5480_geometry(
    reference_diameter_mm: f64,
    module_mm: f64,
    tooth_count: u32,
) -> Result<Din5480Geometry, BadInput> {
    let reference = bounds::DIAMETER.check("reference_diameter_mm", reference_diameter_mm)?;
    let module = bounds::MODULE.check("module_mm", module_mm)?;
    let teeth = bounds::SPLINE_TEETH.check("tooth_count", f64::from(tooth_count))?;
    let pitch = module * teeth;
    // The standard picks z so that x stays between about −0.05 and 0.45; ±1 takes any real part.
    let bound = Bound { least: pitch - 0.9 * module, most: pitch + 3.1 * module, unit: "mm" };
    bound.check("reference_diameter_mm", reference)?;
    let shift = (reference - pitch - 1.1 * module) / 2.0;
    Ok(Din5480Geometry {
        reference_diameter_mm: reference,
        pitch_diameter_mm: pitch,
        base_diameter_mm: pitch * 30.0_f64.to_radians().cos(),
        shift_coefficient: shift / module,
        shift_mm: shift,
        shaft_tip_mm: reference - 0.2 * module,
        hub_tip_mm: reference - 2.0 * module,
    })
}

/// A designation of an involute spline read.
#[derive(Debug, Clone, PartialEq)]
pub struct InvoluteDesignation {
    /// DIN 5480 or ISO 4156.
    pub standard: SplineStandard,
    /// Shaft if true, hub if false.
    pub external: bool,
    /// Reference diameter d_B (DIN 5480 only).
    pub reference_diameter_mm: Option<f64>,
    /// Module.
    pub module_mm: f64,
    /// Teeth.
    pub tooth_count: u32,
    /// Pressure angle.
    pub pressure_angle_deg: f64,
    /// Tolerance grade, if written.
    pub grade: Option<u8>,
    /// Deviation letter, small for a shaft, capital for a hub, if written.
    pub deviation: Option<char>,
}

impl InvoluteDesignation {
    /// The spline as a feature.
    pub fn feature(&self) -> SplineTeeth {
        SplineTeeth {
            module_mm: Some(self.module_mm),
            pressure_angle_deg: Some(self.pressure_angle_deg),
            reference_diameter_mm: self.reference_diameter_mm,
            ..SplineTeeth::new(self.standard, self.tooth_count, self.external)
        }
    }
}

fn unreadable(text: &str, wanted: &'static str) -> BadInput {
    BadInput::Unreadable { field: "designation", text: text.chars().take(60).collect(), wanted }
}

/// Reads "DIN 5480 - W 30 x 2 x 14 x 9g": W shaft, N hub; d_B × m × z × grade and letter. Decimal comma, ×, X and
/// missing spaces are taken.
///
/// # Errors
/// A text of another form, a letter of the wrong case, or figures that cannot hold together.
pub fn parse_din_5480(text: &str) -> Result<InvoluteDesignation, BadInput> {
    const WANTED: &str = "DIN 5480 - W 30 x 2 x 14 x 9g (N for a hub)";
    let bad = || unreadable(text, WANTED);
    let plain: String = text.replace(['×', 'X', '*'], "x").replace(',', ".").split_whitespace().collect();
    let start = plain.to_uppercase().find("DIN5480").map_or(0, |at| at + "DIN5480".len());
    let body = plain.get(start..).ok_or_else(bad)?.trim_start_matches(['-', ':']);
    let mut letters = body.chars();
    let external = match letters.next() {
        Some('W' | 'w') => true,
        Some('N' | 'n') => false,
        _ => return Err(bad()),
    };
    let mut pieces = letters.as_str().split('x');
    let reference: f64 = pieces.next().and_then(|piece| piece.parse().ok()).ok_or_else(bad)?;
    let module: f64 = pieces.next().and_then(|piece| piece.parse().ok()).ok_or_else(bad)?;
    let tooth_count: u32 = pieces.next().and_then(|piece| piece.parse().ok()).ok_or_else(bad)?;
    let (grade, deviation) = match pieces.next() {
        None => (None, None),
        Some(class) => read_class(class, external).ok_or_else(bad)?,
    };
    if pieces.next().is_some() {
        return Err(bad());
    }
    din_5480_geometry(reference, module, tooth_count)?;
    Ok(InvoluteDesignation {
        standard: SplineStandard::Din5480,
        external,
        reference_diameter_mm: Some(reference),
        module_mm: module,
        tooth_count,
        pressure_angle_deg: 30.0,
        grade,
        deviation,
    })
}

fn read_class(class: &str, external: bool) -> Option<(Option<u8>, Option<char>)> {
    let split = class.find(|c: char| c.is_ascii_alphabetic())?;
    let grade: u8 = class[..split].parse().ok()?;
    let mut letters = class[split..].chars();
    let (letter, rest) = (letters.next()?, letters.next());
    if rest.is_some() || letter.is_ascii_lowercase() != external || !(3..=12).contains(&grade) {
        return None;
    }
    Some((Some(grade), Some(letter)))
}

/// Reads "EXT 24z x 2.5m x 30R x 5f" (INT for a hub; R fillet, P flat root); form of ISO 4156 from memory.
///
/// # Errors
/// A text of another form, or figures that cannot hold together.
pub fn parse_iso_4156(text: &str) -> Result<(InvoluteDesignation, RootForm), BadInput> {
    const WANTED: &str = "EXT 24z x 2.5m x 30R x 5f (INT and a capital letter for a hub)";
    let bad = || unreadable(text, WANTED);
    let plain: String = text.replace(['×', 'X', '*'], "x").replace(',', ".").split_whitespace().collect();
    // The ×-to-x replacement also touches EXT.
    let (external, body) = match plain.get(..3).map(str::to_uppercase).as_deref() {
        Some("EXT") => (true, &plain[3..]),
        Some("INT") => (false, &plain[3..]),
        _ => return Err(bad()),
    };
    let mut pieces = body.split('x');
    let tooth_count: u32 = pieces
        .next()
        .and_then(|p| p.strip_suffix(['z', 'Z']))
        .and_then(|p| p.parse().ok())
        .ok_or_else(bad)?;
    let module: f64 = pieces
        .next()
        .and_then(|p| p.strip_suffix(['m', 'M']))
        .and_then(|p| p.parse().ok())
        .ok_or_else(bad)?;
    let angle = pieces.next().ok_or_else(bad)?;
    let (angle, root) = if let Some(angle) = angle.strip_suffix(['R', 'r']) {
        (angle, RootForm::Fillet)
    } else {
        (angle.strip_suffix(['P', 'p']).ok_or_else(bad)?, RootForm::Flat)
    };
    let angle: f64 = angle.parse().map_err(|_| bad())?;
    let (grade, deviation) = match pieces.next() {
        None => (None, None),
        Some(class) => read_class(class, external).ok_or_else(bad)?,
    };
    iso_4156_geometry(tooth_count, module, angle, root, 0.0)?;
    let read = InvoluteDesignation {
        standard: SplineStandard::Iso4156,
        external,
        reference_diameter_mm: None,
        module_mm: module,
        tooth_count,
        pressure_angle_deg: angle,
        grade,
        deviation,
    };
    Ok((read, root))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn spellings_of_din_5480_are_read() {
        let plain = parse_din_5480("DIN 5480 - W 30 x 2 x 14 x 9g").unwrap();
        for same in ["W30x2x14x9g", "DIN 5480-W30×2×14×9g", "w 30 X 2,0 X 14 x 9g"] {
            assert_eq!(parse_din_5480(same).unwrap(), plain, "{same}");
        }
        let hub = parse_din_5480("DIN 5480 - N 30 x 2 x 14 x 9H").unwrap();
        assert!(!hub.external);
        for bad in ["W30x2x14x9G", "N30x2x14x9h", "W30x2", "30x2x14", "W30x2x14x9gg", "W80x2x14x9g"] {
            assert!(parse_din_5480(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn iso_4156_is_read() {
        let (read, root) = parse_iso_4156("INT 24z x 2.5m x 30R x 5H").unwrap();
        assert_eq!(
            (read.external, read.tooth_count, read.module_mm, root),
            (false, 24, 2.5, RootForm::Fillet)
        );
        assert!(parse_iso_4156("EXT 24z x 2.5m x 37.5P x 5f").is_err());
    }

    proptest! {
        #[test]
        fn no_text_breaks_the_readers(text in "\\PC{0,30}") {
            let _ = parse_din_5480(&text);
            let _ = parse_din_5480(&format!("W{text}"));
            let _ = parse_iso_4156(&format!("EXT{text}"));
        }
    }
}
