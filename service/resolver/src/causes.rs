//! Why a position is as it is: the reasons of its line, first cause first.

use std::collections::BTreeSet;

use catalogue::{CandidateRole, Code};
use mechanics::Verdict;

use crate::allocation::Allocation;
use crate::context::Context;
use crate::fit::Fit;
use crate::gearing::axles::{axle_ratio, may_run_together, other_axles};
use crate::graph::PartIx;
use crate::reason::{Acceptance, Place as PlaceName, Reason};
use crate::scope::Place;
use crate::value::{Shared, State, Value, is_hard, merge_drags};

/// A solved branch, to ask for causes.
pub(crate) struct Causes<'c, 'a> {
    /// The context.
    pub(crate) context: &'c Context<'a>,
    /// The fit.
    pub(crate) fit: &'c Fit<'a>,
    /// What was chosen.
    pub(crate) allocation: &'c Allocation,
}

impl Causes<'_, '_> {
    /// The value chosen at a place.
    pub(crate) fn value(&self, at: usize) -> &Value {
        &self.fit.values[at][self.allocation.chosen[at]]
    }

    /// The number by which a part was asked for at a place, if it was.
    pub(crate) fn asked(&self, at: usize) -> Option<PartIx> {
        let value = self.value(at);
        if value.state != State::New {
            return None;
        }
        self.fit.wishes.iter().flat_map(|wish| &wish.alternatives).find_map(|alternative| {
            let here = alternative.at.iter().any(|stand| stand.place == at && stand.is_met_by(value));
            here.then_some(alternative.named)
        })
    }

    /// Whether the line is a further change: a hard part renewed that would otherwise be kept.
    pub(crate) fn is_further_change(&self, at: usize) -> bool {
        let place = &self.fit.places[at];
        self.value(at).state == State::New
            && place.must.is_empty()
            && self.asked(at).is_none()
            && self.value(at).companion_of.is_none()
            && place.inside.is_some_and(|part| is_hard(self.context.graph.part(part).kind))
    }

    /// The reasons of a place's line, for the part that is fitted there.
    pub(crate) fn reasons(&self, at: usize, fitted: Option<PartIx>) -> Vec<Reason> {
        let place = &self.fit.places[at];
        let value = self.value(at);
        let mut reasons = Vec::new();
        match value.state {
            State::Kept => reasons.push(Reason::NothingAsks),
            State::Absent => {}
            State::New => {
                if let Some(named) = self.asked(at) {
                    reasons.push(Reason::Asked { part: self.context.graph.part(named).part.clone() });
                }
                reasons.extend(place.must.iter().cloned());
                if reasons.is_empty() {
                    reasons.push(self.forced(at));
                }
                self.how(value, place, fitted, &mut reasons);
            }
        }
        reasons
    }

    /// The variants and notices that a place's line rests on.
    pub(crate) fn spoken_of(&self, at: usize, reasons: &[Reason]) -> BTreeSet<Code> {
        let place = &self.fit.places[at];
        let unit = &place.position.unit;
        let listed = self.value(at).listed.or(place.inside);
        let candidates = self.context.graph.candidates(unit, place.position.position.as_str());
        let of_candidate = candidates.iter().filter(|(part, _)| Some(*part) == listed);
        let mut spoken_of: BTreeSet<Code> = place.position.variant.iter().cloned().collect();
        spoken_of.extend(of_candidate.filter_map(|(_, candidate)| candidate.variant.clone()));
        for reason in reasons {
            if let Reason::Superseded { notice, old, .. } = reason {
                spoken_of.insert(notice.clone());
                let rows = self.context.graph.snapshot.supersessions.iter();
                let of_notice = rows.filter(|row| row.notice == *notice && row.old == *old);
                spoken_of.extend(of_notice.filter_map(|row| row.variant.clone()));
            }
        }
        spoken_of
    }

    fn name(&self, at: usize) -> PlaceName {
        let position = self.fit.places[at].position;
        PlaceName { unit: position.unit.clone(), position: position.position.clone() }
    }

