//! Why a value is gone: the facts that took it away, and those that took away what it could have leant on.

use super::network::Network;
use super::problem::Problem;
use super::propagate::Log;

/// Taken away by the restriction of its variable, before any constraint.
const RESTRICTED: u32 = u32::MAX;

/// Facts, each once, in no order.
#[derive(Debug, Clone, Default)]
pub(super) struct FactSet {
    /// Constraints, as indices of the problem.
    pub(super) constraints: Vec<usize>,
    /// Variables, for their restrictions.
    pub(super) domains: Vec<usize>,
}

/// Remembers for each value when it was taken away and by what.
pub(super) struct Reasons {
    value_start: Vec<u32>,
    /// For each value: when, counted from one; zero while it is alive.
    time: Vec<u32>,
    /// For each value: the numbered constraint, or [`RESTRICTED`].
    by: Vec<u32>,
    now: u32,
}

impl Log for Reasons {
    fn removed(&mut self, variable: usize, value: usize, constraint: usize) {
        self.now += 1;
        let entry = self.value_start[variable] as usize + value;
        self.time[entry] = self.now;
        self.by[entry] = constraint as u32;
    }
}

impl Reasons {
    /// For a network in which nothing but restrictions was applied.
    pub(super) fn new(network: &Network) -> Self {
        let values = network.value_start.last().map_or(0, |&end| end as usize);
        let mut reasons = Self {
            value_start: network.value_start.clone(),
            time: vec![0; values],
            by: vec![0; values],
            now: 1,
        };
        for variable in 0..network.domain.len() {
            if network.count[variable] < network.domain[variable] {
                for value in 0..network.domain[variable] as usize {
                    if !network.is_live(variable, value) {
                        let entry = reasons.value_start[variable] as usize + value;
                        reasons.time[entry] = 1;
                        reasons.by[entry] = RESTRICTED;
                    }
                }
            }
        }
        reasons
    }

    /// The facts that emptied a variable: they are impossible together.
    pub(super) fn of_wiped(&self, network: &Network, problem: &Problem, variable: usize) -> FactSet {
        let mut walk = Walk::new(self, network, problem);
        walk.ask_all(variable);
        walk.run()
    }

    /// The constraints at these variables, and the facts that took away values in their scopes.
    pub(super) fn around(&self, network: &Network, problem: &Problem, variables: &[usize]) -> FactSet {
        let mut walk = Walk::new(self, network, problem);
        for &variable in variables {
            for &constraint in network.incident(variable) {
                if walk.name(constraint as usize) {
                    for &other in network.scope(constraint as usize) {
                        walk.ask_all(other as usize);
                    }
                }
            }
        }
        walk.run()
    }
}

struct Walk<'a> {
    reasons: &'a Reasons,
    network: &'a Network,
    problem: &'a Problem,
    named: Vec<bool>,
    named_domain: Vec<bool>,
    asked: Vec<bool>,
    questions: Vec<(usize, usize)>,
    facts: FactSet,
}

impl<'a> Walk<'a> {
    fn new(reasons: &'a Reasons, network: &'a Network, problem: &'a Problem) -> Self {
        Self {
            reasons,
            network,
            problem,
            named: vec![false; network.constraints()],
            named_domain: vec![false; network.domain.len()],
            asked: vec![false; reasons.time.len()],
            questions: Vec::new(),
            facts: FactSet::default(),
        }
    }

    fn ask(&mut self, variable: usize, value: usize) {
        let entry = self.reasons.value_start[variable] as usize + value;
        if self.reasons.time[entry] > 0 && !std::mem::replace(&mut self.asked[entry], true) {
            self.questions.push((variable, value));
        }
    }

    fn ask_all(&mut self, variable: usize) {
        for value in 0..self.network.domain[variable] as usize {
            self.ask(variable, value);
        }
    }

    /// Names a numbered constraint; `false` if it was named before.
    fn name(&mut self, constraint: usize) -> bool {
        if std::mem::replace(&mut self.named[constraint], true) {
            return false;
        }
        self.facts.constraints.push(self.network.source(constraint));
        true
    }

    fn run(mut self) -> FactSet {
        while let Some((variable, value)) = self.questions.pop() {
            let entry = self.reasons.value_start[variable] as usize + value;
            let by = self.reasons.by[entry];
            if by == RESTRICTED {
                if !std::mem::replace(&mut self.named_domain[variable], true) {
                    self.facts.domains.push(variable);
                }
                continue;
            }
            self.name(by as usize);
            self.ask_what_it_leant_on(by as usize, variable, value);
        }
        self.facts
    }

    /// Each tuple with the value was dead when the constraint took the value away: asks for the value of the tuple that
    /// had gone first, because its reasons are the shortest.
    fn ask_what_it_leant_on(&mut self, constraint: usize, variable: usize, value: usize) {
        let problem = self.problem;
        let constraint = &problem.constraints[self.network.source(constraint)];
        let Some(column) = constraint.scope.iter().position(|&other| other == variable) else { return };
        for tuple in constraint.tuples.iter().filter(|tuple| tuple.values[column] as usize == value) {
            let first = constraint
                .scope
                .iter()
                .zip(tuple.values)
                .map(|(&other, &entry)| {
                    let entry = entry as usize;
                    (self.reasons.time[self.reasons.value_start[other] as usize + entry], other, entry)
                })
                .filter(|&(time, other, _)| time > 0 && other != variable)
                .min();
            if let Some((_, other, entry)) = first {
                self.ask(other, entry);
            }
        }
    }
}
