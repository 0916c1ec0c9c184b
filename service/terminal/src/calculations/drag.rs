//! `crownwheel drag`.

use clap::Args;
use operations::calculations::bearing_drag::{BearingDragAsked, TorqueLimitsAsked, calculate_bearing_drag};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::OneOrTwo;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel drag --pull 62 --radius 60 --new 1.8,2.8 --run-in 0.9,1.4 --crush-spacer";

/// A reading and its limits.
#[derive(Debug, Clone, Args)]
pub struct DragArguments {
    /// Rotating torque in N·m, read while turning with the seal out.
    #[arg(long, value_name = "NM", required_unless_present = "pull", conflicts_with = "pull")]
    pub torque: Option<f64>,
    /// Pull of a spring scale on a cord, in N.
    #[arg(long, value_name = "N", requires = "radius")]
    pub pull: Option<f64>,
    /// Radius in mm at which the cord pulls.
    #[arg(long, value_name = "MM", requires = "pull")]
    pub radius: Option<f64>,
    /// Limits with new bearings in N·m.
    #[arg(long, value_name = "NM,NM")]
    pub new: OneOrTwo<f64>,
    /// Limits with run-in bearings in N·m.
    #[arg(long, value_name = "NM,NM")]
    pub run_in: Option<OneOrTwo<f64>>,
    /// The bearings are run in.
    #[arg(long, requires = "run_in")]
    pub used: bool,
    /// A crush spacer sets the bearings.
    #[arg(long)]
    pub crush_spacer: bool,
    /// Rotating torque of the side bearings alone, in N·m.
    #[arg(long, value_name = "NM", requires = "ratio")]
    pub side: Option<f64>,
    /// Ratio of the axle, for the total at the pinion.
    #[arg(long, value_name = "RATIO", requires = "side")]
    pub ratio: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Reads and prints.
pub(super) fn run(arguments: &DragArguments) -> Result<(), Failure> {
    let limits = |pair: OneOrTwo<f64>| TorqueLimitsAsked { min_nm: pair.first, max_nm: pair.second };
    let asked = BearingDragAsked {
        torque_nm: arguments.torque,
        pull_n: arguments.pull,
        radius_mm: arguments.radius,
        new_bearings: limits(arguments.new),
        run_in_bearings: arguments.run_in.map(limits),
        bearings_are_new: !arguments.used,
        crush_spacer: arguments.crush_spacer,
        side_bearings_torque_nm: arguments.side,
        axle_ratio: arguments.ratio,
    };
    printed(calculate_bearing_drag(&asked), arguments.print.json, |sheet| {
        let mut told = Told::of("ROTATING TORQUE", sheet.result.sentence.clone());
        let total = sheet.result.total_torque_nm;
        told.lines.extend(
            total.map(|total| format!("{} N·m at the pinion with the crown wheel in", number(total))),
        );
        told
    })
}
