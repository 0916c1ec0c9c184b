//! An order round: many needs, of jobs and of the shelf, covered by one purchase.
//!
//! All needs go into one cover problem, so that a kit, a pack, a price break or what an order costs is shared by whoever
//! uses it. Afterwards each bought piece is dealt out again: a line of the round says how many of which part it brings
//! for which need, and what is left over.

mod open_needs;

use std::collections::BTreeMap;

use catalogue::{Code, PartKey, PriceBook, Quantity, Snapshot, StockView};
use chrono::NaiveDate;

use crate::allocation::{Piece, allocate};
use crate::answer::Sourcing;
use crate::branch::Branch;
use crate::context::Context;
use crate::fit::Fit;
use crate::graph::{Graph, PartIx};
use crate::input::Input;
use crate::joint_judge::JointJudge;
use crate::need::{BranchNeeds, For, Need};
use crate::request::{Aim, Request, StockUse, Unknowns};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::Solved;
use crate::resolve::sourced;
use crate::sourcing::{Planned, sourcing};

pub use open_needs::{DecidedNeed, decided_needs};

/// Pieces that somebody needs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoundNeed {
    /// How many.
    pub quantity: Quantity,
    /// The numbers that serve, at least one; pieces of several may be mixed.
    pub accepts: Vec<PartKey>,
}

/// Everything a round follows from.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundInput {
    /// The day: prices and rates are taken as of it.
    pub as_of: NaiveDate,
    /// What the purchase should be best at.
    pub aim: Aim,
    /// Most steps of the search for a plan; `None`: as many as usual.
    pub search_steps: Option<u64>,
    /// The needs. Earlier ones have the first hand on the shelf and on what comes first.
    pub needs: Vec<RoundNeed>,
    /// Suppliers that are not bought from.
    pub without_suppliers: Vec<Code>,
    /// Numbers that are not bought.
    pub without_parts: Vec<PartKey>,
    /// The parts, the kits that hold them and what lies in those.
    pub snapshot: Snapshot,
    /// What things cost.
    pub prices: PriceBook,
    /// What lies on the shelf: what is free there is used before a piece is bought.
    pub stock: StockView,
}

/// How a round meets its needs.
#[derive(Debug, Clone, PartialEq)]
pub struct RoundPlan {
    /// What is bought and what it comes to. It has no coverage of lines: `met` says who gets what.
    pub sourcing: Sourcing,
    /// For each need, in the order asked, what meets it.
    pub met: Vec<Vec<MetPieces>>,
    /// For each kit of `sourcing`, what lies in it for whom.
    pub kit_shares: Vec<Vec<RoundShare>>,
    /// The same for each loose purchase.
    pub loose_shares: Vec<Vec<RoundShare>>,
}

/// Pieces of one number that meet a need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MetPieces {
    /// The number.
    pub part: PartKey,
    /// How many come off the shelf.
    pub from_stock: Quantity,
    /// How many are bought, in kits and loose.
    pub bought: Quantity,
    /// How many are not to be had from anybody.
    pub missing: Quantity,
}

/// What a purchase brings for a need.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RoundShare {
    /// Index of the need.
    pub need: usize,
    /// The part.
    pub part: PartKey,
    /// How many.
    pub quantity: Quantity,
}

/// Covers the needs at once, as far as it comes until `stop`, which is asked now and then, says so: a plan that is not
/// proven by then says so with its bound.
///
/// # Errors
/// [`RequestFaultKind::MissingSetting`] where the base currency or an exchange rate is not known,
/// [`RequestFaultKind::CatalogueFault`] where a kit lies in itself, [`RequestFaultKind::UnknownReference`] for a number
/// that the snapshot does not hold, [`RequestFaultKind::TooManyUnknowns`] where no plan was found in time.
pub fn order_round(round: RoundInput, stop: &dyn Fn() -> bool) -> Result<RoundPlan, RequestFault> {
    let (needs, input) = taken_apart(round);
    let graph = Graph::new(&input.snapshot);
    let mut context = Context::new(&input, &graph, Vec::new(), Vec::new())?;
    context.budget.stop = Some(stop);
    let branch = Branch::default();
    let fit = nothing_to_fit(&branch);
    let needs = BranchNeeds { fixed: fixed(&graph, &needs)?, choices: Vec::new() };
    let (cover, proven) = sourced(&context, &[(&fit, &needs)]).map_err(in_words_of_a_round)?;
    let allocation = allocate(&cover, &proven.plan, (&fit, &needs), 0);
    let met = met(&graph, needs.fixed.len(), &allocation.pieces);
    let pieces = allocation.pieces.clone();
    let planned = Planned { cover, proven, solved: vec![Solved { branch, fit, allocation }] };
    let sourcing = sourcing(&context, &planned, (Vec::new(), Vec::new()), Vec::new());
    let kit_contents = sourcing.kits.iter().map(|kit| {
        kit.contents.iter().map(|content| (content.part.part.clone(), content.quantity)).collect()
    });
    let loose_contents = sourcing.loose.iter().map(|loose| vec![(loose.part.part.clone(), loose.quantity)]);
    let kit_shares = dealt(&graph, &pieces, |piece| piece.from_kits, kit_contents.collect());
    let loose_shares = dealt(&graph, &pieces, |piece| piece.bought, loose_contents.collect());
    Ok(RoundPlan { sourcing, met, kit_shares, loose_shares })
}

