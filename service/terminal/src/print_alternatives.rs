//! The other answers beside the best, as a person reads them.

use std::fmt::Write;

use catalogue::{Code, Currency, PartKey};
use operations::{Alternatives, Condition, NextPlan, PlanDifference, PlanSummary};

use crate::cost_text::cost;
use crate::wrapped_table::WrappedTable;

/// Most differences of one answer that are told.
const DIFFERENCES_MAX: usize = 5;

/// The best answer, the next ones, and those under conditions.
pub(crate) fn alternatives_text(text: &mut String, others: &Alternatives, width: usize) {
    let mut table = WrappedTable::new(&[
        "answer",
        ">cash",
        ">more",
        ">job cost",
        ">days",
        ">changes",
        ">unverified",
        "what is different",
    ]);
    table.row(row("the best".to_owned(), &others.best, &others.currency, String::new(), "-".to_owned()));
    for (at, next) in others.next.iter().enumerate() {
        table.row(held_against(ordinal(at + 2), next, &others.currency));
    }
    for answer in &others.conditions {
        let name = condition(&answer.condition);
        match (&answer.possible, &answer.impossible) {
            (Some(plan), _) => table.row(held_against(name, plan, &others.currency)),
            (None, Some(impossible)) => {
                let empty = || String::new();
                let why = format!("not possible: {}", impossible.why);
                table.row([name, empty(), empty(), empty(), empty(), empty(), empty(), why]);
            }
            (None, None) => {}
        }
    }
    let _ = write!(
        text,
        "\nOTHER ANSWERS, amounts in {}\n{}  more: cash beyond the best; changes: hard parts renewed that could be kept; \
         unverified: joints without a verdict.\n",
        others.currency,
        table.text(width)
    );
    if others.all_told {
        text.push_str("There are no more answers with as few changes and unverified joints.\n");
    }
}

fn held_against(name: String, next: &NextPlan, currency: &Currency) -> [String; 8] {
    let mut differs: Vec<String> = next.differs.iter().take(DIFFERENCES_MAX).map(difference).collect();
    match next.differs.len() {
        0 => differs.push("nothing".to_owned()),
        all if all > DIFFERENCES_MAX => {
            differs.push(format!("and {} more differences (--json lists them)", all - DIFFERENCES_MAX));
        }
        _ => {}
    }
    let differs = differs.join("; ");
    row(name, &next.plan, currency, cost(next.cash_more, currency), differs)
}

fn row(name: String, plan: &PlanSummary, currency: &Currency, more: String, differs: String) -> [String; 8] {
    let proof = if plan.proven { "" } else { " (not proven)" };
    [
        name,
        format!("{}{proof}", cost(plan.cash, currency)),
        more,
        cost(plan.job_cost, currency),
        plan.days.to_string(),
        plan.further_changes.to_string(),
        plan.unverified_joints.to_string(),
        differs,
    ]
}

fn ordinal(at: usize) -> String {
    match at {
        2 => "2nd".to_owned(),
        3 => "3rd".to_owned(),
        at => format!("{at}th"),
    }
}

fn condition(condition: &Condition) -> String {
    match condition {
        Condition::WithoutPart { part } => format!("without {part}"),
        Condition::WithPart { part, .. } => format!("with {part}"),
        Condition::WithKit { kit } => format!("with kit {kit}"),
        Condition::WithoutSupplier { supplier } => format!("without {supplier}"),
        Condition::OnlySupplier { supplier } => format!("from {supplier} only"),
        Condition::OnlyOriginal => "only original parts".to_owned(),
        Condition::NoUnverifiedJoints => "all joints verified".to_owned(),
    }
}

fn difference(difference: &PlanDifference) -> String {
    match difference {
        PlanDifference::Kit { kit, before, after } => format!("{after} of kit {kit}, not {before}"),
        PlanDifference::Fitted { unit, position, variants, before, after } => {
            let place = position.as_ref().map_or(unit.to_string(), ToString::to_string);
            let only = match variants.as_slice() {
                [] => String::new(),
                variants => {
                    let names: Vec<&str> = variants.iter().map(Code::as_str).collect();
                    format!(" if {}", names.join("+"))
                }
            };
            format!("{place}{only}: {} instead of {}", parts(after), parts(before))
        }
    }
}

fn parts(parts: &[PartKey]) -> String {
    let names: Vec<&str> = parts.iter().map(PartKey::as_str).collect();
    if names.is_empty() { "nothing new".to_owned() } else { names.join(" and ") }
}
