//! Work beyond the planned operation: a change that it does not reach calls for a larger one, which takes more hours, other
//! fluids and other work outside.

use std::collections::BTreeSet;

use catalogue::{Code, Money, Operation, Quantity, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::PartName;
use crate::branch::Branch;
use crate::context::Context;
use crate::graph::PartIx;
use crate::identify::KnownUnit;
use crate::need::{For, Need, accepted};
use crate::pricing::labour_rate;
use crate::reason::Reason;
use crate::request_fault::RequestFault;
use crate::requirement::part_name;

/// A unit of which the planned operation does not reach all that a way works on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LargerOperation {
    /// The unit.
    pub unit: UnitKey,
    /// The positions that the planned operation leaves alone.
    pub positions: Vec<Code>,
    /// The operation with the fewest hours that reaches all of them; empty: the catalogue has none.
    pub operation: Option<Code>,
    /// What it is called.
    pub name: String,
    /// Hours over the planned operation.
    #[schema(value_type = String)]
    pub hours_more: Quantity,
    /// What the customer pays for these hours, before tax.
    #[schema(value_type = String)]
    pub labour_more: Money,
    /// What its work outside costs over the planned operation's; it is in the cash.
    #[schema(value_type = String)]
    pub outside_work_more: Money,
    /// Fluids over the planned operation's; they are in the cash.
    pub fluids_more: Vec<FluidMore>,
}

/// A fluid that a larger operation uses more of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct FluidMore {
    /// The product.
    pub part: PartName,
    /// How much more.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What it is for.
    pub purpose: String,
}

/// Larger operations, with the needs of their fluids.
#[derive(Debug, Default)]
pub(super) struct More {
    /// The operations, by unit.
    pub(super) operations: Vec<LargerOperation>,
    /// What is needed of fluids over the planned ones.
    pub(super) needs: Vec<Need>,
}

impl More {
    /// What work outside costs more.
    pub(super) fn outside_work(&self) -> Money {
        self.operations.iter().map(|larger| larger.outside_work_more).sum()
    }
}

/// The larger operations that work at some positions calls for.
pub(super) fn larger_operations(
    context: &Context<'_>,
    branch: &Branch,
    worked_on: &BTreeSet<(UnitKey, Code)>,
) -> Result<More, RequestFault> {
    let mut more = More::default();
    for unit in &context.units {
        let here = worked_on.iter().filter(|(of, _)| *of == unit.unit.unit).map(|(_, position)| position);
        let beyond: Vec<&Code> = here.filter(|at| !reaches(context, unit, unit.operation, at)).collect();
        if !beyond.is_empty() {
            add(context, branch, unit, &beyond, &mut more)?;
        }
    }
    Ok(more)
}

/// Whether an operation works at a position.
fn reaches(context: &Context<'_>, unit: &KnownUnit<'_>, operation: &Operation, position: &Code) -> bool {
    operation.overhaul
        || context.graph.snapshot.operation_scope.iter().any(|row| {
            row.unit == unit.unit.unit && row.operation == operation.operation && row.position == *position
        })
}

fn add<'a>(
    context: &Context<'a>,
    branch: &Branch,
    unit: &KnownUnit<'a>,
    beyond: &[&Code],
    more: &mut More,
) -> Result<(), RequestFault> {
    let snapshot = context.graph.snapshot;
    // It takes the planned operation's place, so it reaches what that one reaches too.
    let planned = snapshot
        .operation_scope
        .iter()
        .filter(|row| row.unit == unit.unit.unit && row.operation == unit.operation.operation);
    let wanted: Vec<&Code> = planned.map(|row| &row.position).chain(beyond.iter().copied()).collect();
    let of_unit = snapshot.operations.iter().filter(|row| row.unit == unit.unit.unit);
    let larger = of_unit
        .filter(|row| wanted.iter().all(|position| reaches(context, unit, row, position)))
        .min_by_key(|row| (row.hours, &row.operation));
    let mut told = LargerOperation {
        unit: unit.unit.unit.clone(),
        positions: beyond.iter().map(|position| (*position).clone()).collect(),
        operation: larger.map(|row| row.operation.clone()),
        name: larger.map_or_else(String::new, |row| row.name.clone()),
        hours_more: Quantity::ZERO,
        labour_more: Money::ZERO,
        outside_work_more: Money::ZERO,
        fluids_more: Vec::new(),
    };
    if let Some(larger) = larger {
        told.hours_more = larger.hours - unit.operation.hours;
        let rate = labour_rate(&context.input.prices)?;
        told.labour_more = rate.times(told.hours_more.raw(), Quantity::SCALE).unwrap_or_default();
        told.outside_work_more =
            outside_work(context, unit, larger)? - outside_work(context, unit, unit.operation)?;
        for (part, quantity, fluid) in fluids_more(context, unit, larger) {
            let reason = Reason::UsedByOperation {
                operation: larger.operation.clone(),
                purpose: fluid.purpose.clone(),
                grade: fluid.grade.clone(),
            };
            let accepts = accepted(context, branch, unit.index, part)?;
            more.needs.push(Need { line: For::Unit(unit.index, Box::new([reason])), quantity, accepts });
            let (part, purpose) = (part_name(context, part), fluid.purpose.clone());
            told.fluids_more.push(FluidMore { part, quantity, purpose });
        }
    }
    more.operations.push(told);
    Ok(())
}

/// What the work outside costs that an operation by itself calls for.
fn outside_work(
    context: &Context<'_>,
    unit: &KnownUnit<'_>,
    operation: &Operation,
) -> Result<Money, RequestFault> {
    let called_for = context.graph.snapshot.outside_work.iter().filter(|work| {
        work.unit == unit.unit.unit
            && work.position.is_none()
            && work.operation.as_ref() == Some(&operation.operation)
    });
    let mut sum = Money::ZERO;
    for work in called_for {
        sum += context.rates.to_base(work.price, &work.currency)?;
    }
    Ok(sum)
}

/// The fluids that an operation uses more of than the planned one.
fn fluids_more<'a>(
    context: &Context<'a>,
    unit: &KnownUnit<'a>,
    larger: &Operation,
) -> Vec<(PartIx, Quantity, &'a catalogue::Fluid)> {
    let fluids = &context.graph.snapshot.fluids;
    let planned = |part: &catalogue::PartKey| -> Quantity {
        let of_planned = fluids.iter().filter(|row| {
            row.unit == unit.unit.unit && row.operation == unit.operation.operation && row.part == *part
        });
        of_planned.map(|row| row.quantity).sum()
    };
    let of_larger =
        fluids.iter().filter(|row| row.unit == unit.unit.unit && row.operation == larger.operation);
    of_larger
        .filter_map(|row| {
            let quantity = row.quantity - planned(&row.part);
            let part = context.graph.find(&row.part)?;
            (quantity > Quantity::ZERO).then_some((part, quantity, row))
        })
        .collect()
}
