//! What can be wrong with a request, seen against the catalogue.

use catalogue::Code;

/// Why a request has no answer, with the place in the request.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{detail}")]
pub struct RequestFault {
    /// What kind of fault it is.
    pub kind: RequestFaultKind,
    /// JSON pointer into the request.
    pub pointer: String,
    /// What is wrong and what would be right, in words.
    pub detail: String,
    /// What may have been meant.
    pub suggestions: Vec<String>,
}

/// Kinds of fault; each is a problem of its own at the edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RequestFaultKind {
    /// The request names a unit, operation, position, variant, part or bench value that the catalogue does not know there.
    UnknownReference,
    /// Two things that the request says of a unit cannot both be true.
    Contradiction,
    /// What was asked for cannot be fitted, whatever else changes.
    ImpossibleChoice,
    /// More outcomes are open than are answered at once.
    TooManyUnknowns,
    /// A value is out of range or malformed.
    BadValue,
    /// The shop's settings or rates lack something that the answer needs.
    MissingSetting,
    /// The catalogue's own data contradict themselves here (a cycle of notices, a kit in itself).
    CatalogueFault,
}

impl RequestFault {
    /// A fault without suggestions.
    pub(crate) fn new(kind: RequestFaultKind, pointer: impl Into<String>, detail: impl Into<String>) -> Self {
        Self { kind, pointer: pointer.into(), detail: detail.into(), suggestions: Vec::new() }
    }

    /// The fault of a code that the catalogue does not know at this place, with the closest codes it does know.
    pub(crate) fn unknown<'a>(
        pointer: impl Into<String>,
        what: &str,
        code: &str,
        known: impl IntoIterator<Item = &'a Code>,
    ) -> Self {
        let suggestions = crate::closest::closest(code, known.into_iter().map(Code::as_str), 3);
        let hint = match suggestions.as_slice() {
            [] => String::new(),
            [first, ..] => format!("; did you mean `{first}`?"),
        };
        Self {
            kind: RequestFaultKind::UnknownReference,
            pointer: pointer.into(),
            detail: format!("there is no {what} `{code}`{hint}"),
            suggestions,
        }
    }
}
