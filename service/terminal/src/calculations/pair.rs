//! `crownwheel pair`.

use clap::Args;
use operations::calculations::gear_pair::{GearPairAsked, calculate_gear_pair};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::OneOrTwo;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Examples:\n  crownwheel pair --teeth 22,40 --module 3 --shifts 0.1,0.3\n  crownwheel pair --teeth 22,40 --module 3 --distance 94 --shifts 0.1,0.2 --backlash 0.1";

/// A pair by its profile shifts, its centre distance, or both.
#[derive(Debug, Clone, Args)]
pub struct PairArguments {
    /// Teeth of both gears.
    #[arg(long, value_name = "Z,Z")]
    pub teeth: OneOrTwo<u32>,
    /// Normal module in mm.
    #[arg(long, value_name = "MM")]
    pub module: f64,
    /// Normal pressure angle in degrees.
    #[arg(long, value_name = "DEG", default_value_t = 20.0)]
    pub angle: f64,
    /// Helix angle in degrees; 0 is spur.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    pub helix: f64,
    /// Profile shifts of both gears.
    #[arg(long, value_name = "X,X", required_unless_present = "distance")]
    pub shifts: Option<OneOrTwo<f64>>,
    /// Centre distance of the case in mm.
    #[arg(long, value_name = "MM")]
    pub distance: Option<f64>,
    /// Normal thickness allowances of both gears in mm, usually negative.
    #[arg(long, value_name = "MM,MM", default_value = "0")]
    pub allowances: OneOrTwo<f64>,
    /// Width in mm in which both gears overlap.
    #[arg(long, value_name = "MM")]
    pub width: Option<f64>,
    /// Circumferential backlash in mm that is wanted.
    #[arg(long, value_name = "MM")]
    pub backlash: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &PairArguments) -> Result<(), Failure> {
    let asked = GearPairAsked {
        tooth_counts: [arguments.teeth.first, arguments.teeth.second],
        normal_module_mm: arguments.module,
        normal_pressure_angle_deg: arguments.angle,
        helix_angle_deg: arguments.helix,
        profile_shifts: arguments.shifts.map(|pair| [pair.first, pair.second]),
        centre_distance_mm: arguments.distance,
        thickness_allowances_mm: [arguments.allowances.first, arguments.allowances.second],
        common_width_mm: arguments.width,
        wanted_backlash_mm: arguments.backlash,
    };
    printed(calculate_gear_pair(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let mut lines = vec![format!("ratio {}", number(result.ratio))];
        lines.extend(result.from_shifts.as_ref().map(|made| {
            let (distance, contact) = (number(made.centre_distance_mm), number(made.contact_ratio));
            format!("the shifts make {distance} mm free of backlash, contact ratio {contact}")
        }));
        lines.extend(result.at_centre_distance.as_ref().map(|wanted| {
            format!("the centre distance asks for a sum of shifts of {}", number(wanted.sum_of_shifts))
        }));
        lines.extend(
            result
                .backlash
                .as_ref()
                .map(|play| format!("backlash {} mm on the pitch circle", number(play.circumferential_mm))),
        );
        Told { title: "GEAR PAIR".to_owned(), lines, ..Told::default() }
    })
}
