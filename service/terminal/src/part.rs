//! `crownwheel part`: the numbers that stand for a part number today, and where it is used.

use std::fmt::Write;

use operations::find_part::CurrentNumbers;
use operations::where_used::PartUses;

use crate::arguments::PartArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Prints what stands for a number and where it is used.
pub(crate) async fn part(arguments: &PartArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let numbers = source.current_numbers(&arguments.part, arguments.as_of.as_deref()).await?;
    let uses = source.part_uses(&arguments.part).await?;
    if arguments.place.json {
        return say(&format!("{{\"current_numbers\":{numbers},\"where_used\":{uses}}}\n"));
    }
    let width = terminal_width();
    say(&format!("{}{}", numbers_text(&read(&numbers)?, width), uses_text(&read(&uses)?, width)))
}

fn numbers_text(numbers: &CurrentNumbers, width: usize) -> String {
    let part = &numbers.part;
    let mut text = format!("{} {}  {}\n", part.maker, part.number, part.name);
    if numbers.current {
        let _ = writeln!(text, "\nIt is current on {}: no notice replaces it.", numbers.as_of);
    }
    let mut table = WrappedTable::new(&["number today", ">for one", "interchange", "name", "by notice"]);
    for number in &numbers.successors {
        let way: Vec<String> = number
            .way
            .iter()
            .map(|step| {
                format!(
                    "{} of {} ({})",
                    step.notice,
                    step.effective_from,
                    step.shape.word().replace('_', " ")
                )
            })
            .collect();
        table.row([
            number.part.to_string(),
            number.quantity.to_string(),
            number.interchange.word().replace('_', " "),
            number.name.clone(),
            way.join(", then "),
        ]);
    }
    if !table.is_empty() {
        let _ = write!(text, "\nREPLACED BY, on {}\n{}", numbers.as_of, table.text(width));
    }
    for number in &numbers.circles {
        let _ = writeln!(text, "  the notices run in a circle at {number}; `crownwheel check` names them");
    }
    text
}

fn uses_text(uses: &PartUses, width: usize) -> String {
    let mut text = String::new();
    let relation = |relation| match relation {
        operations::where_used::Relation::Same => "itself",
        operations::where_used::Relation::Old => "number that it replaces",
        operations::where_used::Relation::New => "number that replaces it",
        operations::where_used::Relation::Kit => "kit that holds it",
    };
    let mut positions = WrappedTable::new(&["unit", "position", "part", "as", "found by"]);
    for found in &uses.positions {
        positions.row([
            found.unit.to_string(),
            found.position.to_string(),
            found.part.to_string(),
            found.role.to_string(),
            relation(found.relation).to_owned(),
        ]);
    }
    let mut kits = WrappedTable::new(&["kit", ">line", ">qty", "part", "found by"]);
    for found in &uses.kits {
        kits.row([
            found.kit.to_string(),
            found.line.to_string(),
            found.quantity.to_string(),
            found.part.to_string(),
            relation(found.relation).to_owned(),
        ]);
    }
    for (title, table) in [("STANDS AT", &positions), ("LIES IN KITS", &kits)] {
        if !table.is_empty() {
            let _ = write!(text, "\n{title}\n{}", table.text(width));
        }
    }
    if positions.is_empty() && kits.is_empty() {
        text.push_str("\nIt is used nowhere.\n");
    }
    text
}
