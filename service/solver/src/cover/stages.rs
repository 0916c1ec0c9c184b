//! The aims one after the other, and what comes of them.
//!
//! Sums are compared within one search, and so is the number of suppliers where a sum comes after it. The days are no sum:
//! the best plan without regard to days is taken, then the lead time is tightened as long as a plan exists that is as good on
//! all earlier aims. Suppliers that come after all sums are left out in the same way, one after the other.

use super::answer::plan;
use super::candidate::{Candidate, Worth};
use super::check::check;
use super::classes::Demands;
use super::conflict::conflict;
use super::least::least;
use super::links::{Links, Once, settled_aims};
use super::program::{Level, Program, Scope};
use super::search::{Ended, Found, Question, Search};
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
    let mut stages = Stages::new(problem, &demands, previous, budget);
    match stages.run()? {
        Some(outcome) => Ok(outcome),
        None if previous.is_empty() => Ok(match conflict(problem, budget, &mut stages.nodes)? {
            Some(group) => Outcome::Impossible(group),
            None => Outcome::Unsettled { bounds: vec![None; problem.aims.len()] },
        }),
        None => Ok(Outcome::NoOther),
    }
}

/// Whether any plan exists at all; `None` if the budget ends first. Counts nodes in `nodes`.
pub(super) fn is_possible(
    problem: &Problem,
    budget: &Budget<'_>,
    nodes: &mut u64,
) -> Result<Option<bool>, Invalid> {
    let demands = Demands::of(problem);
    let mut stages = Stages::new(problem, &demands, &[], budget);
    stages.nodes = *nodes;
    let found = stages.search(&[], u32::MAX, Vec::new(), true)?;
    *nodes = stages.nodes;
    Ok(if found.best.is_some() { Some(true) } else { (found.ended == Ended::Proven).then_some(false) })
}

/// The problem on the way through its aims.
pub(super) struct Stages<'p> {
    pub(super) problem: &'p Problem,
    pub(super) demands: &'p Demands,
    previous: &'p [Signature],
    pub(super) budget: &'p Budget<'p>,
    /// Everything that stands alike in several branches decided once.
    pub(super) alike: Links,
    /// Only that where nothing can be lost by it, if that is less.
    lossless: Option<Links>,
    /// How many of the problem's aims are settled, those made less step by step among them.
    settled: usize,
    pub(super) nodes: u64,
}

/// A plan with the candidate's values of the aims compared so far.
struct Best {
    plan: Plan,
    levels: Vec<i64>,
}

/// What a search over some aims came to.
struct Searched {
    best: Option<Best>,
    ended: Ended,
    /// How many of the aims are settled though the budget ended.
    settled: usize,
}

