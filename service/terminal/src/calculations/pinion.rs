//! `crownwheel pinion`.

use clap::Args;
use operations::calculations::pinion_depth::{EtchedMeaning, PinionDepthAsked, calculate_pinion_depth};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Examples:\n  crownwheel pinion further-out --etched 0.04 --nominal 112 --measured 112.17 --shim 1.2\n  \
    crownwheel pinion further-out --etched 0.04 --old-etched -0.02 --shim 1.2";

/// A pinion.
#[derive(Debug, Clone, Args)]
pub struct PinionArguments {
    /// How the maker means a plus mark: further-out or nearer (to the crown wheel's axis). Never guess it.
    #[arg(value_parser = ["further-out", "nearer"])]
    pub plus_is: String,
    /// Deviation etched on the pinion that goes in, in mm.
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub etched: f64,
    /// Nominal mounting distance in mm.
    #[arg(long, value_name = "MM", requires = "measured")]
    pub nominal: Option<f64>,
    /// Distance measured in mm with the shim that is in.
    #[arg(long, value_name = "MM", requires = "nominal")]
    pub measured: Option<f64>,
    /// Deviation etched on the old pinion in mm, where it sat right and nothing is measured.
    #[arg(long, value_name = "MM", conflicts_with = "nominal", allow_hyphen_values = true)]
    pub old_etched: Option<f64>,
    /// Shim in mm that is in, or was behind the old pinion.
    #[arg(long, value_name = "MM")]
    pub shim: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &PinionArguments) -> Result<(), Failure> {
    let asked = PinionDepthAsked {
        sense: if arguments.plus_is == "nearer" {
            EtchedMeaning::PlusIsNearer
        } else {
            EtchedMeaning::PlusIsFurtherOut
        },
        etched_deviation_mm: arguments.etched,
        nominal_mounting_distance_mm: arguments.nominal,
        measured_distance_mm: arguments.measured,
        old_etched_mm: arguments.old_etched,
        fitted_shim_mm: arguments.shim,
    };
    printed(calculate_pinion_depth(&asked), arguments.print.json, |sheet| {
        let change = sheet.result.shim_change_mm;
        let line = if change < 0.0 {
            format!("take {} mm of shim out from behind the head", number(-change))
        } else {
            format!("add {} mm of shim behind the head", number(change))
        };
        let mut told = Told::of("PINION DEPTH", line);
        told.lines.extend(sheet.result.shim_mm.map(|shim| format!("new shim {} mm", number(shim))));
        told.lines
            .push("hold the tooth contact pattern against the maker's picture before closing".to_owned());
        told
    })
}
