//! What is wrong with an XML document, where, and what would be right.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::limits::FAULTS_MAX;
use crate::papers::value::WrongValue;

/// What sort of fault it is; the words are stable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(rename_all = "snake_case")]
pub enum XmlFaultCode {
    /// The bytes cannot be read.
    Unreadable,
    /// The document is no UTF-8 text.
    NotUtf8,
    /// The document is no well-formed XML.
    NotWellFormed,
    /// The document brings a document type definition.
    DocumentTypeDefinition,
    /// The document refers to an entity.
    Entity,
    /// The document, or a piece of it, is larger than it may be.
    TooLarge,
    /// Elements stand too deep inside one another.
    TooDeep,
    /// An element has too many attributes.
    TooManyAttributes,
    /// A name is too long.
    NameTooLong,
    /// An element holds too many others.
    TooManyElements,
    /// The document has too many lines.
    TooManyLines,
    /// The document is of another type.
    WrongDocument,
    /// An element belongs to another namespace.
    WrongNamespace,
    /// UBL has no such element at this place.
    UnknownElement,
    /// An element stands behind one that it should precede.
    WrongOrder,
    /// An element that may stand once stands twice.
    RepeatedElement,
    /// An element that must be there is not.
    MissingElement,
    /// UBL has no such attribute at this place.
    UnknownAttribute,
    /// Text stands where only elements may.
    MisplacedText,
    /// An element or attribute that must have a value is empty.
    MissingValue,
    /// A text is longer than any text may be.
    TextTooLong,
    /// A number is no decimal of its kind.
    BadDecimal,
    /// A day is no day.
    BadDate,
    /// A unit is none of UN/ECE Recommendation 20.
    BadUnit,
    /// A currency is none of ISO 4217.
    BadCurrency,
    /// A value is below zero that cannot be.
    OutOfBounds,
    /// A text is no value of its kind.
    BadValue,
    /// Two statements of the document contradict each other.
    Contradiction,
}

impl XmlFaultCode {
    /// The word of the code.
    pub fn word(self) -> &'static str {
        match self {
            Self::Unreadable => "unreadable",
            Self::NotUtf8 => "not_utf8",
            Self::NotWellFormed => "not_well_formed",
            Self::DocumentTypeDefinition => "document_type_definition",
            Self::Entity => "entity",
            Self::TooLarge => "too_large",
            Self::TooDeep => "too_deep",
            Self::TooManyAttributes => "too_many_attributes",
            Self::NameTooLong => "name_too_long",
            Self::TooManyElements => "too_many_elements",
            Self::TooManyLines => "too_many_lines",
            Self::WrongDocument => "wrong_document",
            Self::WrongNamespace => "wrong_namespace",
            Self::UnknownElement => "unknown_element",
            Self::WrongOrder => "wrong_order",
            Self::RepeatedElement => "repeated_element",
            Self::MissingElement => "missing_element",
            Self::UnknownAttribute => "unknown_attribute",
            Self::MisplacedText => "misplaced_text",
            Self::MissingValue => "missing_value",
            Self::TextTooLong => "text_too_long",
            Self::BadDecimal => "bad_decimal",
            Self::BadDate => "bad_date",
            Self::BadUnit => "bad_unit",
            Self::BadCurrency => "bad_currency",
            Self::OutOfBounds => "out_of_bounds",
            Self::BadValue => "bad_value",
            Self::Contradiction => "contradiction",
        }
    }
}

impl From<WrongValue> for XmlFaultCode {
    fn from(kind: WrongValue) -> Self {
        match kind {
            WrongValue::Missing => Self::MissingValue,
            WrongValue::TooLong => Self::TextTooLong,
            WrongValue::Decimal => Self::BadDecimal,
            WrongValue::Date => Self::BadDate,
            WrongValue::Unit => Self::BadUnit,
            WrongValue::Currency => Self::BadCurrency,
            WrongValue::Negative => Self::OutOfBounds,
            WrongValue::Other => Self::BadValue,
        }
    }
}

/// A place in the text of a document.
#[derive(
    Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema,
)]
pub struct Place {
    /// The line, from 1.
    pub line: u64,
    /// The column in characters, from 1.
    pub column: u64,
}

