//! A verdict on a joint as data, with the figures that decided it.

use catalogue::{Code, JointKind, PartKey, StatedVerdict, UnitKey};
use chrono::NaiveDate;
use mechanics::Verdict;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::PartName;
use crate::context::Context;
use crate::explain::why_not;
use crate::graph::PartIx;
use crate::judged::{WarningNote, judged, outcome};
use crate::placed_joint::PlacedJoint;
use crate::requirement::part_name;
use crate::verdict::{JointVerdict, Source};

choice! {
    /// Whether two parts go together.
    pub enum JointOutcome {
        /// They do.
        Fits = "fits",
        /// They do not.
        DoesNotFit = "does_not_fit",
        /// It is not known.
        Unverified = "unverified",
    }
}

choice! {
    /// Where a verdict comes from.
    pub enum VerdictSource {
        /// Geometry.
        Calculated = "calculated",
        /// A maker's statement, or a notice, which is one.
        Stated = "stated",
        /// The unit's maker fitted both.
        OriginalEquipment = "original_equipment",
        /// There is none.
        Nothing = "nothing",
    }
}

/// Two parts at a joint, with what is known of them together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JointFigures {
    /// The joint.
    pub joint: Code,
    /// How the positions meet.
    pub kind: JointKind,
    /// Unit of the first position.
    pub unit_a: UnitKey,
    /// The first position.
    pub position_a: Code,
    /// The part there.
    pub part_a: PartName,
    /// Unit of the second position.
    pub unit_b: UnitKey,
    /// The second position.
    pub position_b: Code,
    /// The part there.
    pub part_b: PartName,
    /// The verdict.
    pub verdict: JointOutcome,
    /// Where it comes from.
    pub source: VerdictSource,
    /// The figures that were computed.
    pub figures: Vec<FigureValue>,
    /// The tests that failed.
    pub faults: Vec<FailedTest>,
    /// The figures that would settle the tests not made.
    pub missing: Vec<MissingFigure>,
    /// What the bench must know, such as the uncertainty of a measured figure.
    pub warnings: Vec<WarningNote>,
    /// What makers say.
    pub statements: Vec<StatedFit>,
    /// Whether calculation and statement say opposite things.
    pub contradiction: bool,
    /// All of it in one sentence.
    pub sentence: String,
}

/// A computed figure with its formula.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FigureValue {
    /// Name in the words of the trade.
    pub name: String,
    /// Symbol of the standard.
    pub symbol: String,
    /// Unit.
    pub unit: String,
    /// Value.
    pub value: f64,
    /// Formula.
    pub formula: String,
    /// Where the formula stands.
    pub standard: String,
}

/// One side of a comparison.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(untagged)]
pub enum Compared {
    /// A number in the unit of the test.
    Number(f64),
    /// A word, such as a hand.
    Word(String),
}

/// A test that failed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FailedTest {
    /// Which.
    pub test: String,
    /// The first part's value, or the pair's.
    pub a: Option<Compared>,
    /// The second part's value.
    pub b: Option<Compared>,
    /// The limit that was passed.
    pub limit: Option<f64>,
    /// Unit of the numbers.
    pub unit: String,
    /// In words.
    pub sentence: String,
}

/// A figure that would settle a test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct MissingFigure {
    /// Whose: `a`, `b` or `joint`.
    pub side: String,
    /// Which.
    pub figure: String,
    /// Why what is there does not do.
    pub reason: String,
}

/// What a maker says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct StatedFit {
    /// Who.
    pub maker: Code,
    /// Of which part.
    pub part_a: PartKey,
    /// Together with which.
    pub part_b: PartKey,
    /// What.
    pub verdict: StatedVerdict,
    /// Where.
    pub document: String,
    /// When.
    pub stated_on: NaiveDate,
}

/// A verdict as data.
pub(super) fn joint_figures(
    context: &Context<'_>,
    placed: &PlacedJoint<'_>,
    (a, b): (PartIx, PartIx),
    verdict: &JointVerdict<'_>,
) -> JointFigures {
    let joint = placed.joint;
    let (part_a, part_b) = (part_name(context, a), part_name(context, b));
    let says = match verdict.verdict {
        Verdict::Fits => "goes with",
        Verdict::DoesNotFit => "does not go with",
        Verdict::Unverified => "is not verified with",
    };
    let sentence = format!(
        "{} at {} {says} {} at {} ({}): {}",
        part_a.part,
        joint.position_a,
        part_b.part,
        joint.position_b,
        joint.joint,
        why_not(verdict)
    );
    let found = verdict.judgement.as_ref().map(judged);
    let (figures, faults, missing, warnings) = found
        .map_or_else(Default::default, |found| (found.figures, found.faults, found.missing, found.warnings));
    JointFigures {
        joint: joint.joint.clone(),
        kind: joint.kind,
        unit_a: joint.unit_a.clone(),
        position_a: joint.position_a.clone(),
        part_a,
        unit_b: joint.unit_b.clone(),
        position_b: joint.position_b.clone(),
        part_b,
        verdict: outcome(verdict.verdict),
        source: match verdict.source {
            Source::Calculated => VerdictSource::Calculated,
            Source::Stated => VerdictSource::Stated,
            Source::OriginalEquipment => VerdictSource::OriginalEquipment,
            Source::Nothing => VerdictSource::Nothing,
        },
        figures,
        faults,
        missing,
        warnings,
        statements: verdict
            .stated
            .iter()
            .map(|row| StatedFit {
                maker: row.maker.clone(),
                part_a: row.part_a.clone(),
                part_b: row.part_b.clone(),
                verdict: row.verdict,
                document: row.document.clone(),
                stated_on: row.stated_on,
            })
            .collect(),
        contradiction: verdict.contradiction,
        sentence,
    }
}
