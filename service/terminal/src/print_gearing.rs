//! What a rebuild does to the gearing, as a person reads it.

use std::fmt::Write;

use operations::answer::UnitRequirement;
use operations::gearing::{AxleChange, TopGearPull, UnitGearing};

use crate::print_answer::section;
use crate::print_cautions::bullet;
use crate::wrapped_table::WrappedTable;

/// The gearing of a unit before and after: once, or for each outcome in which it is another.
pub(crate) fn gearings_text(text: &mut String, unit: &UnitRequirement, width: usize) {
    if unit.gearing_by_outcome.is_empty() {
        if let Some(gearing) = &unit.gearing {
            gearing_text(text, gearing, width);
        }
        return;
    }
    for outcome in &unit.gearing_by_outcome {
        let named = |variants: &Vec<catalogue::Code>| {
            variants.iter().map(ToString::to_string).collect::<Vec<_>>().join(" and ")
        };
        let outcomes = outcome.outcomes.iter().map(named).collect::<Vec<_>>().join(", or ");
        match &outcome.gearing {
            Some(gearing) => {
                let _ = writeln!(text, "\nWith {outcomes}:");
                gearing_text(text, gearing, width);
            }
            None => {
                let _ = writeln!(text, "\nWith {outcomes} no gear changes.");
            }
        }
    }
}

fn gearing_text(text: &mut String, gearing: &UnitGearing, width: usize) {
    let heads = [
        "speed",
        ">ratio",
        ">step",
        ">ratio after",
        ">step after",
        ">slower by %",
        ">1/min after",
        ">at km/h",
        "turns",
    ];
    let mut table = WrappedTable::new(&heads);
    for speed in &gearing.speeds {
        let step = |step: Option<f64>| step.map_or("-".to_owned(), |step| format!("{step:.3}"));
        table.row([
            speed.name.clone(),
            format!("{:.4}", speed.ratio_before),
            step(speed.step_before),
            format!("{:.4}", speed.ratio_after),
            step(speed.step_after),
            format!("{:.1}", speed.slower_percent),
            format!("{:.0}", speed.engine_speed_after_per_min),
            speed.road_speed_kmh.map_or("-".to_owned(), |speed| format!("{speed:.1}")),
            if speed.reverse { "backwards" } else { "forwards" }.to_owned(),
        ]);
    }
    section(text, "GEARING, before and after", &table, width);
    if !gearing.speeds.is_empty() {
        let compared = gearing.compared_at_per_min;
        let words =
            format!("1/min after: engine speed at the road speed at which it was {compared:.0} 1/min before");
        bullet(text, &words, width);
    }
    if let Some(road) = &gearing.road {
        let words = format!(
            "road speeds of {} with tyre {}, drop box {:.4}, axle {:.4}",
            road.vehicle, road.tyre, road.transfer_ratio, road.axle_ratio
        );
        bullet(text, &words, width);
    }
    for lacking in &gearing.road_lacks {
        bullet(text, &lacking.sentence, width);
    }
    if let Some(top) = &gearing.top_gear {
        bullet(text, &top_gear(top), width);
    }
    if let Some(axle) = &gearing.axle {
        axle_text(text, axle, width);
    }
}

fn top_gear(top: &TopGearPull) -> String {
    let held = format!(
        "{} with {:.0} kg holds a grade of {:.1} % before and {:.1} % after",
        top.name, top.laden_mass_kg, top.grade_before_percent, top.grade_after_percent
    );
    match (top.stated_grade_percent, top.holds) {
        (Some(stated), Some(true)) => format!("{held}: enough for the stated {stated} %"),
        (Some(stated), _) => format!("{held}: NOT enough for the stated {stated} %"),
        (None, _) => held,
    }
}

fn axle_text(text: &mut String, axle: &AxleChange, width: usize) {
    let _ = writeln!(text, "\nAXLE RATIO {:.4} before, {:.4} after", axle.ratio_before, axle.ratio_after);
    for other in &axle.others {
        let words = match (other.ratio_after, other.matches) {
            (Some(ratio), Some(true)) => format!("{} has {ratio:.4}: they match", other.unit),
            (Some(ratio), _) => format!("{} has {ratio:.4}: they do NOT match", other.unit),
            (None, _) => format!("{} is the other driven axle and is not in this request", other.unit),
        };
        bullet(text, &format!("{words} (within {} %)", other.tolerance_percent), width);
    }
    for what in &axle.to_check {
        bullet(text, &format!("check {what}"), width);
    }
}
