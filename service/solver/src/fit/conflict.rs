//! A smallest set of facts that cannot hold together, by deletion.

use super::answer::{Blame, Conflict};
use super::branch::{Wanted, bounds, search};
use super::dominance::{Ties, drop_dominated};
use super::eliminate::eliminate;
use super::invalid::InvalidProblem;
use super::lay_out::Facts;
use super::network::Network;
use super::order::Order;
use super::problem::{Budget, Problem};
use super::propagate::{Agenda, Wiped, propagate};
use super::reasons::{FactSet, Reasons};
use super::reduced::{HIDDEN, Reduced};
use super::solve::components;
use super::weight::{Aim, Scale};

/// So few suspects are tried one by one from the start: nearly all of them will be needed.
const FEW: usize = 12;

/// A fact that may be blamed. The order decides which are tried first: constraints, the last one first, then domains.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Fact {
    /// The restriction of a variable.
    Domain(usize),
    /// A constraint.
    Constraint(usize),
}

/// Finds facts that cannot hold together such that leaving out any one of them makes the rest, with what may not be
/// blamed, possible. `None` if an assignment exists, or if the budget ended before the contrary was proven.
///
/// # Errors
///
/// [`InvalidProblem`] where the problem, or `blame`, refers to what does not exist.
pub fn smallest_conflict(
    problem: &Problem,
    blame: Blame<'_>,
    budget: &Budget<'_>,
) -> Result<Option<Conflict>, InvalidProblem> {
    let network = Network::new(problem, &Facts::All)?;
    let court = Court::new(problem, blame, network.most_unverified, budget)?;
    if let Some(variable) = problem.variables.iter().position(Vec::is_empty) {
        return Ok(Some(Conflict { constraints: Vec::new(), domains: vec![variable], minimal: true }));
    }
    Ok(court.convict(network))
}

/// The conflict of a problem that is valid and known to be impossible.
pub(super) fn of_impossible(problem: &Problem, budget: &Budget<'_>) -> Conflict {
    match smallest_conflict(problem, Blame::All, budget) {
        Ok(Some(conflict)) => conflict,
        Ok(None) | Err(_) => {
            let mut domains: Vec<usize> =
                problem.restrictions.iter().map(|narrowed| narrowed.variable).collect();
            domains.sort_unstable();
            Conflict { constraints: (0..problem.constraints.len()).collect(), domains, minimal: false }
        }
    }
}

/// What a set of facts comes to.
enum Verdict {
    Possible,
    /// These of them suffice.
    Impossible(FactSet),
    /// The budget ended.
    Unknown,
}

struct Court<'a> {
    problem: &'a Problem,
    budget: &'a Budget<'a>,
    scale: Scale,
    /// Whether each constraint may be blamed.
    constraint: Vec<bool>,
    /// Whether the restriction of each variable may be blamed.
    domain: Vec<bool>,
    /// The constraints that may not be blamed.
    given: Vec<usize>,
    /// The restrictions that may not be blamed, by variable.
    given_domain: Vec<bool>,
}

impl<'a> Court<'a> {
    fn new(
        problem: &'a Problem,
        blame: Blame<'_>,
        unverified: u64,
        budget: &'a Budget<'a>,
    ) -> Result<Self, InvalidProblem> {
        let mut restricted = vec![false; problem.variables.len()];
        for restriction in &problem.restrictions {
            restricted[restriction.variable] = true;
        }
        let (constraint, domain) = match blame {
            Blame::All => (vec![true; problem.constraints.len()], restricted.clone()),
            Blame::Only { constraints, domains } => {
                let mut constraint = vec![false; problem.constraints.len()];
                for &index in constraints {
                    *constraint
                        .get_mut(index)
                        .ok_or(InvalidProblem::UnknownBlame { index, domain: false })? = true;
                }
                let mut domain = vec![false; restricted.len()];
                for &index in domains {
                    if restricted.get(index) != Some(&true) {
                        return Err(InvalidProblem::UnknownBlame { index, domain: true });
                    }
                    domain[index] = true;
                }
                (constraint, domain)
            }
        };
        let given = (0..constraint.len()).filter(|&index| !constraint[index]).collect();
        let given_domain = restricted.iter().zip(&domain).map(|(&is, &blamed)| is && !blamed).collect();
        let scale = Scale::of(problem, unverified, Aim::Any)?;
        Ok(Self { problem, budget, scale, constraint, domain, given, given_domain })
    }

    /// Leaves of all facts those that are needed. `network` holds all facts.
    fn convict(&self, network: Network) -> Option<Conflict> {
        let Verdict::Impossible(facts) = self.judge(network) else { return None };
        let mut suspects = self.suspects(&facts);
        let mut minimal = true;
        // From coarse to fine: first whole runs of suspects are let go, in the end each one alone is tried.
        let mut run = if suspects.len() <= FEW { 1 } else { suspects.len().div_ceil(2) };
        while run > 0 {
            let mut end = suspects.len();
            while end > 0 {
                let start = end.saturating_sub(run);
                let mut fewer = suspects.clone();
                fewer.drain(start..end);
                match self.judge(self.network(&fewer)) {
                    Verdict::Possible => {}
                    Verdict::Unknown => minimal &= run > 1,
                    Verdict::Impossible(facts) => {
                        let needed = self.suspects(&facts);
                        // Those before `start` are still to be tried; keep the order.
                        let tried = &suspects[end..];
                        let kept_tried =
                            tried.iter().filter(|fact| needed.binary_search(fact).is_ok()).count();
                        suspects =
                            fewer.into_iter().filter(|fact| needed.binary_search(fact).is_ok()).collect();
                        end = suspects.len() - kept_tried;
                        continue;
                    }
                }
                end = start;
            }
            run = if run == 1 { 0 } else { run.min(suspects.len()).div_ceil(2) };
        }
        let mut conflict = Conflict { constraints: Vec::new(), domains: Vec::new(), minimal };
        for fact in suspects {
            match fact {
                Fact::Constraint(index) => conflict.constraints.push(index),
                Fact::Domain(variable) => conflict.domains.push(variable),
            }
        }
        Some(conflict)
    }

