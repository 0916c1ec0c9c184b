//! One plan worked out, with kits that it is made to buy.

use catalogue::{PartKey, Quantity};
use solver::cover::{Need, Part, Plan};

use super::difference::Canonical;
use super::{KitCount, PlanSummary};
use crate::allocation::allocate;
use crate::answer::{Sourcing, WorkOrder};
use crate::branch::Branch;
use crate::causes::Causes;
use crate::context::Context;
use crate::cover_problem::CoverProblem;
use crate::fit::Fit;
use crate::graph::PartIx;
use crate::need::{BranchNeeds, For};
use crate::outside_work::outside_work;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::requirement::{Solved, joint_notes};
use crate::resolve::{cover_of, fitted, planned, prove};
use crate::sourcing::{Planned, Proven, sourcing};
use crate::value::State;

/// A plan for all branches.
pub(super) struct Worked<'a> {
    /// The plan.
    pub(super) planned: Planned<'a>,
    needs: Vec<BranchNeeds>,
    work: Vec<WorkOrder>,
}

/// Works out the best plan of a context. At least one box of each of `kits` is bought.
pub(super) fn work_out<'a>(
    context: &Context<'a>,
    branches: Vec<Branch>,
    kits: &[PartIx],
) -> Result<Worked<'a>, RequestFault> {
    let (fits, needs) = fitted(context, &branches)?;
    let work = outside_work(context)?;
    let planned = match kits {
        [] => planned(context, branches, fits, &needs)?,
        kits => with_boxes(context, branches, fits, &needs, kits)?,
    };
    Ok(Worked { planned, needs, work })
}

/// The best plan that buys a box of each kit: a box is a part of its own that only its kit brings and that is needed once.
fn with_boxes<'a>(
    context: &Context<'a>,
    branches: Vec<Branch>,
    fits: Vec<Fit<'a>>,
    needs: &[BranchNeeds],
    kits: &[PartIx],
) -> Result<Planned<'a>, RequestFault> {
    let pairs: Vec<(&Fit<'_>, &BranchNeeds)> = fits.iter().zip(needs).collect();
    let mut cover = cover_of(context, &branches, &pairs)?;
    let parts = cover.problem.parts.len();
    for kit in kits {
        add_box(context, &mut cover, *kit)?;
    }
    let Proven { mut plan, optimal, ties, bound } = prove(context, &cover.problem)?;
    for branch in &mut plan.branches {
        branch.fitted.truncate(branch.fitted.len() - kits.len());
        branch.surplus.retain(|(part, _)| *part < parts);
    }
    cover.problem.parts.truncate(parts);
    for branch in &mut cover.problem.branches {
        branch.needs.truncate(branch.needs.len() - kits.len());
    }
    for offer in &mut cover.problem.offers {
        offer.contents.retain(|(part, _)| *part < parts);
    }
    let exact = fits.iter().all(|fit| fit.exact);
    let proven = Proven { plan, optimal: optimal && exact, ties, bound: bound.filter(|_| exact) };
    let allocations: Vec<_> =
        pairs.iter().enumerate().map(|(at, pair)| allocate(&cover, &proven.plan, *pair, at)).collect();
    let solved = branches.into_iter().zip(fits).zip(allocations);
    let solved = solved.map(|((branch, fit), allocation)| Solved { branch, fit, allocation }).collect();
    Ok(Planned { cover, proven, solved })
}

fn add_box(context: &Context<'_>, cover: &mut CoverProblem, kit: PartIx) -> Result<(), RequestFault> {
    let the_box = cover.problem.parts.len();
    let sells = |at: usize| cover.offers[at].is_some_and(|offer| context.offers[offer].part == kit);
    let selling: Vec<usize> = (0..cover.offers.len()).filter(|at| sells(*at)).collect();
    if selling.is_empty() {
        let key = &context.graph.part(kit).part;
        let sold = context.offers.iter().any(|offer| offer.part == kit);
        let why = if sold { "holds nothing of what is needed" } else { "is sold by nobody on this day" };
        return Err(RequestFault::new(RequestFaultKind::ImpossibleChoice, "", format!("{key} {why}")));
    }
    cover.problem.parts.push(Part::default());
    for at in selling {
        cover.problem.offers[at].contents.push((the_box, 1));
    }
    for branch in &mut cover.problem.branches {
        branch.needs.push(Need { quantity: 1, accepts: vec![the_box] });
    }
    Ok(())
}

