//! A rotary shaft seal by its designation, against the seat it is meant for.

use catalogue::Hazard;
use mechanics::shaft_seal::{SealCase, judge_seal, parse_seal, seal_press_fit};
use mechanics::{Feature, SealSeat, ShaftSeal, Side};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field, refuse_impossible};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::sheet::figure;

catalogue::choice! {
    /// What the outside of a seal is made of.
    pub enum SealOutside {
        /// Type A: covered with rubber.
        Rubber = "rubber",
        /// Type B: metal.
        Metal = "metal",
        /// Type C: metal with an inner stiffening ring.
        MetalWithInnerRing = "metal_with_inner_ring",
    }
}

/// A seal, perhaps with its seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ShaftSealAsked {
    /// Designation: shaft, bore and width, such as `AS 50x72x8`.
    #[schema(example = "AS 50x72x8")]
    pub designation: String,
    /// Diameter of the shaft it runs on.
    pub shaft_mm: Option<f64>,
    /// Diameter of the housing bore.
    pub bore_mm: Option<f64>,
    /// Depth of the housing bore.
    pub width_mm: Option<f64>,
    /// Class of the bore.
    #[serde(default = "usual_class")]
    #[schema(default = "H8")]
    pub bore_class: String,
}

fn usual_class() -> String {
    "H8".to_owned()
}

/// What the designation says, and whether the seal suits its seat.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ShaftSealResult {
    /// Shaft that it is made for.
    pub shaft_mm: f64,
    /// Bore that it is made for.
    pub bore_mm: f64,
    /// Width.
    pub width_mm: f64,
    /// What its outside is made of, where the designation says.
    pub outside: Option<SealOutside>,
    /// Whether it has a dust lip.
    pub dust_lip: bool,
    /// Least interference in the bore, where the outside is known.
    pub interference_min_mm: Option<f64>,
    /// Largest interference in the bore.
    pub interference_max_mm: Option<f64>,
    /// The verdict on seal and seat; null where no seat is given.
    pub verdict: Option<JointVerdictResult>,
}

/// Answer to [`ShaftSealAsked`].
pub type ShaftSealSheet = CalculationSheet<ShaftSealAsked, ShaftSealResult>;

/// Reads a seal and judges it.
pub fn calculate_shaft_seal(asked: &ShaftSealAsked) -> Result<ShaftSealSheet, CalculationFault> {
    let read = parse_seal(&asked.designation).map_err(field("/designation"))?;
    let class = asked.bore_class.parse().map_err(field("/bore_class"))?;
    let press = read.case.map(|case| seal_press_fit(read.bore_mm, class, case)).transpose();
    let press = press.map_err(field("/bore_class"))?;
    let mut figures = vec![
        figure(("shaft", "d_1", "mm"), read.shaft_mm, ("designation", "ISO 6194-1")),
        figure(("bore", "d_2", "mm"), read.bore_mm, ("designation", "ISO 6194-1")),
        figure(("width", "b", "mm"), read.width_mm, ("designation", "ISO 6194-1")),
    ];
    if let Some(press) = &press {
        let rule = ("allowance − ES", "DIN 3760");
        figures.push(figure(
            ("least interference in the bore", "δ_min", "mm"),
            press.interference_min_mm,
            rule,
        ));
        let rule = ("allowance − EI", "DIN 3760");
        figures.push(figure(
            ("largest interference in the bore", "δ_max", "mm"),
            press.interference_max_mm,
            rule,
        ));
    }
    let verdict = if asked.shaft_mm.is_some() || asked.bore_mm.is_some() {
        let seal = ShaftSeal {
            shaft_mm: Some(read.shaft_mm),
            bore_mm: Some(read.bore_mm),
            width_mm: Some(read.width_mm),
        };
        let seat = SealSeat { shaft_mm: asked.shaft_mm, bore_mm: asked.bore_mm, width_mm: asked.width_mm };
        let judgement = judge_seal(&seal, &Feature::SealSeat(seat), Side::A);
        refuse_impossible(&judgement, |_| "")?;
        Some(joint_verdict(&judgement, &[]).0)
    } else {
        None
    };
    let result = ShaftSealResult {
        shaft_mm: read.shaft_mm,
        bore_mm: read.bore_mm,
        width_mm: read.width_mm,
        outside: read.case.map(|case| match case {
            SealCase::Rubber => SealOutside::Rubber,
            SealCase::Metal => SealOutside::Metal,
            SealCase::MetalWithInnerRing => SealOutside::MetalWithInnerRing,
        }),
        dust_lip: read.dust_lip,
        interference_min_mm: press.map(|press| press.interference_min_mm),
        interference_max_mm: press.map(|press| press.interference_max_mm),
        verdict,
    };
    Ok(CalculationSheet::new(
        "shaft-seal",
        asked.clone(),
        result,
        figures,
        &[Hazard::Press, Hazard::VehicleOnStands],
    ))
}
