//! `crownwheel claim`: claims on suppliers, and what their boxes were short of.

use operations::claims::{AskedClaimStep, ClaimAction, ClaimHead, ClaimSheet, ClaimState, ClaimsWanted};
use operations::supplier_faults::SupplierFaults;
use serde::Deserialize;

use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::receipt_arguments::{
    ClaimArguments, ClaimCommand, ClaimListArguments, ClaimStepArguments, FaultsArguments,
};
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of claims.
pub(crate) async fn claim(arguments: &ClaimArguments) -> Result<(), Failure> {
    match &arguments.command {
        ClaimCommand::Show(arguments) => {
            let source = Source::open(&arguments.place).await?;
            print(&source.claim(&arguments.number).await?, arguments.place.json)
        }
        ClaimCommand::List(arguments) => list(arguments).await,
        ClaimCommand::Send(arguments) => step(arguments, ClaimAction::Send).await,
        ClaimCommand::Accept(arguments) => step(arguments, ClaimAction::Accept).await,
        ClaimCommand::Refuse(arguments) => step(arguments, ClaimAction::Refuse).await,
        ClaimCommand::Settle(arguments) => step(arguments, ClaimAction::Settle).await,
        ClaimCommand::Faults(arguments) => faults(arguments).await,
    }
}

async fn step(arguments: &ClaimStepArguments, step: ClaimAction) -> Result<(), Failure> {
    let asked = AskedClaimStep { step, by: arguments.by.clone(), note: arguments.note.clone() };
    let source = Source::open(&arguments.place).await?;
    print(&source.claim_step(&arguments.number, &asked).await?, arguments.place.json)
}

async fn list(arguments: &ClaimListArguments) -> Result<(), Failure> {
    let state = match arguments.state.as_deref() {
        None => None,
        Some(word) => Some(ClaimState::from_word(word).ok_or_else(|| {
            let words = ClaimState::WORDS.join(", ");
            Failure::command_line(format!("--state: `{word}` is not known; write one of {words}"))
        })?),
    };
    let wanted = ClaimsWanted { supplier: arguments.supplier.clone(), state, order: arguments.order.clone() };
    let source = Source::open(&arguments.place).await?;
    let text = source.claims(&wanted).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let listed: Items = read(&text)?;
    let mut table =
        WrappedTable::new(&["claim", "supplier", "state", ">amount", "receipt", "order", "opened"]);
    for head in &listed.items {
        table.row([
            head.number.clone(),
            head.supplier.to_string(),
            head.state.word().to_owned(),
            format!("{} {}", head.amount, head.currency),
            head.receipt.clone(),
            head.order.clone().unwrap_or_else(|| "-".to_owned()),
            head.created_at.format("%Y-%m-%d").to_string(),
        ]);
    }
    if table.is_empty() { say("no such claim\n") } else { say(&table.text(terminal_width())) }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items {
    items: Vec<ClaimHead>,
}

async fn faults(arguments: &FaultsArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let text = source.supplier_faults(&arguments.supplier).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let found: SupplierFaults = read(&text)?;
    let mut table = WrappedTable::new(&["month", "what", ">qty", ">amount", ">claims", "part"]);
    for fault in &found.faults {
        table.row([
            fault.month.format("%Y-%m").to_string(),
            fault.kind.word().to_owned(),
            fault.quantity.to_string(),
            fault.amount.to_string(),
            fault.claims.to_string(),
            fault.part.as_ref().map_or_else(|| "unknown numbers".to_owned(), ToString::to_string),
        ]);
    }
    let head = format!("{} {}\n", found.supplier, found.name);
    if table.is_empty() {
        return say(&format!("{head}Nothing was wrong with its boxes.\n"));
    }
    say(&format!("{head}{}", table.text(terminal_width())))
}

fn print(text: &str, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{text}\n"));
    }
    say(&claim_text(&read(text)?, terminal_width()))
}

fn claim_text(claim: &ClaimSheet, width: usize) -> String {
    let mut text = format!(
        "CLAIM {}  on {}, {}; {} {} for receipt {}{}\n",
        claim.number,
        claim.supplier,
        claim.state,
        claim.amount,
        claim.currency,
        claim.receipt,
        claim.order.as_ref().map_or(String::new(), |order| format!(" of order {order}")),
    );
    let mut lines = WrappedTable::new(&["what", ">qty", "number", ">each", ">amount", "why"]);
    for line in &claim.lines {
        lines.row([
            line.kind.word().to_owned(),
            line.quantity.to_string(),
            line.written.clone(),
            line.unit_value.to_string(),
            line.amount.to_string(),
            line.reason.clone(),
        ]);
    }
    text.push_str(&lines.text(width));
    let mut steps = WrappedTable::new(&["when", "what", "by", "detail"]);
    for step in &claim.steps {
        let when = step.at.format("%Y-%m-%d %H:%M").to_string();
        steps.row([when, step.what.clone(), step.by.clone(), step.detail.clone()]);
    }
    text.push('\n');
    text.push_str(&steps.text(width));
    text
}
