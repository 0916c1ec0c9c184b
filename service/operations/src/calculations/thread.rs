//! A metric thread by its designation, perhaps with its nut.

use catalogue::Hazard;
use mechanics::thread::{ThreadDesignation, judge_thread, parse_thread, screw_limits_6g, thread_geometry};
use mechanics::{Hand, Thread};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::CalculationSheet;
use crate::calculations::fault::{CalculationFault, field};
use crate::calculations::joint_verdict::{JointVerdictResult, joint_verdict};
use crate::calculations::sheet::figure;

/// A screw or shaft end, perhaps with its nut.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct ThreadAsked {
    /// The screw's thread.
    #[schema(example = "M20x1.5-6g-LH")]
    pub screw: String,
    /// The nut's thread.
    pub nut: Option<String>,
}

/// What the designation says, and whether the nut goes on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ThreadResult {
    /// Nominal diameter.
    pub diameter_mm: f64,
    /// Pitch.
    pub pitch_mm: f64,
    /// Whether the pitch is the coarse one.
    pub coarse: bool,
    /// Whether it is left-hand.
    pub left_hand: bool,
    /// Tolerance class as written.
    pub tolerance: Option<String>,
    /// The verdict on nut and screw; null without a nut.
    pub verdict: Option<JointVerdictResult>,
}

/// Answer to [`ThreadAsked`].
pub type ThreadSheet = CalculationSheet<ThreadAsked, ThreadResult>;

/// Reads a thread and judges its nut.
pub fn calculate_thread(asked: &ThreadAsked) -> Result<ThreadSheet, CalculationFault> {
    let screw = parse_thread(&asked.screw).map_err(field("/screw"))?;
    let nut = asked.nut.as_deref().map(parse_thread).transpose().map_err(field("/nut"))?;
    let geometry = thread_geometry(screw.diameter_mm, screw.pitch_mm).map_err(field("/screw"))?;
    let limits = screw_limits_6g(screw.pitch_mm).map_err(field("/screw"))?;
    let (es_rule, width_rule) = if limits.printed {
        (("table by pitch", "ISO 965-1"), ("table by pitch", "ISO 965-1"))
    } else {
        (("−(15 + 11·P)", "ISO 965-1, from memory"), ("180·P^⅔ − 3.15/√P", "ISO 965-1, from memory"))
    };
    let mm =
        |name: &str, symbol: &str, value: f64, rule: (&str, &str)| figure((name, symbol, "mm"), value, rule);
    let figures = vec![
        mm("pitch diameter", "d_2", geometry.pitch_diameter_mm, ("d − 0.75·H", "ISO 724")),
        mm("minor diameter of the nut", "D_1", geometry.nut_minor_diameter_mm, ("d − 1.25·H", "ISO 724")),
        mm(
            "minor diameter of the screw",
            "d_3",
            geometry.screw_minor_diameter_mm,
            ("d − 17·H/12", "ISO 68-1"),
        ),
        figure(
            ("stress area", "A_s", "mm2"),
            geometry.stress_area_mm2,
            ("π/4·((d_2 + d_3)/2)²", "ISO 898-1, from memory"),
        ),
        figure(("upper deviation in class 6g", "es", "um"), limits.upper_deviation_um, es_rule),
        figure(
            ("tolerance of the major diameter in class 6g", "T_d", "um"),
            limits.major_tolerance_um,
            width_rule,
        ),
    ];
    let verdict = nut.as_ref().map(|nut| {
        let judgement = judge_thread(&face(&screw, false), &face(nut, true));
        joint_verdict(&judgement, &["d_2"]).0
    });
    let result = ThreadResult {
        diameter_mm: screw.diameter_mm,
        pitch_mm: screw.pitch_mm,
        coarse: screw.coarse,
        left_hand: screw.left_hand,
        tolerance: screw.tolerance,
        verdict,
    };
    Ok(CalculationSheet::new("thread", asked.clone(), result, figures, &[Hazard::Press]))
}

fn face(read: &ThreadDesignation, internal: bool) -> Thread {
    Thread {
        diameter_mm: Some(read.diameter_mm),
        pitch_mm: Some(read.pitch_mm),
        hand: Some(if read.left_hand { Hand::Left } else { Hand::Right }),
        internal,
    }
}
