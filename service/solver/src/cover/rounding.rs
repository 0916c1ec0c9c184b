//! Candidates read off a relaxation, and better ones near them.

use super::StockPolicy;
use super::candidate::Candidate;
use super::program::Program;
use super::search::Search;
use super::serve::serve;
use super::source::Mask;
use super::staircase::unit_price;

/// Within this a value counts as a whole number.
pub(super) const WHOLE: f64 = 1e-6;

/// How units that are not whole are rounded.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Round {
    Near,
    Up,
}

impl Program<'_> {
    /// Whether every table allows these choices.
    pub(super) fn tables_hold(&self, choices: &[Vec<usize>]) -> bool {
        self.problem.branches.iter().zip(choices).all(|(branch, choices)| {
            branch.tables.iter().all(|table| {
                table.tuples.iter().any(|tuple| table.scope.iter().zip(tuple).all(|(&c, &v)| choices[c] == v))
            })
        })
    }

    /// Buys loose, for each class, what the kits of the candidate leave open.
    pub(super) fn complete(&self, candidate: &mut Candidate) -> bool {
        let fitted = self.fitted_by_class(&candidate.choices, &candidate.split);
        for source in self.sources.pool_of.iter().flatten() {
            candidate.units[*source] = 0;
        }
        let supply = self.supply(&candidate.units);
        for class in 0..self.demands.classes.len() {
            let most = fitted.iter().map(|of_class| of_class[class]).max().unwrap_or(0);
            let first = self.problem.policy == StockPolicy::First;
            let free = if first { self.demands.classes[class].free().min(most) } else { 0 };
            let required = most - free - supply[class];
            if required <= 0 {
                continue;
            }
            let Some((units, _)) = self.best_step(class, required, candidate.closed) else { return false };
            if let Some(source) = self.sources.pool_of[class] {
                candidate.units[source] = units;
            }
        }
        true
    }

    /// Whether nothing is bought that could be left out or bought in a smaller number for no more money while all
    /// demands are still served under the same choices.
    pub(super) fn buys_only_what_serves(&self, candidate: &Candidate) -> bool {
        let supply = self.supply(&candidate.units);
        let stock = self.stock_at_hand(candidate, &supply);
        let sources = candidate.units.iter().enumerate().filter(|(_, units)| **units > 0);
        for (source, &units) in sources {
            let held = &self.sources.list[source];
            let stairs = self.sources.stairs(self.problem, source, candidate.closed);
            let Some(step) = stairs.exactly(units) else { return false };
            for &(at, bought) in &step.lines {
                let offer = &self.problem.offers[at];
                let cost = bought * unit_price(offer, bought);
                let smaller = (0..bought / offer.pack).rev().map(|packs| packs * offer.pack);
                let smaller = smaller.filter(|&less| less == 0 || less >= offer.minimum);
                let Some(less) = smaller.into_iter().find(|&less| less * unit_price(offer, less) <= cost)
                else {
                    continue;
                };
                let mut left = supply.clone();
                for &(class, pieces) in &held.brings {
                    let scale = if self.sources.pool_of[class] == Some(source) {
                        offer.contents.iter().map(|&(_, pieces)| pieces).sum()
                    } else {
                        pieces
                    };
                    left[class] -= (bought - less) * scale;
                }
                if self.can_serve(&candidate.choices, &left, &stock) {
                    return false;
                }
            }
        }
        true
    }

    /// Whether so many pieces of each class and the stock at hand (by branch and class) serve all branches.
    fn can_serve(&self, choices: &[Vec<usize>], supply: &[i64], stock: &[Vec<i64>]) -> bool {
        stock.iter().enumerate().all(|(branch, stock)| {
            let capacity: Vec<i64> = supply.iter().zip(stock).map(|(pieces, free)| pieces + free).collect();
            self.serve_branch(branch, choices, &capacity)
        })
    }

    /// Stock that may stand in for a purchase, by branch and class: what is free, but where stock competes at its
    /// value only what the plan takes, as a purchase that spares stock is not idle.
    fn stock_at_hand(&self, candidate: &Candidate, supply: &[i64]) -> Vec<Vec<i64>> {
        let by_value = self.problem.policy == StockPolicy::Value;
        let at_hand = |class: usize, fitted: i64| match by_value {
            true => self.stock_used(class, fitted, supply[class]).unwrap_or(0),
            false => self.demands.classes[class].free(),
        };
        let fitted = self.fitted_by_class(&candidate.choices, &candidate.split);
        fitted
            .iter()
            .map(|of_class| {
                of_class.iter().enumerate().map(|(class, &count)| at_hand(class, count)).collect()
            })
            .collect()
    }

    /// Whether a branch is served when each class can give so many pieces.
    fn serve_branch(&self, branch: usize, choices: &[Vec<usize>], capacity: &[i64]) -> bool {
        let demands: Vec<(i64, &[usize])> = self
            .demands
            .demands
            .iter()
            .enumerate()
            .filter(|(at, demand)| demand.branch == branch && self.holds(*at, choices))
            .map(|(_, demand)| (demand.quantity, demand.classes.as_slice()))
            .collect();
        serve(&demands, capacity).is_some()
    }
}

