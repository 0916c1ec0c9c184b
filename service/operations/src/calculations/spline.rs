//! Geometry of a spline from its designation or figures, and its section with the teeth that carry.

use catalogue::Hazard;
use mechanics::spline_din_5480_tolerance::din_5480_tolerance;
use mechanics::spline_involute::{
    RootForm, ansi_b92_geometry, din_5480_geometry, iso_4156_geometry, parse_din_5480, parse_iso_4156,
};
use mechanics::spline_straight::{StraightSpline, parse_straight_spline};
use mechanics::svg::spline_section;
use mechanics::{SplineStandard, SplineTeeth};
use resolver::FigureValue;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, within};
use crate::calculations::sheet::figure;

catalogue::choice! {
    /// The system of a spline.
    pub enum SplineSystem {
        /// Metric module involute splines, side fit.
        Iso4156 = "iso_4156",
        /// Involute splines on a reference diameter.
        Din5480 = "din_5480",
        /// Inch involute splines; `module_mm` is 25.4 over the first number of the pitch.
        AnsiB92 = "ansi_b92",
        /// Straight sides (ISO 14).
        Straight = "straight",
    }
}

catalogue::choice! {
    /// Form of an involute spline's root.
    pub enum SplineRoot {
        /// Flat root.
        Flat = "flat",
        /// Fillet root.
        Fillet = "fillet",
    }
}

/// Teeth of a shaft or hub: a designation, or a system with its figures, or both, where the figures add to the designation.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplineAsked {
    /// Designation: `DIN 5480 - W 30 x 2 x 14 x 9g`, `EXT 24z x 2.5m x 30R x 5f` or `6x26x30`.
    #[schema(example = "DIN 5480 - W 30 x 2 x 14 x 9g")]
    pub designation: Option<String>,
    /// The system, where there is no designation.
    pub system: Option<SplineSystem>,
    /// Teeth of the full complement.
    pub tooth_count: Option<u32>,
    /// Module.
    pub module_mm: Option<f64>,
    /// Pressure angle.
    pub pressure_angle_deg: Option<f64>,
    /// Reference diameter of DIN 5480.
    pub reference_diameter_mm: Option<f64>,
    /// Major diameter.
    pub major_diameter_mm: Option<f64>,
    /// Minor diameter.
    pub minor_diameter_mm: Option<f64>,
    /// Width of a shaft's tooth or a hub's space.
    pub tooth_or_space_width_mm: Option<f64>,
    /// Splined or engaged length.
    pub engaged_length_mm: Option<f64>,
    /// Teeth that carry, where not all of them stand.
    pub carrying_teeth: Option<u32>,
}

impl SplineAsked {
    /// The teeth as mechanics takes them; `object` is their place in the request.
    pub(crate) fn teeth(&self, external: bool, object: &str) -> Result<SplineTeeth, CalculationFault> {
        // Held against its range also where the answer does not use it.
        mechanics::bounds::LENGTH
            .check_known("engaged_length_mm", self.engaged_length_mm)
            .map_err(within(object))?;
        let pointer = format!("{object}/designation");
        let mut teeth = match (&self.designation, self.system, self.tooth_count) {
            (Some(text), _, _) => read_designation(text, external, &pointer)?,
            (None, Some(system), Some(count)) => SplineTeeth::new(standard(system), count, external),
            (None, ..) => {
                let detail = "give a designation, or the system with its tooth_count";
                return Err(CalculationFault::at(pointer, "contradiction", detail));
            }
        };
        if let Some(count) = self.tooth_count {
            teeth.tooth_count = count;
        }
        teeth.module_mm = self.module_mm.or(teeth.module_mm);
        teeth.pressure_angle_deg = self.pressure_angle_deg.or(teeth.pressure_angle_deg);
        teeth.reference_diameter_mm = self.reference_diameter_mm.or(teeth.reference_diameter_mm);
        teeth.major_diameter_mm = self.major_diameter_mm.or(teeth.major_diameter_mm);
        teeth.minor_diameter_mm = self.minor_diameter_mm.or(teeth.minor_diameter_mm);
        teeth.tooth_or_space_width_mm = self.tooth_or_space_width_mm.or(teeth.tooth_or_space_width_mm);
        teeth.engaged_length_mm = self.engaged_length_mm.or(teeth.engaged_length_mm);
        teeth.carrying_teeth = self.carrying_teeth.or(teeth.carrying_teeth);
        Ok(teeth)
    }
}

fn standard(system: SplineSystem) -> SplineStandard {
    match system {
        SplineSystem::Iso4156 => SplineStandard::Iso4156,
        SplineSystem::Din5480 => SplineStandard::Din5480,
        SplineSystem::AnsiB92 => SplineStandard::AnsiB92,
        SplineSystem::Straight => SplineStandard::Straight,
    }
}

