//! `crownwheel wear`.

use clap::Args;
use operations::calculations::wear::{WearAsked, calculate_wear};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::OneOrTwo;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel wear 2.75 --new 2.95,3.0 --limit 2.7";

/// A measurement and its limits.
#[derive(Debug, Clone, Args)]
pub struct WearArguments {
    /// The value measured.
    #[arg(allow_hyphen_values = true)]
    pub measured: f64,
    /// Smallest and largest value of a new part.
    #[arg(long, value_name = "VALUE,VALUE")]
    pub new: OneOrTwo<f64>,
    /// Last good value of a worn part; left out: a worn part is always replaced.
    #[arg(long, value_name = "VALUE")]
    pub limit: Option<f64>,
    /// The unit of the values.
    #[arg(long, default_value = "mm")]
    pub unit: String,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &WearArguments) -> Result<(), Failure> {
    let asked = WearAsked {
        measured: arguments.measured,
        new_min: arguments.new.first,
        new_max: arguments.new.second,
        wear_limit: arguments.limit,
        unit: arguments.unit.clone(),
    };
    printed(calculate_wear(&asked), arguments.print.json, |sheet| {
        Told::of("WEAR", sheet.result.sentence.clone())
    })
}
