//! `crownwheel grade`.

use std::str::FromStr;

use clap::Args;
use operations::calculations::gradeability::{
    GradeabilityAsked, GradeabilityResult, TorquePoint, calculate_gradeability,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::calculations::road::NamedRatio;
use crate::failure::Failure;
use crate::wrapped_table::WrappedTable;

/// Shown below the help.
pub(super) const EXAMPLE: &str = "Example:\n  crownwheel grade --gear fourth=1 --gear fifth=0.809,0.696 --axle 4.556 --tyre 265/70R17.5 --mass 7100 \
    --rolling 0.013 --drag-area 5.2 --torque 1000=300 --torque 1600=360 --torque 2400=310 --grade 2";

/// A point of the torque curve: RPM=NM.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CurvePoint {
    speed: f64,
    torque: f64,
}

impl FromStr for CurvePoint {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wanted = || format!("`{text}`: write it as 1600=360");
        let (speed, torque) = text.split_once('=').ok_or_else(wanted)?;
        let read = |piece: &str| piece.trim().parse::<f64>().map_err(|_| wanted());
        Ok(Self { speed: read(speed)?, torque: read(torque)? })
    }
}

/// A laden vehicle.
#[derive(Debug, Clone, Args)]
pub struct GradeArguments {
    /// A gear with its ratio, and with the one after a change.
    #[arg(long, value_name = "NAME=RATIO[,RATIO]", required = true)]
    pub gear: Vec<NamedRatio>,
    /// Ratio of the drop box.
    #[arg(long, value_name = "RATIO", default_value_t = 1.0)]
    pub transfer: f64,
    /// Ratio of the axle.
    #[arg(long, value_name = "RATIO")]
    pub axle: f64,
    /// Tyre designation, such as 265/70R16.
    #[arg(long, value_name = "SIZE", required_unless_present = "circumference")]
    pub tyre: Option<String>,
    /// Rolling circumference in m instead of the tyre.
    #[arg(long, value_name = "M", conflicts_with = "tyre")]
    pub circumference: Option<f64>,
    /// Mass with load in kg.
    #[arg(long, value_name = "KG")]
    pub mass: f64,
    /// A point of the engine's full-load torque curve, in order of speed.
    #[arg(long, value_name = "RPM=NM", required = true)]
    pub torque: Vec<CurvePoint>,
    /// Rolling resistance coefficient.
    #[arg(long, value_name = "SHARE", default_value_t = 0.012)]
    pub rolling: f64,
    /// Drag coefficient times frontal area in m².
    #[arg(long, value_name = "M2", default_value_t = 5.0)]
    pub drag_area: f64,
    /// Efficiency of the driveline.
    #[arg(long, value_name = "SHARE", default_value_t = 0.9)]
    pub efficiency: f64,
    /// The grade in per cent that it should hold.
    #[arg(long, value_name = "PERCENT")]
    pub grade: Option<f64>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Calculates and prints.
pub(super) fn run(arguments: &GradeArguments) -> Result<(), Failure> {
    let point =
        |point: &CurvePoint| TorquePoint { engine_speed_per_min: point.speed, torque_nm: point.torque };
    let asked = GradeabilityAsked {
        gears: arguments.gear.iter().map(NamedRatio::asked).collect(),
        transfer_ratio: arguments.transfer,
        final_drive_ratio: arguments.axle,
        torque_curve: arguments.torque.iter().map(point).collect(),
        mass_kg: arguments.mass,
        rolling_coefficient: arguments.rolling,
        rolling_growth_s_per_m: 0.0,
        drag_area_m2: arguments.drag_area,
        air_density_kg_m3: 1.2,
        tyre: arguments.tyre.clone(),
        rolling_circumference_m: arguments.circumference,
        efficiency: arguments.efficiency,
        slip: 0.0,
        stated_grade_percent: arguments.grade,
    };
    printed(calculate_gradeability(&asked), arguments.print.json, |sheet| {
        let title = format!("STEEPEST GRADE with {} kg", number(arguments.mass));
        let line =
            arguments.grade.map_or("what each gear holds at its best engine speed".to_owned(), |grade| {
                format!("what each gear holds at its best engine speed; {} % is asked for", number(grade))
            });
        Told {
            tables: vec![("GEARS", gears(&sheet.result))],
            mind: sheet.result.pull_lost.clone(),
            ..Told::of(title, line)
        }
    })
}

fn gears(result: &GradeabilityResult) -> WrappedTable {
    let mut table = WrappedTable::new(&[
        "gear",
        ">grade %",
        ">at km/h",
        ">at 1/min",
        ">grade % after",
        ">at km/h after",
        "holds",
    ]);
    for gear in &result.gears {
        let after = |value: fn(&operations::calculations::gradeability::BestPull) -> f64| {
            gear.after.as_ref().map_or("-".to_owned(), |pull| format!("{:.1}", value(pull)))
        };
        table.row([
            gear.name.clone(),
            format!("{:.1}", gear.before.grade_percent),
            format!("{:.1}", gear.before.road_speed_kmh),
            format!("{:.0}", gear.before.engine_speed_per_min),
            after(|pull| pull.grade_percent),
            after(|pull| pull.road_speed_kmh),
            gear.holds.map_or("", |holds| if holds { "yes" } else { "no" }).to_owned(),
        ]);
    }
    table
}
