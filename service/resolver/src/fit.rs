//! Which parts go together: the positions of a branch as an exact fit problem, and its answer.
//!
//! Hard rules first; then the fewest further changes of hard parts, the fewest unverified joints, the fewest other
//! renewals that nothing asks for. Money is left to the sourcing, which gets every choice that is still open.

use std::collections::BTreeMap;

use catalogue::Joint;
use mechanics::Verdict;
use solver::fit::{Budget, Constraint, Cost, Problem, SupportsOutcome, Tuple, supports};

use crate::asked::{Wish, wishes};
use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::scope::Place;
use crate::value::{Shared, State, Upgrades, Value, Values, is_hard, merge_drags};
use crate::verdict::{End, JointVerdict, is_original, judge};

/// An unverified joint weighs as much as this many soft renewals; there are never more in one answer.
const SOFT_SCALE: u32 = 10_000;

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
    /// A wish, by its index.
    Wish(usize),
}

/// The fit of one branch, solved.
#[derive(Debug)]
pub(crate) struct Fit<'a> {
    /// The places, unit by unit in order of assembly.
    pub(crate) places: Vec<Place<'a>>,
    /// The values of each place.
    pub(crate) values: Vec<Vec<Value>>,
    /// The values that are still open at each place, one where the fit decides; behind the places, the ways that are open
    /// to meet each wish that has several.
    pub(crate) open: Vec<Vec<usize>>,
    /// Which open values go together: scope of places (and wishes), allowed combinations of values.
    pub(crate) tables: Vec<(Vec<usize>, Vec<Vec<usize>>)>,
    /// The wishes.
    pub(crate) wishes: Vec<Wish>,
    /// Joints between places of the branch.
    pub(crate) joints: Vec<PlacedJoint<'a>>,
}

/// A joint with the places at its ends.
#[derive(Debug, Clone, Copy)]
pub(crate) struct PlacedJoint<'a> {
    /// Its row in the snapshot.
    pub(crate) row: usize,
    /// The joint.
    pub(crate) joint: &'a Joint,
    /// The place at its first end.
    pub(crate) a: usize,
    /// The place at its second end.
    pub(crate) b: usize,
}

/// Solves the fit of a branch. Upgrades that nobody asked for are let in only where nothing else makes the rest fit.
pub(crate) fn solve_fit<'a>(context: &Context<'a>, branch: &Branch) -> Result<Fit<'a>, RequestFault> {
    match attempt(context, branch, Upgrades::Asked)? {
        Ok(fit) => Ok(fit),
        Err(_) => attempt(context, branch, Upgrades::All)?.map_err(|conflict| conflict),
    }
}

type Attempt<'a> = Result<Fit<'a>, RequestFault>;

fn attempt<'a>(
    context: &Context<'a>,
    branch: &Branch,
    upgrades: Upgrades,
) -> Result<Attempt<'a>, RequestFault> {
    let places = crate::scope::places(context, branch)?;
    let wishes = wishes(context, branch, &places)?;
    let joints = placed_joints(context, &places);
    let mut asked: Vec<Vec<PartIx>> = vec![Vec::new(); places.len()];
    for alternative in wishes.iter().flat_map(|wish| &wish.alternatives) {
        for (place, part) in &alternative.at {
            asked[*place].push(*part);
        }
    }
    let mut maker = Values::new(context, branch, upgrades);
    let mut values = Vec::with_capacity(places.len());
    for (at, place) in places.iter().enumerate() {
        let jointed = joints.iter().any(|joint| joint.a == at || joint.b == at);
        let found = maker.of(place, &asked[at], jointed)?;
        values.push(found);
    }
    let mut build =
        Build { context, places: &places, values: &values, wishes: &wishes, asked: &asked, joints: &joints };
    let (problem, facts) = build.problem();
    let outcome = supports(&problem, &Budget::default()).map_err(|invalid| {
        RequestFault::new(
            RequestFaultKind::CatalogueFault,
            "",
            format!("the unit cannot be solved: {invalid}"),
        )
    })?;
    let found = match outcome {
        SupportsOutcome::Proven(found) => found,
        SupportsOutcome::Bounded { .. } => {
            return Err(too_open());
        }
        SupportsOutcome::Conflict(conflict) => {
            return Ok(Err(crate::conflict::explain(&build, &facts, &conflict)));
        }
    };
    let (open, tables) = if found.residual.exact {
        (found.values, residual_tables(&found.residual))
    } else {
        // The open choice cannot be told by tables alone; the first of the best answers stands, money aside.
        (first_best(&problem)?, Vec::new())
    };
    Ok(Ok(Fit { places, values, open, tables, wishes, joints }))
}

