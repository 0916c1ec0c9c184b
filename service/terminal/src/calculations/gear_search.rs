//! `crownwheel gear-search`.

use clap::Args;
use operations::calculations::gear_search::{GearSearchAsked, calculate_gear_search};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;
use crate::wrapped_table::WrappedTable;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel gear-search --centre 95 --ratio 0.4 --module 2.75,3 --helix 18,20,22";

/// What is wanted of a pair.
#[derive(Debug, Clone, Args)]
pub struct GearSearchArguments {
    /// Centre distance of the case in mm.
    #[arg(long, value_name = "MM")]
    pub centre: f64,
    /// Ratio wanted: teeth of the driven gear over those of the driving one.
    #[arg(long, value_name = "RATIO")]
    pub ratio: f64,
    /// Normal modules to try, in mm.
    #[arg(long, value_name = "MM,...", value_delimiter = ',', required = true)]
    pub module: Vec<f64>,
    /// Helix angles to try, in degrees; 0 is spur.
    #[arg(long, value_name = "DEG,...", value_delimiter = ',', default_value = "0")]
    pub helix: Vec<f64>,
    /// Normal pressure angle in degrees.
    #[arg(long, value_name = "DEG", default_value_t = 20.0)]
    pub angle: f64,
    /// Largest difference from the ratio in per cent.
    #[arg(long, value_name = "PERCENT", default_value_t = 3.0)]
    pub tolerance: f64,
    /// Fewest teeth of a gear.
    #[arg(long, value_name = "TEETH", default_value_t = 12)]
    pub least_teeth: u32,
    /// Most pairs listed.
    #[arg(long, default_value_t = 10)]
    pub most: usize,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Searches and prints.
pub(super) fn run(arguments: &GearSearchArguments) -> Result<(), Failure> {
    let asked = GearSearchAsked {
        centre_distance_mm: arguments.centre,
        wanted_ratio: arguments.ratio,
        ratio_tolerance_percent: arguments.tolerance,
        normal_modules_mm: arguments.module.clone(),
        normal_pressure_angle_deg: arguments.angle,
        helix_angles_deg: arguments.helix.clone(),
        least_teeth: arguments.least_teeth,
        kept_wheel: None,
        least_contact_ratio: 1.2,
        answers_most: arguments.most,
    };
    printed(calculate_gear_search(&asked), arguments.print.json, |sheet| {
        let heads = [
            ">z1",
            ">z2",
            ">module",
            ">helix",
            ">ratio",
            ">off %",
            ">x1",
            ">x2",
            ">tip 1",
            ">tip 2",
            ">contact ratio",
        ];
        let mut table = WrappedTable::new(&heads);
        for pair in &sheet.result.pairs {
            table.row([
                pair.tooth_counts[0].to_string(),
                pair.tooth_counts[1].to_string(),
                number(pair.normal_module_mm),
                number(pair.helix_angle_deg),
                number(pair.ratio),
                format!("{:.2}", pair.ratio_error_percent),
                format!("{:.4}", pair.profile_shifts[0]),
                format!("{:.4}", pair.profile_shifts[1]),
                format!("{:.2}", pair.tip_diameters_mm[0]),
                format!("{:.2}", pair.tip_diameters_mm[1]),
                format!("{:.3}", pair.contact_ratio),
            ]);
        }
        let title =
            format!("GEARS for {} mm and a ratio near {}", number(arguments.centre), number(arguments.ratio));
        let line = match sheet.result.pairs.len() {
            0 => "no pair fits: try other modules or helix angles, or a wider --tolerance".to_owned(),
            count => format!("{count} listed, the nearest first; shifts leave no backlash"),
        };
        Told { tables: vec![("PAIRS", table)], ..Told::of(title, line) }
    })
}
