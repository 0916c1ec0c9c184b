//! `crownwheel synchroniser`.

use clap::Args;
use operations::calculations::synchroniser::{
    ConeAsked, DogTeethAsked, SynchroniserAsked, calculate_synchroniser,
};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::{OneOrTwo, each};
use crate::calculations::printed::{Told, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel synchroniser --dogs 36 --dog-diameter 90 --flank 30 --cone 7 --cone-diameter 76,76.1";

/// A gear and what engages it; a figure is written once for both sides, or twice with a comma, the gear's first.
#[derive(Debug, Clone, Args)]
pub struct SynchroniserArguments {
    /// Dog teeth of gear and sleeve.
    #[arg(long, value_name = "Z,Z", required_unless_present = "cone")]
    pub dogs: Option<OneOrTwo<u32>>,
    /// Pitch diameter of the dog teeth in mm.
    #[arg(long, value_name = "MM,MM", requires = "dogs")]
    pub dog_diameter: Option<OneOrTwo<f64>>,
    /// Flank angle of the dog teeth in degrees.
    #[arg(long, value_name = "DEG,DEG", requires = "dogs")]
    pub flank: Option<OneOrTwo<f64>>,
    /// Half angle of cone and ring in degrees.
    #[arg(long, value_name = "DEG,DEG")]
    pub cone: Option<OneOrTwo<f64>>,
    /// Mean diameter of cone and ring in mm.
    #[arg(long, value_name = "MM,MM", requires = "cone")]
    pub cone_diameter: Option<OneOrTwo<f64>>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Judges and prints.
pub(super) fn run(arguments: &SynchroniserArguments) -> Result<(), Failure> {
    let (diameters, flanks) = (each(arguments.dog_diameter), each(arguments.flank));
    let (angles, means) = (each(arguments.cone), each(arguments.cone_diameter));
    let dogs = |side: usize| {
        each(arguments.dogs)[side].map(|tooth_count| DogTeethAsked {
            tooth_count,
            pitch_diameter_mm: diameters[side],
            flank_angle_deg: flanks[side],
        })
    };
    let cone = |side: usize| {
        let half_angle_deg = angles[side]?;
        Some(ConeAsked { half_angle_deg: Some(half_angle_deg), mean_diameter_mm: means[side] })
    };
    let asked = SynchroniserAsked {
        gear_dogs: dogs(0),
        sleeve_dogs: dogs(1),
        gear_cone: cone(0),
        ring_cone: cone(1),
    };
    printed(calculate_synchroniser(&asked), arguments.print.json, |sheet| {
        let told = Told { title: "SYNCHRONISER".to_owned(), ..Told::default() };
        let verdicts = [("dog teeth", &sheet.result.dogs), ("cone", &sheet.result.cones)];
        verdicts.into_iter().fold(told, |mut told, (what, verdict)| {
            if let Some(verdict) = verdict {
                told = told.verdict(verdict);
                if let Some(line) = told.lines.last_mut() {
                    *line = format!("{what}: {line}");
                }
            }
            told
        })
    })
}
