//! Shear and compression of an involute spline under a torque, after Dudley, with the teeth that really carry.

use catalogue::Hazard;
use mechanics::BadInput;
use mechanics::spline_capacity::{DudleyInput, SplineMounting, allowable_compression, dudley_stress};
use mechanics::spline_involute::{Din5480Making, din_5480_geometry, parse_din_5480};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::CalculationFault;
use crate::calculations::road_speed::one;
use crate::calculations::sheet::figure;

catalogue::choice! {
    /// How hub and shaft are held.
    pub enum SplineHeld {
        /// Slides or rocks.
        Flexible = "flexible",
        /// Fixed.
        Fixed = "fixed",
    }
}

/// A spline under torque. A designation `DIN 5480 - W 58 x 2 x 28` fills what is left out, for a hobbed shaft.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SplineStressAsked {
    /// Designation of DIN 5480.
    pub designation: Option<String>,
    /// Torque.
    pub torque_nm: f64,
    /// Engaged length.
    pub engaged_length_mm: f64,
    /// Teeth that stand and engage: the full complement, or those of the groups.
    pub carrying_teeth: Option<u32>,
    /// Pitch diameter.
    pub pitch_diameter_mm: Option<f64>,
    /// Chordal tooth thickness on the pitch circle.
    pub tooth_thickness_mm: Option<f64>,
    /// Radial height in which flanks touch.
    pub contact_height_mm: Option<f64>,
    /// Root diameter of the shaft.
    pub shaft_root_diameter_mm: Option<f64>,
    /// Bore of a hollow shaft; 0 if solid.
    #[serde(default)]
    pub shaft_bore_mm: f64,
    /// Load distribution factor K_m along the length.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub distribution_factor: f64,
    /// Compression that the material may bear before the factors, in N/mm²; left out: none is held against.
    pub base_compression_n_mm2: Option<f64>,
    /// How hub and shaft are held.
    #[serde(default = "fixed")]
    #[schema(default = "fixed")]
    pub mounting: SplineHeld,
    /// Life factor: L_w of a flexible joint, L_f of a fixed one.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub life_factor: f64,
    /// Application factor K_a.
    #[serde(default = "one")]
    #[schema(default = 1.0)]
    pub application_factor: f64,
}

fn fixed() -> SplineHeld {
    SplineHeld::Fixed
}

/// The stresses, in N/mm².
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SplineStressResult {
    /// Teeth that were reckoned as engaged; the formula for shear takes half of them to carry.
    pub carrying_teeth: u32,
    /// Shear of the teeth on the pitch circle.
    pub tooth_shear_n_mm2: f64,
    /// Compression of the flanks.
    pub flank_compression_n_mm2: f64,
    /// Shear of the shaft below the teeth.
    pub shaft_shear_n_mm2: f64,
    /// Compression that is allowed; null where none is held against.
    pub allowed_compression_n_mm2: Option<f64>,
    /// Whether the compression is within it.
    pub within: Option<bool>,
}

/// Answer to [`SplineStressAsked`].
pub type SplineStressSheet = CalculationSheet<SplineStressAsked, SplineStressResult>;

/// Calculates the stresses.
pub fn calculate_spline_stress(asked: &SplineStressAsked) -> Result<SplineStressSheet, CalculationFault> {
    mechanics::bounds::TORQUE.check("torque_nm", asked.torque_nm)?;
    let input = input_of(asked)?;
    let stress = dudley_stress(&input).map_err(placed)?;
    let mounting = match asked.mounting {
        SplineHeld::Flexible => SplineMounting::Flexible,
        SplineHeld::Fixed => SplineMounting::Fixed,
    };
    let allowed = asked
        .base_compression_n_mm2
        .map(|base| allowable_compression(base, mounting, asked.life_factor, asked.application_factor))
        .transpose()
        .map_err(placed)?;
    let dudley = |formula| (formula, "D. W. Dudley, When Splines Need Stress Control");
    let mut figures = vec![
        figure(("shear of the teeth", "S_s", "N/mm2"), stress.tooth_shear, dudley("4·T·K_m/(D·N·F_e·t_c)")),
        figure(
            ("compression of the flanks", "S_c", "N/mm2"),
            stress.flank_compression,
            dudley("2·T·K_m/(D·N·F_e·h)"),
        ),
        figure(
            ("shear of the shaft below the teeth", "S", "N/mm2"),
            stress.shaft_shear,
            dudley("16·T·D_re/(π·(D_re⁴ − D_h⁴))"),
        ),
        figure(("pitch diameter", "D", "mm"), input.pitch_diameter, dudley("given, or m·z")),
        figure(
            ("tooth thickness", "t_c", "mm"),
            input.tooth_thickness,
            dudley("given, or the chord of the arc"),
        ),
        figure(("height of contact", "h", "mm"), input.contact_height, dudley("given, or (d_a1 − d_a2)/2")),
        figure(
            ("root diameter of the shaft", "D_re", "mm"),
            input.shaft_root_diameter,
            dudley("given, or hobbed"),
        ),
    ];
    figures.extend(allowed.map(|limit| {
        let rule = dudley("S_a·9·L_f/K_a fixed, S_a·L_w/K_a flexible");
        figure(("compression allowed", "S_c,max", "N/mm2"), limit, rule)
    }));
    let result = SplineStressResult {
        carrying_teeth: input.tooth_count,
        tooth_shear_n_mm2: stress.tooth_shear,
        flank_compression_n_mm2: stress.flank_compression,
        shaft_shear_n_mm2: stress.shaft_shear,
        allowed_compression_n_mm2: allowed,
        within: allowed.map(|limit| stress.flank_compression <= limit),
    };
    Ok(CalculationSheet::new("spline-stress", asked.clone(), result, figures, &[Hazard::Press]))
}

