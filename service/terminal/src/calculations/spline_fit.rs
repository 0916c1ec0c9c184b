//! `crownwheel spline-fit`.

use clap::Args;
use operations::calculations::spline::SplineAsked;
use operations::calculations::spline_fit::{SplineFitAsked, calculate_spline_fit};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel spline-fit 'DIN 5480 - W 58x2x28x8f' 'DIN 5480 - N 58x2x28x9H' --length 50,48 --least-length 40";

/// A shaft and a hub.
#[derive(Debug, Clone, Args)]
pub struct SplineFitArguments {
    /// Designation of the shaft.
    pub shaft: String,
    /// Designation of the hub.
    pub hub: String,
    /// Splined length in mm, of both or of each.
    #[arg(long, value_name = "MM[,MM]")]
    pub length: Option<super::one_or_two::OneOrTwo<f64>>,
    /// Least length that must be engaged, in mm.
    #[arg(long, value_name = "MM")]
    pub least_length: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Judges and prints.
pub(super) fn run(arguments: &SplineFitArguments) -> Result<(), Failure> {
    let [of_shaft, of_hub] = super::one_or_two::each(arguments.length);
    let spline = |designation: &str, engaged_length_mm| SplineAsked {
        designation: Some(designation.to_owned()),
        engaged_length_mm,
        ..SplineAsked::default()
    };
    let asked = SplineFitAsked {
        shaft: spline(&arguments.shaft, of_shaft),
        hub: spline(&arguments.hub, of_hub),
        minimum_length_mm: arguments.least_length,
    };
    printed(calculate_spline_fit(&asked), arguments.print.json, |sheet| {
        let title = format!("SPLINE {} in {}", arguments.shaft, arguments.hub);
        Told { title, ..Told::default() }.verdict(&sheet.result)
    })
}
