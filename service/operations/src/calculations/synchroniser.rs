//! Whether a sleeve engages a gear's dog teeth and a ring seats on its cone.

use catalogue::Hazard;
use mechanics::cone::judge_cone;
use mechanics::dog_teeth::judge_dog_clutch;
use mechanics::{Cone, DogTeeth, Side};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, refuse_impossible};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::sheet::figure;

/// The faces by which a gear is engaged: dog teeth with their sleeve, a cone with its ring, or both.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct SynchroniserAsked {
    /// Dog teeth of the gear: `a` in the verdict.
    pub gear_dogs: Option<DogTeethAsked>,
    /// Dog teeth of the sleeve: `b` in the verdict.
    pub sleeve_dogs: Option<DogTeethAsked>,
    /// Cone of the gear: `a` in the verdict.
    pub gear_cone: Option<ConeAsked>,
    /// Cone of the ring: `b` in the verdict.
    pub ring_cone: Option<ConeAsked>,
}

/// Dog teeth.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct DogTeethAsked {
    /// Teeth.
    pub tooth_count: u32,
    /// Pitch diameter.
    pub pitch_diameter_mm: Option<f64>,
    /// Flank angle.
    pub flank_angle_deg: Option<f64>,
}

/// A cone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ConeAsked {
    /// Half angle, between flank and axis.
    pub half_angle_deg: Option<f64>,
    /// Mean diameter.
    pub mean_diameter_mm: Option<f64>,
}

/// The verdicts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SynchroniserResult {
    /// Gear and sleeve; null where neither is given.
    pub dogs: Option<JointVerdictResult>,
    /// Cone and ring; null where neither is given.
    pub cones: Option<JointVerdictResult>,
}

/// Answer to [`SynchroniserAsked`].
pub type SynchroniserSheet = CalculationSheet<SynchroniserAsked, SynchroniserResult>;

/// Judges the faces.
pub fn calculate_synchroniser(asked: &SynchroniserAsked) -> Result<SynchroniserSheet, CalculationFault> {
    let mut figures = Vec::new();
    let dogs = match together(&asked.gear_dogs, &asked.sleeve_dogs, ["gear_dogs", "sleeve_dogs"])? {
        Some((gear, sleeve)) => {
            let judgement = judge_dog_clutch(&gear.dogs(false), &sleeve.dogs(true));
            refuse_impossible(&judgement, |side| match side {
                Side::A => "/gear_dogs",
                Side::B => "/sleeve_dogs",
                Side::Joint => "",
            })?;
            let (verdict, found) = joint_verdict(&judgement, &[]);
            figures.extend(found);
            let rule = ("given", "general mechanics");
            figures.push(figure(("dog teeth of the gear", "z_1", "1"), f64::from(gear.tooth_count), rule));
            figures.push(figure(
                ("dog teeth of the sleeve", "z_2", "1"),
                f64::from(sleeve.tooth_count),
                rule,
            ));
            Some(verdict)
        }
        None => None,
    };
    let cones = match together(&asked.gear_cone, &asked.ring_cone, ["gear_cone", "ring_cone"])? {
        Some((gear, ring)) => {
            let judgement = judge_cone(&gear.cone(false), &ring.cone(true));
            refuse_impossible(&judgement, |side| match side {
                Side::A => "/gear_cone",
                Side::B => "/ring_cone",
                Side::Joint => "",
            })?;
            let (verdict, found) = joint_verdict(&judgement, &["Δz"]);
            figures.extend(found);
            Some(verdict)
        }
        None => None,
    };
    if dogs.is_none() && cones.is_none() {
        let detail = "give gear_dogs with sleeve_dogs, or gear_cone with ring_cone, or both";
        return Err(CalculationFault::at("/gear_dogs", "contradiction", detail));
    }
    let result = SynchroniserResult { dogs, cones };
    let hazards = [Hazard::Press, Hazard::Spring];
    Ok(CalculationSheet::new("synchroniser", asked.clone(), result, figures, &hazards))
}

/// Both faces of a joint, or none.
fn together<'a, T>(
    a: &'a Option<T>,
    b: &'a Option<T>,
    names: [&str; 2],
) -> Result<Option<(&'a T, &'a T)>, CalculationFault> {
    let lacks = |missing: &str, given: &str| {
        let detail = format!("{missing} is needed to judge {given} against");
        CalculationFault::at(format!("/{missing}"), "contradiction", detail)
    };
    match (a, b) {
        (Some(a), Some(b)) => Ok(Some((a, b))),
        (None, None) => Ok(None),
        (None, Some(_)) => Err(lacks(names[0], names[1])),
        (Some(_), None) => Err(lacks(names[1], names[0])),
    }
}

impl DogTeethAsked {
    fn dogs(&self, internal: bool) -> DogTeeth {
        DogTeeth {
            tooth_count: self.tooth_count,
            internal: Some(internal),
            pitch_diameter_mm: self.pitch_diameter_mm,
            flank_angle_deg: self.flank_angle_deg,
            length_mm: None,
        }
    }
}

impl ConeAsked {
    fn cone(&self, internal: bool) -> Cone {
        Cone {
            internal: Some(internal),
            half_angle_deg: self.half_angle_deg,
            mean_diameter_mm: self.mean_diameter_mm,
            width_mm: None,
        }
    }
}
