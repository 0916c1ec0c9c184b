//! `crownwheel spline`.

use std::path::PathBuf;

use clap::Args;
use operations::calculations::spline::{
    SplineAsked, SplineGeometryAsked, SplineRoot, calculate_spline, draw_spline,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, drawn, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Examples:\n  crownwheel spline 'DIN 5480 - W 30x2x14x9g'\n  crownwheel spline 6x26x30 --carrying 3 --groups 3 --svg spline.svg";

/// A splined shaft.
#[derive(Debug, Clone, Args)]
pub struct SplineArguments {
    /// Designation: DIN 5480 - W 30x2x14x9g, EXT 24z x 2.5m x 30R x 5f, or 6x26x30 for straight sides.
    pub designation: String,
    /// Teeth that carry, where not all of them stand.
    #[arg(long, value_name = "TEETH")]
    pub carrying: Option<u32>,
    /// In how many groups the carrying teeth stand.
    #[arg(long, default_value_t = 1)]
    pub groups: u32,
    /// Draw the section into this file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &SplineArguments) -> Result<(), Failure> {
    let asked = SplineGeometryAsked {
        shaft: SplineAsked {
            designation: Some(arguments.designation.clone()),
            carrying_teeth: arguments.carrying,
            ..SplineAsked::default()
        },
        root: SplineRoot::Fillet,
        groups: arguments.groups,
    };
    drawn(arguments.svg.as_deref(), || draw_spline(&asked))?;
    printed(calculate_spline(&asked), arguments.print.json, |sheet| {
        let line = format!("{} of {} teeth carry", sheet.result.carrying_teeth, sheet.result.tooth_count);
        Told::of(format!("SPLINE {}", arguments.designation), line)
    })
}