/// The formula's own names, which take any set of units.
fn placed(error: BadInput) -> CalculationFault {
    let pointer = match error.field() {
        "torque" => "/torque_nm",
        "pitch_diameter" => "/pitch_diameter_mm",
        "tooth_count" => "/carrying_teeth",
        "effective_length" => "/engaged_length_mm",
        "tooth_thickness" => "/tooth_thickness_mm",
        "contact_height" => "/contact_height_mm",
        "shaft_root_diameter" => "/shaft_root_diameter_mm",
        "shaft_bore" => "/shaft_bore_mm",
        "base_value" => "/base_compression_n_mm2",
        _ => return error.into(),
    };
    CalculationFault::of(&error, pointer)
}

/// What a designation tells of a spline.
struct Told {
    teeth: u32,
    pitch_diameter: f64,
    thickness: f64,
    height: f64,
    root: f64,
}

fn told(text: &str) -> Result<Told, CalculationFault> {
    let wrong = |error| CalculationFault::of(&error, "/designation");
    let read = parse_din_5480(text).map_err(wrong)?;
    let module = read.module_mm;
    let reference = read.reference_diameter_mm.unwrap_or(module * f64::from(read.tooth_count));
    let shape = din_5480_geometry(reference, module, read.tooth_count).map_err(wrong)?;
    let arc = module * std::f64::consts::FRAC_PI_2 + 2.0 * shape.shift_mm * 30.0_f64.to_radians().tan();
    Ok(Told {
        teeth: read.tooth_count,
        pitch_diameter: shape.pitch_diameter_mm,
        thickness: shape.pitch_diameter_mm * (arc / shape.pitch_diameter_mm).sin(),
        height: (shape.shaft_tip_mm - shape.hub_tip_mm) / 2.0,
        root: shape.shaft_root_mm(module, Din5480Making::Hobbed),
    })
}

fn input_of(asked: &SplineStressAsked) -> Result<DudleyInput, CalculationFault> {
    let told = asked.designation.as_deref().map(told).transpose()?;
    let told = told.as_ref();
    let needed = |name: &str, given: Option<f64>, told: Option<f64>| {
        given.or(told).ok_or_else(|| {
            let detail = format!("{name} is needed, or a designation that tells it");
            CalculationFault::at(format!("/{name}"), "contradiction", detail)
        })
    };
    let teeth = asked.carrying_teeth.or(told.map(|told| told.teeth)).ok_or_else(|| {
        let detail = "carrying_teeth is needed, or a designation that tells it";
        CalculationFault::at("/carrying_teeth", "contradiction", detail)
    })?;
    if let Some(told) = told
        && teeth > told.teeth
    {
        let detail = format!("carrying_teeth is {teeth}, and the designation has {} teeth", told.teeth);
        return Err(CalculationFault::at("/carrying_teeth", "out_of_range", detail));
    }
    let pitch = |told: &Told| told.pitch_diameter;
    Ok(DudleyInput {
        torque: asked.torque_nm * 1000.0,
        pitch_diameter: needed("pitch_diameter_mm", asked.pitch_diameter_mm, told.map(pitch))?,
        tooth_count: teeth,
        effective_length: asked.engaged_length_mm,
        tooth_thickness: needed("tooth_thickness_mm", asked.tooth_thickness_mm, told.map(|t| t.thickness))?,
        contact_height: needed("contact_height_mm", asked.contact_height_mm, told.map(|t| t.height))?,
        distribution_factor: asked.distribution_factor,
        shaft_root_diameter: needed(
            "shaft_root_diameter_mm",
            asked.shaft_root_diameter_mm,
            told.map(|t| t.root),
        )?,
        shaft_bore: asked.shaft_bore_mm,
    })
}
