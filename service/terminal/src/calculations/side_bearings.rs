//! `crownwheel side-bearings`.

use clap::Args;
use operations::calculations::side_bearings::{SideBearingsAsked, calculate_side_bearings};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::OneOrTwo;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel side-bearings --teeth 9,41 --shims 2.1,2.3 --backlash 0.32 --wanted 0.2 --end-float 0.04 --preload 0.05";

/// A crown wheel's setting.
#[derive(Debug, Clone, Args)]
pub struct SideBearingsArguments {
    /// Teeth of pinion and crown wheel.
    #[arg(long, value_name = "TEETH,TEETH")]
    pub teeth: OneOrTwo<u32>,
    /// Shim at the crown wheel's back and shim on the other side, in mm.
    #[arg(long, value_name = "MM,MM")]
    pub shims: OneOrTwo<f64>,
    /// Backlash measured in mm.
    #[arg(long, value_name = "MM")]
    pub backlash: f64,
    /// Backlash wanted in mm.
    #[arg(long, value_name = "MM")]
    pub wanted: f64,
    /// End float of the differential in mm.
    #[arg(long, value_name = "MM", default_value_t = 0.0)]
    pub end_float: f64,
    /// Preload wanted in mm of shim beyond no float.
    #[arg(long, value_name = "MM", default_value_t = 0.0)]
    pub preload: f64,
    /// Pressure angle in degrees.
    #[arg(long, value_name = "DEG", default_value_t = 20.0)]
    pub angle: f64,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &SideBearingsArguments) -> Result<(), Failure> {
    let asked = SideBearingsAsked {
        crown_side_shim_mm: arguments.shims.first,
        other_side_shim_mm: arguments.shims.second,
        measured_backlash_mm: arguments.backlash,
        wanted_backlash_mm: arguments.wanted,
        end_float_mm: arguments.end_float,
        preload_mm: arguments.preload,
        pressure_angle_deg: arguments.angle,
        tooth_counts: [arguments.teeth.first, arguments.teeth.second],
    };
    printed(calculate_side_bearings(&asked), arguments.print.json, |sheet| {
        let (crown, other) = (number(sheet.result.crown_side_mm), number(sheet.result.other_side_mm));
        let line = format!("shim {crown} mm at the crown wheel's back, {other} mm on the other side");
        let mut told = Told::of("SIDE BEARINGS", line);
        told.lines.push("measure the backlash again at four places round the wheel".to_owned());
        told
    })
}