impl Search<'_, '_> {
    /// Tries what the relaxation suggests; whether the best candidate changed.
    pub(super) fn try_candidates(&mut self) -> bool {
        if !self.relaxation.solved {
            return false;
        }
        let choices = self.suggested_choices();
        if !self.program.tables_hold(&choices) {
            return false;
        }
        let split = self.suggested_split(&choices);
        let mut improved = false;
        for round in [Round::Near, Round::Up] {
            let (units, whole) = self.suggested_units(round);
            let candidate =
                Candidate { closed: self.closed, units, choices: choices.clone(), split: split.clone() };
            let mut completed = candidate.clone();
            if self.program.complete(&mut completed) {
                improved |= self.offer(completed);
            }
            if whole {
                improved |= self.offer(candidate);
                break;
            }
        }
        if improved {
            self.improve();
        }
        improved
    }

    fn suggested_choices(&self) -> Vec<Vec<usize>> {
        let best = |columns: &Vec<usize>| {
            let mut best = (0, f64::MIN);
            for (value, &column) in columns.iter().enumerate() {
                let taken = self.relaxation.value(column);
                if taken > best.1 + WHOLE {
                    best = (value, taken);
                }
            }
            best.0
        };
        self.program.value_columns.iter().map(|choices| choices.iter().map(best).collect()).collect()
    }

    /// Whole numbers near the split of the relaxation that add up to each demand.
    fn suggested_split(&self, choices: &[Vec<usize>]) -> Vec<Vec<i64>> {
        let demands = &self.program.demands.demands;
        let mut split = Vec::with_capacity(demands.len());
        for (at, demand) in demands.iter().enumerate() {
            if !self.program.holds(at, choices) || demand.classes.is_empty() {
                split.push(vec![0; demand.classes.len()]);
                continue;
            }
            let columns = &self.program.split_columns[at];
            if columns.is_empty() {
                split.push(vec![demand.quantity]);
                continue;
            }
            let taken: Vec<f64> =
                columns.iter().map(|&column| self.relaxation.value(column).max(0.0)).collect();
            let mut left = demand.quantity;
            let mut pieces: Vec<i64> = Vec::with_capacity(taken.len());
            for amount in &taken {
                let whole = ((amount + WHOLE).floor() as i64).clamp(0, left);
                left -= whole;
                pieces.push(whole);
            }
            let rest = |place: &usize| taken[*place] - pieces[*place] as f64;
            let most = (0..taken.len()).max_by(|a, b| rest(a).total_cmp(&rest(b)).then(b.cmp(a)));
            if let Some(place) = most {
                pieces[place] += left;
            }
            split.push(pieces);
        }
        split
    }

    /// Units of each source at a step, and whether all stood at one already.
    fn suggested_units(&self, round: Round) -> (Vec<i64>, bool) {
        let program = self.program;
        let mut whole = true;
        let mut units = vec![0; program.sources.list.len()];
        for (source, slot) in units.iter_mut().enumerate() {
            if program.is_steady[source] {
                continue;
            }
            let (at, _) = self.relaxation.source(source);
            let stairs = program.sources.stairs(program.problem, source, self.closed);
            let steps = &stairs.steps;
            let above = steps.partition_point(|step| (step.units as f64) < at - WHOLE).min(steps.len() - 1);
            let mut place = above;
            if (steps[above].units as f64 - at).abs() > WHOLE {
                whole = false;
                if round == Round::Near && above > 0 {
                    let (below, next) = (steps[above - 1].units as f64, steps[above].units as f64);
                    if at - below < next - at {
                        place = above - 1;
                    }
                }
            }
            *slot = steps[place].units;
        }
        for steady in &program.steady {
            if let (Some(source), Some((units_bought, _))) = (
                program.sources.pool_of[steady.class],
                program.best_step(steady.class, steady.required, self.closed),
            ) {
                units[source] = units_bought;
            }
        }
        (units, whole)
    }

    /// Takes one step more or less of each kit while that helps.
    fn improve(&mut self) {
        loop {
            let Some((best, _)) = self.best.clone() else { return };
            let mut improved = false;
            for source in 0..best.units.len() {
                if self.program.sources.is_pool(source) {
                    continue;
                }
                let stairs = self.program.sources.stairs(self.program.problem, source, best.closed);
                let Some((current, _)) = &self.best else { return };
                let here = stairs.steps.partition_point(|step| step.units < current.units[source]);
                for next in [here.checked_sub(1), Some(here + 1)].into_iter().flatten() {
                    let (Some(step), Some((current, _))) = (stairs.steps.get(next), &self.best) else {
                        continue;
                    };
                    let mut candidate = current.clone();
                    candidate.units[source] = step.units;
                    if self.program.complete(&mut candidate) && self.offer(candidate) {
                        improved = true;
                        break;
                    }
                }
            }
            if !improved || self.satisfied() {
                return;
            }
        }
    }

    /// Suppliers used by the relaxation that are neither open nor closed, with how often.
    pub(super) fn undecided_suppliers(&self) -> Vec<(u32, usize)> {
        let program = self.program;
        let undecided = !(self.closed | self.open);
        let mut uses = vec![0; program.sources.fixed_of.len()];
        let mut count = |mask: Mask| {
            let mut left = mask & undecided;
            while left != 0 {
                uses[left.trailing_zeros() as usize] += 1;
                left &= left - 1;
            }
        };
        let (units, _) = self.suggested_units(Round::Up);
        for (source, &bought) in units.iter().enumerate() {
            if bought > 0 && program.sources.list[source].mask & undecided != 0 {
                let stairs = program.sources.stairs(program.problem, source, self.closed);
                if let Some(step) = stairs.exactly(bought) {
                    count(program.suppliers_of(step));
                }
            }
        }
        uses.into_iter()
            .enumerate()
            .filter(|&(_, uses)| uses > 0)
            .map(|(bit, uses)| (bit as u32, uses))
            .collect()
    }
}