impl<'a> Worked<'a> {
    /// Takes another plan of the same problem.
    pub(super) fn take(&mut self, plan: Plan, optimal: bool) {
        let Planned { cover, proven, solved } = &mut self.planned;
        let exact = solved.iter().all(|solved| solved.fit.exact);
        *proven = Proven { plan, optimal: optimal && exact, ties: optimal, bound: None };
        for (at, (solved, needs)) in solved.iter_mut().zip(&self.needs).enumerate() {
            solved.allocation = allocate(cover, &proven.plan, (&solved.fit, needs), at);
        }
    }

    fn sourcing(&self, context: &Context<'_>) -> Sourcing {
        sourcing(context, &self.planned, (Vec::new(), Vec::new()), self.work.clone())
    }

    /// The plan in short.
    pub(super) fn summary(&self, context: &Context<'a>) -> PlanSummary {
        let sourcing = self.sourcing(context);
        let solved = &self.planned.solved;
        let changes = solved.iter().map(|solved| {
            let causes = Causes { context, fit: &solved.fit, allocation: &solved.allocation };
            (0..solved.fit.places.len()).filter(|at| causes.is_further_change(*at)).count()
        });
        let unverified =
            context.units.iter().map(|unit| joint_notes(context, solved, unit.index).0.len()).sum();
        let pieces = solved.iter().flat_map(|solved| &solved.allocation.pieces);
        let missing = pieces.filter(|piece| piece.missing > Quantity::ZERO);
        let mut not_to_be_had: Vec<PartKey> =
            missing.map(|piece| context.graph.part(piece.part).part.clone()).collect();
        not_to_be_had.sort();
        not_to_be_had.dedup();
        PlanSummary {
            cash: sourcing.cash,
            job_cost: sourcing.job_cost,
            days: sourcing.days,
            suppliers: sourcing.orders.iter().map(|order| order.supplier.clone()).collect(),
            surplus: sourcing.surplus.iter().map(|line| line.quantity).sum(),
            further_changes: changes.max().unwrap_or(0),
            unverified_joints: unverified,
            kits: self
                .canonical(context)
                .kits
                .into_iter()
                .map(|(kit, quantity)| KitCount { kit, quantity })
                .collect(),
            not_to_be_had,
            proven: sourcing.proven,
        }
    }

    /// What tells the plan from others.
    pub(super) fn canonical(&self, context: &Context<'a>) -> Canonical {
        let mut canonical = Canonical::default();
        for kit in self.sourcing(context).kits {
            *canonical.kits.entry(kit.kit.part).or_default() += kit.quantity;
        }
        let key = |part: PartIx| context.graph.part(part).part.clone();
        for solved in &self.planned.solved {
            let open = &solved.branch.open;
            for (at, place) in solved.fit.places.iter().enumerate() {
                let value = &solved.fit.values[at][solved.allocation.chosen[at]];
                if value.state != State::New {
                    continue;
                }
                let here = (place.position.unit.clone(), Some(place.position.position.clone()), open.clone());
                let of_place = solved.allocation.pieces.iter().filter(|piece| piece.line == For::Place(at));
                let parts: Vec<PartIx> = of_place.map(|piece| piece.part).collect();
                let entry = canonical.fitted.entry(here).or_default();
                match parts.is_empty() {
                    true => entry.extend(value.fitted.iter().map(|(part, _)| key(*part))),
                    false => entry.extend(parts.into_iter().map(key)),
                }
            }
            for piece in &solved.allocation.pieces {
                if let For::Unit(unit, _) = &piece.line {
                    let here = (context.units[*unit].unit.unit.clone(), None, open.clone());
                    canonical.fitted.entry(here).or_default().insert(key(piece.part));
                }
            }
        }
        canonical
    }

    /// Whether an upgrade is fitted.
    pub(super) fn upgrades(&self, context: &Context<'a>) -> bool {
        self.planned.solved.iter().any(|solved| {
            let causes = Causes { context, fit: &solved.fit, allocation: &solved.allocation };
            (0..solved.fit.places.len()).any(|at| {
                let value = causes.value(at);
                value.state == State::New && value.role == catalogue::CandidateRole::Upgrade
            })
        })
    }
}
