//! `crownwheel growth`.

use clap::Args;
use operations::calculations::heat_growth::{HeatGrowthAsked, calculate_heat_growth};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel growth --diameter 72 --clearance -15 --length 240 --to 80";

/// A seat, an axial setting, or both, warmed.
#[derive(Debug, Clone, Args)]
pub struct GrowthArguments {
    /// Diameter of the seat in mm.
    #[arg(long, value_name = "MM", required_unless_present = "length")]
    pub diameter: Option<f64>,
    /// Distance in mm along the shaft between what holds the bearings.
    #[arg(long, value_name = "MM")]
    pub length: Option<f64>,
    /// Thermal expansion of the outer part in 1/K; left out: aluminium.
    #[arg(long, value_name = "1/K", default_value_t = 23.0e-6)]
    pub outer: f64,
    /// Thermal expansion of the inner part in 1/K; left out: steel.
    #[arg(long, value_name = "1/K", default_value_t = 11.5e-6)]
    pub inner: f64,
    /// Temperature in °C at which the parts were measured.
    #[arg(long, value_name = "DEGC", default_value_t = 20.0)]
    pub from: f64,
    /// Temperature in work in °C.
    #[arg(long, value_name = "DEGC")]
    pub to: f64,
    /// Clearance as measured in µm; negative is interference.
    #[arg(long, value_name = "UM")]
    pub clearance: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &GrowthArguments) -> Result<(), Failure> {
    let asked = HeatGrowthAsked {
        diameter_mm: arguments.diameter,
        length_mm: arguments.length,
        outer_expansion_per_k: arguments.outer,
        inner_expansion_per_k: arguments.inner,
        from_degc: arguments.from,
        to_degc: arguments.to,
        clearance_um: arguments.clearance,
    };
    printed(calculate_heat_growth(&asked), arguments.print.json, |sheet| {
        Told::of("GROWTH UNDER HEAT", sheet.result.sentence.clone())
    })
}