    fn others(&self, at: usize) -> impl Iterator<Item = usize> {
        let unit = self.fit.places[at].unit;
        (0..self.fit.places.len())
            .filter(move |other| *other != at)
            .filter(move |other| self.fit.places[*other].unit == unit)
    }

    /// What makes a position change that nothing asks to be renewed.
    fn forced(&self, at: usize) -> Reason {
        let value = self.value(at);
        self.because_of_the_other_axle(at)
            .or_else(|| self.because_of_one_piece(at, value))
            .or_else(|| self.because_of_a_companion(at))
            .or_else(|| self.because_of_its_host(at))
            .or_else(|| self.because_of_a_joint(at))
            .or_else(|| self.because_of_a_notice(at))
            .unwrap_or(Reason::NothingAsks)
    }

    fn key(&self, part: PartIx) -> catalogue::PartKey {
        self.context.graph.part(part).part.clone()
    }

    fn because_of_one_piece(&self, at: usize, value: &Value) -> Option<Reason> {
        let has_cause = |other: usize| {
            self.value(other).state == State::New
                && (!self.fit.places[other].must.is_empty() || self.asked(other).is_some())
        };
        let fills =
            |shared: Shared, other: usize| self.fit.values[other].iter().any(|v| v.shared == Some(shared));
        let kept = self.fit.values[at].iter().find(|v| v.state == State::Kept).and_then(|v| v.shared);
        for shared in [value.shared, kept].into_iter().flatten() {
            let others: Vec<usize> = self.others(at).filter(|other| fills(shared, *other)).collect();
            let because = others
                .iter()
                .copied()
                .find(|other| has_cause(*other))
                .or_else(|| others.iter().copied().find(|other| self.value(*other).state == State::New));
            if let Some(other) = because {
                let because = self.name(other);
                return Some(match shared {
                    Shared::Set(set) => Reason::MatchedSet { set: self.key(set), because },
                    Shared::Merge(_, row, _) => Reason::Merge {
                        notice: self.context.graph.snapshot.supersessions[row].notice.clone(),
                        because,
                    },
                });
            }
        }
        self.because_of_a_merge(at)
    }

    /// A merge elsewhere that names this position, though none of its old numbers stands here.
    fn because_of_a_merge(&self, at: usize) -> Option<Reason> {
        let position = &self.fit.places[at].position.position;
        self.others(at).find_map(|other| {
            let value = self.value(other);
            let Some(Shared::Merge(_, row, _)) = value.shared.filter(|_| value.state == State::New) else {
                return None;
            };
            let named = merge_drags(self.context, self.fit.places[other].unit, row)?;
            let notice = self.context.graph.snapshot.supersessions[row].notice.clone();
            named.contains(position).then(|| Reason::Merge { notice, because: self.name(other) })
        })
    }

    fn because_of_its_host(&self, at: usize) -> Option<Reason> {
        let key = self.fit.places[at].position.only_with.as_ref()?;
        let part = self.context.graph.find(key)?;
        self.others(at)
            .any(|other| self.value(other).state == State::New && self.value(other).stands_for(part))
            .then(|| Reason::OnlyWith { part: key.clone() })
    }

    fn because_of_a_joint(&self, at: usize) -> Option<Reason> {
        let kept = self.fit.values[at].iter().find(|v| v.state == State::Kept)?;
        let refuses = |want: Verdict| {
            self.fit.joints.iter().find_map(|placed| {
                let (here, there) = match (placed.a == at, placed.b == at) {
                    (true, false) => (placed.a, placed.b),
                    (false, true) => (placed.b, placed.a),
                    _ => return None,
                };
                let other = self.value(there);
                let (place, other_place) = (&self.fit.places[here], &self.fit.places[there]);
                let judge = &self.fit.judge;
                let verdict = if placed.a == at {
                    judge.verdict(self.context, placed, (place, kept), (other_place, other))
                } else {
                    judge.verdict(self.context, placed, (other_place, other), (place, kept))
                };
                (verdict?.verdict == want).then_some((placed, there, other.main()?))
            })
        };
        let (placed, there, fitted) =
            refuses(Verdict::DoesNotFit).or_else(|| refuses(Verdict::Unverified))?;
        Some(Reason::NoMateFits {
            joint: placed.joint.joint.clone(),
            because: self.name(there),
            fitted: self.key(fitted),
        })
    }

