//! A judgement of mechanics as data: figures, failed tests, what is missing, and what the bench must know.

use mechanics::{Judgement, Value, Verdict};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::explain::{fault_words, warning_words};
use crate::fit_check::{Compared, FailedTest, FigureValue, JointOutcome, MissingFigure};

/// Something that does not forbid a pair but that the bench must know.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct WarningNote {
    /// What.
    pub warning: String,
    /// Whose: `a`, `b` or `joint`.
    pub side: String,
    /// The value found.
    pub value: f64,
    /// The value advised.
    pub advised: f64,
    /// Unit of both.
    pub unit: String,
    /// In words.
    pub sentence: String,
}

/// A judgement as data.
#[derive(Debug, Clone, PartialEq)]
pub struct JudgedFigures {
    /// The verdict.
    pub verdict: JointOutcome,
    /// The figures that were computed.
    pub figures: Vec<FigureValue>,
    /// The tests that failed.
    pub faults: Vec<FailedTest>,
    /// The figures that would settle the tests not made.
    pub missing: Vec<MissingFigure>,
    /// What the bench must know.
    pub warnings: Vec<WarningNote>,
}

/// A judgement as data.
pub fn judged(judgement: &Judgement) -> JudgedFigures {
    let figures = judgement.figures.iter().map(|figure| FigureValue {
        name: figure.name.to_owned(),
        symbol: figure.symbol.to_owned(),
        unit: figure.unit.to_owned(),
        value: figure.value,
        formula: figure.formula.to_owned(),
        standard: figure.standard.to_owned(),
    });
    let faults = judgement.faults.iter().map(|fault| FailedTest {
        test: fault.kind.code().to_owned(),
        a: compared(fault.a),
        b: compared(fault.b),
        limit: fault.limit,
        unit: fault.unit.to_owned(),
        sentence: fault_words(fault),
    });
    let missing = judgement.missing.iter().map(|missing| MissingFigure {
        side: missing.side.code().to_owned(),
        figure: missing.figure.to_owned(),
        reason: missing.reason.code().to_owned(),
    });
    let warnings = judgement.warnings.iter().map(|warning| WarningNote {
        warning: warning.kind.code().to_owned(),
        side: warning.side.code().to_owned(),
        value: warning.value,
        advised: warning.advised,
        unit: warning.unit.to_owned(),
        sentence: warning_words(warning),
    });
    JudgedFigures {
        verdict: outcome(judgement.verdict),
        figures: figures.collect(),
        faults: faults.collect(),
        missing: missing.collect(),
        warnings: warnings.collect(),
    }
}

/// A verdict as the word that answers use.
pub(crate) fn outcome(verdict: Verdict) -> JointOutcome {
    match verdict {
        Verdict::Fits => JointOutcome::Fits,
        Verdict::DoesNotFit => JointOutcome::DoesNotFit,
        Verdict::Unverified => JointOutcome::Unverified,
    }
}

fn compared(value: Value) -> Option<Compared> {
    match value {
        Value::Number(number) => Some(Compared::Number(number)),
        Value::Word(word) => Some(Compared::Word(word.to_owned())),
        Value::None => None,
    }
}
