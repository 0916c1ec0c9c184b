//! `crownwheel mesh`.

use std::path::PathBuf;
use std::str::FromStr;

use clap::Args;
use operations::calculations::gear::{GearAsked, HelixHand};
use operations::calculations::mesh::{MeshAsked, calculate_mesh, draw_mesh};

use crate::calculations::PrintArguments;
use crate::calculations::one_or_two::{OneOrTwo, each};
use crate::calculations::printed::{Told, drawn, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel mesh 22 40 --module 3 --angle 20 --helix 20 --hand left,right \
    --shift 0.055,0.3 --centre 100 --svg mesh.svg";

/// A hand as the command line writes it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HandWord(HelixHand);

impl FromStr for HandWord {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        HelixHand::from_word(text)
            .map(Self)
            .ok_or_else(|| format!("a hand is one of {}", HelixHand::WORDS.join(", ")))
    }
}

/// Two gears and their case.
#[derive(Debug, Clone, Args)]
pub struct MeshArguments {
    /// Teeth of the driving gear.
    pub teeth_a: u32,
    /// Teeth of the driven gear.
    pub teeth_b: u32,
    /// Normal module in mm.
    #[arg(long, value_name = "MM[,MM]", allow_hyphen_values = true)]
    pub module: Option<OneOrTwo<f64>>,
    /// Normal diametral pitch in 1/in, instead of the module.
    #[arg(long, value_name = "DP[,DP]", allow_hyphen_values = true, conflicts_with = "module")]
    pub pitch: Option<OneOrTwo<f64>>,
    /// Normal pressure angle in degrees.
    #[arg(long, value_name = "DEG[,DEG]", allow_hyphen_values = true)]
    pub angle: Option<OneOrTwo<f64>>,
    /// Helix angle in degrees, without sign.
    #[arg(long, value_name = "DEG[,DEG]", allow_hyphen_values = true)]
    pub helix: Option<OneOrTwo<f64>>,
    /// Hand of the helix: left, right or spur.
    #[arg(long, value_name = "HAND[,HAND]")]
    pub hand: Option<OneOrTwo<HandWord>>,
    /// Profile shift coefficient.
    #[arg(long, value_name = "X[,X]", allow_hyphen_values = true)]
    pub shift: Option<OneOrTwo<f64>>,
    /// Tip diameter in mm.
    #[arg(long, value_name = "MM[,MM]", allow_hyphen_values = true)]
    pub tip: Option<OneOrTwo<f64>>,
    /// Root diameter in mm.
    #[arg(long, value_name = "MM[,MM]", allow_hyphen_values = true)]
    pub root: Option<OneOrTwo<f64>>,
    /// Face width in mm.
    #[arg(long, value_name = "MM[,MM]", allow_hyphen_values = true)]
    pub width: Option<OneOrTwo<f64>>,
    /// Uncertainty of a base pitch that was measured, in mm.
    #[arg(long, value_name = "MM[,MM]", allow_hyphen_values = true)]
    pub uncertainty: Option<OneOrTwo<f64>>,
    /// Centre distance of the case in mm.
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    pub centre: Option<f64>,
    /// Least and most backlash in mm.
    #[arg(long, value_name = "MM,MM")]
    pub backlash: Option<OneOrTwo<f64>>,
    /// Draw both gears in mesh into this file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Judges and prints.
pub(super) fn run(arguments: &MeshArguments) -> Result<(), Failure> {
    let asked = asked(arguments);
    drawn(arguments.svg.as_deref(), || draw_mesh(&asked))?;
    printed(calculate_mesh(&asked), arguments.print.json, |sheet| {
        let at =
            asked.centre_distance_mm.map_or(String::new(), |distance| format!(" at {} mm", number(distance)));
        let title = format!("MESH of {} and {} teeth{at}", asked.a.tooth_count, asked.b.tooth_count);
        Told { title, ..Told::default() }.verdict(&sheet.result)
    })
}

fn asked(arguments: &MeshArguments) -> MeshAsked {
    let module = each(arguments.module);
    let pitch = each(arguments.pitch);
    let (angle, helix, hand) = (each(arguments.angle), each(arguments.helix), each(arguments.hand));
    let (shift, tip, root) = (each(arguments.shift), each(arguments.tip), each(arguments.root));
    let (width, uncertainty) = (each(arguments.width), each(arguments.uncertainty));
    let gear = |at: usize, tooth_count: u32| GearAsked {
        tooth_count,
        normal_module_mm: module[at],
        normal_diametral_pitch: pitch[at],
        normal_pressure_angle_deg: angle[at],
        helix_angle_deg: helix[at],
        helix_hand: hand[at].map(|word| word.0),
        profile_shift: shift[at],
        tip_diameter_mm: tip[at],
        root_diameter_mm: root[at],
        face_width_mm: width[at],
        base_pitch_uncertainty_mm: uncertainty[at],
        ..GearAsked::default()
    };
    MeshAsked {
        a: gear(0, arguments.teeth_a),
        b: gear(1, arguments.teeth_b),
        centre_distance_mm: arguments.centre,
        minimum_backlash_mm: arguments.backlash.map(|pair| pair.first),
        maximum_backlash_mm: arguments.backlash.map(|pair| pair.second),
        common_width_mm: None,
    }
}
