//! The verdict on a joint for two given parts: calculated, stated by a maker, or original equipment.
//!
//! Where a calculation and a statement contradict, both are kept and the cautious one decides. Two parts that the unit's
//! maker fitted there together run together, whatever the figures say; then too the contradiction is kept.

use catalogue::{CandidateRole, FitStatement, Interchange, Joint, JointKind, StatedVerdict};
use mechanics::{Judgement, Verdict};

use crate::face::face;
use crate::graph::{Graph, PartIx};

/// A part at one end of a joint.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) struct End {
    /// The part whose face it is.
    pub(crate) part: PartIx,
    /// What it, or the number it follows, is to the unit.
    pub(crate) original: bool,
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

/// Judges two parts at a joint.
pub(crate) fn judge<'a>(graph: &Graph<'a>, joint: &Joint, a: End, b: End) -> JointVerdict<'a> {
    let calculated = calculate(graph, joint, a.part, b.part);
    let stated = statements(graph, a.part, b.part);
    let says = |verdict| stated.iter().any(|statement| statement.verdict == verdict);
    let (says_no, says_yes) = (says(StatedVerdict::DoesNotFit), says(StatedVerdict::Fits));
    let original = a.original && b.original;
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
    JointVerdict { verdict, source, judgement: calculated, stated, contradiction }
}

fn calculate(graph: &Graph<'_>, joint: &Joint, a: PartIx, b: PartIx) -> Option<Judgement> {
    let face_a = face(graph.feature(a, joint.feature_a.as_str())?);
    let face_b = face(graph.feature(b, joint.feature_b.as_str())?);
    let place = mechanics::Joint {
        centre_distance_mm: joint.centre_distance_mm,
        minimum_backlash_mm: joint.backlash_min_mm,
        maximum_backlash_mm: joint.backlash_max_mm,
        ..mechanics::Joint::new(kind(joint.kind))
    };
    Some(mechanics::judge(&place, &face_a, &face_b))
}

/// Statements on two parts, and those on numbers that they follow by a notice with interchange.
fn statements<'a>(graph: &Graph<'a>, a: PartIx, b: PartIx) -> Vec<&'a FitStatement> {
    let (from_a, from_b) = (followed(graph, a), followed(graph, b));
    let mut found: Vec<&FitStatement> = Vec::new();
    for a in &from_a {
        for b in &from_b {
            found.extend(graph.statements(*a, *b));
        }
    }
    found
}

/// A number and those whose statements pass to it: a notice with interchange says that the new fits where the old did.
fn followed(graph: &Graph<'_>, part: PartIx) -> Vec<PartIx> {
    let mut all = vec![part];
    let mut at = 0;
    while at < all.len() {
        for notice in graph.notices_to(all[at]) {
            if notice.notice.interchange != Interchange::None && !all.contains(&notice.old) {
                all.push(notice.old);
            }
        }
        at += 1;
    }
    all
}

/// Whether a candidate's role makes its part, and what follows it, original equipment.
pub(crate) fn is_original(role: CandidateRole) -> bool {
    role == CandidateRole::Original
}
