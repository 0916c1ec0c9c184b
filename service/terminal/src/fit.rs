//! `crownwheel fit`: whether a part or set fits what is inside, and what else must change with it.

use std::fmt::Write;

use catalogue::Code;
use operations::answer::PartName;
use operations::{CheckedAlternative, FitCase, FitCheck, FitVerdict, FitWay, FurtherChange, LargerOperation};

use crate::arguments::FitArguments;
use crate::cost_text::{cost as shown, cost_with_currency};
use crate::failure::Failure;
use crate::output::say;
use crate::print_answer::{name_of, section};
use crate::print_cautions::{bullet, cautions_text};
use crate::quote::read;
use crate::quote_request::asked_fit;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width, wrapped};

/// Prints whether what is wanted fits.
pub(crate) async fn fit(arguments: &FitArguments) -> Result<(), Failure> {
    let asked = asked_fit(arguments)?;
    let source = Source::open(&arguments.place).await?;
    let text = source.fit_check(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&fit_text(&read(&text)?, terminal_width()))
}

fn fit_text(check: &FitCheck, width: usize) -> String {
    let mut text = String::new();
    for unit in &check.units {
        let _ = writeln!(text, "{}  {}", unit.code, unit.name);
    }
    let several = check.alternatives.len() > 1;
    for (at, alternative) in check.alternatives.iter().enumerate() {
        let number = if several { format!("{}. ", at + 1) } else { String::new() };
        alternative_text(&mut text, &number, alternative, width);
    }
    if check.side_by_side.len() > 1 {
        side_by_side_text(&mut text, check, width);
    }
    cautions_text(&mut text, &check.cautions, &check.deferral, width);
    let _ = writeln!(text, "\nAs of {}, made by {}.", check.as_of, check.engine);
    text
}

fn alternative_text(text: &mut String, number: &str, alternative: &CheckedAlternative, width: usize) {
    let wanted: Vec<String> =
        alternative.wanted.iter().map(|part| format!("{} {}", name_of(part), part.name)).collect();
    let _ = writeln!(text, "\n{number}{}", wanted.join(", with "));
    for case in &alternative.cases {
        case_text(text, case, width);
    }
}

fn case_text(text: &mut String, case: &FitCase, width: usize) {
    let variants: Vec<&str> = case.variants.iter().map(Code::as_str).collect();
    let only = if variants.is_empty() { String::new() } else { format!("if {}: ", variants.join("+")) };
    let best = case.ways.first();
    let words = match (case.verdict, best) {
        (FitVerdict::FitsAsItIs, _) => "It fits as it is: nothing else changes.".to_owned(),
        (FitVerdict::FitsWithChanges, Some(way)) => {
            let names: Vec<&str> = way.changes.iter().map(|change| change.name.as_str()).collect();
            let verb = if names.len() == 1 { "must change" } else { "must change too" };
            format!("It fits only with a further change: {} {verb}.", names.join(" and "))
        }
        (FitVerdict::FitsWithChanges, None) => "It fits with further changes.".to_owned(),
        (FitVerdict::CannotFit, _) => {
            "It cannot be fitted, whatever else changes. These facts cannot hold together:".to_owned()
        }
    };
    paragraph(text, &format!("{only}{words}"), width);
    for fact in &case.conflict {
        bullet(text, &fact.sentence, width);
    }
    if case.verdict == FitVerdict::CannotFit && case.conflict_is_smallest {
        paragraph(text, "Without any one of them it could be fitted.", width);
    }
    let several = case.ways.len() > 1;
    for (at, way) in case.ways.iter().enumerate() {
        if several {
            let _ = writeln!(text, "  Way {} of {}:", at + 1, case.ways.len());
        }
        way_text(text, way, width);
    }
    if case.more_ways {
        paragraph(text, "There are more ways; --ways tells more of them.", width);
    }
}

fn paragraph(text: &mut String, words: &str, width: usize) {
    for line in wrapped(words, width.saturating_sub(2)) {
        let _ = writeln!(text, "  {line}");
    }
}

