//! The rules of the trade at the places of a branch, as constraints and costs of an exact fit problem.

use std::collections::BTreeMap;

use catalogue::CandidateRole;
use mechanics::Verdict;
use solver::fit::{Constraint, Cost, Problem, Tuples};

use crate::asked::Wish;
use crate::branch::Branch;
use crate::companion_places::stands_for_any;
use crate::context::Context;
use crate::gearing::axles::{axle_ratio, is_axle, may_run_together, other_axles};
use crate::graph::PartIx;
use crate::joint_judge::JointJudge;
use crate::need::accepted;
use crate::placed_joint::PlacedJoint;
use crate::scope::Place;
use crate::supersession::Reading;
use crate::value::{Asked, Shared, State, Value, is_hard, merge_drags};

/// An unverified joint weighs as much as this many soft renewals; there are never more in one answer.
pub(crate) const SOFT_SCALE: u32 = 10_000;
/// Old stock in place of a merge weighs as much as this many soft renewals: the merge drags in what is soft, not what is hard.
const RELUCTANCE: u32 = 100;
/// An upgrade that nobody asked for weighs as much as this many further changes.
const UNASKED_UPGRADE: u32 = 1_000;

/// What a constraint stands for, to explain a conflict.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) enum Fact {
    /// A joint, by its row in the snapshot.
    Joint(usize),
    /// One piece fills these places together.
    Shared(Vec<usize>),
    /// A place exists only with a part.
    OnlyWith(usize),
    /// A part at the first place brings a companion at the second.
    Companion(usize, usize),
    /// A notice needs the second place to change with the first.
    NoticeNeeds(usize, usize),
    /// A part fills other places too, and the rest of them cannot have it.
    NotAlone(usize),
    /// A wish, by its index.
    Wish(usize),
    /// Two driven axles of one vehicle must have the same ratio.
    Axles(usize, usize),
}

/// The fit of a branch while it is put together.
pub(crate) struct Build<'b, 'a> {
    /// The context.
    pub(crate) context: &'b Context<'a>,
    /// What is taken to hold.
    pub(crate) branch: &'b Branch,
    /// The places.
    pub(crate) places: &'b [Place<'a>],
    /// Their values.
    pub(crate) values: &'b [Vec<Value>],
    /// The wishes.
    pub(crate) wishes: &'b [Wish],
    /// What wishes name at each place.
    pub(crate) asked: &'b [Asked],
    /// The joints.
    pub(crate) joints: &'b [PlacedJoint<'a>],
    /// Their verdicts.
    pub(crate) judge: &'b JointJudge<'a>,
    /// For each place the places of companions of what may be fitted there.
    pub(crate) companions: &'b [Vec<(usize, PartIx)>],
}

