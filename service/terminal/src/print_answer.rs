//! An answer as a person reads it: what is needed and why, what is on the shelf, what is bought, what it costs.

use std::fmt::Write;

use operations::Answer;
use operations::answer::{
    Action, Because, CustomerPrice, KitContent, LoosePurchase, PartName, RequirementLine, Sourcing,
    UnitRequirement,
};

use crate::cost_text::{cost, cost_with_currency};
use crate::print_alternatives::alternatives_text;
use crate::print_cautions::{bullet, cautions_text};
use crate::print_gearing::gearings_text;
use crate::wrapped_table::{WrappedTable, wrapped};

/// The whole answer as text.
pub(crate) fn answer_text(answer: &Answer, all: bool, width: usize) -> String {
    let mut text = String::new();
    for unit in &answer.units {
        unit_text(&mut text, unit, all, width);
    }
    if !answer.told_for.is_empty() {
        let variants: Vec<&str> = answer.told_for.iter().map(catalogue::Code::as_str).collect();
        let words = format!(
            "Lines, purchases and price are those of {}, the dearest outcome: measure before anything is bought. IF MEASURED \
             FIRST tells of the others.",
            variants.join("+")
        );
        let _ = writeln!(text, "\n{}", wrapped(&words, width).join("\n"));
    }
    sourcing_text(&mut text, &answer.sourcing, width);
    price_text(&mut text, &answer.price, width);
    if let Some(others) = &answer.alternatives {
        alternatives_text(&mut text, others, width);
    }
    cautions_text(&mut text, &answer.cautions, &answer.deferral, width);
    let _ = writeln!(text, "\nAs of {}, made by {}.", answer.as_of, answer.engine);
    text
}

/// A table under its title, where there is something in it.
pub(crate) fn section(text: &mut String, title: &str, table: &WrappedTable, width: usize) {
    if !table.is_empty() {
        let _ = write!(text, "\n{title}\n{}", table.text(width));
    }
}

/// Maker and number.
pub(crate) fn name_of(part: &PartName) -> String {
    format!("{} {}", part.maker, part.number)
}

fn why(reasons: &[Because]) -> String {
    reasons.iter().map(|reason| reason.sentence.as_str()).collect::<Vec<_>>().join("; ")
}

fn unit_text(text: &mut String, unit: &UnitRequirement, all: bool, width: usize) {
    if !text.is_empty() {
        text.push('\n');
    }
    let _ = writeln!(text, "{}  {}: {}, {} h", unit.code, unit.name, unit.operation_name, unit.hours);
    if !unit.variants.is_empty() {
        let variants: Vec<&str> = unit.variants.iter().map(catalogue::Code::as_str).collect();
        let _ = writeln!(text, "  variants: {}", variants.join(", "));
    }
    for unknown in &unit.unknown {
        let variants: Vec<&str> = unknown.variants.iter().map(catalogue::Code::as_str).collect();
        let matters = if unknown.matters { "" } else { " (makes no difference here)" };
        let tell = unknown.how_to_tell.join("; ");
        let words =
            format!("not known: {} is {}{matters}. {tell}", unknown.option_group, variants.join(" or "));
        bullet(text, &words, width);
    }
    let mut needed = WrappedTable::new(&["position", "what", ">qty", "part", "name", "why"]);
    let mut kept = WrappedTable::new(&["position", ">qty", "part", "name"]);
    for line in &unit.lines {
        match line.action {
            Action::Keep => kept.row([place(line), quantity(line), name_of(&line.part), line.name.clone()]),
            Action::Renew | Action::Upgrade | Action::Supply => needed.row([
                place(line),
                what(line),
                quantity(line),
                name_of(&line.part),
                line.name.clone(),
                why(&line.reasons),
            ]),
        }
    }
    section(text, "NEEDED", &needed, width);
    if all {
        section(text, "KEPT", &kept, width);
    } else {
        let count = unit.lines.iter().filter(|line| line.action == Action::Keep).count();
        let kept = if count == 1 { "position is" } else { "positions are" };
        let _ = writeln!(text, "\n{count} {kept} kept (--all lists them).");
    }
    gearings_text(text, unit, width);
    for (title, notes) in [
        ("JOINTS WITHOUT A VERDICT", &unit.unverified_joints),
        ("JOINTS WITH A CONTRADICTION", &unit.contradictions),
    ] {
        let mut joints = WrappedTable::new(&["joint", "between", "and", "note"]);
        for note in notes {
            let end = |position: &catalogue::Code, part: &PartName| format!("{position} ({})", name_of(part));
            joints.row([
                note.joint.to_string(),
                end(&note.position_a, &note.part_a),
                end(&note.position_b, &note.part_b),
                note.note.clone(),
            ]);
        }
        section(text, title, &joints, width);
    }
}

