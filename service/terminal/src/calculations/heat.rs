//! `crownwheel heat`.

use clap::Args;
use operations::calculations::shrink_fit::{ShrinkFitAsked, calculate_shrink_fit};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel heat --diameter 52 --interference 0.06 --limit 180";

/// A shrink fit.
#[derive(Debug, Clone, Args)]
pub struct HeatArguments {
    /// Diameter of the seat in mm.
    #[arg(long, value_name = "MM")]
    pub diameter: f64,
    /// Largest interference in mm.
    #[arg(long, value_name = "MM")]
    pub interference: f64,
    /// Clearance in mm with which it slips on.
    #[arg(long, value_name = "MM", default_value_t = 0.05)]
    pub clearance: f64,
    /// Thermal expansion of the outer part in 1/K; left out: steel.
    #[arg(long, value_name = "1/K", default_value_t = 11.5e-6)]
    pub expansion: f64,
    /// Temperature of the room in °C.
    #[arg(long, value_name = "DEGC", default_value_t = 20.0, allow_hyphen_values = true)]
    pub room: f64,
    /// Highest temperature of the outer part in °C; left out: that of rolling bearings.
    #[arg(long, value_name = "DEGC", default_value_t = 120.0)]
    pub limit: f64,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &HeatArguments) -> Result<(), Failure> {
    let asked = ShrinkFitAsked {
        diameter_mm: arguments.diameter,
        interference_mm: arguments.interference,
        slip_clearance_mm: arguments.clearance,
        expansion_per_k: arguments.expansion,
        shaft_expansion_per_k: 11.5e-6,
        room_degc: arguments.room,
        heat_limit_degc: arguments.limit,
    };
    printed(calculate_shrink_fit(&asked), arguments.print.json, |sheet| {
        Told::of(format!("SHRINK FIT of {} mm", number(arguments.diameter)), sheet.result.sentence.clone())
    })
}
