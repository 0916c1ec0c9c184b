//! `crownwheel seal`.

use clap::Args;
use operations::calculations::shaft_seal::{ShaftSealAsked, calculate_shaft_seal};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel seal 'AS 50x72x8' --shaft 50 --bore 72 --depth 9";

/// A seal, perhaps with its seat.
#[derive(Debug, Clone, Args)]
pub struct SealArguments {
    /// Designation: shaft x bore x width, such as AS 50x72x8.
    pub designation: String,
    /// Diameter of the shaft it runs on, in mm.
    #[arg(long, value_name = "MM")]
    pub shaft: Option<f64>,
    /// Diameter of the housing bore in mm.
    #[arg(long, value_name = "MM")]
    pub bore: Option<f64>,
    /// Depth of the housing bore in mm.
    #[arg(long, value_name = "MM")]
    pub depth: Option<f64>,
    /// Class of the bore.
    #[arg(long, value_name = "CLASS", default_value = "H8")]
    pub bore_class: String,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Reads, judges and prints.
pub(super) fn run(arguments: &SealArguments) -> Result<(), Failure> {
    let asked = ShaftSealAsked {
        designation: arguments.designation.clone(),
        shaft_mm: arguments.shaft,
        bore_mm: arguments.bore,
        width_mm: arguments.depth,
        bore_class: arguments.bore_class.clone(),
    };
    printed(calculate_shaft_seal(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let lip = if result.dust_lip { ", with a dust lip" } else { "" };
        let case = result
            .outside
            .map_or(String::new(), |case| format!(", {} outside", case.word().replace('_', " ")));
        let line = format!(
            "for a shaft of {} mm in a bore of {} mm, {} mm wide{case}{lip}",
            number(result.shaft_mm),
            number(result.bore_mm),
            number(result.width_mm)
        );
        let told = Told::of(format!("SEAL {}", arguments.designation), line);
        match &result.verdict {
            Some(verdict) => told.verdict(verdict),
            None => told,
        }
    })
}
