//! `crownwheel life`.

use clap::Args;
use operations::calculations::bearing_life::{BearingLifeAsked, Rolling, calculate_bearing_life};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel life ball --rating 42300 --radial 5200 --speed 1600 --wanted 4000";

/// A bearing, its load and speed.
#[derive(Debug, Clone, Args)]
pub struct LifeArguments {
    /// What rolls: ball or roller.
    #[arg(value_parser = ["ball", "roller"])]
    pub element: String,
    /// Dynamic load rating C in N.
    #[arg(long, value_name = "N")]
    pub rating: f64,
    /// Equivalent load P in N.
    #[arg(long, value_name = "N", required_unless_present = "radial", conflicts_with = "radial")]
    pub load: Option<f64>,
    /// Radial load in N.
    #[arg(long, value_name = "N")]
    pub radial: Option<f64>,
    /// Axial load in N.
    #[arg(long, value_name = "N", default_value_t = 0.0)]
    pub axial: f64,
    /// Radial factor X.
    #[arg(long, value_name = "X", default_value_t = 1.0)]
    pub x: f64,
    /// Axial factor Y.
    #[arg(long, value_name = "Y", default_value_t = 0.0)]
    pub y: f64,
    /// Limit value e of a tapered roller bearing, instead of X and Y.
    #[arg(long, value_name = "E", conflicts_with_all = ["x", "y"])]
    pub limit_e: Option<f64>,
    /// Speed in 1/min.
    #[arg(long, value_name = "RPM")]
    pub speed: Option<f64>,
    /// Life wanted in hours.
    #[arg(long, value_name = "H", requires = "speed")]
    pub wanted: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &LifeArguments) -> Result<(), Failure> {
    let asked = BearingLifeAsked {
        element: Rolling::from_word(&arguments.element).unwrap_or(Rolling::Ball),
        dynamic_rating_n: arguments.rating,
        equivalent_load_n: arguments.load,
        radial_load_n: arguments.radial,
        axial_load_n: arguments.axial,
        radial_factor: arguments.x,
        axial_factor: arguments.y,
        limit_e: arguments.limit_e,
        spectrum: Vec::new(),
        speed_per_min: arguments.speed,
        wanted_life_h: arguments.wanted,
    };
    printed(calculate_bearing_life(&asked), arguments.print.json, |sheet| {
        Told::of(format!("LIFE of a {} bearing", arguments.element), sheet.result.sentence.clone())
    })
}