/// The tables of the open choice in terms of the fit's own variables and values.
fn residual_tables(residual: &solver::fit::Residual) -> Vec<(Vec<usize>, Vec<Vec<usize>>)> {
    let tables = residual.problem.constraints.iter().map(|constraint| {
        let scope = constraint.scope.iter().map(|variable| residual.variables[*variable]).collect();
        let tuples = constraint.tuples.iter().map(|tuple| {
            tuple
                .values
                .iter()
                .zip(&constraint.scope)
                .map(|(value, at)| residual.values[*at][*value])
                .collect()
        });
        (scope, tuples.collect())
    });
    tables.collect()
}

/// One best value for each variable.
fn first_best(problem: &Problem) -> Result<Vec<Vec<usize>>, RequestFault> {
    match solver::fit::solve(problem, &Budget::default()) {
        Ok(solver::fit::Outcome::Optimal(best)) => {
            Ok(best.values.into_iter().map(|value| vec![value]).collect())
        }
        _ => Err(too_open()),
    }
}

fn too_open() -> RequestFault {
    RequestFault::new(
        RequestFaultKind::TooManyUnknowns,
        "/units",
        "too many parts are open at too many joints to prove an answer; say more of what is inside",
    )
}

/// The joints whose ends both exist; a joint between units ties the first unit of each code.
fn placed_joints<'a>(context: &Context<'a>, places: &[Place<'a>]) -> Vec<PlacedJoint<'a>> {
    let mut at: BTreeMap<(usize, &str), usize> = BTreeMap::new();
    for (index, place) in places.iter().enumerate() {
        at.insert((place.unit, place.position.position.as_str()), index);
    }
    let mut found = Vec::new();
    for (row, joint) in context.graph.snapshot.joints.iter().enumerate() {
        let instances = |key: &'a catalogue::UnitKey| {
            context.units.iter().filter(move |unit| unit.unit.unit == *key).map(|unit| unit.index)
        };
        let pairs: Vec<(usize, usize)> = if joint.unit_a == joint.unit_b {
            instances(&joint.unit_a).map(|unit| (unit, unit)).collect()
        } else {
            instances(&joint.unit_a).next().zip(instances(&joint.unit_b).next()).into_iter().collect()
        };
        for (unit_a, unit_b) in pairs {
            let ends = at
                .get(&(unit_a, joint.position_a.as_str()))
                .zip(at.get(&(unit_b, joint.position_b.as_str())));
            if let Some((a, b)) = ends {
                found.push(PlacedJoint { row, joint, a: *a, b: *b });
            }
        }
    }
    found
}

/// The part of a value whose face meets a joint, with whether it is original equipment.
pub(crate) fn end(context: &Context<'_>, place: &Place<'_>, value: &Value, feature: &str) -> Option<End> {
    let with_face = value
        .fitted
        .iter()
        .map(|(part, _)| *part)
        .find(|part| context.graph.feature(*part, feature).is_some());
    let part = with_face.or_else(|| value.main())?;
    let original = match value.state {
        State::Kept => place.inside_is_original,
        State::New => is_original(value.role),
        State::Absent => false,
    };
    Some(End { part, original })
}

/// The verdict on a joint for two values; `None` where one end is empty or both are kept and so run together already.
pub(crate) fn joint_verdict<'a>(
    context: &Context<'a>,
    joint: &Joint,
    (place_a, a): (&Place<'_>, &Value),
    (place_b, b): (&Place<'_>, &Value),
) -> Option<JointVerdict<'a>> {
    if a.state == State::Kept && b.state == State::Kept {
        return None;
    }
    let end_a = end(context, place_a, a, joint.feature_a.as_str())?;
    let end_b = end(context, place_b, b, joint.feature_b.as_str())?;
    Some(judge(context.graph, joint, end_a, end_b))
}

/// The fit of a branch while it is put together.
pub(crate) struct Build<'b, 'a> {
    /// The context.
    pub(crate) context: &'b Context<'a>,
    /// The places.
    pub(crate) places: &'b [Place<'a>],
    /// Their values.
    pub(crate) values: &'b [Vec<Value>],
    /// The wishes.
    pub(crate) wishes: &'b [Wish],
    /// The candidates that wishes name at each place.
    pub(crate) asked: &'b [Vec<PartIx>],
    /// The joints.
    pub(crate) joints: &'b [PlacedJoint<'a>],
}