/// A designation tells its own system by how it begins.
fn read_designation(text: &str, external: bool, pointer: &str) -> Result<SplineTeeth, CalculationFault> {
    let upper = text.trim().to_uppercase();
    let wrong = |error| CalculationFault::of(&error, pointer);
    let teeth = if upper.contains("5480") || upper.starts_with(['W', 'N']) {
        parse_din_5480(text).map_err(wrong)?.feature()
    } else if upper.starts_with("EXT") || upper.starts_with("INT") {
        parse_iso_4156(text).map_err(wrong)?.0.feature()
    } else {
        parse_straight_spline(text).map_err(wrong)?.feature(external)
    };
    if teeth.external == external {
        return Ok(teeth);
    }
    let (found, wanted) = if external { ("hub", "shaft") } else { ("shaft", "hub") };
    let detail = format!("`{}` is the designation of a {found}; here stands the {wanted}", text.trim());
    Err(CalculationFault::at(pointer, "contradiction", detail))
}

/// One spline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplineGeometryAsked {
    /// The shaft's teeth.
    pub shaft: SplineAsked,
    /// Form of the root, for ISO 4156 and ANSI B92.1.
    #[serde(default = "usual_root")]
    #[schema(default = "fillet")]
    pub root: SplineRoot,
    /// In how many groups round the shaft the carrying teeth stand, for the drawing.
    #[serde(default = "usual_groups")]
    #[schema(default = 1)]
    pub groups: u32,
}

fn usual_root() -> SplineRoot {
    SplineRoot::Fillet
}
fn usual_groups() -> u32 {
    1
}

/// What the designation or the figures say of the spline.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SplineGeometryResult {
    /// The system.
    pub system: SplineSystem,
    /// Teeth of the full complement.
    pub tooth_count: u32,
    /// Teeth that carry.
    pub carrying_teeth: u32,
    /// Module; null for straight sides.
    pub module_mm: Option<f64>,
    /// Pressure angle; null for straight sides.
    pub pressure_angle_deg: Option<f64>,
    /// What this answer does not tell of the spline, and why; null where nothing is left out.
    pub not_covered: Option<String>,
}

/// Answer to [`SplineGeometryAsked`].
pub type SplineGeometrySheet = CalculationSheet<SplineGeometryAsked, SplineGeometryResult>;

/// Calculates the geometry of a spline.
pub fn calculate_spline(asked: &SplineGeometryAsked) -> Result<SplineGeometrySheet, CalculationFault> {
    let teeth = asked.shaft.teeth(true, "/shaft")?;
    let root = match asked.root {
        SplineRoot::Flat => RootForm::Flat,
        SplineRoot::Fillet => RootForm::Fillet,
    };
    let mut figures = geometry_figures(&teeth, root)?;
    let not_covered = add_tolerances(asked, &mut figures);
    let carrying = teeth.carrying_teeth.unwrap_or(teeth.tooth_count);
    if carrying == 0 || carrying > teeth.tooth_count {
        let detail = format!("carrying_teeth is {carrying}; it must lie from 1 to {}", teeth.tooth_count);
        return Err(CalculationFault::at("/shaft/carrying_teeth", "out_of_range", detail));
    }
    let result = SplineGeometryResult {
        system: match teeth.standard {
            SplineStandard::Iso4156 => SplineSystem::Iso4156,
            SplineStandard::Din5480 => SplineSystem::Din5480,
            SplineStandard::AnsiB92 => SplineSystem::AnsiB92,
            SplineStandard::Straight => SplineSystem::Straight,
        },
        tooth_count: teeth.tooth_count,
        carrying_teeth: carrying,
        module_mm: teeth.module_mm,
        pressure_angle_deg: teeth.pressure_angle_deg,
        not_covered,
    };
    Ok(CalculationSheet::new("spline", asked.clone(), result, figures, &[Hazard::Press]))
}

/// The section of the shaft, the teeth that carry filled.
pub fn draw_spline(asked: &SplineGeometryAsked) -> Result<String, CalculationFault> {
    let teeth = asked.shaft.teeth(true, "/shaft")?;
    spline_section(&teeth, asked.groups).map_err(|error| match error.field() {
        "groups" => error.into(),
        _ => within("/shaft")(error),
    })
}

/// Tolerances of a DIN 5480 class, where the row could be read; what is not told, in words.
fn add_tolerances(asked: &SplineGeometryAsked, figures: &mut Vec<FigureValue>) -> Option<String> {
    let class = asked.shaft.designation.as_deref().and_then(|text| parse_din_5480(text).ok());
    let Some(class) = class.filter(|class| class.grade.is_some()) else {
        let words = "limits of tooth thickness: they need a class in a designation of DIN 5480";
        return Some(words.to_owned());
    };
    let Ok(tolerance) = din_5480_tolerance(&class) else {
        let words = "limits of tooth thickness: of DIN 5480-1 table 7 only the row of module 2, 14 teeth, class 9g is held";
        return Some(words.to_owned());
    };
    for (head, value) in [
        (("deviation of tooth thickness", "A_s", "um"), tolerance.deviation_um),
        (("actual tolerance", "T_act", "um"), tolerance.actual_um),
        (("effective tolerance", "T_eff", "um"), tolerance.effective_um),
    ] {
        figures.push(figure(head, value, ("table 7", "DIN 5480-1")));
    }
    None
}

