//! `crownwheel measured-gear`.

use std::str::FromStr;

use clap::Args;
use operations::calculations::gear::HelixHand;
use operations::calculations::measured_gear::{
    MeasuredGearAsked, PinsAsked, SpanAsked, calculate_measured_gear,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, number_or_dash, printed};
use crate::failure::Failure;
use crate::wrapped_table::WrappedTable;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Example:\n  crownwheel measured-gear 36 --tip 113.93 --span 5=41.58 --span 6=50.44 --uncertainty 0.02";

/// A size and what was read at it, written WHAT=MM.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReadAt {
    at: f64,
    size: f64,
}

impl FromStr for ReadAt {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wanted = || format!("`{text}`: write it as 5=41.58");
        let (at, size) = text.split_once('=').ok_or_else(wanted)?;
        let read = |piece: &str| piece.trim().parse::<f64>().map_err(|_| wanted());
        Ok(Self { at: read(at)?, size: read(size)? })
    }
}

/// What was measured.
#[derive(Debug, Clone, Args)]
pub struct MeasuredGearArguments {
    /// Teeth counted.
    pub teeth: u32,
    /// Tip diameter in mm.
    #[arg(long, value_name = "MM")]
    pub tip: f64,
    /// Span over a number of teeth in mm; two different numbers tell the base pitch.
    #[arg(long, value_name = "TEETH=MM")]
    pub span: Vec<ReadAt>,
    /// Size over two pins or balls, both in mm.
    #[arg(long, value_name = "PIN=MM")]
    pub pins: Option<ReadAt>,
    /// Helix angle at the tip in degrees; left out: spur.
    #[arg(long, value_name = "DEG", default_value_t = 0.0)]
    pub tip_helix: f64,
    /// Hand of the helix: left or right.
    #[arg(long, value_name = "HAND", value_parser = ["left", "right"])]
    pub hand: Option<String>,
    /// Uncertainty of each reading in mm.
    #[arg(long, value_name = "MM", default_value_t = 0.02)]
    pub uncertainty: f64,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Reads the bench and prints.
pub(super) fn run(arguments: &MeasuredGearArguments) -> Result<(), Failure> {
    let mut spans = Vec::new();
    for span in &arguments.span {
        let whole = span.at.fract() == 0.0 && (1.0..=2000.0).contains(&span.at);
        if !whole {
            return Err(Failure::command_line(format!(
                "--span {}=...: write a whole number of teeth before the =",
                span.at
            )));
        }
        // Whole and within range by the line above.
        spans.push(SpanAsked { spanned_teeth: span.at as u32, span_mm: span.size });
    }
    let hand = arguments.hand.as_deref().and_then(HelixHand::from_word).unwrap_or(HelixHand::Spur);
    let asked = MeasuredGearAsked {
        tooth_count: arguments.teeth,
        tip_diameter_mm: arguments.tip,
        tip_helix_angle_deg: arguments.tip_helix,
        hand,
        spans,
        pins: arguments.pins.map(|pins| PinsAsked { pin_diameter_mm: pins.at, size_mm: pins.size }),
        uncertainty_mm: arguments.uncertainty,
    };
    printed(calculate_measured_gear(&asked), arguments.print.json, |sheet| {
        let heads =
            [">module", ">DP", ">angle", ">helix", ">shift", ">addendum", ">base pitch off", ">misfit"];
        let mut table = WrappedTable::new(&heads);
        for system in &sheet.result.candidates {
            table.row([
                number(system.normal_module_mm),
                number_or_dash(system.normal_diametral_pitch),
                number(system.normal_pressure_angle_deg),
                format!("{:.2}", system.helix_angle_deg),
                format!("{:.3}", system.profile_shift),
                format!("{:.3}", system.addendum),
                system.base_pitch_residual_mm.map_or("-".to_owned(), |off| format!("{off:.4}")),
                format!("{:.2}", system.misfit),
            ]);
        }
        let line = match (sheet.result.normal_base_pitch_mm, sheet.result.base_pitch_uncertainty_mm) {
            (Some(pitch), Some(doubt)) => format!("base pitch {} ± {} mm; systems that agree, the best first", number(pitch), number(doubt)),
            _ => "systems that agree, the best first; a span over another number of teeth would tell the base pitch".to_owned(),
        };
        let title = format!("GEAR of {} teeth on the bench", arguments.teeth);
        Told { tables: vec![("TOOTH SYSTEMS", table)], ..Told::of(title, line) }
    })
}
