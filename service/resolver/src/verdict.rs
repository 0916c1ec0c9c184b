//! The verdict on a joint for two given parts: calculated, stated by a maker, or original equipment.
//!
//! Where a calculation and a statement contradict, both are kept and the cautious one decides. Two parts that the unit's
//! maker fitted there together run together, whatever the figures say; then too the contradiction is kept.

use catalogue::{Feature, FitStatement, Joint, JointKind, StatedVerdict};
use mechanics::{Judgement, Verdict};

use crate::face::face;
use crate::graph::{Graph, PartIx};

/// A part at one end of a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct End {
    /// The part whose face it is.
    pub(crate) part: PartIx,
    /// What it is to the unit.
    pub(crate) origin: Origin,
}

/// What a part is to the unit at its position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Origin {
    /// The unit's maker fitted it there.
    Original,
    /// Notices with interchange lead to it from what the unit's maker fitted: their maker says that it fits where that did.
    FollowsOriginal,
    /// Anything else.
    Other,
}

/// Where a verdict comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Source {
    /// Geometry.
    Calculated,
    /// A maker's statement, or a notice, which is one.
    Stated,
    /// The unit's maker fitted both.
    OriginalEquipment,
    /// There is none.
    Nothing,
}

/// A verdict with what led to it.
#[derive(Debug, Clone)]
pub(crate) struct JointVerdict<'a> {
    /// The verdict.
    pub(crate) verdict: Verdict,
    /// Where it comes from.
    pub(crate) source: Source,
    /// The calculation, where both faces have figures.
    pub(crate) judgement: Option<Judgement>,
    /// What makers say, of these numbers or of those they follow.
    pub(crate) stated: Vec<&'a FitStatement>,
    /// Whether notices lead from what the unit's maker fitted at both ends: a statement too.
    pub(crate) by_notice: bool,
    /// Whether calculation and statement (or original equipment) say opposite things.
    pub(crate) contradiction: bool,
}

fn kind(kind: JointKind) -> mechanics::JointKind {
    match kind {
        JointKind::Mesh => mechanics::JointKind::Mesh,
        JointKind::Spline => mechanics::JointKind::Spline,
        JointKind::BearingSeat | JointKind::PlainSeat => mechanics::JointKind::BearingSeat,
        JointKind::Seal => mechanics::JointKind::Seal,
        JointKind::Thread => mechanics::JointKind::Thread,
        JointKind::Stack => mechanics::JointKind::Stack,
        JointKind::DogClutch => mechanics::JointKind::DogClutch,
        JointKind::Cone => mechanics::JointKind::Cone,
    }
}

/// Judges two parts at a joint. With each end come the numbers whose statements pass to it, itself first.
pub(crate) fn judge<'a>(
    graph: &Graph<'a>,
    joint: &Joint,
    (a, from_a): (End, &[PartIx]),
    (b, from_b): (End, &[PartIx]),
) -> JointVerdict<'a> {
    let calculated = calculate(graph, joint, a.part, b.part);
    let stated = statements(graph, from_a, from_b);
    let says = |verdict| stated.iter().any(|statement| statement.verdict == verdict);
    let original = a.origin == Origin::Original && b.origin == Origin::Original;
    let by_notice = !original && a.origin != Origin::Other && b.origin != Origin::Other;
    let (says_no, says_yes) = (says(StatedVerdict::DoesNotFit), says(StatedVerdict::Fits) || by_notice);
    let computed = calculated.as_ref().map_or(Verdict::Unverified, |judgement| judgement.verdict);
    let (verdict, source) = match (computed, says_no, says_yes || original) {
        (Verdict::DoesNotFit, _, _) if original => (Verdict::Fits, Source::OriginalEquipment),
        (Verdict::DoesNotFit, _, _) => (Verdict::DoesNotFit, Source::Calculated),
        (_, true, _) => (Verdict::DoesNotFit, Source::Stated),
        (Verdict::Fits, false, _) => (Verdict::Fits, Source::Calculated),
        (Verdict::Unverified, false, true) if says_yes => (Verdict::Fits, Source::Stated),
        (Verdict::Unverified, false, true) => (Verdict::Fits, Source::OriginalEquipment),
        (Verdict::Unverified, false, false) => (Verdict::Unverified, Source::Nothing),
    };
    let contradiction = match computed {
        Verdict::Fits => says_no,
        Verdict::DoesNotFit => says_yes || original,
        Verdict::Unverified => says_no && (says_yes || original),
    };
    JointVerdict { verdict, source, judgement: calculated, stated, by_notice, contradiction }
}

/// The calculation on two parts at a joint, where both faces have figures.
pub(crate) fn calculate(graph: &Graph<'_>, joint: &Joint, a: PartIx, b: PartIx) -> Option<Judgement> {
    let face_a = graph.feature(a, joint.feature_a.as_str())?;
    let face_b = graph.feature(b, joint.feature_b.as_str())?;
    Some(calculate_faces(joint, face_a, face_b))
}

/// The calculation on two faces at a joint.
pub(crate) fn calculate_faces(joint: &Joint, a: &Feature, b: &Feature) -> Judgement {
    let place = mechanics::Joint {
        centre_distance_mm: joint.centre_distance_mm,
        minimum_backlash_mm: joint.backlash_min_mm,
        maximum_backlash_mm: joint.backlash_max_mm,
        ..mechanics::Joint::new(kind(joint.kind))
    };
    mechanics::judge(&place, &face(a), &face(b))
}

/// Statements on two parts, and those on numbers whose statements pass to them.
fn statements<'a>(graph: &Graph<'a>, from_a: &[PartIx], from_b: &[PartIx]) -> Vec<&'a FitStatement> {
    let mut found: Vec<&FitStatement> = Vec::new();
    for a in from_a {
        for b in from_b {
            found.extend(graph.statements(*a, *b));
        }
    }
    found
}
