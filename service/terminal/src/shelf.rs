//! `crownwheel shelf`: what lies there and moved, what is reserved, counts, minimums and reorders.

use std::fmt::Write;

use catalogue::Quantity;
use operations::below_minimum::{BelowMinimum, ReordersToDraft};
use operations::book_count::{CountResult, ShelfCount};
use operations::draft_orders::DraftedOrders;
use operations::list_movements::{MovementSheet, MovementsAsked};
use operations::list_stock::{LotSheet, StockAsked};
use operations::reservations::{
    PartToReserve, PartsToReserve, ReservationSheet, ReservationState, ReservationsAsked,
};
use operations::shelf_sheet::{ShelfSheet, shelf_sheet_csv};
use serde::Deserialize;
use serde::de::DeserializeOwned;

use crate::failure::Failure;
use crate::job::piece;
use crate::order::order_text;
use crate::output::{complain, say};
use crate::quote::read;
use crate::shelf_arguments::{
    CountArguments, ReorderArguments, ReserveArguments, SheetArguments, ShelfArguments, ShelfCommand,
};
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of the shelf.
pub(crate) async fn shelf(arguments: &ShelfArguments) -> Result<(), Failure> {
    match &arguments.command {
        ShelfCommand::Balance(asked) => {
            let wanted = StockAsked {
                part: asked.part.clone(),
                bin: asked.bin.clone(),
                sequence: asked.sequence,
                at: None,
                empty: false,
            };
            let text = Source::open(&asked.place).await?.stock(&wanted).await?;
            list(&text, asked.place.json, "nothing lies there", balance_table)
        }
        ShelfCommand::Movements(asked) => {
            let wanted = MovementsAsked {
                part: asked.part.clone(),
                bin: asked.bin.clone(),
                paper: asked.paper.clone(),
                batch: asked.batch.clone(),
            };
            let text = Source::open(&asked.place).await?.movements(&wanted, asked.after.as_deref()).await?;
            list(&text, asked.place.json, "nothing moved", movement_table)
        }
        ShelfCommand::Reserve(asked) => reserve(asked).await,
        ShelfCommand::Reservations(asked) => {
            let wanted =
                ReservationsAsked { job: asked.job.clone(), part: asked.part.clone(), ended: asked.ended };
            let text = Source::open(&asked.place).await?.reservations(&wanted).await?;
            list(&text, asked.place.json, "nothing is reserved", reservations_table)
        }
        ShelfCommand::Release(asked) => {
            let text = Source::open(&asked.place).await?.release(&asked.number, &asked.by).await?;
            if asked.place.json {
                return say(&format!("{text}\n"));
            }
            let freed: ReservationSheet = read(&text)?;
            say(&reservations_table(std::slice::from_ref(&freed)).text(terminal_width()))
        }
        ShelfCommand::CountSheet(asked) => count_sheet(asked).await,
        ShelfCommand::Count(asked) => count(asked).await,
        ShelfCommand::Minimums(asked) => {
            let text = Source::open(&asked.place).await?.below_minimum().await?;
            list(&text, asked.place.json, "nothing is below its minimum", minimum_table)
        }
        ShelfCommand::Reorder(asked) => reorder(asked).await,
    }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items<T> {
    items: Vec<T>,
}

fn list<T: DeserializeOwned>(
    text: &str,
    as_json: bool,
    none: &str,
    table: impl FnOnce(&[T]) -> WrappedTable,
) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{text}\n"));
    }
    let listed: Items<T> = read(text)?;
    let table = table(&listed.items);
    if table.is_empty() { say(&format!("{none}\n")) } else { say(&table.text(terminal_width())) }
}

fn balance_table(lots: &[LotSheet]) -> WrappedTable {
    let mut table =
        WrappedTable::new(&["part", "bin", "mark", ">balance", ">reserved", ">available", ">each at"]);
    let known =
        |quantity: Option<Quantity>| quantity.map_or_else(|| "-".to_owned(), |known| known.to_string());
    for lot in lots {
        table.row([
            lot.part.to_string(),
            lot.bin.to_string(),
            lot.mark.0.clone(),
            lot.balance.to_string(),
            known(lot.reserved),
            known(lot.available),
            lot.carrying_value.to_string(),
        ]);
    }
    table
}

fn movement_table(movements: &[MovementSheet]) -> WrappedTable {
    let mut table =
        WrappedTable::new(&[">number", "when", "what", ">qty", "part", "bin", "paper", "by", "reason"]);
    for movement in movements {
        table.row([
            movement.sequence.to_string(),
            movement.at.format("%Y-%m-%d %H:%M").to_string(),
            format!("{:?}", movement.kind).to_lowercase(),
            movement.quantity.to_string(),
            movement.part.to_string(),
            movement.bin.to_string(),
            movement.paper.clone().unwrap_or_else(|| "-".to_owned()),
            movement.by.clone(),
            movement.reason.clone(),
        ]);
    }
    table
}

