//! `crownwheel order round`: what all approved jobs and the shelf lack, bought in one go.

use std::collections::BTreeMap;
use std::fmt::Write;

use catalogue::{Currency, Quantity};
use operations::order_round::{AskedOrderRound, OrderRound, RoundOrder};
use operations::request::Aim;
use operations::show_order::LineShare;

use crate::cost_text::cost_with_currency;
use crate::failure::Failure;
use crate::order_arguments::RoundArguments;
use crate::output::say;
use crate::quote::read;
use crate::quote_request::word_of;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Makes a round, or says what it would be.
pub(crate) async fn round(arguments: &RoundArguments) -> Result<(), Failure> {
    let asked = AskedOrderRound {
        by: arguments.by.clone(),
        dry_run: arguments.dry_run,
        aim: word_of(&arguments.aim, "--aim", Aim::from_word, Aim::WORDS)?,
        note: arguments.note.clone(),
        search_steps: arguments.search_steps,
        time_budget_ms: arguments.time_budget_ms,
    };
    let text = Source::open(&arguments.place).await?.order_round(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&round_text(&read(&text)?, terminal_width()))
}

/// A round as a person reads it.
fn round_text(round: &OrderRound, width: usize) -> String {
    let mut text = String::new();
    if round.orders.is_empty() {
        text.push_str(
            "nothing is to be bought: approved jobs and the shelf lack nothing that somebody sells\n",
        );
    }
    for order in &round.orders {
        text.push_str(&order_text(order, &round.currency, width));
    }
    if !round.orders.is_empty() {
        let _ = writeln!(
            text,
            "ROUND  {}, deposits {} among it; everything is here on {} ({} days)",
            cost_with_currency(round.cash, &round.currency),
            cost_with_currency(round.deposits, &round.currency),
            round.complete_on,
            round.days
        );
        let aim = round.aim.word().replace('_', " ");
        let proven = match (&round.bound, round.proven) {
            (_, true) => format!("{aim}, proven"),
            (Some(bound), false) => format!("{aim}, not proven; nothing goes below {bound}"),
            (None, false) => format!("{aim}, not proven"),
        };
        let _ = writeln!(text, "  {proven}");
    }
    for missing in &round.not_to_be_had {
        let who = missing.job.as_deref().unwrap_or("the shelf");
        let _ = writeln!(text, "{} × {} for {who} are not to be had", missing.quantity, missing.part);
    }
    for left_out in &round.left_out {
        let _ = writeln!(text, "{} is left out: {}", left_out.job, left_out.why);
    }
    if round.dry_run {
        text.push_str("nothing was stored; leave --dry-run out to draft it\n");
    }
    text
}

fn order_text(order: &RoundOrder, currency: &Currency, width: usize) -> String {
    let number = order.number.as_deref().unwrap_or("(not drafted)");
    let mut text = format!(
        "ORDER {number}  to {}; goods {}, an order costs {}, here on {}\n",
        order.supplier,
        cost_with_currency(order.goods, currency),
        cost_with_currency(order.order_cost, currency),
        order.here_on
    );
    let mut table =
        WrappedTable::new(&[">line", ">qty", "part", ">price", ">cost", "expected", "for", "left over"]);
    for line in &order.lines {
        let left: Vec<String> =
            line.surplus.iter().map(|left| format!("{} × {}", left.quantity, left.part)).collect();
        table.row([
            line.line.to_string(),
            line.quantity.to_string(),
            line.part.part.to_string(),
            format!("{} {}", line.price, line.currency),
            cost_with_currency(line.cost, currency),
            line.expected_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
            shares_text(&line.shares),
            if left.is_empty() { "-".to_owned() } else { left.join(", ") },
        ]);
    }
    text.push_str(&table.text(width));
    text.push('\n');
    text
}

/// For whom the pieces of a line are: each job, or the shelf, with its number of pieces.
pub(crate) fn shares_text(shares: &[LineShare]) -> String {
    let mut pieces: BTreeMap<(bool, &str), Quantity> = BTreeMap::new();
    for share in shares {
        let who = share.job.as_deref().unwrap_or("the shelf");
        *pieces.entry((share.job.is_none(), who)).or_default() += share.quantity;
    }
    let told: Vec<String> = pieces.iter().map(|((_, who), quantity)| format!("{who}: {quantity}")).collect();
    told.join(", ")
}
