//! `crownwheel road`.

use std::path::PathBuf;
use std::str::FromStr;

use clap::Args;
use operations::calculations::road_speed::{
    GearRatioAsked, RoadSpeedAsked, calculate_road_speed, draw_road_speed,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;
use crate::wrapped_table::WrappedTable;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel road --gear fourth=1 --gear fifth=0.809,0.696 --axle 4.556 --tyre 265/70R17.5 --at 80 \
    --svg speeds.svg";

/// A gear with its ratio, and the one after a change: NAME=RATIO or NAME=RATIO,RATIO.
#[derive(Debug, Clone, PartialEq)]
pub struct NamedRatio {
    name: String,
    before: f64,
    after: Option<f64>,
}

impl FromStr for NamedRatio {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wanted =
            || format!("`{text}`: write it as fifth=0.809, or fifth=0.809,0.696 before and after a change");
        let (name, ratios) = text.split_once('=').ok_or_else(wanted)?;
        let read = |piece: &str| piece.trim().parse::<f64>().map_err(|_| wanted());
        let (before, after) = match ratios.split_once(',') {
            Some((before, after)) => (read(before)?, Some(read(after)?)),
            None => (read(ratios)?, None),
        };
        Ok(Self { name: name.trim().to_owned(), before, after })
    }
}

impl NamedRatio {
    /// The gear as the calculation asks for it.
    pub(super) fn asked(&self) -> GearRatioAsked {
        GearRatioAsked { name: self.name.clone(), ratio: self.before, ratio_after: self.after }
    }
}

/// Gears, axle and tyre.
#[derive(Debug, Clone, Args)]
pub struct RoadArguments {
    /// A gear with its ratio, and with the one after a change.
    #[arg(long, value_name = "NAME=RATIO[,RATIO]", required = true)]
    pub gear: Vec<NamedRatio>,
    /// Ratio of the drop box.
    #[arg(long, value_name = "RATIO", default_value_t = 1.0)]
    pub transfer: f64,
    /// Ratio of the axle.
    #[arg(long, value_name = "RATIO")]
    pub axle: f64,
    /// Ratio of the axle after a change.
    #[arg(long, value_name = "RATIO")]
    pub axle_after: Option<f64>,
    /// Tyre designation, such as 265/70R16.
    #[arg(long, value_name = "SIZE", required_unless_present = "circumference")]
    pub tyre: Option<String>,
    /// Rolling circumference in m instead of the tyre.
    #[arg(long, value_name = "M", conflicts_with = "tyre")]
    pub circumference: Option<f64>,
    /// Road speed in km/h at which the gears are compared.
    #[arg(long, value_name = "KMH", default_value_t = 60.0)]
    pub at: f64,
    /// Highest engine speed in 1/min.
    #[arg(long, value_name = "RPM", default_value_t = 2600.0)]
    pub most: f64,
    /// Draw engine speed over road speed into this file.
    #[arg(long, value_name = "FILE")]
    pub svg: Option<PathBuf>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &RoadArguments) -> Result<(), Failure> {
    let asked = RoadSpeedAsked {
        gears: arguments.gear.iter().map(NamedRatio::asked).collect(),
        transfer_ratio: arguments.transfer,
        final_drive_ratio: arguments.axle,
        final_drive_ratio_after: arguments.axle_after,
        tyre: arguments.tyre.clone(),
        rolling_circumference_m: arguments.circumference,
        slip: 0.0,
        road_speed_kmh: arguments.at,
        engine_speed_most: arguments.most,
    };
    drawn_if_asked(arguments, &asked)?;
    printed(calculate_road_speed(&asked), arguments.print.json, |sheet| {
        let changed = sheet.result.gears.iter().any(|gear| gear.total_ratio_after.is_some());
        let heads: &[&'static str] = if changed {
            &[
                "gear",
                ">1/min",
                ">km/h at most",
                ">1/min after",
                ">km/h at most after",
                ">fewer 1/min",
                ">fewer %",
            ]
        } else {
            &["gear", ">1/min", ">km/h at most"]
        };
        let mut table = WrappedTable::new(heads);
        for gear in &sheet.result.gears {
            let mut row = vec![
                gear.name.clone(),
                format!("{:.0}", gear.engine_speed_per_min),
                format!("{:.1}", gear.road_speed_most_kmh),
            ];
            if changed {
                let whole = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.0}"));
                let tenth = |value: Option<f64>| value.map_or("-".to_owned(), |value| format!("{value:.1}"));
                row.push(whole(gear.engine_speed_after_per_min));
                row.push(tenth(gear.road_speed_most_after_kmh));
                row.push(whole(gear.drop_per_min));
                row.push(tenth(gear.drop_percent));
            }
            table.row(row);
        }
        let title = format!(
            "ENGINE SPEED at {} km/h, and road speed at {} 1/min",
            number(arguments.at),
            number(arguments.most)
        );
        let line = format!("rolling circumference {} m", number(sheet.result.rolling_circumference_m));
        Told { tables: vec![("GEARS", table)], ..Told::of(title, line) }
    })
}

fn drawn_if_asked(arguments: &RoadArguments, asked: &RoadSpeedAsked) -> Result<(), Failure> {
    crate::calculations::printed::drawn(arguments.svg.as_deref(), || draw_road_speed(asked))
}
