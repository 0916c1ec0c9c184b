//! `crownwheel notice`: what a supersession or a bad batch that is entered today would touch.

use std::collections::BTreeSet;
use std::fmt::Write;

use catalogue::{Interchange, SupersessionShape};
use operations::follow_notice::{AskedEvent, NoticeSheet};

use crate::arguments::NoticeArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::print_answer::section;
use crate::print_cautions::cautions_text;
use crate::quote::read;
use crate::quote_request::word_of;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Prints what an event touches.
pub(crate) async fn notice(arguments: &NoticeArguments) -> Result<(), Failure> {
    let asked = event(arguments)?;
    let source = Source::open(&arguments.place).await?;
    let text = source.notice_effects(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&sheet_text(&asked, &read(&text)?, terminal_width()))
}

fn event(arguments: &NoticeArguments) -> Result<AskedEvent, Failure> {
    let part = arguments.part.clone();
    let Some(new) = &arguments.gives_way_to else {
        return Ok(AskedEvent::BadPart { part, mark: arguments.mark.clone() });
    };
    let flag = "--interchange";
    Ok(AskedEvent::Notice {
        old: part,
        new: new.clone(),
        notice: arguments.notice.clone(),
        interchange: word_of(&arguments.interchange, flag, Interchange::from_word, Interchange::WORDS)?,
        shape: SupersessionShape::OneToOne,
    })
}

fn sheet_text(asked: &AskedEvent, sheet: &NoticeSheet, width: usize) -> String {
    let mut text = match asked {
        AskedEvent::Notice { old, new, .. } => format!("IF {old} GIVES WAY TO {new} today\n"),
        AskedEvent::BadPart { part, mark: Some(mark) } => format!("IF BATCH {mark} OF {part} IS BAD\n"),
        AskedEvent::BadPart { part, mark: None } => format!("IF {part} IS BAD\n"),
    };
    if !sheet.all_known {
        text.push_str("The catalogue does not hold the new number yet.\n");
    }
    if !sheet.effects.circle.is_empty() {
        let round: Vec<&str> = sheet.effects.circle.iter().map(catalogue::PartKey::as_str).collect();
        let _ = writeln!(text, "It would close a circle of notices: {}.", round.join(", then "));
    }
    let effects = &sheet.effects;
    let serials: BTreeSet<(&str, i64)> =
        sheet.records.iter().map(|record| (record.unit.as_str(), record.serial)).collect();
    let _ = writeln!(
        text,
        "It touches {}, {}, {}, {} and {}.",
        count(sheet.units.len(), "unit"),
        count(effects.kits.len(), "kit"),
        count(sheet.open_quotes.len(), "open quote"),
        count(sheet.stock.len(), "lot on the shelf"),
        count(serials.len(), "serial number")
    );
    let mut positions = WrappedTable::new(&["unit", "position", "as", "by which way"]);
    for place in &effects.positions {
        positions.row([
            place.unit.to_string(),
            place.position.to_string(),
            place.role.to_string(),
            place.sentence.clone(),
        ]);
    }
    section(&mut text, "STANDS AT", &positions, width);
    let mut kits = WrappedTable::new(&["kit", ">in a box", "by which way"]);
    for kit in &effects.kits {
        kits.row([kit.kit.to_string(), kit.quantity.to_string(), kit.sentence.clone()]);
    }
    section(&mut text, "LIES IN KITS", &kits, width);
    let mut besides = WrappedTable::new(&["part", "with", "note"]);
    for row in &effects.companions {
        besides.row([row.part.to_string(), row.companion.to_string(), "brings it along".to_owned()]);
    }
    for need in &effects.needs {
        let part = need.part.as_ref().map_or("any that it takes".to_owned(), ToString::to_string);
        let note = format!("{} {} must change with the notice", need.unit, need.position);
        besides.row([part, "-".to_owned(), note]);
    }
    section(&mut text, "BESIDES", &besides, width);
    papers_text(&mut text, sheet, width);
    cautions_text(&mut text, &sheet.cautions, &sheet.deferral, width);
    text
}

fn papers_text(text: &mut String, sheet: &NoticeSheet, width: usize) {
    let mut quotes = WrappedTable::new(&["quote", "valid until", "part", "by which way"]);
    for quote in &sheet.open_quotes {
        for part in &quote.parts {
            let valid_until = quote.valid_until.to_string();
            quotes.row([quote.number.clone(), valid_until, part.part.to_string(), part.sentence.clone()]);
        }
    }
    section(text, "OPEN QUOTES", &quotes, width);
    let mut stock = WrappedTable::new(&["part", "bin", "mark", ">on the shelf", ">reserved", "by which way"]);
    for lot in &sheet.stock {
        stock.row([
            lot.part.to_string(),
            lot.bin.to_string(),
            lot.mark.0.clone(),
            lot.quantity.to_string(),
            lot.reserved.to_string(),
            lot.sentence.clone(),
        ]);
    }
    section(text, "ON THE SHELF", &stock, width);
    let mut records =
        WrappedTable::new(&["unit", ">serial", "position", "part", "batch", "since", "job", "by which way"]);
    for record in &sheet.records {
        let batch = match (record.batch.as_str(), record.certain) {
            ("", false) => "not known".to_owned(),
            ("", true) => record.mark.0.clone(),
            (batch, _) => batch.to_owned(),
        };
        records.row([
            record.unit.to_string(),
            record.serial.to_string(),
            record.position.to_string(),
            record.part.to_string(),
            batch,
            record.at.date_naive().to_string(),
            record.job.clone(),
            record.sentence.clone(),
        ]);
    }
    section(text, "INSIDE SERIAL NUMBERS", &records, width);
}

fn count(number: usize, what: &str) -> String {
    match (number, what.split_once(' ')) {
        (0, _) => format!("no {what}"),
        (1, _) => format!("1 {what}"),
        (number, Some(("lot", rest))) => format!("{number} lots {rest}"),
        (number, _) => format!("{number} {what}s"),
    }
}
