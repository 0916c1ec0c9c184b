//! Why a calculation refuses what it was given. Always names the field.

use std::fmt;

/// A figure that no calculation can be made with.
#[derive(Debug, Clone, PartialEq)]
pub enum BadInput {
    /// Not a finite number.
    NotANumber {
        /// The field as the caller spells it.
        field: &'static str,
    },
    /// A number outside the range the formula or the trade knows.
    OutOfRange {
        /// The field as the caller spells it.
        field: &'static str,
        /// What was given.
        value: f64,
        /// Smallest value taken.
        least: f64,
        /// Largest value taken.
        most: f64,
        /// Unit of the three numbers.
        unit: &'static str,
    },
    /// A text that does not have the form of its standard.
    Unreadable {
        /// The field as the caller spells it.
        field: &'static str,
        /// What was given.
        text: String,
        /// What would be right.
        wanted: &'static str,
    },
    /// Figures that are each sensible but cannot hold together.
    Contradiction {
        /// The field to change.
        field: &'static str,
        /// What is wrong, in words.
        problem: &'static str,
    },
    /// A well-formed value that the tables of this crate do not hold.
    NotInTable {
        /// The field as the caller spells it.
        field: &'static str,
        /// What was asked for.
        text: String,
        /// The table that was searched.
        table: &'static str,
    },
}

impl BadInput {
    /// The field that must change.
    pub fn field(&self) -> &'static str {
        match self {
            Self::NotANumber { field }
            | Self::OutOfRange { field, .. }
            | Self::Unreadable { field, .. }
            | Self::Contradiction { field, .. }
            | Self::NotInTable { field, .. } => field,
        }
    }

    /// A short stable word for the kind of problem.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotANumber { .. } => "not_a_number",
            Self::OutOfRange { .. } => "out_of_range",
            Self::Unreadable { .. } => "unreadable",
            Self::Contradiction { .. } => "contradiction",
            Self::NotInTable { .. } => "not_in_table",
        }
    }
}

impl fmt::Display for BadInput {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotANumber { field } => write!(f, "{field} is not a finite number"),
            Self::OutOfRange { field, value, least, most, unit } => {
                write!(f, "{field} is {value} {unit}; it must lie from {least} to {most} {unit}")
            }
            Self::Unreadable { field, text, wanted } => {
                write!(f, "{field} `{text}` cannot be read; write it as {wanted}")
            }
            Self::Contradiction { field, problem } => write!(f, "{field}: {problem}"),
            Self::NotInTable { field, text, table } => write!(f, "{field} `{text}` is not in {table}"),
        }
    }
}

impl std::error::Error for BadInput {}