impl<'p> Stages<'p> {
    fn new(
        problem: &'p Problem,
        demands: &'p Demands,
        previous: &'p [Signature],
        budget: &'p Budget<'p>,
    ) -> Self {
        let alike = Links::of(problem, Once::Alike);
        // Another plan is one that treats the same need the same way in every branch.
        let lossless = if previous.is_empty() { Some(Links::of(problem, Once::Lossless)) } else { None };
        let lossless = lossless.filter(|links| *links != alike);
        Self { problem, demands, previous, budget, alike, lossless, settled: 0, nodes: 0 }
    }

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
            if !self.is_tightened(at) {
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
            if let Some(outcome) = self.tighten(aim, &mut compared, &mut lead_limit, &mut found, at)? {
                return Ok(Some(outcome));
            }
            self.settled = at + 1;
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

    /// Whether an aim is made less step by step once the aims before it are settled. The days are no sum. The suppliers are
    /// few, and once no sum comes after them, leaving one out soon shows to cost something of the aims before: that is
    /// quicker than a search that has to prove all of them again.
    fn is_tightened(&self, at: usize) -> bool {
        let aims = &self.problem.aims;
        let sum = |aim: &Aim| matches!(aim, Aim::Cash | Aim::JobCost | Aim::Surplus);
        match aims[at] {
            Aim::Days => true,
            Aim::Suppliers => at > 0 && !aims[at + 1..].iter().any(sum),
            _ => false,
        }
    }

    fn best(
        &mut self,
        aims: &[Aim],
        lead_limit: u32,
        before: Option<Best>,
        at: usize,
    ) -> Result<Step, Invalid> {
        let ceiling = before.as_ref().map(|best| best.levels.clone()).unwrap_or_default();
        let kept = ceiling.len();
        let found = self.search(aims, lead_limit, ceiling, aims.is_empty())?;
        if let Ended::Spent(bound) = found.ended {
            let plan = found.best.map(|best| best.plan).or(before.map(|best| best.plan));
            let proven = &aims[..kept.max(found.settled)];
            let all = &self.problem.aims;
            let is_open = |place: usize| !proven.contains(&all[place]) && !all[..place].contains(&all[place]);
            let settled = (self.settled..at).find(|&place| is_open(place)).unwrap_or(at);
            let bound = match all.get(at) {
                Some(&aim) if aims.is_empty() => Some(least(self.problem, self.demands, aim)),
                _ => bound.filter(|_| proven.is_empty()),
            };
            return Ok(Step::Over(Some(self.spent(plan, bound, settled))));
        }
        Ok(found.best.map_or(Step::Over(None), Step::Found))
    }

    /// The fewest days or suppliers without loss on the aims compared; an outcome if the budget ends first. What is reached
    /// is a limit from then on.
    fn tighten(
        &mut self,
        aim: Aim,
        compared: &mut Vec<Aim>,
        lead_limit: &mut u32,
        best: &mut Best,
        at: usize,
    ) -> Result<Option<Outcome>, Invalid> {
        let counted = aim == Aim::Suppliers;
        if counted {
            compared.push(aim);
            best.levels.push(value_of(&best.plan, aim));
        }
        let least = least(self.problem, self.demands, aim);
        while value_of(&best.plan, aim) > least {
            let mut ceiling = best.levels.clone();
            let mut limit = *lead_limit;
            match ceiling.last_mut() {
                Some(suppliers) if counted => *suppliers -= 1,
                _ => limit = best.plan.days - 1,
            }
            let Searched { best: found, ended, .. } = self.search(compared, limit, ceiling, true)?;
            if let Ended::Spent(_) = ended {
                return Ok(Some(self.spent(Some(best.plan.clone()), Some(least), at)));
            }
            match found {
                Some(found) => *best = found,
                None => break,
            }
        }
        if !counted {
            *lead_limit = best.plan.days;
        }
        Ok(None)
    }

    /// What to say when the budget is spent: the first `settled` aims are proven, the next has this bound.
    fn spent(&self, plan: Option<Plan>, bound: Option<i64>, settled: usize) -> Outcome {
        let mut bounds: Vec<Option<i64>> = vec![None; self.problem.aims.len()];
        if let Some(plan) = &plan {
            for (slot, aim) in bounds.iter_mut().zip(&self.problem.aims).take(settled) {
                *slot = Some(value_of(plan, *aim));
            }
        }
        if let (Some(slot), Some(&aim)) = (bounds.get_mut(settled), self.problem.aims.get(settled)) {
            let reached = plan.as_ref().map(|plan| value_of(plan, aim));
            *slot = bound.map(|bound| reached.map_or(bound, |reached| reached.min(bound)));
        }
        match plan {
            Some(plan) => Outcome::Bounded { plan, bounds },
            None => Outcome::Unsettled { bounds },
        }
    }

    /// The best plan within the ceiling. What stands alike in several branches is decided once at first; where that may
    /// lose something on a later aim and no single branch shows that it does not, a second search goes on without it.
    fn search(
        &mut self,
        aims: &[Aim],
        lead_limit: u32,
        ceiling: Vec<i64>,
        any_will_do: bool,
    ) -> Result<Searched, Invalid> {
        let mut program = self.program(aims, lead_limit, &self.alike, None)?;
        cap(&mut program, aims, &ceiling);
        let found = self.search_in(&program, aims, &ceiling, any_will_do);
        let mut settled = settled_aims(self.problem, aims);
        let over = (any_will_do && found.best.is_some()) || (found.best.is_none() && ceiling.is_empty());
        let best = |found: &Option<(Candidate, Worth)>| {
            found.as_ref().map(|(candidate, worth)| reached(&program, aims, candidate, worth))
        };
        if self.lossless.is_none() || found.ended != Ended::Proven || over {
            return Ok(Searched { best: best(&found.best), ended: found.ended, settled: 0 });
        }
        if let Some((candidate, worth)) = &found.best {
            while settled < aims.len()
                && self.is_least(aims, settled, lead_limit, (&program, candidate, worth))?
            {
                settled += 1;
            }
        }
        if settled >= aims.len() {
            return Ok(Searched { best: best(&found.best), ended: found.ended, settled });
        }
        self.search_apart(aims, lead_limit, (ceiling, any_will_do), found.best, settled)
    }

    /// The search in which only that is decided once where nothing can be lost by it.
    fn search_apart(
        &mut self,
        aims: &[Aim],
        lead_limit: u32,
        (ceiling, any_will_do): (Vec<i64>, bool),
        start: Option<(Candidate, Worth)>,
        settled: usize,
    ) -> Result<Searched, Invalid> {
        let links = self.lossless.as_ref().unwrap_or(&self.alike);
        let mut program = self.program(aims, lead_limit, links, None)?;
        cap(&mut program, aims, &ceiling);
        let question =
            Question { ceiling: in_levels(&program, aims, &ceiling), any_will_do, excluded: self.previous };
        let mut search = Search::new(&program, question);
        if let Some((candidate, worth)) = start {
            search = search.starting_from(candidate, worth);
        }
        let found = search.run(self.budget, &mut self.nodes);
        let best = found.best.map(|(candidate, worth)| reached(&program, aims, &candidate, &worth));
        Ok(Searched { best, ended: found.ended, settled })
    }

    /// The program of some aims; of one branch where only that counts.
    pub(super) fn program(
        &self,
        aims: &[Aim],
        lead_limit: u32,
        links: &Links,
        counted: Option<usize>,
    ) -> Result<Program<'p>, Invalid> {
        let scope = Scope { lead_limit, alternatives: !self.previous.is_empty(), links, counted };
        Program::write(self.problem, self.demands, aims, scope)
    }

    fn search_in(
        &mut self,
        program: &Program<'_>,
        aims: &[Aim],
        ceiling: &[i64],
        any_will_do: bool,
    ) -> Found {
        let ceiling = in_levels(program, aims, ceiling);
        let question = Question { ceiling, any_will_do, excluded: self.previous };
        Search::new(program, question).run(self.budget, &mut self.nodes)
    }
}

/// Limits a program to what is within a ceiling. Every aim of a ceiling but the last has been proven to come out no less, so
/// a plan within it keeps each of them.
fn cap(program: &mut Program<'_>, aims: &[Aim], ceiling: &[i64]) {
    for (aim, &value) in aims.iter().zip(ceiling) {
        if *aim == Aim::Suppliers {
            program.caps.suppliers = u32::try_from(value).ok();
        } else if let Some(sum) = program.sums.iter().position(|held| held == aim) {
            program.caps.sums[sum] = Some(value);
        }
    }
}

enum Step {
    Found(Best),
    Over(Option<Outcome>),
}

/// Values by aim as values by level: a level that says nothing is left out of a program.
fn in_levels(program: &Program<'_>, aims: &[Aim], values: &[i64]) -> Vec<i64> {
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
