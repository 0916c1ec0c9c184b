//! Conditions under which a request is answered again, and what each costs.

use std::collections::BTreeSet;

use catalogue::{CandidateRole, Code, PartKey, PartKind};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::difference::Canonical;
use super::plan::work_out;
use super::{NextPlan, PlanSummary, held_against};
use crate::graph::Graph;
use crate::input::Input;
use crate::request::Chosen;
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::resolve::identified;

/// Another way to have it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "condition", rename_all = "snake_case", deny_unknown_fields)]
pub enum Condition {
    /// A part or kit is neither fitted nor bought.
    WithoutPart {
        /// The part or kit.
        part: PartKey,
    },
    /// A part or set is fitted.
    WithPart {
        /// The part or set.
        part: PartKey,
        /// The position, where it could stand at several.
        #[serde(default)]
        position: Option<Code>,
        /// The unit of the request, counted from nought.
        #[serde(default)]
        unit: usize,
    },
    /// A box of a kit is bought.
    WithKit {
        /// The kit.
        kit: PartKey,
    },
    /// Nothing is bought from a supplier.
    WithoutSupplier {
        /// The supplier.
        supplier: Code,
    },
    /// Nothing is bought from anybody else.
    OnlySupplier {
        /// The supplier.
        supplier: Code,
    },
    /// Only original parts, and what follows them, are fitted, but for what was asked for.
    OnlyOriginal,
    /// No joint is left without a verdict.
    NoUnverifiedJoints,
}

/// What a condition comes to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct ConditionAnswer {
    /// The condition.
    pub condition: Condition,
    /// The best answer under it, held against the best without; empty: there is none.
    pub possible: Option<Box<NextPlan>>,
    /// Why there is none.
    pub impossible: Option<Impossible>,
    /// All of it in one sentence.
    pub sentence: String,
}

/// Why a condition cannot be met.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct Impossible {
    /// In words.
    pub why: String,
    /// Parts that cannot be had under it.
    pub not_to_be_had: Vec<PartKey>,
}

/// Answers an input under a condition. What the condition names must be known; that it cannot be met is an answer.
pub(super) fn answer(
    input: &Input,
    at: usize,
    condition: &Condition,
    (best, base): (&PlanSummary, &Canonical),
    stop: &dyn Fn() -> bool,
) -> Result<ConditionAnswer, RequestFault> {
    let mut changed = input.clone();
    let pointer = |field: &str| format!("/conditions/{at}/{field}");
    apply(&mut changed, condition, &pointer)?;
    let outcome = match solved(&changed, condition, (best, base), stop) {
        Ok(plan) => {
            let lacks: Vec<PartKey> = plan
                .plan
                .not_to_be_had
                .iter()
                .filter(|part| !best.not_to_be_had.contains(part))
                .cloned()
                .collect();
            match lacks.is_empty() {
                true => Ok(plan),
                false => {
                    let names: Vec<&str> = lacks.iter().map(PartKey::as_str).collect();
                    let why = format!("nobody who is left sells {}", names.join(", "));
                    Err(Impossible { why, not_to_be_had: lacks })
                }
            }
        }
        Err(fault) if fault.kind == RequestFaultKind::TooManyUnknowns => return Err(fault),
        // Faults of the shop's own data would have shown without the condition.
        Err(fault) => Err(Impossible { why: fault.detail, not_to_be_had: Vec::new() }),
    };
    let words = words(condition);
    Ok(match outcome {
        Ok(plan) => {
            let sentence = format!(
                "{words}: cash {} more, job cost {} more, {} days more",
                plan.cash_more, plan.job_cost_more, plan.days_more
            );
            ConditionAnswer {
                condition: condition.clone(),
                possible: Some(Box::new(plan)),
                impossible: None,
                sentence,
            }
        }
        Err(impossible) => ConditionAnswer {
            condition: condition.clone(),
            possible: None,
            sentence: format!("{words}: not possible, {}", impossible.why),
            impossible: Some(impossible),
        },
    })
}

fn words(condition: &Condition) -> String {
    match condition {
        Condition::WithoutPart { part } => format!("without {part}"),
        Condition::WithPart { part, .. } => format!("with {part}"),
        Condition::WithKit { kit } => format!("with kit {kit}"),
        Condition::WithoutSupplier { supplier } => format!("without supplier {supplier}"),
        Condition::OnlySupplier { supplier } => format!("from {supplier} only"),
        Condition::OnlyOriginal => "only original parts".to_owned(),
        Condition::NoUnverifiedJoints => "no unverified joints".to_owned(),
    }
}

