//! `crownwheel spline-stress`.

use clap::Args;
use operations::calculations::spline_stress::{SplineHeld, SplineStressAsked, calculate_spline_stress};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel spline-stress 'DIN 5480 - W 58 x 2 x 28' --torque 900 --length 40 --carrying 14 --allowed 20";

/// A spline under torque.
#[derive(Debug, Clone, Args)]
pub struct SplineStressArguments {
    /// Designation of the shaft: DIN 5480 - W 58 x 2 x 28.
    pub designation: String,
    /// Torque in N·m.
    #[arg(long, value_name = "NM")]
    pub torque: f64,
    /// Engaged length in mm.
    #[arg(long, value_name = "MM")]
    pub length: f64,
    /// Teeth that carry; left out: all.
    #[arg(long, value_name = "TEETH")]
    pub carrying: Option<u32>,
    /// Bore of a hollow shaft in mm.
    #[arg(long, value_name = "MM", default_value_t = 0.0)]
    pub bore: f64,
    /// Compression that the material may bear before the factors, in N/mm².
    #[arg(long, value_name = "N/MM2")]
    pub allowed: Option<f64>,
    /// The hub slides or rocks.
    #[arg(long)]
    pub flexible: bool,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &SplineStressArguments) -> Result<(), Failure> {
    let asked = SplineStressAsked {
        designation: Some(arguments.designation.clone()),
        torque_nm: arguments.torque,
        engaged_length_mm: arguments.length,
        carrying_teeth: arguments.carrying,
        pitch_diameter_mm: None,
        tooth_thickness_mm: None,
        contact_height_mm: None,
        shaft_root_diameter_mm: None,
        shaft_bore_mm: arguments.bore,
        distribution_factor: 1.0,
        base_compression_n_mm2: arguments.allowed,
        mounting: if arguments.flexible { SplineHeld::Flexible } else { SplineHeld::Fixed },
        life_factor: 1.0,
        application_factor: 1.0,
    };
    printed(calculate_spline_stress(&asked), arguments.print.json, |sheet| {
        let result = &sheet.result;
        let mut lines = vec![
            format!("teeth engaged {}", result.carrying_teeth),
            format!("shear of the teeth {} N/mm²", number(result.tooth_shear_n_mm2)),
            format!("compression of the flanks {} N/mm²", number(result.flank_compression_n_mm2)),
            format!("shear of the shaft {} N/mm²", number(result.shaft_shear_n_mm2)),
        ];
        lines.extend(result.allowed_compression_n_mm2.map(|limit| {
            let verdict = if result.within == Some(true) { "within" } else { "beyond" };
            format!("{verdict} the {} N/mm² of compression allowed", number(limit))
        }));
        Told { title: format!("STRESS of {}", arguments.designation), lines, ..Told::default() }
    })
}
