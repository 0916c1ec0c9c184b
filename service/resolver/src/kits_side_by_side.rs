//! Kits side by side: what each holds of a need, lacks, brings beyond it, and costs with its loose remainder.

use catalogue::{Code, Currency, Money, Quantity, UnitOfMeasure};
use serde::{Deserialize, Serialize};
use solver::cover::{self, Budget, Plan};
use utoipa::ToSchema;

use crate::allocation::{Allocation, allocate};
use crate::answer::{KitPurchase, LoosePurchase, PartName};
use crate::context::Context;
use crate::cover_problem::{CoverProblem, MONEY_SCALE, cover_problem};
use crate::fit::Fit;
use crate::graph::{Graph, PartIx};
use crate::input::Input;
use crate::need::BranchNeeds;
use crate::request_fault::RequestFault;
use crate::resolve::{fitted, identified};
use crate::sourcing::purchases;

/// Most nodes of one comparison's search.
const NODES_MAX: u64 = 500;

/// All ways side by side, cheapest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitComparison {
    /// The currency of all amounts.
    pub currency: Currency,
    /// One way a kit and supplier, and the way without any kit.
    pub ways: Vec<KitWay>,
}

/// One way to meet the need: with one kit, or loose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitWay {
    /// The kit; empty: everything loose.
    pub kit: Option<PartName>,
    /// Who sells it.
    pub supplier: Option<Code>,
    /// Price of one box in the currency of the comparison.
    #[schema(value_type = Option<String>)]
    pub box_price: Option<Money>,
    /// What of the need comes out of the box.
    pub holds: Vec<KitPieces>,
    /// What of the need must be bought loose beside it.
    pub lacks: Vec<KitPieces>,
    /// What the box brings beyond the need.
    pub beyond: Vec<KitPieces>,
    /// Cash for the loose remainder, orders apart.
    #[schema(value_type = String)]
    pub loose_cost: Money,
    /// Cash for all, orders included.
    #[schema(value_type = String)]
    pub cash: Money,
    /// Days until everything is here.
    pub days: i64,
    /// Whether nothing cheaper is possible with this kit.
    pub proven: bool,
    /// Whether some of the need cannot be had this way.
    pub incomplete: bool,
}

/// Pieces of one part.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KitPieces {
    /// The part.
    pub part: PartName,
    /// How many.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// Unit of the quantity.
    pub measure: UnitOfMeasure,
}