fn place(line: &RequirementLine) -> String {
    line.position.as_ref().map_or("-".to_owned(), ToString::to_string)
}

fn quantity(line: &RequirementLine) -> String {
    format!("{} {}", line.quantity, line.measure.sign())
}

fn what(line: &RequirementLine) -> String {
    let mut what = line.action.word().to_owned();
    if line.further_change {
        what.push_str(" (further)");
    }
    if !line.variants.is_empty() {
        let variants: Vec<&str> = line.variants.iter().map(catalogue::Code::as_str).collect();
        let _ = write!(what, " if {}", variants.join("+"));
    }
    what
}

fn sourcing_text(text: &mut String, sourcing: &Sourcing, width: usize) {
    let mut picks = WrappedTable::new(&["part", "name", "bin", ">qty"]);
    for pick in &sourcing.from_stock {
        let quantity = format!("{} {}", pick.quantity, pick.measure.sign());
        picks.row([name_of(&pick.part), pick.part.name.clone(), pick.bin.to_string(), quantity]);
    }
    section(text, "FROM THE SHELF", &picks, width);
    let mut kits = WrappedTable::new(&["kit", "name", "from", ">qty", ">price", ">cost", "here on", "uses"]);
    for kit in &sourcing.kits {
        kits.row([
            name_of(&kit.kit),
            kit.kit.name.clone(),
            kit.supplier.to_string(),
            kit.quantity.to_string(),
            format!("{} {}", kit.price, kit.currency),
            cost_with_currency(kit.cost, &sourcing.currency),
            kit.here_on.to_string(),
            used_of(&kit.contents),
        ]);
    }
    section(text, "KITS TO BUY", &kits, width);
    let mut loose =
        WrappedTable::new(&["part", "name", "from", ">qty", ">price", ">deposit", ">cost", "here on"]);
    for part in &sourcing.loose {
        loose.row(loose_row(part, sourcing));
    }
    section(text, "LOOSE PARTS TO BUY", &loose, width);
    let mut work = WrappedTable::new(&["work", "from", ">cost", "back on", "why"]);
    for order in &sourcing.outside_work {
        work.row([
            order.name.clone(),
            order.supplier.to_string(),
            cost_with_currency(order.cost, &sourcing.currency),
            order.here_on.to_string(),
            why(&order.reasons),
        ]);
    }
    section(text, "WORK OUTSIDE", &work, width);
    let mut surplus = WrappedTable::new(&["part", "name", ">qty", "brought by"]);
    for line in &sourcing.surplus {
        let by = line.kit.as_ref().map_or("bought beyond need".to_owned(), ToString::to_string);
        let quantity = format!("{} {}", line.quantity, line.measure.sign());
        surplus.row([name_of(&line.part), line.part.name.clone(), quantity, by]);
    }
    section(text, "LEFT OVER", &surplus, width);
    let mut missing = WrappedTable::new(&["part", "name", ">qty", "where", "note"]);
    for line in &sourcing.not_to_be_had {
        let place = line
            .position
            .as_ref()
            .map_or(line.unit.to_string(), |position| format!("{} {position}", line.unit));
        let quantity = format!("{} {}", line.quantity, line.measure.sign());
        missing.row([name_of(&line.part), line.part.name.clone(), quantity, place, line.note.clone()]);
    }
    section(text, "NOT TO BE HAD", &missing, width);
    outcomes_text(text, sourcing, width);
    orders_text(text, sourcing, width);
}