/// One fault of a document.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct XmlFault {
    /// What sort it is.
    pub code: XmlFaultCode,
    /// Where it is in the text; a paper that cannot be written has no text yet.
    pub place: Option<Place>,
    /// The element or attribute, with those around it (`/Order/cac:OrderLine[2]/cac:LineItem/cbc:Quantity/@unitCode`).
    pub path: String,
    /// What stands there.
    pub value: Option<String>,
    /// What is wrong, to be read after the value.
    pub wrong: String,
    /// What would be right, as a request.
    pub right: String,
}

/// Longest piece of a value that a fault repeats, in characters.
const VALUE_SHOWN_MAX: usize = 80;

/// A text cut to a length that can be read.
pub(super) fn shown(text: &str) -> String {
    let mut shown: String = text.chars().take(VALUE_SHOWN_MAX).collect();
    if shown.len() < text.len() {
        shown.push('…');
    }
    shown
}

impl XmlFault {
    pub(super) fn new(
        code: XmlFaultCode,
        path: impl Into<String>,
        wrong: impl Into<String>,
        right: impl Into<String>,
    ) -> Self {
        Self { code, place: None, path: path.into(), value: None, wrong: wrong.into(), right: right.into() }
    }

    pub(super) fn at(mut self, place: Place) -> Self {
        self.place = Some(place);
        self
    }

    pub(super) fn with_value(mut self, value: &str) -> Self {
        self.value = Some(shown(value));
        self
    }

    /// Where it is: line, column and path.
    pub fn place(&self) -> String {
        match self.place {
            Some(place) => format!("line {}, column {}, {}", place.line, place.column, self.path),
            None => self.path.clone(),
        }
    }

    /// What stands there, what is wrong with it and what would be right.
    pub fn cause(&self) -> String {
        let value = self.value.as_ref().map_or(String::new(), |value| format!("`{}` ", value.escape_debug()));
        format!("{value}{}; {}", self.wrong, self.right)
    }
}

impl fmt::Display for XmlFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.place(), self.cause())
    }
}

/// Why a document is refused: its first faults in the order of the text, the one that ended reading too soon, and how
/// many there are in all.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct XmlFaults {
    kept: Vec<XmlFault>,
    total: u64,
}

impl XmlFaults {
    pub(super) fn add(&mut self, fault: XmlFault) {
        self.total += 1;
        if self.kept.len() < FAULTS_MAX {
            self.kept.push(fault);
        }
    }

    /// Adds the fault that ended reading, which is kept however many there are.
    pub(super) fn add_last(&mut self, fault: XmlFault) {
        self.total += 1;
        self.kept.push(fault);
    }

    pub(super) fn sort(&mut self) {
        self.kept.sort_by_key(|fault| fault.place);
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.total == 0
    }

    /// How many there are, kept or not.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// Those that were kept.
    pub fn kept(&self) -> &[XmlFault] {
        &self.kept
    }
}

impl fmt::Display for XmlFaults {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        for (index, fault) in self.kept.iter().enumerate() {
            write!(f, "{}{fault}", if index == 0 { "" } else { "\n" })?;
        }
        match self.total - self.kept.len() as u64 {
            0 => Ok(()),
            more => write!(f, "\nand {more} more"),
        }
    }
}

impl std::error::Error for XmlFaults {}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_fault_reads_as_a_sentence() {
        let fault = XmlFault::new(XmlFaultCode::BadUnit, "/Order/@unitCode", "is no unit", "write H87")
            .at(Place { line: 3, column: 7 })
            .with_value("pcs\u{0}");
        assert_eq!(fault.to_string(), r"line 3, column 7, /Order/@unitCode: `pcs\0` is no unit; write H87");
    }

    #[test]
    fn all_are_counted_and_the_first_are_kept() {
        let mut faults = XmlFaults::default();
        for line in 0..60 {
            let fault = XmlFault::new(XmlFaultCode::BadDate, "/Order", "w", "r");
            faults.add(fault.at(Place { line, column: 1 }));
        }
        assert_eq!((faults.total(), faults.kept().len()), (60, FAULTS_MAX));
        assert!(faults.to_string().ends_with("\nand 10 more"));
    }
}
