//! `crownwheel quote`: what a rebuild needs, what brings it, and what it costs.

use std::path::Path;

use operations::Answer;
use operations::asked::Asked;
use operations::show_quote::QuoteSheet;
use serde::de::DeserializeOwned;

use crate::arguments::QuoteArguments;
use crate::failure::Failure;
use crate::output::{say, write_file};
use crate::print_answer::answer_text;
use crate::quote_request::asked;
use crate::source::Source;
use crate::wrapped_table::terminal_width;

/// Answers a rebuild, and stores it where that is asked for.
pub(crate) async fn quote(arguments: &QuoteArguments) -> Result<(), Failure> {
    let asked = asked(arguments)?;
    let source = Source::open(&arguments.place).await?;
    if let Some(file) = &arguments.save_case {
        return save_case(file, &source.case(&asked).await?);
    }
    if arguments.save {
        let sheet = source.store_quote(&asked).await?;
        return print_quote(&sheet, arguments.all, arguments.place.json);
    }
    print_requirement(&source, &asked, arguments.all, arguments.place.json).await
}

/// Writes a case into a file.
pub(crate) fn save_case(file: &Path, case: &str) -> Result<(), Failure> {
    write_file(file, case)?;
    say(&format!("The case is in {0}; `crownwheel replay {0}` answers it again.\n", file.display()))
}

/// Prints the answer to a request that is not stored.
pub(crate) async fn print_requirement(
    source: &Source,
    asked: &Asked,
    all: bool,
    as_json: bool,
) -> Result<(), Failure> {
    let text = source.requirement(asked).await?;
    if as_json {
        return say(&format!("{text}\n"));
    }
    let answer: Answer = read(&text)?;
    say(&answer_text(&answer, all, terminal_width()))
}

/// Prints a stored quote.
pub(crate) fn print_quote(sheet: &str, all: bool, as_json: bool) -> Result<(), Failure> {
    if as_json {
        return say(&format!("{sheet}\n"));
    }
    let sheet: QuoteSheet = read(sheet)?;
    let answer: Answer = read(sheet.answer.get())?;
    say(&format!(
        "QUOTE {}  stored {}, valid until {}, structure revision {}, price revision {}, ledger sequence {}\n\n{}",
        sheet.number,
        sheet.created_at.format("%Y-%m-%d %H:%M UTC"),
        sheet.valid_until,
        sheet.structure_revision,
        sheet.price_revision,
        sheet.ledger_sequence,
        answer_text(&answer, all, terminal_width()),
    ))
}

/// Reads JSON that the service or an operation made.
pub(crate) fn read<T: DeserializeOwned>(text: &str) -> Result<T, Failure> {
    serde_json::from_str(text).map_err(|error| {
        Failure::service(format!("the answer cannot be read (is the service of another version?): {error}"))
    })
}
