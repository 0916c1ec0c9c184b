//! `crownwheel spline-capacity`.

use clap::Args;
use operations::calculations::spline_capacity::{
    CarryingSplineAsked, SplineCapacityAsked, calculate_spline_capacity,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel spline-capacity 8x46x54 --length 80 --old 8x46x54 --old-length 40 --old-carrying 4 --torque 900";

/// A spline, perhaps with the one it replaces.
#[derive(Debug, Clone, Args)]
pub struct SplineCapacityArguments {
    /// Designation: 8x46x54 for straight sides, or DIN 5480 - W 30x2x14.
    pub designation: String,
    /// Engaged length in mm.
    #[arg(long, value_name = "MM")]
    pub length: f64,
    /// Teeth that carry; left out: all.
    #[arg(long, value_name = "TEETH")]
    pub carrying: Option<u32>,
    /// Designation of the spline it replaces.
    #[arg(long, value_name = "DESIGNATION", requires = "old_length")]
    pub old: Option<String>,
    /// Engaged length of that one, in mm.
    #[arg(long, value_name = "MM", requires = "old")]
    pub old_length: Option<f64>,
    /// Teeth of that one that carry; left out: all.
    #[arg(long, value_name = "TEETH", requires = "old")]
    pub old_carrying: Option<u32>,
    /// Torque in N·m.
    #[arg(long, value_name = "NM")]
    pub torque: Option<f64>,
    /// Flank pressure that it may bear, in N/mm².
    #[arg(long, value_name = "N/MM2")]
    pub pressure: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &SplineCapacityArguments) -> Result<(), Failure> {
    let spline =
        |designation: &str, engaged_length_mm: f64, carrying_teeth: Option<u32>| CarryingSplineAsked {
            designation: Some(designation.to_owned()),
            carrying_teeth,
            engaged_length_mm,
            load_share: 1.0,
            ..CarryingSplineAsked::default()
        };
    let old = arguments.old.as_deref().zip(arguments.old_length);
    let asked = SplineCapacityAsked {
        new: spline(&arguments.designation, arguments.length, arguments.carrying),
        old: old.map(|(designation, length)| spline(designation, length, arguments.old_carrying)),
        torque_nm: arguments.torque,
        flank_pressure_n_mm2: arguments.pressure,
        friction: None,
    };
    printed(calculate_spline_capacity(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let mut lines =
            vec![format!("{} N·m for each N/mm² of flank pressure", number(result.torque_per_pressure_nm))];
        lines.extend(
            result.capacity_ratio.map(|ratio| format!("{} times what the old one carries", number(ratio))),
        );
        lines.extend(
            result
                .flank_pressure_n_mm2
                .map(|p| format!("flank pressure {} N/mm² under the torque", number(p))),
        );
        lines.extend(result.torque_nm.map(|torque| format!("{} N·m at the flank pressure", number(torque))));
        lines
            .extend(result.length_needed_mm.map(|length| format!("{} mm would do for both", number(length))));
        Told { title: format!("CAPACITY of {}", arguments.designation), lines, ..Told::default() }
    })
}
