//! Whether one branch alone shows that an aim cannot come out less.

use super::candidate::{Candidate, Worth};
use super::program::{Level, Program};
use super::search::{Ended, Question, Search};
use super::stages::Stages;
use super::{Aim, Invalid};

/// The most branches that are asked alone whether an aim can come out less.
const BRANCHES_TRIED: usize = 3;

impl Stages<'_> {
    /// Whether one branch alone shows that an aim cannot come out less than in the best plan found, the aims before it
    /// being as good. If only one branch counts, deciding once what stands alike loses nothing: given the purchases, the
    /// other branches can be served the same way.
    pub(super) fn is_least(
        &mut self,
        aims: &[Aim],
        at: usize,
        lead_limit: u32,
        (program, candidate, worth): (&Program<'_>, &Candidate, &Worth),
    ) -> Result<bool, Invalid> {
        let aim = aims[at];
        if !matches!(aim, Aim::Cash | Aim::JobCost | Aim::Surplus) {
            return Ok(false);
        }
        let own = |branch: usize| program.worth_in(candidate, Some(branch));
        let sums = |worth: &Worth| aims[..=at].iter().map(|aim| worth.sum(*aim)).collect::<Vec<i64>>();
        let mut worst: Vec<(Vec<i64>, usize)> = (0..self.problem.branches.len())
            .filter_map(|branch| own(branch).map(|own| (sums(&own), branch)))
            .filter(|(sums, _)| sums[at] == worth.sum(aim))
            .collect();
        // A branch that is the worst in earlier aims too leaves no room in them.
        worst.sort_by(|a, b| b.0.cmp(&a.0).then(a.1.cmp(&b.1)));
        for (_, branch) in worst.into_iter().take(BRANCHES_TRIED) {
            if self.is_least_in(branch, &aims[..=at], lead_limit, worth)? {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// Whether no plan is below a known one in the last of these aims, if only one branch counts.
    fn is_least_in(
        &mut self,
        branch: usize,
        aims: &[Aim],
        lead_limit: u32,
        worth: &Worth,
    ) -> Result<bool, Invalid> {
        let Some((aim, earlier)) = aims.split_last() else { return Ok(true) };
        let mut alone = self.program(aims, lead_limit, &self.alike, Some(branch))?;
        let Some(sum) = alone.sums.iter().position(|held| held == aim) else { return Ok(false) };
        let below = worth.sum(*aim) - alone.grain[sum];
        let values: Vec<i64> = alone.sums.iter().map(|aim| worth.sum(*aim)).collect();
        for (slot, value) in alone.caps.sums.iter_mut().zip(values.iter().take(sum)) {
            *slot = Some(*value);
        }
        alone.caps.sums[sum] = Some(below);
        alone.caps.suppliers = earlier.contains(&Aim::Suppliers).then(|| worth.suppliers.count_ones());
        // The first sum leads, as it did when it was proven: what is dear in it is soon known to lie above its limit.
        alone.levels = vec![Level::Sum(0)];
        let ceiling = vec![if sum == 0 { below } else { values[0] }];
        let question = Question { ceiling, any_will_do: true, excluded: &[] };
        let found = Search::new(&alone, question).run(self.budget, &mut self.nodes);
        Ok(found.best.is_none() && found.ended == Ended::Proven)
    }
}