impl Build<'_, '_> {
    /// The problem with what each constraint stands for. Variables are the places, then the wishes with several ways.
    fn problem(&mut self) -> (Problem, Vec<Fact>) {
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
        self.only_with(&mut problem, &mut facts);
        self.companions(&mut problem, &mut facts);
        self.notice_needs(&mut problem, &mut facts);
        self.wishes(&mut problem, &mut facts);
        (problem, facts)
    }

    /// A hard part renewed that could be kept is a further change; any other such renewal weighs least of all. What was asked
    /// for or must be renewed counts nothing.
    fn cost(&self, at: usize, value: &Value) -> Cost {
        let place = &self.places[at];
        let asked = value.listed.is_some_and(|listed| self.asked[at].contains(&listed));
        let free = value.state == State::Kept || !place.must.is_empty() || asked;
        let hard = place.inside.is_some_and(|part| is_hard(self.context.graph.part(part).kind));
        let renewed = value.state != State::Absent || place.inside.is_some();
        match (free || !renewed, hard) {
            (true, _) => Cost::default(),
            (false, true) => Cost { changes: 1, ..Cost::default() },
            (false, false) => Cost { unverified: 1, ..Cost::default() },
        }
    }

    fn joint(&self, joint: &PlacedJoint<'_>) -> Option<Constraint> {
        let (place_a, place_b) = (&self.places[joint.a], &self.places[joint.b]);
        let mut tuples = Vec::new();
        let mut matters = false;
        for (i, a) in self.values[joint.a].iter().enumerate() {
            for (j, b) in self.values[joint.b].iter().enumerate() {
                let verdict = joint_verdict(self.context, joint.joint, (place_a, a), (place_b, b));
                let unverified = match verdict.map(|verdict| verdict.verdict) {
                    None | Some(Verdict::Fits) => 0,
                    Some(Verdict::Unverified) => SOFT_SCALE,
                    Some(Verdict::DoesNotFit) => {
                        matters = true;
                        continue;
                    }
                };
                matters |= unverified > 0;
                tuples.push(Tuple { values: vec![i, j], unverified });
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
        for ((unit, state, shared), places) in fills {
            let places = self.dragged(unit, shared, places);
            for pair in places.windows(2) {
                let is = |at: usize, v: &Value| {
                    v.shared == Some(shared) && v.state == state && at < self.values.len()
                };
                let tuples = self.pairs(pair[0], pair[1], |a, b| is(pair[0], a) == is(pair[1], b));
                problem.constraints.push(Constraint { scope: pair.to_vec(), tuples });
                facts.push(Fact::Shared(pair.to_vec()));
            }
        }
    }

    /// The places that a merge fills: those its notice names, or those of one sub-assembly.
    fn dragged(&self, unit: usize, shared: Shared, places: Vec<usize>) -> Vec<usize> {
        let Shared::Merge(_, row) = shared else { return places };
        match merge_drags(self.context, unit, row) {
            Some(named) => {
                places.into_iter().filter(|at| named.contains(&self.places[*at].position.position)).collect()
            }
            None => {
                let first = places.first().map(|at| &self.places[*at].position.subassembly);
                let first = first.cloned();
                places
                    .into_iter()
                    .filter(|at| Some(&self.places[*at].position.subassembly) == first.as_ref())
                    .collect()
            }
        }
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
                .filter(|host| self.values[*host].iter().any(|value| stands_for(value, part)))
                .collect();
            let Some(host) = hosts.first().copied() else {
                let tuples = self.singles(at, |value| value.state == State::Absent);
                problem.constraints.push(Constraint { scope: vec![at], tuples });
                facts.push(Fact::OnlyWith(at));
                continue;
            };
            // A piece that was not inside before cannot be kept; one that goes with a newly fitted part is new.
            let tuples = self.pairs(host, at, |host, here| match (stands_for(host, part), host.state) {
                (false, _) => here.state == State::Absent,
                (true, State::Kept) => here.state != State::Absent,
                (true, _) => here.state == State::New,
            });
            problem.constraints.push(Constraint { scope: vec![host, at], tuples });
            facts.push(Fact::OnlyWith(at));
        }
    }

    /// A part that is newly fitted brings its companion: at the companion's own place, where the unit has one.
    fn companions(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, values) in self.values.iter().enumerate() {
            for (place, companion) in self.companion_places(at) {
                let brings = |value: &Value| {
                    value.state == State::New
                        && value.main().is_some_and(|part| {
                            self.context.graph.companions(part).iter().any(|(other, _)| *other == companion)
                        })
                };
                if values.iter().any(brings) {
                    let tuples =
                        self.pairs(at, place, |host, here| !brings(host) || here.state == State::New);
                    problem.constraints.push(Constraint { scope: vec![at, place], tuples });
                    facts.push(Fact::Companion(at, place));
                }
            }
        }
    }