/// Reservations as a table.
pub(crate) fn reservations_table(reservations: &[ReservationSheet]) -> WrappedTable {
    let mut table =
        WrappedTable::new(&["reservation", "job", "state", ">reserved", ">open", "part", "bin", "until"]);
    for one in reservations {
        let state = match one.state {
            ReservationState::Live => "live",
            ReservationState::Issued => "issued",
            ReservationState::Released => "given back",
            ReservationState::Expired => "expired",
        };
        table.row([
            one.number.clone(),
            one.job.clone(),
            state.to_owned(),
            one.quantity.to_string(),
            one.open.to_string(),
            one.part.to_string(),
            one.bin.to_string(),
            one.expires_at.map_or_else(|| "-".to_owned(), |at| at.format("%Y-%m-%d %H:%M").to_string()),
        ]);
    }
    table
}

fn minimum_table(below: &[BelowMinimum]) -> WrappedTable {
    let mut table = WrappedTable::new(&[
        "part",
        "name",
        "bin",
        ">minimum",
        ">available",
        ">on order",
        ">buy",
        "from",
        ">price",
        "here on",
    ]);
    for row in below {
        let offer = &row.reorder;
        let supplier = offer.supplier.as_ref().map_or_else(|| "nobody".to_owned(), ToString::to_string);
        let price = offer.price.zip(offer.currency.as_ref());
        table.row([
            row.part.to_string(),
            row.name.clone(),
            row.bin.as_ref().map_or_else(|| "all".to_owned(), ToString::to_string),
            row.minimum.to_string(),
            row.available.to_string(),
            row.on_order.to_string(),
            offer.buy.unwrap_or(offer.quantity).to_string(),
            supplier,
            price.map_or_else(|| "-".to_owned(), |(price, currency)| format!("{price} {currency}")),
            offer.expected_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
        ]);
    }
    table
}

async fn reserve(arguments: &ReserveArguments) -> Result<(), Failure> {
    let mut lines = Vec::with_capacity(arguments.part.len());
    for text in &arguments.part {
        let (part, quantity, bin) = piece(text, "--part", "MAKER/NUMBER*QUANTITY[@BIN]")?;
        lines.push(PartToReserve { part, quantity, bin, mark: None });
    }
    let asked = PartsToReserve {
        job: arguments.job.clone(),
        by: arguments.by.clone(),
        hold_hours: arguments.hours,
        lines,
    };
    let text = Source::open(&arguments.place).await?.reserve(&asked).await?;
    list(&text, arguments.place.json, "nothing is reserved", reservations_table)
}

async fn count_sheet(arguments: &SheetArguments) -> Result<(), Failure> {
    let text = Source::open(&arguments.place).await?.shelf_sheet(arguments.bin.as_deref()).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let sheet: ShelfSheet = read(&text)?;
    if arguments.csv {
        // The file holds the sheet alone; the number goes where a person reads it.
        complain(&format!("count it with --sequence {}", sheet.ledger_sequence));
        return say(&shelf_sheet_csv(&sheet)?);
    }
    let mut text = format!("COUNT SHEET  after movement {}\n", sheet.ledger_sequence);
    let mut table = WrappedTable::new(&["bin", "part", "name", "mark", ">booked", "counted"]);
    for line in &sheet.lines {
        table.row([
            line.bin.to_string(),
            line.part.to_string(),
            line.name.clone(),
            line.mark.0.clone(),
            line.booked.to_string(),
            "........".to_owned(),
        ]);
    }
    text.push_str(&table.text(terminal_width()));
    let _ =
        writeln!(text, "Book it with `crownwheel shelf count FILE --sequence {}`.", sheet.ledger_sequence);
    say(&text)
}

async fn count(arguments: &CountArguments) -> Result<(), Failure> {
    let file = &arguments.file;
    let csv = std::fs::read_to_string(file)
        .map_err(|error| Failure::asked(format!("{} cannot be read: {error}", file.display())))?;
    let asked = ShelfCount {
        by: arguments.by.clone(),
        ledger_sequence: arguments.sequence,
        lines: Vec::new(),
        csv: Some(csv),
    };
    let text = Source::open(&arguments.place).await?.book_count(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let result: CountResult = read(&text)?;
    let mut text = format!("{} lots counted, {} as booked\n", result.counted, result.right);
    if !result.adjustments.is_empty() {
        text.push_str(&movement_table(&result.adjustments).text(terminal_width()));
    }
    for lot in &result.moved_since {
        let _ = writeln!(text, "{} in {} moved after the sheet was printed: look again", lot.part, lot.bin);
    }
    say(&text)
}

async fn reorder(arguments: &ReorderArguments) -> Result<(), Failure> {
    let asked = ReordersToDraft {
        by: arguments.by.clone(),
        parts: arguments.part.clone(),
        note: arguments.note.clone(),
    };
    let text = Source::open(&arguments.place).await?.draft_reorders(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let drafted: DraftedOrders = read(&text)?;
    let sheets: Vec<String> = drafted.items.iter().map(|order| order_text(order, terminal_width())).collect();
    say(&sheets.join("\n"))
}
