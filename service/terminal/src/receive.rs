//! `crownwheel receive`: counts a box against an order or a kit.

use std::fmt::Write;

use operations::receipt::CountVerdict;
use operations::receive_box::{AskedCount, AskedReceipt};
use operations::show_receipt::{ReceiptResult, ReceiptSheet};

use crate::failure::Failure;
use crate::order::{parted, quantity_of};
use crate::output::say;
use crate::quote::read;
use crate::receipt_arguments::ReceiveArguments;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Receives a box and prints what came of it.
pub(crate) async fn receive(arguments: &ReceiveArguments) -> Result<(), Failure> {
    let csv = match &arguments.count {
        None => None,
        Some(file) => Some(std::fs::read_to_string(file).map_err(|error| {
            Failure::command_line(format!("--count: {} cannot be read: {error}", file.display()))
        })?),
    };
    let mut counted = Vec::with_capacity(arguments.part.len());
    for text in &arguments.part {
        counted.push(count_of(text)?);
    }
    let boxes = arguments.boxes.as_deref().map(|text| quantity_of(text, "--boxes")).transpose()?;
    let asked = AskedReceipt {
        order: arguments.order.clone(),
        lines: arguments.line.clone(),
        kit: arguments.kit.clone(),
        boxes,
        supplier: arguments.supplier.clone(),
        counted,
        csv,
        bin: arguments.bin.clone(),
        more_to_come: arguments.more_to_come,
        keep_over: arguments.keep_over,
        note: arguments.note.clone(),
        by: arguments.by.clone(),
    };
    let source = Source::open(&arguments.place).await?;
    print_receipt(&source.receive(&asked).await?, arguments.place.json)
}

fn count_of(text: &str) -> Result<AskedCount, Failure> {
    const FORM: &str = "NUMBER=QUANTITY[,DAMAGED]";
    let (part, amounts) = parted(text, "--part", FORM)?;
    let (quantity, damaged) =
        amounts.split_once(',').map_or((amounts, None), |(all, damaged)| (all.trim(), Some(damaged.trim())));
    Ok(AskedCount {
        part: part.to_owned(),
        quantity: quantity_of(quantity, "--part")?,
        damaged: damaged.map(|text| quantity_of(text, "--part")).transpose()?,
        bin: None,
        mark: None,
        batch: None,
    })
}

/// Prints a receipt.
pub(crate) fn print_receipt(text: &str, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{text}\n"));
    }
    let receipt: ReceiptSheet = read(text)?;
    say(&receipt_text(&receipt, terminal_width()))
}

fn receipt_text(receipt: &ReceiptSheet, width: usize) -> String {
    let against = receipt.order.clone().or(receipt.kit.as_ref().map(ToString::to_string));
    let mut text = format!(
        "RECEIPT {}  against {}, counted {} by {}\n",
        receipt.number,
        against.unwrap_or_default(),
        receipt.counted_at.format("%Y-%m-%d %H:%M UTC"),
        receipt.counted_by,
    );
    if let Some(number) = &receipt.reverses {
        let _ = writeln!(text, "It takes {number} back: {}", receipt.note);
    }
    if let Some(number) = &receipt.reversed_by {
        let _ = writeln!(text, "It was taken back by {number}.");
    }
    if let Some(result) = &receipt.result {
        text.push_str(&result_text(result, width));
    }
    if let Some(claim) = &receipt.claim {
        let _ = writeln!(text, "\nCLAIM {claim}");
    }
    text
}

fn result_text(result: &ReceiptResult, width: usize) -> String {
    let mut text = String::new();
    let mut counted = WrappedTable::new(&["counted", ">qty", ">damaged", "as", "for", "why"]);
    for line in &result.outcome.counted {
        for pieces in &line.pieces {
            let why: Vec<&str> = pieces.reasons.iter().map(|told| told.sentence.as_str()).collect();
            counted.row([
                line.part.as_ref().map_or_else(|| line.written.clone(), ToString::to_string),
                pieces.quantity.to_string(),
                pieces.damaged.to_string(),
                pieces.verdict.word().replace('_', " "),
                pieces.in_place_of.as_ref().map_or_else(|| "-".to_owned(), ToString::to_string),
                why.join("; "),
            ]);
        }
    }
    let mut lacking = WrappedTable::new(&["part", ">short", ">damaged", "name"]);
    for line in &result.outcome.expected {
        let zero = catalogue::Quantity::ZERO;
        if line.short > zero || line.damaged > zero {
            lacking.row([
                line.part.to_string(),
                line.short.to_string(),
                line.damaged.to_string(),
                line.name.clone(),
            ]);
        }
    }
    let mut booked = WrappedTable::new(&["part", ">qty", ">value", "bin"]);
    for pieces in &result.booked {
        booked.row([
            pieces.part.to_string(),
            pieces.quantity.to_string(),
            pieces.unit_value.to_string(),
            pieces.bin.to_string(),
        ]);
    }
    let mut aside = WrappedTable::new(&["number", ">qty", "why"]);
    for pieces in &result.set_aside {
        let damaged = pieces.verdict == CountVerdict::Right || pieces.verdict.is_accepted();
        let why = if damaged { "damaged".to_owned() } else { pieces.verdict.word().replace('_', " ") };
        aside.row([pieces.written.clone(), pieces.quantity.to_string(), why]);
    }
    let mut orders = WrappedTable::new(&["part", ">qty", "from", ">price", "here"]);
    for proposal in &result.to_order {
        orders.row([
            proposal.part.to_string(),
            proposal.buy.unwrap_or(proposal.quantity).to_string(),
            proposal
                .supplier
                .as_ref()
                .map_or_else(|| "nobody sells it loose".to_owned(), ToString::to_string),
            match (&proposal.price, &proposal.currency) {
                (Some(price), Some(currency)) => format!("{price} {currency}"),
                _ => "-".to_owned(),
            },
            proposal.expected_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
        ]);
    }
    let mut waiting = WrappedTable::new(&["waits", ">qty", "for"]);
    for waits in &result.waiting {
        let who = waits.job.clone().or(waits.quote.clone()).unwrap_or_default();
        waiting.row([who, waits.quantity.to_string(), waits.part.to_string()]);
    }
    let lists = [
        ("COUNTED", &counted),
        (if result.more_to_come { "STILL TO COME" } else { "LACKS" }, &lacking),
        ("BOOKED", &booked),
        ("SET ASIDE", &aside),
        ("TO ORDER", &orders),
        ("WAITING", &waiting),
    ];
    for (title, table) in lists {
        if !table.is_empty() {
            let _ = write!(text, "\n{title}\n{}", table.text(width));
        }
    }
    for change in &result.outcome.list_changes {
        let _ = writeln!(
            text,
            "  {}: {} of {} when it was ordered, {} by today's list",
            change.kit, change.frozen, change.part, change.today
        );
    }
    for fault in &result.outcome.catalogue_faults {
        let _ = writeln!(text, "  {fault}");
    }
    if let Some(deferral) = &result.deferral {
        let _ = writeln!(text, "\n{deferral}");
    }
    text
}