/// Changes the input so that its best answer meets the condition, as far as that lies in the input.
fn apply(
    input: &mut Input,
    condition: &Condition,
    pointer: &dyn Fn(&str) -> String,
) -> Result<(), RequestFault> {
    let supplier_known = |supplier: &Code| {
        let known = input.prices.suppliers.iter().map(|row| &row.supplier);
        match known.clone().any(|row| row == supplier) {
            true => Ok(()),
            false => Err(RequestFault::unknown(pointer("supplier"), "supplier", supplier.as_str(), known)),
        }
    };
    let part_known = |part: &PartKey, field: &str, kit: bool| {
        let known = |row: &&catalogue::Part| row.part == *part && (!kit || row.kind == PartKind::Kit);
        match input.snapshot.parts.iter().any(|row| known(&row)) {
            true => Ok(()),
            false => Err(RequestFault::new(
                RequestFaultKind::UnknownReference,
                pointer(field),
                format!(
                    "{part} is no {} that the catalogue ties to the units",
                    if kit { "kit" } else { "part" }
                ),
            )),
        }
    };
    match condition {
        Condition::WithoutPart { part } => {
            part_known(part, "part", false)?;
            input.request.without_parts.push(part.clone());
        }
        Condition::WithPart { part, position, unit } => {
            part_known(part, "part", false)?;
            let units = input.request.units.len();
            let unit = input.request.units.get_mut(*unit).ok_or_else(|| {
                let detail = format!("the request has {units} units, counted from nought");
                RequestFault::new(RequestFaultKind::BadValue, pointer("unit"), detail)
            })?;
            unit.chosen.push(Chosen { any_of: vec![part.clone()], position: position.clone() });
        }
        Condition::WithKit { kit } => part_known(kit, "kit", true)?,
        Condition::WithoutSupplier { supplier } => {
            supplier_known(supplier)?;
            input.request.without_suppliers.push(supplier.clone());
        }
        Condition::OnlySupplier { supplier } => {
            supplier_known(supplier)?;
            let others = input.prices.suppliers.iter().map(|row| row.supplier.clone());
            input.request.without_suppliers.extend(others.filter(|other| other != supplier));
        }
        Condition::OnlyOriginal => keep_originals(input),
        Condition::NoUnverifiedJoints => {}
    }
    Ok(())
}

/// Leaves of the candidates the original ones, those of positions that have none, and what was asked for.
fn keep_originals(input: &mut Input) {
    let asked: BTreeSet<PartKey> = input
        .request
        .units
        .iter()
        .flat_map(|unit| &unit.chosen)
        .flat_map(|chosen| &chosen.any_of)
        .cloned()
        .collect();
    let lies_in_asked: BTreeSet<PartKey> = input
        .snapshot
        .kit_lines
        .iter()
        .filter(|line| asked.contains(&line.kit))
        .map(|line| line.part.clone())
        .collect();
    let with_original: BTreeSet<(String, Code)> = input
        .snapshot
        .candidates
        .iter()
        .filter(|row| row.role == CandidateRole::Original)
        .map(|row| (row.unit.to_string(), row.position.clone()))
        .collect();
    input.snapshot.candidates.retain(|row| {
        let has_original = with_original.contains(&(row.unit.to_string(), row.position.clone()));
        match row.role {
            CandidateRole::Original => true,
            _ if asked.contains(&row.part) || lies_in_asked.contains(&row.part) => true,
            CandidateRole::Alternative => !has_original,
            CandidateRole::Upgrade => false,
        }
    });
}

fn solved(
    input: &Input,
    condition: &Condition,
    (best, base): (&PlanSummary, &Canonical),
    stop: &dyn Fn() -> bool,
) -> Result<NextPlan, RequestFault> {
    let graph = Graph::new(&input.snapshot);
    let (mut context, branches) = identified(input, &graph)?;
    context.budget.stop = Some(stop);
    context.verified_only = *condition == Condition::NoUnverifiedJoints;
    let kits = match condition {
        Condition::WithKit { kit } => graph.find(kit).into_iter().collect(),
        _ => Vec::new(),
    };
    let worked = work_out(&context, branches, &kits)?;
    Ok(held_against(worked.summary(&context), &worked.canonical(&context), (best, base)))
}
