//! `crownwheel axles`.

use clap::Args;
use operations::calculations::axle_match::{AxleMatchAsked, calculate_axle_match};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel axles 4.333 4.556 --tolerance 1";

/// Two axles.
#[derive(Debug, Clone, Args)]
pub struct AxlesArguments {
    /// Ratio of the changed axle.
    pub changed: f64,
    /// Ratio of the other driven axle.
    pub other: f64,
    /// By how many per cent they may differ.
    #[arg(long, value_name = "PERCENT", default_value_t = 1.0)]
    pub tolerance: f64,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Compares and prints.
pub(super) fn run(arguments: &AxlesArguments) -> Result<(), Failure> {
    let asked = AxleMatchAsked {
        changed_axle_ratio: arguments.changed,
        other_axle_ratio: arguments.other,
        tolerance_percent: arguments.tolerance,
    };
    printed(calculate_axle_match(&asked), arguments.print.json, |sheet| Told {
        mind: sheet.result.to_check.iter().map(|what| format!("check {what}")).collect(),
        ..Told::of("AXLES", sheet.result.sentence.clone())
    })
}