fn needed(field: &str, value: Option<f64>) -> Result<f64, CalculationFault> {
    let missing = || {
        let detail = format!("{field} is needed for the geometry of this spline");
        CalculationFault::at(format!("/shaft/{field}"), "contradiction", detail)
    };
    value.ok_or_else(missing)
}

fn geometry_figures(teeth: &SplineTeeth, root: RootForm) -> Result<Vec<FigureValue>, CalculationFault> {
    let mm =
        |name: &str, symbol: &str, value: f64, rule: (&str, &str)| figure((name, symbol, "mm"), value, rule);
    Ok(match teeth.standard {
        SplineStandard::Iso4156 => {
            let (module, angle) = (
                needed("module_mm", teeth.module_mm)?,
                needed("pressure_angle_deg", teeth.pressure_angle_deg)?,
            );
            let found =
                iso_4156_geometry(teeth.tooth_count, module, angle, root, 0.0).map_err(within("/shaft"))?;
            let iso = |formula| (formula, "ISO 4156");
            vec![
                mm("pitch diameter", "D", found.pitch_diameter_mm, iso("m·z")),
                mm("base diameter", "D_b", found.base_diameter_mm, iso("m·z·cos α")),
                mm("basic space width", "E", found.basic_space_width_mm, iso("π·m/2")),
                mm("least major diameter of the hub", "D_ei,min", found.hub_major_min_mm, iso("m·(z + c)")),
                mm(
                    "largest major diameter of the shaft",
                    "D_ee,max",
                    found.shaft_major_max_mm,
                    iso("m·(z + c)"),
                ),
                mm(
                    "largest minor diameter of the shaft",
                    "D_ie,max",
                    found.shaft_minor_max_mm,
                    iso("m·(z − c)"),
                ),
            ]
        }
        SplineStandard::Din5480 => {
            let module = needed("module_mm", teeth.module_mm)?;
            let reference = needed("reference_diameter_mm", teeth.reference_diameter_mm)?;
            let found = din_5480_geometry(reference, module, teeth.tooth_count).map_err(within("/shaft"))?;
            let din = |formula| (formula, "DIN 5480-1");
            vec![
                mm("reference diameter", "d_B", found.reference_diameter_mm, din("given")),
                mm("pitch diameter", "d", found.pitch_diameter_mm, din("m·z")),
                mm("base diameter", "d_b", found.base_diameter_mm, din("m·z·cos 30°")),
                mm("profile shift of the shaft", "x·m", found.shift_mm, din("(d_B − m·z − 1.1·m)/2")),
                mm("tip diameter of the shaft", "d_a1", found.shaft_tip_mm, din("d_B − 0.2·m")),
                mm("tip diameter of the hub", "d_a2", found.hub_tip_mm, din("d_B − 2·m")),
            ]
        }
        SplineStandard::AnsiB92 => {
            let module = needed("module_mm", teeth.module_mm)?;
            mechanics::bounds::MODULE.check("module_mm", module).map_err(within("/shaft"))?;
            let found =
                ansi_b92_geometry(teeth.tooth_count, 25.4 / module, root).map_err(within("/shaft"))?;
            let ansi = |formula| (formula, "ANSI B92.1");
            vec![
                mm("pitch diameter", "D", found.pitch_diameter_in * 25.4, ansi("N/P")),
                mm("base diameter", "D_b", found.base_diameter_in * 25.4, ansi("N/P·cos 30°")),
                mm("major diameter of the hub", "D_ri", found.hub_major_in * 25.4, ansi("(N + c)/P")),
                mm("major diameter of the shaft", "D_o", found.shaft_major_in * 25.4, ansi("(N + 1)/P")),
                mm("minor diameter of the hub", "D_i", found.hub_minor_in * 25.4, ansi("(N − 1)/P")),
                mm("minor diameter of the shaft", "D_re", found.shaft_minor_in * 25.4, ansi("(N − c)/P")),
                mm("least effective space width", "s_v", found.space_width_in * 25.4, ansi("π/(2·P)")),
            ]
        }
        SplineStandard::Straight => {
            let minor = needed("minor_diameter_mm", teeth.minor_diameter_mm)?;
            let major = needed("major_diameter_mm", teeth.major_diameter_mm)?;
            let found = StraightSpline::new(teeth.tooth_count, minor, major).map_err(within("/shaft"))?;
            let iso = |formula| (formula, "ISO 14");
            let mut figures = vec![
                mm("minor diameter", "d", found.minor_diameter_mm, iso("given")),
                mm("major diameter", "D", found.major_diameter_mm, iso("given")),
                mm("mean radius", "r_m", found.mean_radius_mm(), iso("(D + d)/4")),
                mm("bearing height of a flank", "h", found.flank_height_mm(), iso("(D − d)/2")),
            ];
            if let Some(width) = found.tooth_width_mm {
                figures.push(mm("tooth width", "B", width, iso("table, from memory")));
            }
            figures
        }
    })
}