fn way_text(text: &mut String, way: &FitWay, width: usize) {
    for change in &way.changes {
        bullet(text, &change_words(change), width);
        for joint in &change.forced_by {
            bullet(text, &format!("because {}", joint.sentence), width);
        }
        if change.forced_by.is_empty() {
            for reason in &change.reasons {
                bullet(text, &format!("because: {}", reason.sentence), width);
            }
        }
    }
    for line in &way.along {
        let place = line.position.as_ref().map_or(String::new(), |position| format!(" at {position}"));
        let why: Vec<&str> = line.reasons.iter().map(|reason| reason.sentence.as_str()).collect();
        let words =
            format!("{} {}{place} comes along: {}", name_of(&line.part), line.part.name, why.join("; "));
        bullet(text, &words, width);
    }
    for larger in &way.larger_operations {
        bullet(text, &larger_words(larger, &way.cost.currency.to_string()), width);
    }
    for joint in &way.unverified_joints {
        let words = format!("not verified: {} with {} ({})", joint.position_a, joint.position_b, joint.note);
        bullet(text, &words, width);
    }
    for joint in &way.contradictions {
        let words = format!("contradiction: {} with {} ({})", joint.position_a, joint.position_b, joint.note);
        bullet(text, &words, width);
    }
    let cost = &way.cost;
    let changes = if way.changes.is_empty() {
        String::new()
    } else {
        format!(
            " What changes beside it makes up {} of the cash and {} of the job cost.",
            shown(cost.further_cash, &cost.currency),
            shown(cost.further_job_cost, &cost.currency)
        )
    };
    let proof = match cost.bound {
        _ if cost.proven => String::new(),
        Some(bound) => {
            format!(" Not proven to be cheapest; nothing is cheaper than {}.", shown(bound, &cost.currency))
        }
        None => " Not proven to be cheapest.".to_owned(),
    };
    paragraph(
        text,
        &format!(
            "Cash {}, job cost with what the shelf gives {}.{changes} All here in {} days.{proof}",
            cost_with_currency(cost.cash, &cost.currency),
            shown(cost.job_cost, &cost.currency),
            cost.days
        ),
        width,
    );
    if !cost.not_to_be_had.is_empty() {
        let parts: Vec<&str> = cost.not_to_be_had.iter().map(catalogue::PartKey::as_str).collect();
        paragraph(text, &format!("Not to be had, and not in the amounts: {}.", parts.join(", ")), width);
    }
}

fn change_words(change: &FurtherChange) -> String {
    let from = change.from.as_ref().map_or("nothing".to_owned(), name_of);
    let to: Vec<String> = change.to.iter().map(|part: &PartName| name_of(part)).collect();
    let kind = if change.further_change { "" } else { " (no hard part, so it does not count)" };
    format!("{} {}: {} gives way to {}{kind}", change.position, change.name, from, to.join(" with "))
}

fn larger_words(larger: &LargerOperation, currency: &str) -> String {
    let positions: Vec<&str> = larger.positions.iter().map(Code::as_str).collect();
    let positions = positions.join(", ");
    let Some(operation) = &larger.operation else {
        return format!(
            "the planned operation does not reach {positions}, and no other one of {} does",
            larger.unit
        );
    };
    let fluids: Vec<String> = larger
        .fluids_more
        .iter()
        .map(|fluid| format!("{} of {}", fluid.quantity, name_of(&fluid.part)))
        .collect();
    let fluids = if fluids.is_empty() { String::new() } else { format!(", {} more", fluids.join(" and ")) };
    format!(
        "the planned operation does not reach {positions}: {operation} ({}) does, with {} h more, which is {} {currency} of \
         labour, {} {currency} more work outside{fluids}",
        larger.name, larger.hours_more, larger.labour_more, larger.outside_work_more
    )
}

fn side_by_side_text(text: &mut String, check: &FitCheck, width: usize) {
    let mut table = WrappedTable::new(&[
        "wanted",
        "verdict",
        ">parts",
        ">unverified",
        ">cash",
        ">cash more",
        ">job cost",
        ">labour more",
        ">days",
        "what changes",
    ]);
    let ways = check.alternatives.iter().flat_map(|one| &one.cases).flat_map(|case| &case.ways);
    let currency = ways.map(|way| &way.cost.currency).next();
    let amount = |money: Option<catalogue::Money>| match (money, currency) {
        (Some(money), Some(currency)) => shown(money, currency),
        (Some(money), None) => money.to_string(),
        (None, _) => "-".to_owned(),
    };
    let count = |count: Option<usize>| count.map_or("-".to_owned(), |count| count.to_string());
    for row in &check.side_by_side {
        let variants: Vec<&str> = row.variants.iter().map(Code::as_str).collect();
        let only = if variants.is_empty() { String::new() } else { format!(" if {}", variants.join("+")) };
        let changes: Vec<&str> = row.changes.iter().map(Code::as_str).collect();
        table.row([
            format!("{}. {}{only}", row.alternative + 1, row.text),
            row.verdict.word().replace('_', " "),
            count(row.parts),
            count(row.unverified_joints),
            amount(row.cash),
            amount(row.cash_more),
            amount(row.job_cost),
            amount(row.labour_more),
            row.days.map_or("-".to_owned(), |days| days.to_string()),
            if changes.is_empty() { "-".to_owned() } else { changes.join(", ") },
        ]);
    }
    section(text, "SIDE BY SIDE, over what the operation renews anyway", &table, width);
}
