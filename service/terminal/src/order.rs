//! `crownwheel order`: drafts orders, shows them, and takes their steps.

use std::fmt::Write;

use catalogue::Quantity;
use operations::change_order::{AskedLineStep, AskedOrderStep, OrderAction};
use operations::draft_orders::{AskedOrderLine, AskedOrders, DraftedOrders};
use operations::list_orders::{OrderHead, OrdersWanted};
use operations::show_order::{OrderLineSheet, OrderSheet, OrderState};
use serde::Deserialize;

use crate::failure::Failure;
use crate::order_arguments::{
    AcknowledgeArguments, DraftArguments, ListArguments, NumberArguments, OrderArguments, OrderCommand,
    StepArguments, TakeArguments,
};
use crate::order_round::{round, shares_text};
use crate::output::say;
use crate::quote::read;
use crate::quote_request::day;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of orders.
pub(crate) async fn order(arguments: &OrderArguments) -> Result<(), Failure> {
    match &arguments.command {
        OrderCommand::Draft(arguments) => draft(arguments).await,
        OrderCommand::Round(arguments) => round(arguments).await,
        OrderCommand::Show(arguments) => show(arguments).await,
        OrderCommand::List(arguments) => list(arguments).await,
        OrderCommand::Place(arguments) => step(arguments, OrderAction::Place, Vec::new()).await,
        OrderCommand::Acknowledge(arguments) => acknowledge(arguments).await,
        OrderCommand::TakeSubstitute(arguments) => take(arguments).await,
        OrderCommand::Close(arguments) => step(arguments, OrderAction::Close, Vec::new()).await,
        OrderCommand::Cancel(arguments) => step(arguments, OrderAction::Cancel, Vec::new()).await,
    }
}

async fn draft(arguments: &DraftArguments) -> Result<(), Failure> {
    let mut lines = Vec::with_capacity(arguments.part.len());
    for text in &arguments.part {
        let (part, quantity) = parted(text, "--part", "MAKER/NUMBER=QUANTITY")?;
        lines.push(AskedOrderLine {
            part: part.to_owned(),
            quantity: quantity_of(quantity, "--part")?,
            job: None,
        });
    }
    let asked = AskedOrders {
        quote: arguments.quote.clone(),
        job: arguments.job.clone(),
        again: arguments.again,
        lines,
        supplier: arguments.supplier.clone(),
        note: arguments.note.clone(),
        by: arguments.by.clone(),
    };
    let source = Source::open(&arguments.place).await?;
    let text = source.draft_orders(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let drafted: DraftedOrders = read(&text)?;
    let sheets: Vec<String> = drafted.items.iter().map(|order| order_text(order, terminal_width())).collect();
    say(&sheets.join("\n"))
}

async fn show(arguments: &NumberArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    print(&source.order(&arguments.number).await?, arguments.place.json)
}

async fn list(arguments: &ListArguments) -> Result<(), Failure> {
    let state = match arguments.state.as_deref() {
        None => None,
        Some(word) => Some(OrderState::from_word(word).ok_or_else(|| {
            let words = OrderState::WORDS.join(", ");
            Failure::command_line(format!("--state: `{word}` is not known; write one of {words}"))
        })?),
    };
    let wanted = OrdersWanted {
        supplier: arguments.supplier.clone(),
        state,
        quote: arguments.quote.clone(),
        job: arguments.job.clone(),
    };
    let source = Source::open(&arguments.place).await?;
    let text = source.orders(&wanted, arguments.after.as_deref()).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let listed: Items = read(&text)?;
    let mut table = WrappedTable::new(&["order", "supplier", "state", ">lines", "expected", "drafted", "by"]);
    for head in &listed.items {
        table.row([
            head.number.clone(),
            head.supplier.to_string(),
            head.state.word().replace('_', " "),
            head.lines.to_string(),
            head.expected_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
            head.created_at.format("%Y-%m-%d").to_string(),
            head.created_by.clone(),
        ]);
    }
    if table.is_empty() { say("no such order\n") } else { say(&table.text(terminal_width())) }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items {
    items: Vec<OrderHead>,
}

async fn acknowledge(arguments: &AcknowledgeArguments) -> Result<(), Failure> {
    let mut lines: Vec<AskedLineStep> = Vec::new();
    for text in &arguments.quantity {
        let (line, quantity) = parted(text, "--quantity", "LINE=QUANTITY")?;
        line_of(&mut lines, line, "--quantity")?.quantity = Some(quantity_of(quantity, "--quantity")?);
    }
    for text in &arguments.day {
        let (line, on) = parted(text, "--day", "LINE=YYYY-MM-DD")?;
        line_of(&mut lines, line, "--day")?.on = Some(day(on, "--day")?);
    }
    for text in &arguments.substitute {
        let (line, part) = parted(text, "--substitute", "LINE=MAKER/NUMBER")?;
        line_of(&mut lines, line, "--substitute")?.substitute = Some(part.to_owned());
    }
    step(&arguments.step, OrderAction::Acknowledge, lines).await
}

async fn take(arguments: &TakeArguments) -> Result<(), Failure> {
    let mut lines = Vec::new();
    for line in &arguments.line {
        line_of(&mut lines, &line.to_string(), "--line")?;
    }
    step(&arguments.step, OrderAction::TakeSubstitute, lines).await
}

fn line_of<'l>(
    lines: &'l mut Vec<AskedLineStep>,
    text: &str,
    flag: &str,
) -> Result<&'l mut AskedLineStep, Failure> {
    let number: i64 = text
        .parse()
        .map_err(|_| Failure::command_line(format!("{flag}: `{text}` is no number of a line")))?;
    let at = lines.iter().position(|line| line.line == number).unwrap_or(lines.len());
    if at == lines.len() {
        lines.push(AskedLineStep { line: number, quantity: None, on: None, substitute: None });
    }
    Ok(&mut lines[at])
}

