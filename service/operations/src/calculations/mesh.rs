//! Whether two gears run together at the centre distance of their case.

use catalogue::Hazard;
use mechanics::gear::ToothSystem;
use mechanics::svg::gears_in_mesh;
use mechanics::{GearTeeth, Hand, Joint, JointKind, Side, bounds};
use resolver::FigureValue;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, refuse_impossible};
use crate::calculations::gear::GearAsked;
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::sheet::figure;

/// Two external gears on parallel shafts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct MeshAsked {
    /// The driving gear.
    pub a: GearAsked,
    /// The driven gear.
    pub b: GearAsked,
    /// Centre distance of the case.
    #[schema(example = 100.0)]
    pub centre_distance_mm: Option<f64>,
    /// Least circumferential backlash that the unit asks for.
    pub minimum_backlash_mm: Option<f64>,
    /// Most circumferential backlash that the unit allows.
    pub maximum_backlash_mm: Option<f64>,
    /// Width in which both gears overlap, where the face widths do not tell it.
    pub common_width_mm: Option<f64>,
}

/// Answer to [`MeshAsked`].
pub type MeshSheet = CalculationSheet<MeshAsked, JointVerdictResult>;

/// Judges a mesh.
pub fn calculate_mesh(asked: &MeshAsked) -> Result<MeshSheet, CalculationFault> {
    let (a, b) = (asked.a.teeth("/a")?, asked.b.teeth("/b")?);
    refuse_overlapping_bases(asked, &a, &b)?;
    let joint = Joint {
        centre_distance_mm: asked.centre_distance_mm,
        minimum_backlash_mm: asked.minimum_backlash_mm,
        maximum_backlash_mm: asked.maximum_backlash_mm,
        common_width_mm: asked.common_width_mm,
        ..Joint::new(JointKind::Mesh)
    };
    let judgement = mechanics::mesh::judge_mesh(&joint, &a, &b);
    refuse_impossible(&judgement, |side| match side {
        Side::A => "/a",
        Side::B => "/b",
        Side::Joint => "",
    })?;
    let (result, mut figures) =
        joint_verdict(&judgement, &["a", "α_wt", "j_wt,min", "j_wt,max", "ε_α", "ε_β"]);
    figures.splice(0..0, pair_figures(&a, &b));
    let hazards = [Hazard::Press, Hazard::ChangedGearing];
    Ok(CalculationSheet::new("mesh", asked.clone(), result, figures, &hazards))
}

/// The pair in mesh, to scale, in transverse section.
pub fn draw_mesh(asked: &MeshAsked) -> Result<String, CalculationFault> {
    let (a, b) = (asked.a.teeth("/a")?, asked.b.teeth("/b")?);
    let needed = || {
        CalculationFault::at(
            "/centre_distance_mm",
            "contradiction",
            "centre_distance_mm is needed for a drawing",
        )
    };
    let distance = asked.centre_distance_mm.ok_or_else(needed)?;
    refuse_overlapping_bases(asked, &a, &b)?;
    // Each gear is tried with itself first, so that a refused figure is told of the gear that has it.
    for (object, gear) in [("/a", &a), ("/b", &b)] {
        if let Err(error) = gears_in_mesh(gear, gear, bounds::CENTRE_DISTANCE.most) {
            return Err(CalculationFault::of(&error, format!("{object}/{}", error.field())));
        }
    }
    gears_in_mesh(&a, &b, distance).map_err(CalculationFault::from)
}

fn pair_figures(a: &GearTeeth, b: &GearTeeth) -> Vec<FigureValue> {
    let ratio = f64::from(b.tooth_count) / f64::from(a.tooth_count);
    let mut figures = vec![figure(("ratio", "i", "1"), ratio, ("z_2/z_1", "ISO 21771"))];
    for (gear, name, symbols) in [(a, "first", ["d_1", "d_b1"]), (b, "second", ["d_2", "d_b2"])] {
        let Some(system) = system_of(gear) else { continue };
        let of = |what: &str| format!("{what} of the {name} gear");
        let reference = system.reference_diameter_mm(gear.tooth_count);
        figures.push(figure(
            (&of("reference diameter"), symbols[0], "mm"),
            reference,
            ("z·m_n/cos β", "ISO 21771"),
        ));
        let base = system.base_diameter_mm(gear.tooth_count);
        figures.push(figure((&of("base diameter"), symbols[1], "mm"), base, ("d·cos α_t", "ISO 21771")));
    }
    figures
}

fn system_of(gear: &GearTeeth) -> Option<ToothSystem> {
    let helix = if gear.helix_hand == Some(Hand::Spur) { Some(0.0) } else { gear.helix_angle_deg };
    ToothSystem::new(gear.normal_module_mm?, gear.normal_pressure_angle_deg?, helix?).ok()
}

/// A centre distance at which the base circles overlap is no case, whatever the teeth.
fn refuse_overlapping_bases(asked: &MeshAsked, a: &GearTeeth, b: &GearTeeth) -> Result<(), CalculationFault> {
    let Some(distance) = asked.centre_distance_mm else { return Ok(()) };
    bounds::CENTRE_DISTANCE.check("centre_distance_mm", distance)?;
    let (Some(of_a), Some(of_b)) = (system_of(a), system_of(b)) else { return Ok(()) };
    let least = (of_a.base_diameter_mm(a.tooth_count) + of_b.base_diameter_mm(b.tooth_count)) / 2.0;
    if distance > least {
        return Ok(());
    }
    Err(CalculationFault::at(
        "/centre_distance_mm",
        "out_of_range",
        format!(
            "centre_distance_mm is {distance} mm: the base circles of these gears overlap; it must be more than {least:.3} mm"
        ),
    ))
}
