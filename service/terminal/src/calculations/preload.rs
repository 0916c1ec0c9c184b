//! `crownwheel preload`.

use clap::Args;
use operations::calculations::bearing_preload::{BearingPreloadAsked, ShimSeat, calculate_bearing_preload};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::calculations::shims::Measured;
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel preload between-cones --trial 1.5 --end-float 0.12 --preload 0.03 --box 0.1,0.2,0.3,0.5,0.5";

/// A trial build.
#[derive(Debug, Clone, Args)]
pub struct PreloadArguments {
    /// Where the shim sits: between-cones (a thinner shim tightens) or behind-cup (a thicker one does).
    #[arg(value_parser = ["between-cones", "behind-cup"])]
    pub place: String,
    /// Thickness of the shim in the trial build, in mm.
    #[arg(long, value_name = "MM")]
    pub trial: f64,
    /// End float measured with it, in mm.
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub end_float: f64,
    /// Preload wanted in mm; negative for an end float.
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub preload: f64,
    /// Thickness of each piece in the box, in mm.
    #[arg(long = "box", value_name = "MM,...", value_delimiter = ',')]
    pub pieces: Vec<f64>,
    /// Error in mm that does no harm.
    #[arg(long, value_name = "MM", default_value_t = 0.01)]
    pub tolerance: f64,
    /// What was measured, with the uncertainty of the reading in mm.
    #[arg(long, value_name = "NAME=MM")]
    pub measured: Vec<Measured>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &PreloadArguments) -> Result<(), Failure> {
    let asked = BearingPreloadAsked {
        place: if arguments.place == "behind-cup" { ShimSeat::BehindCup } else { ShimSeat::BetweenCones },
        trial_shim_mm: arguments.trial,
        end_float_mm: arguments.end_float,
        preload_mm: arguments.preload,
        shims_mm: arguments.pieces.clone(),
        tolerance_mm: arguments.tolerance,
        measurements: arguments.measured.iter().map(Measured::asked).collect(),
    };
    printed(calculate_bearing_preload(&asked), arguments.print.json, |sheet| {
        let line = format!(
            "shim of {} mm, {} mm from the trial build",
            number(sheet.result.thickness_mm),
            number(sheet.result.change_mm)
        );
        let mut told = Told::of("PRELOAD", line);
        told.lines.extend(sheet.result.shims.as_ref().map(|shims| shims.sentence.clone()));
        told
    })
}
