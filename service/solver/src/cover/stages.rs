//! The aims one after the other, and what comes of them.
//!
//! Sums and the number of suppliers are compared within one search. The days are no sum: the best plan without regard
//! to days is taken, then the lead time is tightened as long as a plan exists that is as good on all earlier aims.

use super::answer::plan;
use super::candidate::{Candidate, Worth};
use super::check::check;
use super::classes::Demands;
use super::conflict::conflict;
use super::program::Program;
use super::search::{Ended, Question, Search};
use super::{Aim, Budget, Invalid, Outcome, Plan, Problem, Signature};

/// The best plan, proven as far as the budget allows.
///
/// # Errors
///
/// If the problem contradicts itself, or its sums would not fit: see [`Invalid`].
pub fn solve(problem: &Problem, budget: &Budget<'_>) -> Result<Outcome, Invalid> {
    solve_next(problem, &[], budget)
}

/// The best plan that differs from each of the previous ones in the value of a choice or in the kits bought. As a kit
/// too many would make any plan another one, only plans count in which no purchase could be left out, or made in a
/// smaller number for no more money, with all needs still met; a purchase that spares stock under policy *value* is
/// not idle.
///
/// Plans with idle purchases are refused one by one, which can take long with many kits: give it a budget.
///
/// # Errors
///
/// As for [`solve`].
pub fn solve_next(
    problem: &Problem,
    previous: &[Signature],
    budget: &Budget<'_>,
) -> Result<Outcome, Invalid> {
    check(problem)?;
    let demands = Demands::of(problem);
    let mut stages = Stages { problem, demands: &demands, previous, budget, nodes: 0 };
    match stages.run()? {
        Some(outcome) => Ok(outcome),
        None if previous.is_empty() => Ok(Outcome::Impossible(conflict(problem)?)),
        None => Ok(Outcome::NoOther),
    }
}

/// Whether any plan exists at all.
pub(super) fn is_possible(problem: &Problem) -> Result<bool, Invalid> {
    let demands = Demands::of(problem);
    let mut stages =
        Stages { problem, demands: &demands, previous: &[], budget: &Budget::UNLIMITED, nodes: 0 };
    Ok(stages.search(&[], u32::MAX, Vec::new(), true)?.0.is_some())
}

struct Stages<'p> {
    problem: &'p Problem,
    demands: &'p Demands,
    previous: &'p [Signature],
    budget: &'p Budget<'p>,
    nodes: u64,
}

/// A plan with the candidate's values of the aims compared so far.
struct Best {
    plan: Plan,
    levels: Vec<i64>,
}

