//! Judges joints of one branch, each pair of ends once.

use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use catalogue::{CandidateRole, Interchange};

use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::placed_joint::PlacedJoint;
use crate::scope::Place;
use crate::supersession::Reading;
use crate::value::{State, Value};
use crate::verdict::{End, JointVerdict, Origin, judge};

type Lines = Rc<[PartIx]>;

/// The verdicts of a branch, kept once they are known.
#[derive(Debug)]
pub(crate) struct JointJudge<'a> {
    branch: Branch,
    lineage: RefCell<BTreeMap<(usize, PartIx), Lines>>,
    known: RefCell<BTreeMap<(usize, End, End), Rc<JointVerdict<'a>>>>,
}

impl<'a> JointJudge<'a> {
    /// Nothing is judged yet.
    pub(crate) fn new(branch: &Branch) -> Self {
        Self { branch: branch.clone(), lineage: RefCell::default(), known: RefCell::default() }
    }

    /// The verdict on a joint for two values; `None` where one end is empty or both are kept and so run together already.
    pub(crate) fn verdict(
        &self,
        context: &Context<'a>,
        placed: &PlacedJoint<'a>,
        (place_a, a): (&Place<'_>, &Value),
        (place_b, b): (&Place<'_>, &Value),
    ) -> Option<Rc<JointVerdict<'a>>> {
        if a.state == State::Kept && b.state == State::Kept {
            return None;
        }
        let end_a = self.end(context, place_a, a, placed.joint.feature_a.as_str())?;
        let end_b = self.end(context, place_b, b, placed.joint.feature_b.as_str())?;
        let key = (placed.row, end_a, end_b);
        if let Some(known) = self.known.borrow().get(&key) {
            return Some(Rc::clone(known));
        }
        let (from_a, from_b) = (
            self.lineage(context, place_a.unit, end_a.part),
            self.lineage(context, place_b.unit, end_b.part),
        );
        let found = Rc::new(judge(context.graph, placed.joint, (end_a, &from_a), (end_b, &from_b)));
        self.known.borrow_mut().insert(key, Rc::clone(&found));
        Some(found)
    }

    /// The part of a value whose face meets a joint, with what it is to the unit.
    pub(crate) fn end(
        &self,
        context: &Context<'a>,
        place: &Place<'_>,
        value: &Value,
        feature: &str,
    ) -> Option<End> {
        let with_face = value
            .fitted
            .iter()
            .map(|(part, _)| *part)
            .find(|part| context.graph.feature(*part, feature).is_some());
        let part = with_face.or_else(|| value.main())?;
        Some(End { part, origin: self.origin(context, place, part) })
    }

    fn origin(&self, context: &Context<'a>, place: &Place<'_>, part: PartIx) -> Origin {
        let unit = &place.position.unit;
        let candidates = context.graph.candidates(unit, place.position.position.as_str());
        let original = |part: PartIx| {
            candidates.iter().any(|(candidate, row)| {
                *candidate == part
                    && row.role == CandidateRole::Original
                    && self.branch.holds(place.unit, row.variant.as_ref())
            })
        };
        if original(part) {
            return Origin::Original;
        }
        match self.lineage(context, place.unit, part).iter().skip(1).any(|old| original(*old)) {
            true => Origin::FollowsOriginal,
            false => Origin::Other,
        }
    }

    /// A number and those whose statements pass to it, nearest first: a notice with interchange that holds says that the new
    /// fits where the old did.
    fn lineage(&self, context: &Context<'a>, unit: usize, part: PartIx) -> Lines {
        if let Some(known) = self.lineage.borrow().get(&(unit, part)) {
            return Rc::clone(known);
        }
        let reading = Reading {
            graph: context.graph,
            as_of: context.input.request.as_of,
            unit: Some(&context.units[unit]),
            branch: Some(&self.branch),
        };
        let mut all = vec![part];
        let mut seen = BTreeSet::from([part]);
        let mut at = 0;
        while let Some(number) = all.get(at).copied() {
            for notice in context.graph.notices_to(number) {
                let passes = notice.notice.interchange != Interchange::None
                    && reading.holds(notice.row, notice.notice);
                if passes && seen.insert(notice.old) {
                    all.push(notice.old);
                }
            }
            // Both ways: what holds of the new holds of the old too.
            for notice in context.graph.notices_from(number) {
                let passes = notice.notice.interchange == Interchange::TwoWay
                    && reading.holds(notice.row, notice.notice);
                if passes && seen.insert(notice.new) {
                    all.push(notice.new);
                }
            }
            at += 1;
        }
        let all: Lines = all.into();
        self.lineage.borrow_mut().insert((unit, part), Rc::clone(&all));
        all
    }
}
