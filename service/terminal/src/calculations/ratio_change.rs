//! `crownwheel ratio-change`.

use clap::Args;
use operations::calculations::ratio_change::{RatioChangeAsked, calculate_ratio_change};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel ratio-change 0.838 0.7101 --speed 3000";

/// A ratio before and after, of a gear, a drop box or an axle.
#[derive(Debug, Clone, Args)]
pub struct RatioChangeArguments {
    /// Ratio before.
    pub old: f64,
    /// Ratio after.
    pub new: f64,
    /// Engine speed before, in 1/min.
    #[arg(long, value_name = "RPM")]
    pub speed: f64,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &RatioChangeArguments) -> Result<(), Failure> {
    let asked = RatioChangeAsked {
        old_ratio: arguments.old,
        new_ratio: arguments.new,
        engine_speed_before_per_min: arguments.speed,
    };
    printed(calculate_ratio_change(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let line = format!(
            "{} 1/min at the same road speed: {} fewer, {} %",
            number(result.engine_speed_after_per_min),
            number(result.drop_per_min),
            number(result.drop_percent)
        );
        Told::of(format!("RATIO {} to {}", number(arguments.old), number(arguments.new)), line)
    })
}
