//! Circles, pitches, tooth thickness and sizes to measure of one gear.

use catalogue::Hazard;
use mechanics::gear::{BasicRack, ToothSystem, involute_of_deg};
use mechanics::pitch::{base_pitch_mm, diametral_pitch_of_module, module_of_diametral_pitch_mm};
use mechanics::tooth_thickness::{size_over_pins_mm, span_mm, span_teeth, thickness_at_diameter_mm};
use mechanics::undercut::{least_shift_without_undercut, least_teeth_without_undercut};
use resolver::FigureValue;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::sheet::figure;

/// A gear cut with the basic rack of ISO 53, profile A.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearGeometryAsked {
    /// Teeth z.
    #[schema(minimum = 3, maximum = 2000)]
    pub tooth_count: u32,
    /// Normal module m_n.
    pub normal_module_mm: Option<f64>,
    /// Normal diametral pitch in 1/in, instead of the module.
    pub normal_diametral_pitch: Option<f64>,
    /// Normal pressure angle of the tool.
    #[serde(default = "usual_angle")]
    #[schema(default = 20.0)]
    pub normal_pressure_angle_deg: f64,
    /// Helix angle on the reference cylinder; 0 is spur.
    #[serde(default)]
    pub helix_angle_deg: f64,
    /// Profile shift coefficient x.
    #[serde(default)]
    pub profile_shift: f64,
    /// Teeth to span; left out: as many as touch near the reference circle.
    pub spanned_teeth: Option<u32>,
    /// Diameter of the pins or balls to measure over.
    pub pin_diameter_mm: Option<f64>,
    /// Circle on which the tooth thickness is wanted.
    pub circle_diameter_mm: Option<f64>,
}

fn usual_angle() -> f64 {
    20.0
}

/// The gear.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GearGeometryResult {
    /// Normal module.
    pub normal_module_mm: f64,
    /// The same as a diametral pitch in 1/in.
    pub normal_diametral_pitch: f64,
    /// Reference diameter d.
    pub reference_diameter_mm: f64,
    /// Base diameter d_b.
    pub base_diameter_mm: f64,
    /// Tip diameter d_a of a full tooth.
    pub tip_diameter_mm: f64,
    /// Root diameter d_f.
    pub root_diameter_mm: f64,
    /// Normal base pitch, which two gears must share.
    pub normal_base_pitch_mm: f64,
    /// Teeth spanned.
    pub spanned_teeth: u32,
    /// Span over them.
    pub span_mm: f64,
    /// Size over two pins or balls; null without a pin.
    pub size_over_pins_mm: Option<f64>,
    /// Transverse thickness of the tooth at its tip.
    pub tip_thickness_mm: f64,
    /// Transverse thickness on the circle that was asked for.
    pub thickness_mm: Option<f64>,
    /// Whether the rack undercuts it.
    pub undercut: bool,
}

/// Answer to [`GearGeometryAsked`].
pub type GearGeometrySheet = CalculationSheet<GearGeometryAsked, GearGeometryResult>;

/// Calculates the gear.
pub fn calculate_gear_geometry(asked: &GearGeometryAsked) -> Result<GearGeometrySheet, CalculationFault> {
    let (z, x, rack) = (asked.tooth_count, asked.profile_shift, BasicRack::ISO_53_A);
    let module = module_of(asked)?;
    let system = ToothSystem::new(module, asked.normal_pressure_angle_deg, asked.helix_angle_deg)?;
    let least_shift = least_shift_without_undercut(&system, z, &rack)?;
    let least_teeth = least_teeth_without_undercut(&system, x, &rack)?;
    let spanned = match asked.spanned_teeth {
        Some(teeth) => teeth,
        None => span_teeth(&system, z, x)?,
    };
    let pins = asked.pin_diameter_mm.map(|pin| size_over_pins_mm(&system, z, x, pin)).transpose()?;
    let on_circle = asked
        .circle_diameter_mm
        .map(|circle| thickness_at_diameter_mm(&system, z, x, circle))
        .transpose()
        .map_err(|error| {
            if error.field() == "diameter_mm" { field("/circle_diameter_mm")(error) } else { error.into() }
        })?;
    let tip = system.tip_diameter_mm(z, x, &rack, 0.0);
    let tip_thickness = thickness_at_diameter_mm(&system, z, x, tip).map_err(field("/profile_shift"))?;
    let result = GearGeometryResult {
        normal_module_mm: module,
        normal_diametral_pitch: diametral_pitch_of_module(module)?,
        reference_diameter_mm: system.reference_diameter_mm(z),
        base_diameter_mm: system.base_diameter_mm(z),
        tip_diameter_mm: tip,
        root_diameter_mm: system.root_diameter_mm(z, x, &rack),
        normal_base_pitch_mm: base_pitch_mm(module, asked.normal_pressure_angle_deg)?,
        spanned_teeth: spanned,
        span_mm: span_mm(&system, z, x, spanned)?,
        size_over_pins_mm: pins,
        tip_thickness_mm: tip_thickness,
        thickness_mm: on_circle,
        undercut: x < least_shift,
    };
    let mut figures = figures_of(&system, z, &result)?;
    figures.push(figure(
        ("least teeth free of undercut", "z_min", "1"),
        least_teeth,
        ("2·cos β·(h_FfP* − x)/sin²α_t", "ISO 21771"),
    ));
    figures.push(figure(
        ("least profile shift free of undercut", "x_min", "1"),
        least_shift,
        ("h_FfP* − z·sin²α_t/(2·cos β)", "ISO 21771"),
    ));
    Ok(CalculationSheet::new("gear-geometry", asked.clone(), result, figures, &[Hazard::Press]))
}

