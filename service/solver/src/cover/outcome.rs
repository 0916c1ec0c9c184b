//! What a cover comes to: a plan and how far it is proven, or why there is none.

/// When to stop searching.
#[derive(Clone, Copy)]
pub struct Budget<'a> {
    /// The most nodes of the search, over all its stages.
    pub max_nodes: u64,
    /// Asked now and then; `true` ends the search.
    pub stop: Option<&'a dyn Fn() -> bool>,
}

impl Budget<'_> {
    /// No limit.
    pub const UNLIMITED: Budget<'static> = Budget { max_nodes: u64::MAX, stop: None };
}

impl std::fmt::Debug for Budget<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.debug_struct("Budget")
            .field("max_nodes", &self.max_nodes)
            .field("stop", &self.stop.is_some())
            .finish()
    }
}

/// What the search came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Outcome {
    /// A best plan, proven.
    Optimal(Plan),
    /// The budget ended first: the best plan found, and for each aim the least value still possible once all earlier
    /// aims are at their own bound; `None` where nothing is proven yet.
    Bounded {
        /// The best plan found.
        plan: Plan,
        /// One bound for each aim, in the order of the aims.
        bounds: Vec<Option<i64>>,
    },
    /// The needs cannot be met, whatever is spent.
    Impossible(Impossible),
    /// The budget ended before any plan was found.
    Unsettled {
        /// One bound for each aim, in the order of the aims.
        bounds: Vec<Option<i64>>,
    },
    /// Every plan that can be made is among the excluded ones (only from `solve_next`).
    NoOther,
}

/// A small group that cannot be met together. Leaving out any one of the group makes the rest possible.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Impossible {
    /// The branch in which it shows.
    pub branch: usize,
    /// Indices of the branch's needs.
    pub needs: Vec<usize>,
    /// Indices of the branch's choices.
    pub choices: Vec<usize>,
}

/// What to buy, and what each branch does with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plan {
    /// Offer and units bought, rising by offer, units at least 1.
    pub purchases: Vec<(usize, i64)>,
    /// One for each branch.
    pub branches: Vec<BranchPlan>,
    /// Prices, fixed costs and the cash of choices, less credits, in the worst branch.
    pub cash: i64,
    /// Cash and the carrying value of the stock used, in the worst branch.
    pub job_cost: i64,
    /// Pieces bought that are not fitted, in the worst branch.
    pub surplus: i64,
    /// The longest lead time of what is bought, 0 if nothing is.
    pub days: u32,
    /// How many suppliers something is bought from.
    pub suppliers: usize,
}

impl Plan {
    /// What the plan has in an aim.
    pub fn value(&self, aim: super::Aim) -> i64 {
        match aim {
            super::Aim::Cash => self.cash,
            super::Aim::JobCost => self.job_cost,
            super::Aim::Surplus => self.surplus,
            super::Aim::Days => i64::from(self.days),
            super::Aim::Suppliers => i64::try_from(self.suppliers).unwrap_or(i64::MAX),
        }
    }
}

/// What one branch does with what is bought and what is on the shelf.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BranchPlan {
    /// The value of each choice.
    pub choices: Vec<usize>,
    /// For each need of the branch the parts fitted, rising by part, quantity at least 1.
    pub fitted: Vec<Vec<(usize, i64)>>,
    /// For each choice and each need of its value the parts fitted.
    pub choice_fitted: Vec<Vec<Vec<(usize, i64)>>>,
    /// Pieces taken from the shelf, rising by part.
    pub stock_used: Vec<(usize, i64)>,
    /// Pieces bought and not fitted, rising by part.
    pub surplus: Vec<(usize, i64)>,
}

/// What tells alternatives apart: the values chosen and the kits bought; not the loose purchases.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct Signature {
    /// For each branch the value of each choice.
    pub choices: Vec<Vec<usize>>,
    /// Kit offers and units bought, rising by offer.
    pub kits: Vec<(usize, i64)>,
}

impl Signature {
    /// The signature of a plan of this problem.
    pub fn of(problem: &super::Problem, plan: &Plan) -> Self {
        Self {
            choices: plan.branches.iter().map(|branch| branch.choices.clone()).collect(),
            kits: plan
                .purchases
                .iter()
                .copied()
                .filter(|&(offer, _)| problem.offers.get(offer).is_some_and(|offer| offer.is_kit))
                .collect(),
        }
    }
}
