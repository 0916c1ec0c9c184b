//! One gear as a request describes it.

use mechanics::pitch::module_of_diametral_pitch_mm;
use mechanics::{GearTeeth, Hand};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::fault::{CalculationFault, within};

catalogue::choice! {
    /// The hand of a gear's helix.
    pub enum HelixHand {
        /// Left-hand.
        Left = "left",
        /// Right-hand.
        Right = "right",
        /// Straight teeth.
        Spur = "spur",
    }
}

impl HelixHand {
    /// The same hand in the words of mechanics.
    pub(crate) fn hand(self) -> Hand {
        match self {
            Self::Left => Hand::Left,
            Self::Right => Hand::Right,
            Self::Spur => Hand::Spur,
        }
    }
}

/// Teeth of an external gear. What is not known is left out; the verdict names what it would take.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct GearAsked {
    /// Number of teeth z.
    #[schema(minimum = 3, maximum = 2000, example = 22)]
    pub tooth_count: u32,
    /// Normal module m_n in millimetres.
    #[schema(example = 3.0)]
    pub normal_module_mm: Option<f64>,
    /// Normal diametral pitch in 1/in, instead of the module.
    pub normal_diametral_pitch: Option<f64>,
    /// Normal pressure angle of the tool.
    #[schema(example = 20.0)]
    pub normal_pressure_angle_deg: Option<f64>,
    /// Helix angle on the reference cylinder, without sign.
    pub helix_angle_deg: Option<f64>,
    /// Hand of the helix; `spur` says that the angle is nought.
    pub helix_hand: Option<HelixHand>,
    /// Profile shift coefficient x.
    pub profile_shift: Option<f64>,
    /// Tip diameter d_a.
    pub tip_diameter_mm: Option<f64>,
    /// Root diameter d_f.
    pub root_diameter_mm: Option<f64>,
    /// Face width b.
    pub face_width_mm: Option<f64>,
    /// Upper allowance of the normal tooth thickness, usually negative.
    pub thickness_allowance_upper_mm: Option<f64>,
    /// Lower allowance of the normal tooth thickness.
    pub thickness_allowance_lower_mm: Option<f64>,
    /// Uncertainty of the base pitch, where the teeth were measured on the bench.
    pub base_pitch_uncertainty_mm: Option<f64>,
}

impl GearAsked {
    /// The teeth as mechanics takes them; `object` is the gear's place in the request.
    pub(crate) fn teeth(&self, object: &str) -> Result<GearTeeth, CalculationFault> {
        let module = match (self.normal_module_mm, self.normal_diametral_pitch) {
            (Some(_), Some(_)) => {
                return Err(CalculationFault::at(
                    format!("{object}/normal_diametral_pitch"),
                    "contradiction",
                    "normal_module_mm and normal_diametral_pitch say the same thing twice; give one of them",
                ));
            }
            (module, None) => module,
            (None, Some(pitch)) => Some(module_of_diametral_pitch_mm(pitch).map_err(|error| {
                let pointer = format!("{object}/normal_{}", error.field());
                CalculationFault::of(&error, pointer)
            })?),
        };
        mechanics::bounds::TEETH.check("tooth_count", f64::from(self.tooth_count)).map_err(within(object))?;
        Ok(GearTeeth {
            tooth_count: self.tooth_count,
            normal_module_mm: module,
            normal_pressure_angle_deg: self.normal_pressure_angle_deg,
            helix_angle_deg: self.helix_angle_deg,
            helix_hand: self.helix_hand.map(HelixHand::hand),
            profile_shift: self.profile_shift,
            tip_diameter_mm: self.tip_diameter_mm,
            root_diameter_mm: self.root_diameter_mm,
            face_width_mm: self.face_width_mm,
            thickness_allowance_upper_mm: self.thickness_allowance_upper_mm,
            thickness_allowance_lower_mm: self.thickness_allowance_lower_mm,
            base_pitch_uncertainty_mm: self.base_pitch_uncertainty_mm,
        })
    }
}
