//! `crownwheel bearing`.

use clap::Args;
use operations::calculations::bearing_designation::{
    BearingDesignationAsked, BearingRead, SuffixRead, calculate_bearing_designation,
};

use crate::calculations::PrintArguments;
use crate::calculations::printed::{Told, number, printed};
use crate::failure::Failure;

/// Shown below the help.
pub(super) const EXAMPLE: &str =
    "Examples:\n  crownwheel bearing 6308\n  crownwheel bearing 6308 '6308-2RS C3'";

/// A designation, perhaps with another.
#[derive(Debug, Clone, Args)]
pub struct BearingArguments {
    /// The designation.
    pub designation: String,
    /// Another that might stand in its place.
    pub other: Option<String>,
    /// How it is printed.
    #[command(flatten)]
    pub print: PrintArguments,
}

/// Reads and prints.
pub(super) fn run(arguments: &BearingArguments) -> Result<(), Failure> {
    let asked = BearingDesignationAsked {
        designation: arguments.designation.clone(),
        other: arguments.other.clone(),
    };
    printed(calculate_bearing_designation(&asked), arguments.print.json, |sheet| {
        let mut lines = vec![sizes(&sheet.result.bearing)];
        lines.extend(sheet.result.other.as_ref().map(sizes));
        if let Some(compared) = &sheet.result.comparison {
            lines.push(
                if compared.same_size { "same type and size" } else { "not the same type and size" }
                    .to_owned(),
            );
            for (whose, list) in
                [("only the first", &compared.only_first), ("only the other", &compared.only_other)]
            {
                if !list.is_empty() {
                    lines.push(format!("{whose} has {}", suffixes(list)));
                }
            }
            if compared.parts_do_not_mix {
                lines.push("cup and cone of the two must not be mixed".to_owned());
            }
        }
        Told { title: format!("BEARING {}", arguments.designation), lines, ..Told::default() }
    })
}

fn sizes(bearing: &BearingRead) -> String {
    let kind = bearing.bearing_type.replace('_', " ");
    let width = bearing.assembled_width_mm.unwrap_or(bearing.width_mm);
    let sizes =
        format!("{} x {} x {} mm", number(bearing.bore_mm), number(bearing.outside_mm), number(width));
    let also = if bearing.suffixes.is_empty() {
        String::new()
    } else {
        format!(", {}", suffixes(&bearing.suffixes))
    };
    format!("{}: {kind}, {sizes}{also}", bearing.basic)
}

fn suffixes(list: &[SuffixRead]) -> String {
    let each: Vec<String> =
        list.iter().map(|suffix| format!("{} ({})", suffix.text, suffix.meaning.replace('_', " "))).collect();
    each.join(", ")
}
