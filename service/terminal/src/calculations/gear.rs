//! `crownwheel gear`.

use clap::Args;
use operations::calculations::gear_geometry::{GearGeometryAsked, calculate_gear_geometry};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel gear 29 --module 2.75 --helix 24 --shift 0.2 --pin 5";

/// A gear.
#[derive(Debug, Clone, Args)]
pub struct GearArguments {
    /// Teeth.
    pub teeth: u32,
    /// Normal module in mm.
    #[arg(long, value_name = "MM", required_unless_present = "pitch", conflicts_with = "pitch")]
    pub module: Option<f64>,
    /// Normal diametral pitch in 1/in.
    #[arg(long, value_name = "1/IN")]
    pub pitch: Option<f64>,
    /// Normal pressure angle in degrees.
    #[arg(long, value_name = "DEG", default_value_t = 20.0)]
    pub angle: f64,
    /// Helix angle in degrees; 0 is spur.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    pub helix: f64,
    /// Profile shift coefficient.
    #[arg(long, value_name = "X", default_value_t = 0.0)]
    pub shift: f64,
    /// Teeth to span; left out: as many as touch near the reference circle.
    #[arg(long, value_name = "TEETH")]
    pub span: Option<u32>,
    /// Diameter in mm of the pins or balls to measure over.
    #[arg(long, value_name = "MM")]
    pub pin: Option<f64>,
    /// Circle in mm on which the tooth thickness is wanted.
    #[arg(long, value_name = "MM")]
    pub circle: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &GearArguments) -> Result<(), Failure> {
    let asked = GearGeometryAsked {
        tooth_count: arguments.teeth,
        normal_module_mm: arguments.module,
        normal_diametral_pitch: arguments.pitch,
        normal_pressure_angle_deg: arguments.angle,
        helix_angle_deg: arguments.helix,
        profile_shift: arguments.shift,
        spanned_teeth: arguments.span,
        pin_diameter_mm: arguments.pin,
        circle_diameter_mm: arguments.circle,
    };
    printed(calculate_gear_geometry(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let mut told = Told::of(
            format!("GEAR of {} teeth", arguments.teeth),
            format!("span over {} teeth {} mm", result.spanned_teeth, number(result.span_mm)),
        );
        let pins = result.size_over_pins_mm;
        told.lines.extend(pins.map(|size| format!("size over the pins {} mm", number(size))));
        if result.undercut {
            told.mind.push(
                "a rack undercuts this gear: less of the flank carries than its circles tell".to_owned(),
            );
        }
        told
    })
}
