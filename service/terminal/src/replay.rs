//! `crownwheel replay`: a saved case answered again.

use std::io::Read;
use std::path::Path;

use operations::save_case::{ReplayError, replay_case};

use crate::arguments::ReplayArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::print_answer::answer_text;
use crate::wrapped_table::terminal_width;

/// Answers the case of a file, or of the standard input for `-`. No database is asked.
pub(crate) fn replay(arguments: &ReplayArguments) -> Result<(), Failure> {
    let case = case_text(&arguments.file)?;
    let answer = replay_case(&case).map_err(|error| match error {
        error @ ReplayError::Unreadable(_) => {
            Failure::asked(format!("{}: {error}", arguments.file.display()))
        }
        error @ ReplayError::Fault(_) => Failure::asked(error.to_string()),
    })?;
    if arguments.json {
        let text = serde_json::to_string(&answer)
            .map_err(|error| Failure::service(format!("the answer cannot be written: {error}")))?;
        return say(&format!("{text}\n"));
    }
    say(&answer_text(&answer, arguments.all, terminal_width()))
}

fn case_text(file: &Path) -> Result<String, Failure> {
    if file.as_os_str() == "-" {
        let mut text = String::new();
        let read = std::io::stdin().lock().read_to_string(&mut text);
        return read
            .map(|_| text)
            .map_err(|error| Failure::asked(format!("the standard input cannot be read: {error}")));
    }
    std::fs::read_to_string(file)
        .map_err(|error| Failure::asked(format!("{} cannot be read: {error}", file.display())))
}