fn used_of(contents: &[KitContent]) -> String {
    let used = contents.iter().filter(|content| content.used.raw() > 0).count();
    format!("{used} of {} numbers", contents.len())
}

fn loose_row(part: &LoosePurchase, sourcing: &Sourcing) -> [String; 8] {
    let deposit =
        if part.deposit.raw() == 0 { String::new() } else { format!("{} {}", part.deposit, part.currency) };
    [
        name_of(&part.part),
        part.part.name.clone(),
        part.supplier.to_string(),
        format!("{} {}", part.quantity, part.measure.sign()),
        format!("{} {}", part.price, part.currency),
        deposit,
        cost_with_currency(part.cost, &sourcing.currency),
        part.here_on.to_string(),
    ]
}

fn outcomes_text(text: &mut String, sourcing: &Sourcing, width: usize) {
    let mut outcomes = WrappedTable::new(&["if", ">cash", ">job cost", ">days", "buys"]);
    for outcome in &sourcing.outcomes {
        let variants: Vec<&str> = outcome.variants.iter().map(catalogue::Code::as_str).collect();
        let kits: Vec<String> = outcome.kits.iter().map(|kit| name_of(&kit.kit)).collect();
        let loose = format!("{} loose numbers", outcome.loose.len());
        outcomes.row([
            variants.join("+"),
            cost_with_currency(outcome.cash, &sourcing.currency),
            cost_with_currency(outcome.job_cost, &sourcing.currency),
            outcome.days.to_string(),
            kits.into_iter().chain([loose]).collect::<Vec<_>>().join(", "),
        ]);
    }
    section(text, "IF MEASURED FIRST", &outcomes, width);
}

fn orders_text(text: &mut String, sourcing: &Sourcing, width: usize) {
    let mut orders = WrappedTable::new(&["supplier", "name", ">goods", ">order cost", "here on"]);
    for order in &sourcing.orders {
        orders.row([
            order.supplier.to_string(),
            order.name.clone(),
            cost_with_currency(order.goods, &sourcing.currency),
            cost_with_currency(order.order_cost, &sourcing.currency),
            order.here_on.to_string(),
        ]);
    }
    section(text, "ORDERS", &orders, width);
    let proof = match (&sourcing.bound, sourcing.proven) {
        (_, true) => "proven to be best".to_owned(),
        (Some(bound), false) => format!("not proven to be best; no plan goes below {bound}"),
        (None, false) => "not proven to be best".to_owned(),
    };
    let words = format!(
        "Cash out {} (deposits in it {}), job cost {}; all here on {}, in {} days. Aim {}, stock {}: {proof}.",
        cost_with_currency(sourcing.cash, &sourcing.currency),
        cost(sourcing.deposits, &sourcing.currency),
        cost_with_currency(sourcing.job_cost, &sourcing.currency),
        sourcing.complete_on,
        sourcing.days,
        sourcing.aim.word().replace('_', " "),
        sourcing.stock,
    );
    text.push('\n');
    for line in wrapped(&words, width) {
        let _ = writeln!(text, "{line}");
    }
}

fn price_text(text: &mut String, price: &CustomerPrice, width: usize) {
    let mut lines = WrappedTable::new(&["for", ">qty", ">net", "what"]);
    for line in &price.lines {
        lines.row([
            line.kind.word().replace('_', " "),
            line.quantity.to_string(),
            format!("{} {}", line.net, price.currency),
            line.text.clone(),
        ]);
    }
    for (name, amount) in [("net", price.net)]
        .into_iter()
        .map(|(name, amount)| (name.to_owned(), amount))
        .chain(price.taxes.iter().map(|tax| (format!("{} {} %", tax.tax, tax.rate), tax.amount)))
        .chain((price.deposits.raw() != 0).then(|| ("deposits".to_owned(), price.deposits)))
        .chain([("TO PAY".to_owned(), price.total)])
    {
        lines.row([name, String::new(), format!("{amount} {}", price.currency), String::new()]);
    }
    section(text, "PRICE FOR THE CUSTOMER", &lines, width);
    let _ = writeln!(text, "  valid until {}", price.valid_until);
}
