//! `crownwheel receipt`: count sheets, and receipts that are shown, listed and taken back.

use operations::count_sheet::CountSheet;
use operations::list_receipts::{ReceiptHead, ReceiptsWanted};
use operations::reverse_receipt::AskedReversal;
use serde::Deserialize;

use crate::failure::Failure;
use crate::output::say;
use crate::quote::read;
use crate::receipt_arguments::{ReceiptArguments, ReceiptCommand, ReceiptListArguments, SheetArguments};
use crate::receive::print_receipt;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of receipts.
pub(crate) async fn receipt(arguments: &ReceiptArguments) -> Result<(), Failure> {
    match &arguments.command {
        ReceiptCommand::Sheet(arguments) => sheet(arguments).await,
        ReceiptCommand::Show(arguments) => {
            let source = Source::open(&arguments.place).await?;
            print_receipt(&source.receipt(&arguments.number).await?, arguments.place.json)
        }
        ReceiptCommand::List(arguments) => list(arguments).await,
        ReceiptCommand::Reverse(arguments) => {
            let asked = AskedReversal { note: arguments.note.clone(), by: arguments.by.clone() };
            let source = Source::open(&arguments.place).await?;
            print_receipt(&source.reverse_receipt(&arguments.number, &asked).await?, arguments.place.json)
        }
    }
}

async fn sheet(arguments: &SheetArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    if arguments.csv {
        return say(&source.count_sheet_csv(&arguments.order).await?);
    }
    let text = source.count_sheet(&arguments.order).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let sheet: CountSheet = read(&text)?;
    let mut table = WrappedTable::new(&["counted", "damaged", ">expected", "number", "bin", "name"]);
    for line in &sheet.lines {
        let option = line.option_group.as_ref().map_or(String::new(), |group| format!(" (size of {group})"));
        table.row([
            "[    ]".to_owned(),
            "[    ]".to_owned(),
            format!("{} {}", line.expected, line.measure.sign()),
            line.number.clone(),
            line.bin.as_ref().map_or_else(|| "-".to_owned(), ToString::to_string),
            format!("{}{option}", line.name),
        ]);
    }
    let head = format!("COUNT SHEET of order {} from {}\n", sheet.order, sheet.supplier);
    if table.is_empty() {
        return say(&format!("{head}Nothing is still to come.\n"));
    }
    say(&format!("{head}{}", table.text(terminal_width())))
}

async fn list(arguments: &ReceiptListArguments) -> Result<(), Failure> {
    let wanted = ReceiptsWanted {
        order: arguments.order.clone(),
        supplier: arguments.supplier.clone(),
        job: arguments.job.clone(),
    };
    let source = Source::open(&arguments.place).await?;
    let text = source.receipts(&wanted).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let listed: Items = read(&text)?;
    let mut table =
        WrappedTable::new(&["receipt", "against", "supplier", "counted", "by", "claim", "taken back"]);
    for head in &listed.items {
        let dash = || "-".to_owned();
        table.row([
            head.number.clone(),
            head.order.clone().or(head.kit.as_ref().map(ToString::to_string)).unwrap_or_else(dash),
            head.supplier.as_ref().map_or_else(dash, ToString::to_string),
            head.counted_at.format("%Y-%m-%d %H:%M").to_string(),
            head.counted_by.clone(),
            head.claim.clone().unwrap_or_else(dash),
            match (&head.reverses, &head.reversed_by) {
                (Some(number), _) => format!("takes back {number}"),
                (None, Some(number)) => format!("by {number}"),
                (None, None) => dash(),
            },
        ]);
    }
    if table.is_empty() { say("no such receipt\n") } else { say(&table.text(terminal_width())) }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items {
    items: Vec<ReceiptHead>,
}
