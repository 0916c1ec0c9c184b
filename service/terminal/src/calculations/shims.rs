//! `crownwheel shims`.

use std::str::FromStr;

use clap::Args;
use operations::calculations::shims::{MeasurementAsked, ShimsAsked, calculate_shims};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel shims --box 0.1,0.15,0.2,0.2,0.5,0.75 --wanted 1.37 --tolerance 0.02 --measured 'end float=0.01'";

/// A measurement with its uncertainty: NAME=MM.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured(MeasurementAsked);

impl FromStr for Measured {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wanted =
            || format!("`{text}`: write what was measured and its uncertainty, such as 'end float=0.01'");
        let (name, uncertainty) = text.split_once('=').ok_or_else(wanted)?;
        let uncertainty_mm = uncertainty.trim().parse().map_err(|_| wanted())?;
        Ok(Self(MeasurementAsked { name: name.trim().to_owned(), uncertainty_mm }))
    }
}

impl Measured {
    /// The measurement as the calculation asks for it.
    pub(super) fn asked(&self) -> MeasurementAsked {
        self.0.clone()
    }
}

/// A box of shims.
#[derive(Debug, Clone, Args)]
pub struct ShimsArguments {
    /// Thickness of each piece in the box in mm; a size that lies there twice is written twice.
    #[arg(long = "box", value_name = "MM,...", value_delimiter = ',', required = true)]
    pub pieces: Vec<f64>,
    /// Thickness wanted in mm.
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub wanted: f64,
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

/// Chooses and prints.
pub(super) fn run(arguments: &ShimsArguments) -> Result<(), Failure> {
    let asked = ShimsAsked {
        shims_mm: arguments.pieces.clone(),
        wanted_mm: arguments.wanted,
        tolerance_mm: arguments.tolerance,
        measurements: arguments.measured.iter().map(Measured::asked).collect(),
    };
    printed(calculate_shims(&asked), arguments.print.json, |sheet| {
        let title =
            format!("SHIMS for {} mm from {} in the box", number(arguments.wanted), arguments.pieces.len());
        Told::of(title, sheet.result.sentence.clone())
    })
}