    /// Places of the same unit at which a companion of some value of a place may stand.
    pub(crate) fn companion_places(&self, at: usize) -> Vec<(usize, PartIx)> {
        let mut found = Vec::new();
        for value in self.values[at].iter().filter(|value| value.state == State::New) {
            for (companion, _) in value.main().map_or(&[][..], |part| self.context.graph.companions(part)) {
                let place = (0..self.places.len()).find(|other| {
                    *other != at
                        && self.places[*other].unit == self.places[at].unit
                        && self.values[*other].iter().any(|value| stands_for(value, *companion))
                });
                if let Some(place) = place {
                    if !found.contains(&(place, *companion)) {
                        found.push((place, *companion));
                    }
                }
            }
        }
        found
    }

    /// A number that its notice lets in only with further changes.
    fn notice_needs(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (at, values) in self.values.iter().enumerate() {
            for row in values.iter().filter_map(|value| value.needs_of) {
                let notice = &self.context.graph.snapshot.supersessions[row].notice;
                for need in self.context.graph.notice_needs(notice.as_str()) {
                    let place = (0..self.places.len()).find(|other| {
                        let place = &self.places[*other];
                        place.unit == self.places[at].unit && place.position.position == need.position
                    });
                    let wanted = need.part.as_ref().and_then(|key| self.context.graph.find(key));
                    let Some(place) = place.filter(|place| *place != at) else { continue };
                    let meets = |value: &Value| match wanted {
                        Some(part) => value.state != State::Absent && stands_for(value, part),
                        None => value.state == State::New,
                    };
                    let tuples =
                        self.pairs(at, place, |here, there| here.needs_of != Some(row) || meets(there));
                    problem.constraints.push(Constraint { scope: vec![at, place], tuples });
                    facts.push(Fact::NoticeNeeds(at, place));
                }
            }
        }
    }

    /// A wish is met by one of its alternatives at all places of that alternative.
    fn wishes(&self, problem: &mut Problem, facts: &mut Vec<Fact>) {
        for (index, wish) in self.wishes.iter().enumerate() {
            let meets = |value: &Value, part: PartIx| value.state == State::New && value.listed == Some(part);
            if let [only] = wish.alternatives.as_slice() {
                for (place, part) in &only.at {
                    let tuples = self.singles(*place, |value| meets(value, *part));
                    problem.constraints.push(Constraint { scope: vec![*place], tuples });
                    facts.push(Fact::Wish(index));
                }
                continue;
            }
            let variable = problem.variables.len();
            problem.variables.push(vec![solver::fit::Value::default(); wish.alternatives.len()]);
            if wish.alternatives.is_empty() {
                problem.constraints.push(Constraint { scope: Vec::new(), tuples: Vec::new() });
                facts.push(Fact::Wish(index));
            }
            for (way, alternative) in wish.alternatives.iter().enumerate() {
                for (place, part) in &alternative.at {
                    let values = &self.values[*place];
                    let mut tuples = Vec::new();
                    for (v, value) in values.iter().enumerate() {
                        for other in 0..wish.alternatives.len() {
                            if other != way || meets(value, *part) {
                                tuples.push(Tuple { values: vec![v, other], unverified: 0 });
                            }
                        }
                    }
                    problem.constraints.push(Constraint { scope: vec![*place, variable], tuples });
                    facts.push(Fact::Wish(index));
                }
            }
        }
    }

    fn singles(&self, at: usize, allowed: impl Fn(&Value) -> bool) -> Vec<Tuple> {
        let values = self.values[at].iter().enumerate();
        values.filter(|(_, v)| allowed(v)).map(|(v, _)| Tuple { values: vec![v], unverified: 0 }).collect()
    }

    fn pairs(&self, a: usize, b: usize, allowed: impl Fn(&Value, &Value) -> bool) -> Vec<Tuple> {
        let mut tuples = Vec::new();
        for (i, value_a) in self.values[a].iter().enumerate() {
            for (j, value_b) in self.values[b].iter().enumerate() {
                if allowed(value_a, value_b) {
                    tuples.push(Tuple { values: vec![i, j], unverified: 0 });
                }
            }
        }
        tuples
    }
}

/// Whether a value is a part, or what follows it.
pub(crate) fn stands_for(value: &Value, part: PartIx) -> bool {
    value.listed == Some(part) || value.fitted.iter().any(|(fitted, _)| *fitted == part)
}