/// The needs, and the rest as an input without units.
fn taken_apart(round: RoundInput) -> (Vec<RoundNeed>, Input) {
    let request = Request {
        units: Vec::new(),
        as_of: round.as_of,
        customer: None,
        aim: round.aim,
        stock: StockUse::First,
        unknowns: Unknowns::CoverAll,
        without_parts: round.without_parts,
        without_suppliers: round.without_suppliers,
        alternatives: None,
        search_steps: round.search_steps,
    };
    let input = Input { request, snapshot: round.snapshot, prices: round.prices, stock: round.stock };
    (round.needs, input.in_order())
}

/// A fit without places: what is needed is settled.
fn nothing_to_fit<'a>(branch: &Branch) -> Fit<'a> {
    Fit {
        places: Vec::new(),
        values: Vec::new(),
        open: Vec::new(),
        tables: Vec::new(),
        wishes: Vec::new(),
        joints: Vec::new(),
        judge: JointJudge::new(branch),
        companions: Vec::new(),
        exact: true,
    }
}

/// The needs as the cover problem knows them: each is its own line.
fn fixed(graph: &Graph<'_>, needs: &[RoundNeed]) -> Result<Vec<Need>, RequestFault> {
    let unknown = |part: &PartKey| {
        let detail = format!("there is no part `{part}`");
        RequestFault::new(RequestFaultKind::UnknownReference, "", detail)
    };
    let need = |(at, need): (usize, &RoundNeed)| {
        let accepts: Result<Vec<PartIx>, RequestFault> =
            need.accepts.iter().map(|part| graph.find(part).ok_or_else(|| unknown(part))).collect();
        Ok(Need { line: For::Unit(at, Box::new([])), quantity: need.quantity, accepts: accepts? })
    };
    needs.iter().enumerate().map(need).collect()
}

/// Where a round has no plan yet, fewer units are no way out.
fn in_words_of_a_round(fault: RequestFault) -> RequestFault {
    if fault.kind != RequestFaultKind::TooManyUnknowns {
        return fault;
    }
    let detail = "no plan was found within the search's limit; allow more search_steps or a longer time";
    RequestFault::new(RequestFaultKind::TooManyUnknowns, "/search_steps", detail)
}

fn need_of(piece: &Piece) -> usize {
    match piece.line {
        For::Unit(need, _) | For::Place(need) => need,
    }
}

fn met(graph: &Graph<'_>, needs: usize, pieces: &[Piece]) -> Vec<Vec<MetPieces>> {
    let mut met = vec![Vec::new(); needs];
    for piece in pieces {
        met[need_of(piece)].push(MetPieces {
            part: graph.part(piece.part).part.clone(),
            from_stock: piece.from_stock,
            bought: piece.from_kits + piece.bought,
            missing: piece.missing,
        });
    }
    met
}

/// Deals out what purchases bring: the first purchase of a part to the first need of it.
fn dealt(
    graph: &Graph<'_>,
    pieces: &[Piece],
    wanted: impl Fn(&Piece) -> Quantity,
    purchases: Vec<Vec<(PartKey, Quantity)>>,
) -> Vec<Vec<RoundShare>> {
    let mut shares = vec![Vec::new(); purchases.len()];
    let mut open: BTreeMap<PartKey, Vec<(usize, Quantity)>> = BTreeMap::new();
    for (at, contents) in purchases.into_iter().enumerate() {
        for (part, quantity) in contents {
            open.entry(part).or_default().push((at, quantity));
        }
    }
    for piece in pieces {
        let part = &graph.part(piece.part).part;
        let mut left = wanted(piece);
        for (at, there) in open.get_mut(part).into_iter().flatten() {
            let taken = left.min(*there);
            if taken > Quantity::ZERO {
                shares[*at].push(RoundShare { need: need_of(piece), part: part.clone(), quantity: taken });
                *there = *there - taken;
                left = left - taken;
            }
        }
    }
    shares
}