impl<'a> Build<'_, 'a> {
    /// The problem with what each constraint stands for. Variables are the places, then the wishes with several ways.
    pub(crate) fn problem(&self) -> (Problem, Vec<Fact>) {
        let mut problem = Problem::default();
        let mut facts = Vec::new();
        for (at, values) in self.values.iter().enumerate() {
            problem
                .variables
                .push(values.iter().map(|value| solver::fit::Value { cost: self.cost(at, value) }).collect());
        }
        for joint in self.joints {
            if let Some(constraint) = self.joint(joint) {
                problem.constraints.push(constraint);
                facts.push(Fact::Joint(joint.row));
            }
        }
        self.shared(&mut problem, &mut facts);
        self.whole_sets(&mut problem, &mut facts);
        self.only_with(&mut problem, &mut facts);
        self.companions(&mut problem, &mut facts);
        self.notice_needs(&mut problem, &mut facts);
        self.axles(&mut problem, &mut facts);
        self.wishes(&mut problem, &mut facts);
        (problem, facts)
    }

    /// A hard part renewed that could be kept is a further change; any other such renewal weighs least of all. What was asked
    /// for, must be renewed or comes along counts nothing.
    fn cost(&self, at: usize, value: &Value) -> Cost {
        let place = &self.places[at];
        let asked = value.listed.is_some_and(|listed| self.asked[at].listed.contains(&listed));
        let mut cost = Cost::default();
        if value.state == State::New && value.role == CandidateRole::Upgrade && !asked {
            cost.changes += UNASKED_UPGRADE;
        }
        if value.reluctant {
            cost.unverified += RELUCTANCE;
        }
        let free = value.state == State::Kept
            || !place.must.is_empty()
            || asked
            || value.companion_of.is_some()
            || (value.state == State::Absent && place.inside.is_none());
        if !free {
            match place.inside.is_some_and(|part| is_hard(self.context.graph.part(part).kind)) {
                true => cost.changes += 1,
                false => cost.unverified += 1,
            }
        }
        cost
    }

    fn joint(&self, joint: &PlacedJoint<'a>) -> Option<Constraint> {
        let (place_a, place_b) = (&self.places[joint.a], &self.places[joint.b]);
        let mut tuples = Tuples::new();
        let mut matters = false;
        for (i, a) in self.values[joint.a].iter().enumerate() {
            for (j, b) in self.values[joint.b].iter().enumerate() {
                let verdict = self.judge.verdict(self.context, joint, (place_a, a), (place_b, b));
                let unverified = match verdict.map(|verdict| verdict.verdict) {
                    None | Some(Verdict::Fits) => 0,
                    Some(Verdict::Unverified) if self.context.verified_only => {
                        matters = true;
                        continue;
                    }
                    Some(Verdict::Unverified) => SOFT_SCALE,
                    Some(Verdict::DoesNotFit) => {
                        matters = true;
                        continue;
                    }
                };
                matters |= unverified > 0;
                tuples.push(&[i, j], unverified);
            }
        }
        matters.then(|| Constraint { scope: vec![joint.a, joint.b], tuples })
    }

    /// One piece that fills several places fills them all or none: pairwise along the places it fills.
    fn shared(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        let mut fills: BTreeMap<(usize, State, Shared), Vec<usize>> = BTreeMap::new();
        for (at, values) in self.values.iter().enumerate() {
            for value in values {
                if let Some(shared) = value.shared {
                    let places = fills.entry((self.places[at].unit, value.state, shared)).or_default();
                    if places.last() != Some(&at) {
                        places.push(at);
                    }
                }
            }
        }
        for ((_, state, shared), places) in fills {
            for pair in places.windows(2) {
                let is = |v: &Value| v.shared == Some(shared) && v.state == state;
                let tuples = self.pairs(pair[0], pair[1], |a, b| is(a) == is(b));
                problem.constraints.push(Constraint { scope: pair.to_vec(), tuples });
                facts.push(Fact::Shared(pair.to_vec()));
            }
        }
    }

    /// A set does not stand where another of its places cannot have it; a merge needs the other places of its group to change,
    /// those too that hold none of its old numbers.
    fn whole_sets(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, values) in self.values.iter().enumerate() {
            let mut seen: Vec<(State, Shared)> = Vec::new();
            for value in values {
                let Some(shared) = value.shared.filter(|shared| !seen.contains(&(value.state, *shared)))
                else {
                    continue;
                };
                seen.push((value.state, shared));
                let is = |v: &Value| v.shared == Some(shared) && v.state == value.state;
                for other in self.rest_of(at, value, shared) {
                    if self.values[other].iter().any(is) {
                        continue;
                    }
                    let set = matches!(shared, Shared::Set(_));
                    let tuples =
                        self.pairs(at, other, |here, there| !is(here) || (!set && there.state == State::New));
                    problem.constraints.push(Constraint { scope: vec![at, other], tuples });
                    facts.push(if set { Fact::NotAlone(at) } else { Fact::Shared(vec![at, other]) });
                }
            }
        }
    }

    /// The other places that one piece fills, or whose renewal it needs, as the data list them.
    fn rest_of(&self, at: usize, value: &Value, shared: Shared) -> Vec<usize> {
        let unit = self.places[at].unit;
        let key = &self.context.units[unit].unit.unit;
        let codes: Vec<&catalogue::Code> = match shared {
            Shared::Set(set) => {
                let of = |part| self.context.graph.set_positions(key, part).iter().map(|row| &row.position);
                of(set).chain(value.listed.into_iter().flat_map(of)).collect()
            }
            Shared::Merge(_, row, _) => {
                let named = merge_drags(self.context, unit, row).unwrap_or_default();
                let is_named = |place: &&Place<'_>| named.contains(&place.position.position);
                self.places.iter().filter(is_named).map(|place| &place.position.position).collect()
            }
        };
        (0..self.places.len())
            .filter(|other| *other != at && self.places[*other].unit == unit)
            .filter(|other| codes.contains(&&self.places[*other].position.position))
            .collect()
    }

    /// A position that exists only with a part is filled exactly when that part stands somewhere in the unit.
    fn only_with(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, place) in self.places.iter().enumerate() {
            let Some(part) = place.position.only_with.as_ref().and_then(|key| self.context.graph.find(key))
            else {
                continue;
            };
            let hosts: Vec<usize> = (0..self.places.len())
                .filter(|host| *host != at && self.places[*host].unit == place.unit)
                .filter(|host| self.values[*host].iter().any(|value| value.stands_for(part)))
                .collect();
            let scope: Vec<usize> = hosts.iter().copied().chain(std::iter::once(at)).collect();
            // A piece that was not inside before cannot be kept; one that goes with a newly fitted part is new.
            let tuples = self.combinations(&scope, |values| {
                let here = values[values.len() - 1];
                let mut standing = values[..values.len() - 1].iter().filter(|value| value.stands_for(part));
                match standing.clone().next() {
                    None => here.state == State::Absent,
                    Some(_) if standing.any(|host| host.state == State::New) => here.state == State::New,
                    Some(_) => here.state != State::Absent,
                }
            });
            problem.constraints.push(Constraint { scope, tuples });
            facts.push(Fact::OnlyWith(at));
        }
    }

    /// A part that is newly fitted brings its companion: at the companion's own place, where the unit has one. And what is
    /// renewed as a companion is so only with its host.
    fn companions(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, values) in self.values.iter().enumerate() {
            for (place, companion) in &self.companions[at] {
                let accepts = accepted(self.context, self.branch, self.places[at].unit, *companion);
                let accepts = accepts.unwrap_or_default();
                let brings = |value: &Value| {
                    let of = |(part, _): &(PartIx, _)| {
                        self.context.graph.companions(*part).iter().any(|(other, _)| other == companion)
                    };
                    value.state == State::New && value.fitted.iter().any(of)
                };
                if values.iter().any(brings) {
                    let tuples = self.pairs(at, *place, |host, here| match brings(host) {
                        true => here.state == State::New && stands_for_any(here, *companion, &accepts),
                        false => here.companion_of != Some(at),
                    });
                    problem.constraints.push(Constraint { scope: vec![at, *place], tuples });
                    facts.push(Fact::Companion(at, *place));
                }
            }
        }
    }

    /// A number that its notice lets in only with further changes.
    fn notice_needs(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, values) in self.values.iter().enumerate() {
            for row in values.iter().filter_map(|value| value.needs_of) {
                let notice = &self.context.graph.snapshot.supersessions[row];
                for need in self.reading(self.places[at].unit).needs(notice) {
                    let place = (0..self.places.len()).find(|other| {
                        let place = &self.places[*other];
                        place.unit == self.places[at].unit && place.position.position == need.position
                    });
                    let wanted = need.part.as_ref().and_then(|key| self.context.graph.find(key));
                    let Some(place) = place.filter(|place| *place != at) else { continue };
                    let meets = |value: &Value| match wanted {
                        Some(part) => value.state != State::Absent && value.stands_for(part),
                        None => value.state == State::New,
                    };
                    // What is inside together stays together.
                    let both_stay =
                        |here: &Value, there: &Value| here.state == State::Kept && there.state != State::New;
                    let tuples = self.pairs(at, place, |here, there| {
                        here.needs_of != Some(row) || both_stay(here, there) || meets(there)
                    });
                    problem.constraints.push(Constraint { scope: vec![at, place], tuples });
                    facts.push(Fact::NoticeNeeds(at, place));
                }
            }
        }
    }

    /// A newly fitted crown wheel and pinion goes only with such a ratio in the other driven axle of a vehicle.
    fn axles(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        let graph = self.context.graph;
        let ratio = |value: &Value| value.main().and_then(|part| axle_ratio(graph, part));
        let pair_at = |unit: usize| {
            (0..self.places.len())
                .filter(|at| self.places[*at].unit == unit && is_axle(self.context, unit))
                .find(|at| self.values[*at].iter().any(|value| ratio(value).is_some()))
        };
        for unit in &self.context.units {
            for (key, tolerance) in other_axles(graph, &unit.unit.unit) {
                let other = self
                    .context
                    .units
                    .iter()
                    .find(|other| other.unit.unit == key && other.index > unit.index);
                let Some((a, b)) = other.and_then(|other| pair_at(unit.index).zip(pair_at(other.index)))
                else {
                    continue;
                };
                let tuples = self.pairs(a, b, |here, there| {
                    let both_kept = here.state == State::Kept && there.state == State::Kept;
                    both_kept
                        || ratio(here)
                            .zip(ratio(there))
                            .is_none_or(|(x, y)| may_run_together(x, y, tolerance))
                });
                if tuples.len() < self.values[a].len() * self.values[b].len() {
                    problem.constraints.push(Constraint { scope: vec![a, b], tuples });
                    facts.push(Fact::Axles(a, b));
                }
            }
        }
    }

    /// A wish is met by one of its alternatives at all places of that alternative.
    fn wishes(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (index, wish) in self.wishes.iter().enumerate() {
            if let [only] = wish.alternatives.as_slice() {
                for stand in &only.at {
                    let tuples = self.singles(stand.place, |value| stand.is_met_by(value));
                    problem.constraints.push(Constraint { scope: vec![stand.place], tuples });
                    facts.push(Fact::Wish(index));
                }
                continue;
            }
            if wish.alternatives.is_empty() {
                problem.constraints.push(Constraint { scope: Vec::new(), tuples: Tuples::new() });
                facts.push(Fact::Wish(index));
                continue;
            }
            let variable = problem.variables.len();
            problem.variables.push(vec![solver::fit::Value::default(); wish.alternatives.len()]);
            for (way, alternative) in wish.alternatives.iter().enumerate() {
                for stand in &alternative.at {
                    let values = &self.values[stand.place];
                    let mut tuples = Tuples::new();
                    for (v, value) in values.iter().enumerate() {
                        for other in 0..wish.alternatives.len() {
                            if other != way || stand.is_met_by(value) {
                                tuples.push(&[v, other], 0);
                            }
                        }
                    }
                    problem.constraints.push(Constraint { scope: vec![stand.place, variable], tuples });
                    facts.push(Fact::Wish(index));
                }
            }
        }
    }

    fn reading(&self, unit: usize) -> Reading<'_, '_> {
        Reading {
            graph: self.context.graph,
            as_of: self.context.input.request.as_of,
            unit: Some(&self.context.units[unit]),
            branch: Some(self.branch),
        }
    }

    /// All combinations of the values of some places that are allowed.
    fn combinations(&self, scope: &[usize], allowed: impl Fn(&[&Value]) -> bool) -> Tuples {
        let mut all: Vec<Vec<usize>> = vec![Vec::new()];
        for at in scope {
            let with = |tuple: &Vec<usize>| {
                let tuple = tuple.clone();
                (0..self.values[*at].len()).map(move |value| {
                    let mut longer = tuple.clone();
                    longer.push(value);
                    longer
                })
            };
            all = all.iter().flat_map(with).collect();
        }
        all.retain(|tuple| {
            let values: Vec<&Value> = scope.iter().zip(tuple).map(|(at, v)| &self.values[*at][*v]).collect();
            allowed(&values)
        });
        Tuples::of(all)
    }

    fn singles(&self, at: usize, allowed: impl Fn(&Value) -> bool) -> Tuples {
        let values = self.values[at].iter().enumerate();
        Tuples::of(values.filter(|(_, v)| allowed(v)).map(|(v, _)| [v]))
    }

    fn pairs(&self, a: usize, b: usize, allowed: impl Fn(&Value, &Value) -> bool) -> Tuples {
        let mut tuples = Tuples::new();
        for (i, value_a) in self.values[a].iter().enumerate() {
            for (j, value_b) in self.values[b].iter().enumerate() {
                if allowed(value_a, value_b) {
                    tuples.push(&[i, j], 0);
                }
            }
        }
        tuples
    }
}