async fn step(
    arguments: &StepArguments,
    step: OrderAction,
    lines: Vec<AskedLineStep>,
) -> Result<(), Failure> {
    let asked = AskedOrderStep { step, by: arguments.by.clone(), note: arguments.note.clone(), lines };
    let source = Source::open(&arguments.place).await?;
    print(&source.order_step(&arguments.number, &asked).await?, arguments.place.json)
}

fn print(text: &str, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{text}\n"));
    }
    say(&order_text(&read(text)?, terminal_width()))
}

/// A text that names something before `=` and a value behind it.
pub(crate) fn parted<'v>(text: &'v str, flag: &str, form: &str) -> Result<(&'v str, &'v str), Failure> {
    let parted = text.split_once('=').map(|(left, right)| (left.trim(), right.trim()));
    parted
        .filter(|(left, right)| !left.is_empty() && !right.is_empty())
        .ok_or_else(|| Failure::command_line(format!("{flag}: `{text}` has no `=`; write {form}")))
}

/// A quantity of the command line.
pub(crate) fn quantity_of(text: &str, flag: &str) -> Result<Quantity, Failure> {
    Quantity::parse(text).ok_or_else(|| {
        Failure::command_line(format!("{flag}: `{text}` is no quantity with up to three decimals"))
    })
}

/// For whom a line is.
fn owner(line: &OrderLineSheet) -> String {
    let one = line.job.clone().or(line.quote.clone());
    one.unwrap_or_else(|| if line.shares.is_empty() { "-".to_owned() } else { shares_text(&line.shares) })
}

/// An order as a person reads it.
pub(crate) fn order_text(order: &OrderSheet, width: usize) -> String {
    let mut text = format!(
        "ORDER {}  to {}, {}; drafted {} by {}, structure revision {}\n",
        order.number,
        order.supplier,
        order.state.word().replace('_', " "),
        order.created_at.format("%Y-%m-%d %H:%M UTC"),
        order.created_by,
        order.structure_revision,
    );
    if !order.note.is_empty() {
        let _ = writeln!(text, "{}", order.note);
    }
    let mut table = WrappedTable::new(&[">line", ">qty", "part", ">price", "expected", "for", "holds"]);
    for line in &order.lines {
        let mut quantity = line.quantity.to_string();
        if let Some(acknowledged) = line.acknowledged_quantity.filter(|known| *known != line.quantity) {
            let _ = write!(quantity, " ({acknowledged} acknowledged)");
        }
        let mut part = line.part.to_string();
        if let Some(substitute) = &line.substitute {
            let _ = write!(part, " ({substitute} offered)");
        }
        let holds = if line.contents.iter().any(|content| content.part != line.part) {
            format!("{} lines of the kit's list", line.contents.len())
        } else {
            "-".to_owned()
        };
        table.row([
            line.line.to_string(),
            quantity,
            part,
            format!("{} {}", line.price, line.currency),
            line.expected_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
            owner(line),
            holds,
        ]);
    }
    text.push_str(&table.text(width));
    for total in &order.totals {
        let _ = writeln!(text, "  goods {} {}, deposits {}", total.goods, total.currency, total.deposits);
    }
    let mut steps = WrappedTable::new(&["when", "what", "by", "detail"]);
    for step in &order.steps {
        steps.row([
            step.at.format("%Y-%m-%d %H:%M").to_string(),
            step.what.replace('_', " "),
            step.by.clone(),
            step.detail.clone(),
        ]);
    }
    text.push('\n');
    text.push_str(&steps.text(width));
    text
}