fn module_of(asked: &GearGeometryAsked) -> Result<f64, CalculationFault> {
    match (asked.normal_module_mm, asked.normal_diametral_pitch) {
        (Some(module), None) => Ok(module),
        (None, Some(pitch)) => module_of_diametral_pitch_mm(pitch).map_err(field("/normal_diametral_pitch")),
        _ => {
            let detail = "give normal_module_mm or normal_diametral_pitch, one of them";
            Err(CalculationFault::at("/normal_module_mm", "contradiction", detail))
        }
    }
}

fn figures_of(
    system: &ToothSystem,
    tooth_count: u32,
    found: &GearGeometryResult,
) -> Result<Vec<FigureValue>, CalculationFault> {
    let iso = |formula| (formula, "ISO 21771");
    let transverse = system.transverse_pressure_angle_rad.to_degrees();
    let mut figures = vec![
        figure(("transverse module", "m_t", "mm"), system.transverse_module_mm, iso("m_n/cos β")),
        figure(("transverse pressure angle", "α_t", "deg"), transverse, iso("tan α_t = tan α_n/cos β")),
        figure(("involute of it", "inv α_t", "1"), involute_of_deg(transverse)?, iso("tan α_t − α_t")),
        figure(("reference diameter", "d", "mm"), found.reference_diameter_mm, iso("z·m_n/cos β")),
        figure(("base diameter", "d_b", "mm"), found.base_diameter_mm, iso("d·cos α_t")),
        figure(("tip diameter", "d_a", "mm"), found.tip_diameter_mm, iso("d + 2·m_n·(h_aP* + x)")),
        figure(("root diameter", "d_f", "mm"), found.root_diameter_mm, iso("d − 2·m_n·(h_fP* − x)")),
        figure(("normal base pitch", "p_bn", "mm"), found.normal_base_pitch_mm, iso("π·m_n·cos α_n")),
        figure(
            ("span", "W_k", "mm"),
            found.span_mm,
            iso("m_n·cos α_n·[(k − 0.5)·π + z·inv α_t] + 2·x·m_n·sin α_n"),
        ),
        figure(
            ("thickness at the tip", "s_at", "mm"),
            found.tip_thickness_mm,
            iso("d_a·(s_t/d + inv α_t − inv α_at)"),
        ),
    ];
    let axial = system.axial_pitch_mm().map(|p| figure(("axial pitch", "p_x", "mm"), p, iso("π·m_n/sin β")));
    let lead = system.lead_mm(tooth_count);
    figures.extend(axial);
    figures.extend(lead.map(|p| figure(("lead", "p_z", "mm"), p, iso("π·d/tan β"))));
    let pins = iso("d_b/cos α_Kt + D_M, times cos(π/2z) for odd z");
    figures.extend(found.size_over_pins_mm.map(|m| figure(("size over pins", "M_d", "mm"), m, pins)));
    let thickness = iso("d_y·(s_t/d + inv α_t − inv α_yt)");
    figures
        .extend(found.thickness_mm.map(|s| figure(("thickness on the circle", "s_yt", "mm"), s, thickness)));
    Ok(figures)
}