    /// A crown wheel and pinion that changes because the other driven axle's does.
    fn because_of_the_other_axle(&self, at: usize) -> Option<Reason> {
        let graph = self.context.graph;
        let unit = &self.fit.places[at].position.unit;
        let here = axle_ratio(graph, self.value(at).main()?)?;
        let kept = axle_ratio(graph, self.fit.places[at].inside?)?;
        let driven = other_axles(graph, unit);
        let tolerance = |place: &Place<'_>| {
            driven.iter().find(|(key, _)| *key == place.position.unit).map(|(_, tolerance)| *tolerance)
        };
        self.fit.places.iter().enumerate().find_map(|(other, place)| {
            let tolerance = tolerance(place)?;
            let value = self.value(other);
            let fitted = value.main().filter(|_| value.state == State::New)?;
            let other_ratio = axle_ratio(graph, fitted)?;
            // What was inside would not have run with it, what is fitted does.
            let decides = may_run_together(here, other_ratio, tolerance)
                && !may_run_together(kept, other_ratio, tolerance);
            decides.then(|| Reason::AxleRatio { because: self.name(other), fitted: self.key(fitted) })
        })
    }

    fn because_of_a_companion(&self, at: usize) -> Option<Reason> {
        let brings = |other: usize| {
            let value = self.value(other);
            let here = &self.fit.companions[other];
            let of = |part: PartIx| {
                let companions = self.context.graph.companions(part);
                companions.iter().any(|(c, _)| here.contains(&(at, *c)))
            };
            let fitted = value.fitted.iter().map(|(part, _)| *part).filter(|_| value.state == State::New);
            fitted.into_iter().find(|part| of(*part)).map(|part| (other, part))
        };
        let host = self.value(at).companion_of.and_then(brings).or_else(|| self.others(at).find_map(brings));
        host.map(|(other, part)| Reason::Companion { of: self.key(part), because: Some(self.name(other)) })
    }

    fn because_of_a_notice(&self, at: usize) -> Option<Reason> {
        self.others(at).find_map(|other| {
            let row = self.value(other).needs_of?;
            let notice = &self.context.graph.snapshot.supersessions[row].notice;
            let needs = self.context.graph.notice_needs(notice.as_str());
            let place = self.fit.places[at].position;
            let here = needs.iter().any(|need| need.unit == place.unit && need.position == place.position);
            here.then(|| Reason::NoticeNeeds { notice: notice.clone() })
        })
    }

    /// How the fitted number follows from the listed one.
    fn how(&self, value: &Value, place: &Place<'_>, fitted: Option<PartIx>, reasons: &mut Vec<Reason>) {
        let snapshot = self.context.graph.snapshot;
        for row in value.rows.iter().map(|row| &snapshot.supersessions[*row]) {
            reasons.push(Reason::superseded(row));
        }
        if let Some(row) = value.used_up.map(|row| &snapshot.supersessions[row]) {
            reasons.push(Reason::OldStockFirst { notice: row.notice.clone(), old: row.old.clone() });
        }
        let accepted = |listed: PartIx, how| Reason::AcceptedInstead { listed: self.key(listed), how };
        let mixed = fitted.is_some_and(|part| value.main() != Some(part) && value.also.contains(&part));
        match (value.listed, value.main()) {
            (_, Some(main)) if mixed => reasons.push(accepted(main, Acceptance::Interchangeable)),
            (Some(listed), _) if value.accepted.is_some() => {
                reasons.push(accepted(listed, Acceptance::Interchangeable));
            }
            _ => {}
        }
        let asked = reasons.iter().any(|reason| matches!(reason, Reason::Asked { .. }));
        if let Some(inside) = place.inside.filter(|_| !asked && value.listed != place.inside) {
            match value.role {
                CandidateRole::Alternative => reasons.push(accepted(inside, Acceptance::Alternative)),
                CandidateRole::Upgrade => reasons.push(accepted(inside, Acceptance::NothingElseFits)),
                CandidateRole::Original => {}
            }
        }
    }
}