/// Compares the kits that hold anything of the need of a request.
pub fn kits_side_by_side(input: &Input) -> Result<KitComparison, RequestFault> {
    let graph = Graph::new(&input.snapshot);
    let (context, branches) = identified(input, &graph)?;
    let (fits, needs) = fitted(&context, &branches)?;
    let pairs: Vec<(&Fit<'_>, &BranchNeeds)> = fits.iter().zip(&needs).collect();
    let whole = cover_problem(&context, &pairs)?;
    let kits: Vec<usize> = (0..whole.offers.len()).filter(|at| whole.problem.offers[*at].is_kit).collect();
    let mut ways = Vec::new();
    for kit in kits.into_iter().map(Some).chain(std::iter::once(None)) {
        ways.extend(way(&context, &whole, &pairs, kit));
    }
    ways.sort_by(|a, b| {
        let name = |way: &KitWay| (way.kit.as_ref().map(|kit| kit.part.clone()), way.supplier.clone());
        (a.incomplete, a.cash, name(a)).cmp(&(b.incomplete, b.cash, name(b)))
    });
    Ok(KitComparison { currency: context.rates.base.clone(), ways })
}

/// The problem with one kit only, of which at least one box must be bought: a need for the box itself, that only it brings.
fn with_only(whole: &CoverProblem, kit: Option<usize>) -> CoverProblem {
    let mut alone = CoverProblem {
        problem: whole.problem.clone(),
        parts: whole.parts.clone(),
        steps: whole.steps.clone(),
        offers: whole.offers.clone(),
        lines: whole.lines.clone(),
    };
    let the_box = alone.problem.parts.len();
    if let Some(kit) = kit {
        alone.problem.parts.push(cover::Part::default());
        alone.problem.offers[kit].contents.push((the_box, 1));
        for branch in &mut alone.problem.branches {
            branch.needs.push(cover::Need { quantity: 1, accepts: vec![the_box] });
        }
    }
    let keep: Vec<bool> =
        (0..alone.offers.len()).map(|at| !alone.problem.offers[at].is_kit || Some(at) == kit).collect();
    let mut kept = keep.iter();
    alone.problem.offers.retain(|_| *kept.next().unwrap_or(&true));
    let mut kept = keep.iter();
    alone.offers.retain(|_| *kept.next().unwrap_or(&true));
    alone
}

fn way(
    context: &Context<'_>,
    whole: &CoverProblem,
    pairs: &[(&Fit<'_>, &BranchNeeds)],
    kit: Option<usize>,
) -> Option<KitWay> {
    let alone = with_only(whole, kit);
    let outcome = cover::solve(&alone.problem, &Budget { max_nodes: NODES_MAX, ..context.budget }).ok()?;
    let (mut plan, proven) = match outcome {
        cover::Outcome::Optimal(plan) => (plan, true),
        cover::Outcome::Bounded { plan, .. } => (plan, false),
        cover::Outcome::Impossible(_) | cover::Outcome::Unsettled { .. } | cover::Outcome::NoOther => {
            return None;
        }
    };
    let alone = forget_the_box(alone, &mut plan, kit.is_some());
    let allocations: Vec<Allocation> =
        pairs.iter().enumerate().map(|(at, pair)| allocate(&alone, &plan, *pair, at)).collect();
    let refs: Vec<&Allocation> = allocations.iter().collect();
    let bought = purchases(context, &alone, &plan, &refs);
    let missing = allocations.iter().any(|a| a.pieces.iter().any(|piece| piece.missing > Quantity::ZERO));
    let cash = Money::from_raw((plan.cash - bought.nowhere) / MONEY_SCALE);
    let found = KitWay {
        kit: bought.kits.first().map(|kit| kit.kit.clone()),
        supplier: bought.kits.first().map(|kit| kit.supplier.clone()),
        box_price: bought.kits.first().and_then(|kit| kit.cost.times(Quantity::SCALE, kit.quantity.raw())),
        holds: held(context, &bought.kits),
        lacks: lacked(&bought.loose),
        beyond: beyond(context, &bought.kits),
        loose_cost: bought.loose.iter().map(|loose| loose.cost).sum(),
        cash,
        days: i64::from(plan.days),
        proven,
        incomplete: missing || !pairs_can_be_met(context, whole, &alone, kit),
    };
    Some(found)
}

/// Takes the box itself out of the problem and the plan again, so that only real parts are left.
fn forget_the_box(mut alone: CoverProblem, plan: &mut Plan, forced: bool) -> CoverProblem {
    if forced {
        let the_box = alone.problem.parts.len() - 1;
        alone.problem.parts.pop();
        for offer in &mut alone.problem.offers {
            offer.contents.retain(|(part, _)| *part != the_box);
        }
        for branch in &mut plan.branches {
            branch.fitted.pop();
            branch.surplus.retain(|(part, _)| *part != the_box);
        }
        for branch in &mut alone.problem.branches {
            branch.needs.pop();
        }
    }
    alone
}

/// Whether all that the need accepts can still be had when the other kits are left out.
fn pairs_can_be_met(
    context: &Context<'_>,
    whole: &CoverProblem,
    alone: &CoverProblem,
    kit: Option<usize>,
) -> bool {
    let sold = |part: PartIx| {
        alone.offers.iter().flatten().any(|offer| context.offers[*offer].part == part)
            || kit.and_then(|kit| whole.offers[kit]).is_some_and(|offer| {
                let kit = context.offers[offer].part;
                context.contents.get(&kit).is_some_and(|box_| box_.iter().any(|content| content.part == part))
            })
            || context.free_stock(part) > Quantity::ZERO
    };
    whole
        .problem
        .branches
        .iter()
        .all(|branch| branch.needs.iter().all(|need| need.accepts.iter().any(|at| sold(whole.parts[*at]))))
}

fn pieces(context: &Context<'_>, part: &PartName, quantity: Quantity) -> KitPieces {
    let measure =
        context.graph.find(&part.part).map_or(UnitOfMeasure::Piece, |at| context.graph.part(at).measure);
    KitPieces { part: part.clone(), quantity, measure }
}

fn held(context: &Context<'_>, kits: &[KitPurchase]) -> Vec<KitPieces> {
    let contents = kits.iter().flat_map(|kit| &kit.contents);
    contents.filter(|c| c.used > Quantity::ZERO).map(|c| pieces(context, &c.part, c.used)).collect()
}

fn beyond(context: &Context<'_>, kits: &[KitPurchase]) -> Vec<KitPieces> {
    let contents = kits.iter().flat_map(|kit| &kit.contents);
    contents.filter(|c| c.quantity > c.used).map(|c| pieces(context, &c.part, c.quantity - c.used)).collect()
}

fn lacked(loose: &[LoosePurchase]) -> Vec<KitPieces> {
    loose
        .iter()
        .map(|line| KitPieces { part: line.part.clone(), quantity: line.used, measure: line.measure })
        .collect()
}
