//! `crownwheel thread`.

use clap::Args;
use operations::calculations::thread::{ThreadAsked, calculate_thread};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Examples:\n  crownwheel thread M30x1.5-6g-LH\n  crownwheel thread M30x1.5-LH M30x1.5";

/// A screw, perhaps with its nut.
#[derive(Debug, Clone, Args)]
pub struct ThreadArguments {
    /// Thread of the screw or shaft end.
    pub screw: String,
    /// Thread of the nut.
    pub nut: Option<String>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Reads, judges and prints.
pub(super) fn run(arguments: &ThreadArguments) -> Result<(), Failure> {
    let asked = ThreadAsked { screw: arguments.screw.clone(), nut: arguments.nut.clone() };
    printed(calculate_thread(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let pitch = if result.coarse { "coarse" } else { "fine" };
        let hand = if result.left_hand { "left-hand" } else { "right-hand" };
        let line = format!(
            "{} mm, pitch {} mm ({pitch}), {hand}",
            number(result.diameter_mm),
            number(result.pitch_mm)
        );
        let told = Told::of(format!("THREAD {}", arguments.screw), line);
        match &result.verdict {
            Some(verdict) => told.verdict(verdict),
            None => told,
        }
    })
}
