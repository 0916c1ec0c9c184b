//! `crownwheel thrust`.

use clap::Args;
use operations::calculations::thrust_faces::{ThrustFaceAsked, ThrustFacesAsked, calculate_thrust_faces};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::{OneOrTwo, each};
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel thrust --inner 30,32 --outer 50,60 --thickness 3,2 --least 4.9 --most 5.1";

/// Two thrust faces; a figure is written once for both, or twice with a comma.
#[derive(Debug, Clone, Args)]
pub struct ThrustArguments {
    /// Inner diameters in mm.
    #[arg(long, value_name = "MM,MM")]
    pub inner: Option<OneOrTwo<f64>>,
    /// Outer diameters in mm.
    #[arg(long, value_name = "MM,MM")]
    pub outer: Option<OneOrTwo<f64>>,
    /// Thicknesses in mm.
    #[arg(long, value_name = "MM,MM")]
    pub thickness: Option<OneOrTwo<f64>>,
    /// Least thickness of both together in mm.
    #[arg(long, value_name = "MM")]
    pub least: Option<f64>,
    /// Most thickness of both together in mm.
    #[arg(long, value_name = "MM")]
    pub most: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Judges and prints.
pub(super) fn run(arguments: &ThrustArguments) -> Result<(), Failure> {
    let (inner, outer, thickness) = (each(arguments.inner), each(arguments.outer), each(arguments.thickness));
    let face = |side: usize| ThrustFaceAsked {
        inner_diameter_mm: inner[side],
        outer_diameter_mm: outer[side],
        thickness_mm: thickness[side],
    };
    let asked = ThrustFacesAsked {
        a: face(0),
        b: face(1),
        minimum_thickness_mm: arguments.least,
        maximum_thickness_mm: arguments.most,
    };
    printed(calculate_thrust_faces(&asked), arguments.print.json, |sheet| {
        Told { title: "THRUST FACES".to_owned(), ..Told::default() }.verdict(&sheet.result)
    })
}
