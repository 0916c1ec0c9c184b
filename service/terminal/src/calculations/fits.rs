//! `crownwheel fits`.

use clap::Args;
use operations::calculations::limits_and_fits::{LimitsAndFitsAsked, calculate_limits_and_fits};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Examples:\n  crownwheel fits 25 H7 g6\n  crownwheel fits 40 bearing k5\n  crownwheel fits 90 H7 bearing";

/// A nominal size with two classes.
#[derive(Debug, Clone, Args)]
pub struct FitsArguments {
    /// Nominal size in mm.
    #[arg(allow_hyphen_values = true)]
    pub nominal: f64,
    /// Class of the hole, such as H7, or `bearing` for the bore of a rolling bearing.
    pub hole: String,
    /// Class of the shaft, such as k5, or `bearing` for the outside of a rolling bearing.
    pub shaft: String,
    /// Least and most clearance wanted in µm; negative is interference.
    #[arg(long, value_name = "UM,UM", allow_hyphen_values = true)]
    pub wanted: Option<super::one_or_two::OneOrTwo<f64>>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &FitsArguments) -> Result<(), Failure> {
    let [least, most] = super::one_or_two::each(arguments.wanted);
    let asked = LimitsAndFitsAsked {
        nominal_mm: arguments.nominal,
        hole: arguments.hole.clone(),
        shaft: arguments.shaft.clone(),
        minimum_clearance_um: least,
        maximum_clearance_um: most,
    };
    printed(calculate_limits_and_fits(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let title = format!("FIT {} {}/{}", number(arguments.nominal), arguments.hole, arguments.shaft);
        let from = |um: f64| {
            if um < 0.0 {
                format!("{} µm interference", number(-um))
            } else {
                format!("{} µm clearance", number(um))
            }
        };
        let line = format!(
            "{}: {} to {}",
            result.kind,
            from(result.clearance_min_um),
            from(result.clearance_max_um)
        );
        let size = |name: &str, limits: &operations::calculations::limits_and_fits::SizeLimits| {
            format!("{name} {:.3} to {:.3} mm", limits.smallest_mm, limits.largest_mm)
        };
        let mut told = Told::of(title, line);
        told.lines.push(size("hole ", &result.hole));
        told.lines.push(size("shaft", &result.shaft));
        match &result.verdict {
            Some(verdict) => told.verdict(verdict),
            None => told,
        }
    })
}