    /// The facts of a set that may be blamed, sorted.
    fn suspects(&self, facts: &FactSet) -> Vec<Fact> {
        let domains =
            facts.domains.iter().filter(|&&variable| self.domain[variable]).map(|&v| Fact::Domain(v));
        let constraints =
            facts.constraints.iter().filter(|&&index| self.constraint[index]).map(|&c| Fact::Constraint(c));
        let mut suspects: Vec<Fact> = domains.chain(constraints).collect();
        suspects.sort_unstable();
        suspects.dedup();
        suspects
    }

    /// The given facts and these.
    fn network(&self, facts: &[Fact]) -> Network {
        let mut constraints = self.given.clone();
        let mut restricted = self.given_domain.clone();
        for fact in facts {
            match *fact {
                Fact::Constraint(index) => constraints.push(index),
                Fact::Domain(variable) => restricted[variable] = true,
            }
        }
        let facts = Facts::Some { constraints: &constraints, restricted: &restricted };
        Network::new(self.problem, &facts)
            .expect("the whole problem was laid out before, so no part of it is invalid")
    }

    fn judge(&self, mut network: Network) -> Verdict {
        if let Some(constraint) = network.never {
            return Verdict::Impossible(FactSet {
                constraints: vec![constraint as usize],
                domains: Vec::new(),
            });
        }
        let mut reasons = Reasons::new(&network);
        let empty = network.count.iter().position(|&count| count == 0).map(|variable| Wiped { variable });
        let mut agenda = Agenda::full(&network);
        let wiped = empty.map_or_else(|| propagate(&mut network, &mut agenda, &mut reasons), Err);
        if let Err(Wiped { variable }) = wiped {
            return Verdict::Impossible(reasons.of_wiped(&network, self.problem, variable));
        }
        match self.failing(&network, &mut agenda) {
            Ok(None) => Verdict::Possible,
            Ok(Some(variable)) => Verdict::Impossible(self.facts_around(&network, &reasons, variable)),
            Err(Undecided) => Verdict::Unknown,
        }
    }

    /// A variable that cannot be given a value, in an arc-consistent network.
    fn failing(&self, consistent: &Network, agenda: &mut Agenda) -> Result<Option<usize>, Undecided> {
        let mut network = consistent.clone();
        let cost = free(&network);
        // Where nothing costs anything, dropping a value that another one stands in for never makes this impossible.
        let dropped = drop_dominated(&mut network, agenda, &cost, &self.scale, Ties::KeepFirst);
        if let Err(Wiped { variable }) = dropped {
            return Ok(Some(variable));
        }
        let reduced = Reduced::new(&network, &cost, &self.scale);
        let mut nodes = self.budget.max_nodes;
        let mut undecided = false;
        for component in components(&reduced) {
            match possible(&reduced.part(&component), self.budget, &mut nodes) {
                // The hidden variables of a component come last, so the first one is a variable of the problem.
                Some(false) => return Ok(Some(reduced.variables[component[0]] as usize)),
                Some(true) => {}
                None => undecided = true,
            }
        }
        if undecided { Err(Undecided) } else { Ok(None) }
    }

    /// The facts about everything that is still open around a variable.
    fn facts_around(&self, consistent: &Network, reasons: &Reasons, variable: usize) -> FactSet {
        let reduced = Reduced::new(consistent, &free(consistent), &self.scale);
        let real = |open: &usize| Some(reduced.variables[*open]).filter(|&v| v != HIDDEN).map(|v| v as usize);
        let around = components(&reduced)
            .iter()
            .map(|component| component.iter().filter_map(real).collect::<Vec<usize>>())
            .find(|component| component.contains(&variable));
        reasons.around(consistent, self.problem, &around.unwrap_or_else(|| vec![variable]))
    }
}

/// The budget ended before it was known.
struct Undecided;

/// A price list on which everything is free.
fn free(network: &Network) -> Vec<u64> {
    vec![0; network.value_start.last().map_or(0, |&end| end as usize)]
}

/// Whether a component has an assignment; `None` if the budget ended first.
fn possible(part: &Reduced<u64>, budget: &Budget<'_>, nodes: &mut u64) -> Option<bool> {
    let order = Order::of(part);
    if order.fits(budget) {
        let tables = eliminate(part, order, usize::MAX, budget).ok()?;
        return Some(tables.bound != u64::MAX);
    }
    let tables = bounds(part, order, budget).ok()?;
    let answer = search(&tables, Wanted { k: 1, any_within: Some(0), with: None }, budget, nodes);
    if answer.proven { Some(!answer.found.is_empty()) } else { None }
}
