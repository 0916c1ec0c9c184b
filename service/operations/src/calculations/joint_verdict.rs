//! The verdict on two faces as a calculation answers it.

use mechanics::Judgement;
use resolver::{FailedTest, FigureValue, JointOutcome, JudgedFigures, MissingFigure, WarningNote, judged};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::calculations::sheet::shown;

/// Whether two faces go together, with the figures that decided it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct JointVerdictResult {
    /// The verdict.
    pub verdict: JointOutcome,
    /// The verdict with the figures that decided it, in one sentence.
    pub sentence: String,
    /// The tests that failed.
    pub failed_tests: Vec<FailedTest>,
    /// The figures that would settle the tests not made.
    pub missing: Vec<MissingFigure>,
    /// What does not forbid the pair, but the bench must know.
    pub warnings: Vec<WarningNote>,
}

/// The verdict of a judgement and its figures; `telling` are the symbols of the figures that speak for a fit.
pub(crate) fn joint_verdict(
    judgement: &Judgement,
    telling: &[&str],
) -> (JointVerdictResult, Vec<FigureValue>) {
    let JudgedFigures { verdict, figures, faults, missing, warnings } = judged(judgement);
    let sentence = match verdict {
        JointOutcome::DoesNotFit => {
            let said: Vec<&str> = faults.iter().map(|fault| fault.sentence.as_str()).collect();
            format!("does not fit: {}", said.join("; "))
        }
        JointOutcome::Unverified => {
            let whose = |side: &str| match side {
                "a" => "the first's ",
                "b" => "the second's ",
                _ => "",
            };
            let wanted = missing.iter().map(|m| format!("{}{}", whose(&m.side), m.figure.replace('_', " ")));
            format!("not verified: {} would settle it", wanted.collect::<Vec<_>>().join(", "))
        }
        JointOutcome::Fits => {
            let told: Vec<String> = figures
                .iter()
                .filter(|figure| telling.contains(&figure.symbol.as_str()))
                .map(|figure| format!("{} {} {}", figure.name, shown(figure.value), unit_of(&figure.unit)))
                .map(|words| words.trim_end().to_owned())
                .collect();
            if told.is_empty() {
                "fits: all that was compared agrees".to_owned()
            } else {
                format!("fits: {}", told.join(", "))
            }
        }
    };
    (JointVerdictResult { verdict, sentence, failed_tests: faults, missing, warnings }, figures)
}

fn unit_of(unit: &str) -> &str {
    if unit == "1" { "" } else { unit }
}
