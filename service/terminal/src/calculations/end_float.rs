//! `crownwheel end-float`.

use clap::Args;
use operations::calculations::end_float::{EndFloatAsked, calculate_end_float};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::OneOrTwo;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Examples:\n  crownwheel end-float --measured 0.32 --limits 0.1,0.25\n  \
    crownwheel end-float --space 182.4 --parts 38,62.5,44,37.7 --limits 0.1,0.25";

/// An end float and its limits.
#[derive(Debug, Clone, Args)]
pub struct EndFloatArguments {
    /// End float measured in mm.
    #[arg(
        long,
        value_name = "MM",
        required_unless_present = "space",
        conflicts_with = "space",
        allow_hyphen_values = true
    )]
    pub measured: Option<f64>,
    /// Space in mm in which the parts stand.
    #[arg(long, value_name = "MM", requires = "parts")]
    pub space: Option<f64>,
    /// Lengths of the parts in mm.
    #[arg(long, value_name = "MM,...", value_delimiter = ',')]
    pub parts: Vec<f64>,
    /// Least and most end float in mm.
    #[arg(long, value_name = "MM,MM")]
    pub limits: OneOrTwo<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &EndFloatArguments) -> Result<(), Failure> {
    let asked = EndFloatAsked {
        measured_end_float_mm: arguments.measured,
        space_mm: arguments.space,
        parts_mm: arguments.parts.clone(),
        min_end_float_mm: arguments.limits.first,
        max_end_float_mm: arguments.limits.second,
    };
    printed(calculate_end_float(&asked), arguments.print.json, |sheet| {
        Told::of("END FLOAT", sheet.result.sentence.clone())
    })
}
