//! `crownwheel kits`: the kits for a unit side by side.

use operations::kits_side_by_side::KitsSheet;
use operations::{KitPieces, KitWay};

use crate::arguments::KitsArguments;
use crate::cost_text::cost;
use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Prints the kits for a unit.
pub(crate) async fn kits(arguments: &KitsArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let text =
        source.kits(&arguments.unit, arguments.operation.as_deref(), arguments.as_of.as_deref()).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&kits_text(&read(&text)?, terminal_width()))
}

fn kits_text(sheet: &KitsSheet, width: usize) -> String {
    let currency = &sheet.comparison.currency;
    let heads =
        &["kit", "from", ">box", ">loose beside", ">all", ">days", ">holds", ">lacks", ">beyond", "note"];
    let mut table = WrappedTable::new(heads);
    for way in &sheet.comparison.ways {
        table.row([
            name(way),
            way.supplier.as_ref().map_or(String::new(), ToString::to_string),
            way.box_price.map_or(String::new(), |price| cost(price, currency)),
            cost(way.loose_cost, currency),
            cost(way.cash, currency),
            way.days.to_string(),
            way.holds.len().to_string(),
            way.lacks.len().to_string(),
            way.beyond.len().to_string(),
            note(way),
        ]);
    }
    let mut text = format!(
        "KITS SIDE BY SIDE for {} {}, amounts in {currency}, cheapest first; holds, lacks and beyond count numbers\n{}",
        sheet.unit,
        sheet.operation,
        table.text(width)
    );
    for way in sheet.comparison.ways.iter().filter(|way| way.kit.is_some()) {
        text.push_str(&format!("\n{}\n", name(way)));
        for (title, pieces) in [("lacks", &way.lacks), ("brings beyond the need", &way.beyond)] {
            let mut table = WrappedTable::new(&[title, ">qty", "name"]);
            for piece in pieces {
                table.row(piece_row(piece));
            }
            if !table.is_empty() {
                text.push_str(&table.text(width));
            }
        }
    }
    text.push_str(&format!("\n{}\n", sheet.deferral));
    text
}

fn name(way: &KitWay) -> String {
    way.kit
        .as_ref()
        .map_or("no kit, all loose".to_owned(), |kit| format!("{} {} {}", kit.maker, kit.number, kit.name))
}

fn note(way: &KitWay) -> String {
    match (way.incomplete, way.proven) {
        (true, _) => "some of the need cannot be had".to_owned(),
        (false, false) => "perhaps not the cheapest".to_owned(),
        (false, true) => String::new(),
    }
}

fn piece_row(piece: &KitPieces) -> [String; 3] {
    let part = &piece.part;
    [
        format!("{} {}", part.maker, part.number),
        format!("{} {}", piece.quantity, piece.measure.sign()),
        part.name.clone(),
    ]
}