impl Stages<'_> {
    /// All aims in order; `None` if there is no plan.
    fn run(&mut self) -> Result<Option<Outcome>, Invalid> {
        let mut compared: Vec<Aim> = Vec::new();
        let mut best: Option<Best> = None;
        let mut lead_limit = u32::MAX;
        let mut pending = true;
        for (at, &aim) in self.problem.aims.iter().enumerate() {
            if self.problem.aims[..at].contains(&aim) {
                continue;
            }
            if aim != Aim::Days {
                compared.push(aim);
                pending = true;
                continue;
            }
            if pending {
                match self.best(&compared, lead_limit, best.take(), at)? {
                    Step::Found(found) => best = Some(found),
                    Step::Over(outcome) => return Ok(outcome),
                }
                pending = false;
            }
            let Some(mut found) = best.take() else { return Ok(None) };
            if let Some(outcome) = self.tighten(&compared, &mut found, at)? {
                return Ok(Some(outcome));
            }
            lead_limit = found.plan.days;
            best = Some(found);
        }
        if pending {
            let at = self.problem.aims.len();
            match self.best(&compared, lead_limit, best.take(), at)? {
                Step::Found(found) => best = Some(found),
                Step::Over(outcome) => return Ok(outcome),
            }
        }
        Ok(best.map(|found| Outcome::Optimal(found.plan)))
    }

    fn best(
        &mut self,
        aims: &[Aim],
        lead_limit: u32,
        before: Option<Best>,
        at: usize,
    ) -> Result<Step, Invalid> {
        let ceiling = before.as_ref().map(|best| best.levels.clone()).unwrap_or_default();
        let proven = ceiling.len();
        let (found, ended) = self.search(aims, lead_limit, ceiling, aims.is_empty())?;
        if let Ended::Spent(bound) = ended {
            let plan = found.map(|best| best.plan).or(before.map(|best| best.plan));
            return Ok(Step::Over(Some(self.spent(plan, bound, proven, at))));
        }
        Ok(found.map_or(Step::Over(None), Step::Found))
    }

    /// The fewest days without loss on the aims compared; an outcome if the budget ends first.
    fn tighten(&mut self, aims: &[Aim], best: &mut Best, at: usize) -> Result<Option<Outcome>, Invalid> {
        while best.plan.days > 0 {
            let limit = best.plan.days - 1;
            let (found, ended) = self.search(aims, limit, best.levels.clone(), true)?;
            if let Ended::Spent(_) = ended {
                return Ok(Some(self.spent(Some(best.plan.clone()), None, at, at)));
            }
            match found {
                Some(found) => best.plan = found.plan,
                None => break,
            }
        }
        Ok(None)
    }

    /// What to say when the budget is spent: the first `proven` aims are settled, the next has a bound at most.
    fn spent(&self, plan: Option<Plan>, bound: Option<i64>, proven: usize, at: usize) -> Outcome {
        let mut bounds: Vec<Option<i64>> = vec![None; self.problem.aims.len()];
        if let Some(plan) = &plan {
            for (slot, aim) in bounds.iter_mut().zip(&self.problem.aims).take(proven.min(at)) {
                *slot = Some(value_of(plan, *aim));
            }
        }
        if proven == 0
            && let (Some(slot), Some(&aim)) = (bounds.first_mut(), self.problem.aims.first())
        {
            let reached = plan.as_ref().map(|plan| value_of(plan, aim));
            *slot = bound.map(|bound| reached.map_or(bound, |reached| reached.min(bound)));
        }
        match plan {
            Some(plan) => Outcome::Bounded { plan, bounds },
            None => Outcome::Unsettled { bounds },
        }
    }

    fn search(
        &mut self,
        aims: &[Aim],
        lead_limit: u32,
        ceiling: Vec<i64>,
        any_will_do: bool,
    ) -> Result<(Option<Best>, Ended), Invalid> {
        let program =
            Program::write(self.problem, self.demands, aims, lead_limit, !self.previous.is_empty())?;
        let ceiling = in_levels(&program, aims, &ceiling);
        let question = Question { ceiling, any_will_do, excluded: self.previous };
        let found = Search::new(&program, question).run(self.budget, &mut self.nodes);
        let best = found.best.map(|(candidate, worth)| reached(&program, aims, &candidate, &worth));
        Ok((best, found.ended))
    }
}

enum Step {
    Found(Best),
    Over(Option<Outcome>),
}

/// Values by aim as values by level: a level that says nothing is left out of a program.
fn in_levels(program: &Program<'_>, aims: &[Aim], values: &[i64]) -> Vec<i64> {
    use super::program::Level;
    let aim_of = |level: &Level| match *level {
        Level::Sum(at) => program.sums[at],
        Level::Suppliers => Aim::Suppliers,
    };
    let mut levels = Vec::new();
    for level in &program.levels {
        let aim = aim_of(level);
        match aims.iter().position(|&held| held == aim).and_then(|at| values.get(at)) {
            Some(&value) => levels.push(value),
            None => break,
        }
    }
    levels
}

fn reached(program: &Program<'_>, aims: &[Aim], candidate: &Candidate, worth: &Worth) -> Best {
    let plan = plan(program, candidate);
    debug_assert_eq!((plan.cash, plan.job_cost, plan.surplus), (worth.cash, worth.job_cost, worth.surplus));
    Best { levels: aims.iter().map(|&aim| value_of(&plan, aim)).collect(), plan }
}

fn value_of(plan: &Plan, aim: Aim) -> i64 {
    match aim {
        Aim::Cash => plan.cash,
        Aim::JobCost => plan.job_cost,
        Aim::Surplus => plan.surplus,
        Aim::Days => i64::from(plan.days),
        Aim::Suppliers => plan.suppliers as i64,
    }
}
