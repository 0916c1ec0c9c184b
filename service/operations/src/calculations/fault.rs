//! Why a calculation was refused: the fields that are wrong, each with its place in the request.

use mechanics::{BadInput, Judgement, MissingReason, Side};

/// A field that no calculation can be made with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WrongField {
    /// JSON pointer into the request.
    pub pointer: String,
    /// A short stable word for the kind of fault.
    pub code: &'static str,
    /// What is wrong there, and what would be right.
    pub detail: String,
}

/// A request that no calculation can be made with; it names one field or more.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{}", self.details())]
pub struct CalculationFault {
    /// The fields, in the order of the request.
    pub fields: Vec<WrongField>,
}

impl CalculationFault {
    /// One wrong field.
    pub(crate) fn at(pointer: impl Into<String>, code: &'static str, detail: impl Into<String>) -> Self {
        Self { fields: vec![WrongField { pointer: pointer.into(), code, detail: detail.into() }] }
    }

    /// A refused input whose field stands at a pointer.
    pub(crate) fn of(error: &BadInput, pointer: impl Into<String>) -> Self {
        Self::at(pointer, error.code(), error.to_string())
    }

    fn details(&self) -> String {
        self.fields.iter().map(|field| field.detail.as_str()).collect::<Vec<_>>().join("; ")
    }
}

/// A refused input whose field has the same name in the request.
impl From<BadInput> for CalculationFault {
    fn from(error: BadInput) -> Self {
        let pointer = format!("/{}", error.field().replace('.', "/"));
        Self::of(&error, pointer)
    }
}

/// Points at a field within an object of the request.
pub(crate) fn within(object: &str) -> impl Fn(BadInput) -> CalculationFault {
    let object = object.to_owned();
    move |error| CalculationFault::of(&error, format!("{object}/{}", error.field().replace('.', "/")))
}

/// Points at one field, whatever the formula calls it.
pub(crate) fn field(pointer: &str) -> impl Fn(BadInput) -> CalculationFault {
    let pointer = pointer.to_owned();
    move |error| CalculationFault::of(&error, pointer.clone())
}

/// Points at the entry of a list that holds the refused value, or at the list as a whole.
pub(crate) fn entry(
    pointer: &str,
    values: impl IntoIterator<Item = f64>,
) -> impl Fn(BadInput) -> CalculationFault {
    let (pointer, values) = (pointer.to_owned(), values.into_iter().collect::<Vec<f64>>());
    move |error| {
        let at = match error {
            BadInput::OutOfRange { value, .. } => values.iter().position(|known| *known == value),
            BadInput::NotANumber { .. } => values.iter().position(|known| !known.is_finite()),
            BadInput::Unreadable { .. } | BadInput::Contradiction { .. } | BadInput::NotInTable { .. } => {
                None
            }
        };
        let place = at.map_or_else(|| pointer.clone(), |at| format!("{pointer}/{at}"));
        CalculationFault::of(&error, place)
    }
}

/// Refuses what a judgement found impossible; `object` is where the fields of a side stand in the request.
pub(crate) fn refuse_impossible(
    judgement: &Judgement,
    object: impl Fn(Side) -> &'static str,
) -> Result<(), CalculationFault> {
    let fields: Vec<WrongField> = judgement
        .missing
        .iter()
        .filter_map(|missing| {
            let MissingReason::Impossible { value, least, most, unit } = missing.reason else { return None };
            let figure = missing.figure;
            let detail = match (figure, unit) {
                ("helix_hand", _) => {
                    format!(
                        "helix_hand is spur, and helix_angle_deg is {value}: a spur gear has no helix angle"
                    )
                }
                (_, "") => format!("{figure} is no figure that can be calculated with"),
                _ => format!("{figure} is {value} {unit}; it must lie from {least} to {most} {unit}"),
            };
            let pointer = format!("{}/{figure}", object(missing.side));
            Some(WrongField { pointer, code: "out_of_range", detail })
        })
        .collect();
    if fields.is_empty() { Ok(()) } else { Err(CalculationFault { fields }) }
}
