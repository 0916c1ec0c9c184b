//! `crownwheel ratios`.

use std::str::FromStr;

use clap::Args;
use operations::calculations::gear_ratios::{GearRatiosAsked, SpeedAsked, calculate_gear_ratios};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, number_or_dash, printed};
use crate::failure::Failure;
use crate::wrapped_table::WrappedTable;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel ratios --input 23:40 --speed first=13:44 --speed fourth=direct --speed fifth=43:20 \
    --speed reverse=15:18:40 --after fifth=45:18";

/// Teeth in the order of the power, written 13:44, or 15:18:40 over an idler.
#[derive(Debug, Clone, PartialEq)]
pub struct TeethInOrder(Vec<u32>);

impl FromStr for TeethInOrder {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let read = |piece: &str| piece.trim().parse::<u32>();
        let counts: Result<Vec<u32>, _> = text.split(':').map(read).collect();
        counts.map(Self).map_err(|_| {
            format!("`{text}`: write teeth from the driving gear to the driven one, such as 13:44")
        })
    }
}

/// A named speed, written NAME=13:44 or NAME=direct.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedSpeed {
    name: String,
    counts: Vec<u32>,
}

impl FromStr for NamedSpeed {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (name, teeth) =
            text.split_once('=').ok_or_else(|| format!("`{text}`: write it as fifth=43:20"))?;
        let counts = if teeth.trim().eq_ignore_ascii_case("direct") {
            Vec::new()
        } else {
            teeth.parse::<TeethInOrder>()?.0
        };
        Ok(Self { name: name.trim().to_owned(), counts })
    }
}

impl NamedSpeed {
    fn asked(&self) -> SpeedAsked {
        SpeedAsked { name: self.name.clone(), tooth_counts: self.counts.clone() }
    }
}

/// The tooth counts of a box.
#[derive(Debug, Clone, Args)]
pub struct RatiosArguments {
    /// Teeth of the input pair; left out: the speeds are the whole train, as in a drop box.
    #[arg(long, value_name = "TEETH:TEETH")]
    pub input: Option<TeethInOrder>,
    /// A speed, in the order of the gears: its name, and its teeth from the driving gear over any idler, or `direct`.
    #[arg(long, value_name = "NAME=TEETH:TEETH", required = true)]
    pub speed: Vec<NamedSpeed>,
    /// A speed after a change.
    #[arg(long, value_name = "NAME=TEETH:TEETH")]
    pub after: Vec<NamedSpeed>,
    /// The input pair after a change.
    #[arg(long, value_name = "TEETH:TEETH")]
    pub input_after: Option<TeethInOrder>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &RatiosArguments) -> Result<(), Failure> {
    let asked = GearRatiosAsked {
        input: arguments.input.as_ref().map_or(Vec::new(), |teeth| teeth.0.clone()),
        speeds: arguments.speed.iter().map(NamedSpeed::asked).collect(),
        input_after: arguments.input_after.as_ref().map(|teeth| teeth.0.clone()),
        speeds_after: arguments.after.iter().map(NamedSpeed::asked).collect(),
    };
    printed(calculate_gear_ratios(&asked), arguments.print.json, |sheet| {
        let changed = sheet.result.speeds.iter().any(|speed| speed.ratio_after.is_some());
        let heads: &[&'static str] = if changed {
            &["speed", ">ratio", ">step", ">ratio after", ">step after", ">slower by %", "turns"]
        } else {
            &["speed", ">ratio", ">step", "turns"]
        };
        let mut table = WrappedTable::new(heads);
        for speed in &sheet.result.speeds {
            let mut row = vec![speed.name.clone(), number(speed.ratio), number_or_dash(speed.step)];
            if changed {
                row.push(number_or_dash(speed.ratio_after));
                row.push(number_or_dash(speed.step_after));
                row.push(speed.slower_percent.map_or("-".to_owned(), |share| format!("{share:.1}")));
            }
            row.push(if speed.reversed { "backwards" } else { "forwards" }.to_owned());
            table.row(row);
        }
        let line = if changed {
            "before and after: at the same road speed the engine turns slower by the per cent shown"
        } else {
            "ratio above 1: the output turns slower than the input"
        };
        Told { tables: vec![("SPEEDS", table)], ..Told::of("RATIOS", line) }
    })
}
