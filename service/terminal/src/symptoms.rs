//! `crownwheel symptoms`: what a symptom points to, and what to check on the vehicle first.

use std::fmt::Write;

use catalogue::Code;
use operations::SymptomAnswer;
use operations::find_symptoms::SymptomList;

use crate::arguments::SymptomsArguments;
use crate::failure::Failure;
use crate::output::say;
use crate::print_answer::section;
use crate::print_cautions::{bullet, cautions_text};
use crate::quote::read;
use crate::range::share;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Prints the symptoms of a unit, or what one of them points to.
pub(crate) async fn symptoms(arguments: &SymptomsArguments) -> Result<(), Failure> {
    let source = Source::open(&arguments.place).await?;
    let text = match &arguments.symptom {
        Some(symptom) => source.likely_findings(&arguments.unit, arguments.vehicle, symptom).await?,
        None => source.symptoms(&arguments.unit).await?,
    };
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let width = terminal_width();
    match arguments.symptom {
        Some(_) => say(&findings_text(&read(&text)?, width)),
        None => say(&list_text(&read(&text)?, width)),
    }
}

fn list_text(list: &SymptomList, width: usize) -> String {
    if list.items.is_empty() {
        return format!("No symptoms are known of {}.\n", list.unit);
    }
    let mut table = WrappedTable::new(&["weak points", "what the driver notices"]);
    for known in &list.items {
        table.row([codes(&known.weak_points), known.symptom.clone()]);
    }
    format!(
        "SYMPTOMS OF {}; `crownwheel symptoms {} 'WHAT THE DRIVER SAYS'` ranks what they point to\n{}",
        list.unit,
        list.unit,
        table.text(width)
    )
}

fn findings_text(answer: &SymptomAnswer, width: usize) -> String {
    let mut text = String::new();
    if answer.symptoms.is_empty() {
        let _ = writeln!(text, "No symptom is known that `{}` could mean. Known are:", answer.asked);
        for suggestion in &answer.suggestions {
            bullet(&mut text, suggestion, width);
        }
    } else {
        let _ = writeln!(text, "Taken for: {}", answer.symptoms.join(" or "));
    }
    let mut table =
        WrappedTable::new(&["unit", "position", "found", ">with the symptom", ">in any such unit", "what"]);
    for finding in &answer.findings {
        let along = if finding.shows_it { "" } else { " (comes along)" };
        table.row([
            finding.unit.to_string(),
            finding.position.to_string(),
            finding.finding.to_string(),
            share(finding.with_symptom),
            share(finding.likelihood),
            format!("{}{along}", finding.position_name),
        ]);
    }
    section(&mut text, "LIKELY FINDINGS", &table, width);
    if !answer.checks.is_empty() {
        text.push_str("\nCHECK ON THE VEHICLE FIRST\n");
        for check in &answer.checks {
            let words = format!("{} ({}: {})", check.check, check.unit, codes(&check.weak_points));
            bullet(&mut text, &words, width);
        }
    }
    cautions_text(&mut text, &answer.cautions, &answer.deferral, width);
    text
}

fn codes(codes: &[Code]) -> String {
    codes.iter().map(Code::as_str).collect::<Vec<_>>().join(", ")
}
