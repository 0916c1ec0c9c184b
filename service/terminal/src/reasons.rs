//! `crownwheel reasons`: why each line of a stored quote is there.

use std::fmt::Write;

use operations::quote_reasons::{Drawing, ReasonSheet};

use crate::arguments::ReasonsArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::print_cautions::{bullet, cautions_text};
use crate::quote::read;
use crate::source::Source;
use crate::wrapped_table::terminal_width;

/// Prints the chains of causes of a quote, or draws them.
pub(crate) async fn reasons(arguments: &ReasonsArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    if arguments.dot {
        return say(&source.reason_drawing(&arguments.number, Drawing::Dot).await?);
    }
    if let Some(file) = &arguments.svg {
        let picture = source.reason_drawing(&arguments.number, Drawing::Svg).await?;
        crate::output::write_file(file, &picture)?;
        return say(&format!("The reasons are drawn in {}.\n", file.display()));
    }
    let text = source.reasons(&arguments.number).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&sheet_text(&read(&text)?, terminal_width()))
}

fn sheet_text(sheet: &ReasonSheet, width: usize) -> String {
    let mut text = format!("WHY EACH LINE OF {} IS THERE, first cause first\n", sheet.number);
    for line in &sheet.lines {
        let place = line.position.as_ref().map_or("supplied".to_owned(), ToString::to_string);
        let _ = writeln!(text, "\n{} {place}: {}", line.unit, line.part);
        for step in &line.steps {
            bullet(&mut text, &format!("{} → {}: {}", step.from, step.to, step.because), width);
        }
        if line.steps.is_empty() {
            bullet(&mut text, "nothing else asks for it", width);
        }
    }
    cautions_text(&mut text, &sheet.cautions, &sheet.deferral, width);
    text
}
