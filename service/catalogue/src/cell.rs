//! One value of one column: the small common language of CSV files and tables.

use chrono::NaiveDate;

use crate::gtin::Gtin;
use crate::key::{Code, Mark, PartKey, UnitKey};
use crate::money::{Currency, Money, Rate};
use crate::quantity::{Percent, Quantity};
use crate::sheet::Bound;

/// A value as a table holds it.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    Null,
    /// Text, keys and words.
    Text(String),
    /// Counts, and decimals in their smallest part.
    Integer(i64),
    /// Measures.
    Real(f64),
    /// Yes or no.
    Flag(bool),
    /// A day.
    Date(NaiveDate),
}

/// What a column holds, and so how its text is read and how it is stored.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ColumnKind {
    /// Free text.
    Text,
    /// Text that may be empty and is part of a key.
    Mark,
    /// A [`Code`].
    Code,
    /// A part as `MAKER/NUMBER`.
    Part,
    /// A unit by its code.
    Unit,
    /// A whole number.
    Integer,
    /// A measure with a decimal point.
    Real,
    /// Money with up to four places.
    Money,
    /// A quantity with up to three places.
    Quantity,
    /// A percentage with up to three places.
    Percent,
    /// An exchange rate with up to eight places.
    Rate,
    /// `yes` or `no`.
    Flag,
    /// A day, `YYYY-MM-DD`.
    Date,
    /// An ISO 4217 code.
    Currency,
    /// A GTIN with its check digit.
    Gtin,
    /// One of these words.
    Choice(&'static [&'static str]),
}

/// Why a text is not a value of its column.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellFault {
    /// What is wrong with the text, to be read after it.
    pub wrong: String,
    /// What would be right.
    pub right: String,
}

/// Longest text of a cell, in characters.
pub const TEXT_LENGTH_MAX: usize = 2_000;
/// Largest size of a measure, in its unit; nothing in a driveline is larger.
pub const REAL_MAX: f64 = 1e9;

impl ColumnKind {
    /// What a person should write, in words.
    pub fn wanted(self) -> String {
        match self {
            Self::Text | Self::Mark => format!("text of at most {TEXT_LENGTH_MAX} characters"),
            Self::Code => "a code of letters, digits, `-`, `_` and `.`".into(),
            Self::Part => "a part as MAKER/NUMBER".into(),
            Self::Unit => "a unit code".into(),
            Self::Integer => "a whole number".into(),
            Self::Real => "a number with a decimal point, such as 12.5".into(),
            Self::Money => "an amount with up to four places, such as 12.50".into(),
            Self::Quantity => "a quantity with up to three places, such as 2 or 0.5".into(),
            Self::Percent => "a percentage with up to three places, such as 20 or 12.5".into(),
            Self::Rate => "a rate with up to eight places, such as 0.93".into(),
            Self::Flag => "`yes` or `no`".into(),
            Self::Date => "a day as YYYY-MM-DD".into(),
            Self::Currency => "an ISO 4217 code of three capitals, such as EUR".into(),
            Self::Gtin => "8, 12, 13 or 14 digits with a right check digit".into(),
            Self::Choice(words) => format!("one of {}", words.join(", ")),
        }
    }

    /// Reads the text of a cell; blank is [`Cell::Null`], except for a mark, where it is the empty mark.
    pub fn read(self, text: &str) -> Result<Cell, CellFault> {
        let trimmed = text.trim();
        if trimmed.is_empty() {
            return Ok(if self == Self::Mark { Cell::Text(String::new()) } else { Cell::Null });
        }
        let fault = |wrong: String| CellFault { wrong, right: self.wanted() };
        let plain = || fault("cannot be read".into());
        if trimmed.chars().count() > TEXT_LENGTH_MAX {
            return Err(fault("is too long".into()));
        }
        Ok(match self {
            Self::Text | Self::Mark => match trimmed.chars().find(|c| c.is_control() && *c != '\n') {
                Some(_) => return Err(fault("holds a control character".into())),
                None => Cell::Text(trimmed.to_owned()),
            },
            Self::Code => Cell::Text(Code::parse(trimmed).map_err(|f| fault(f.to_string()))?.as_str().into()),
            Self::Part => {
                Cell::Text(PartKey::parse(trimmed).map_err(|f| fault(f.to_string()))?.as_str().into())
            }
            Self::Unit => {
                Cell::Text(UnitKey::parse(trimmed).map_err(|f| fault(f.to_string()))?.as_str().into())
            }
            Self::Integer => Cell::Integer(trimmed.parse().map_err(|_| plain())?),
            Self::Real => match trimmed.parse::<f64>() {
                Ok(value) if value.is_finite() && value.abs() <= REAL_MAX => Cell::Real(value),
                Ok(_) => return Err(fault("is not of a size that a driveline has".into())),
                Err(_) => return Err(plain()),
            },
            Self::Money => Cell::Integer(Money::parse(trimmed).ok_or_else(plain)?.raw()),
            Self::Quantity => Cell::Integer(Quantity::parse(trimmed).ok_or_else(plain)?.raw()),
            Self::Percent => Cell::Integer(Percent::parse(trimmed).ok_or_else(plain)?.raw()),
            Self::Rate => Cell::Integer(Rate::parse(trimmed).ok_or_else(plain)?.raw()),
            Self::Flag => match trimmed {
                "yes" => Cell::Flag(true),
                "no" => Cell::Flag(false),
                _ => return Err(plain()),
            },
            Self::Date => Cell::Date(
                NaiveDate::parse_from_str(trimmed, "%Y-%m-%d").map_err(|_| fault("is no day".into()))?,
            ),
            Self::Currency => Cell::Text(Currency::parse(trimmed).ok_or_else(plain)?.as_str().into()),
            Self::Gtin => Cell::Text(Gtin::parse(trimmed).map_err(|f| fault(f.to_string()))?.as_str().into()),
            Self::Choice(words) => match words.iter().find(|word| **word == trimmed) {
                Some(word) => Cell::Text((*word).to_owned()),
                None => return Err(fault("is not known here".into())),
            },
        })
    }

    /// The text of a cell as [`ColumnKind::read`] takes it.
    pub fn write(self, cell: &Cell) -> String {
        match (self, cell) {
            (_, Cell::Null) => String::new(),
            (Self::Money, Cell::Integer(raw)) => Money::from_raw(*raw).to_string(),
            (Self::Quantity, Cell::Integer(raw)) => Quantity::from_raw(*raw).to_string(),
            (Self::Percent, Cell::Integer(raw)) => Percent::from_raw(*raw).to_string(),
            (Self::Rate, Cell::Integer(raw)) => Rate::from_raw(*raw).to_string(),
            (_, Cell::Text(text)) => text.clone(),
            (_, Cell::Integer(value)) => value.to_string(),
            (_, Cell::Real(value)) => value.to_string(),
            (_, Cell::Flag(value)) => if *value { "yes" } else { "no" }.to_owned(),
            (_, Cell::Date(day)) => day.format("%Y-%m-%d").to_string(),
        }
    }
}

impl Bound {
    /// What is wrong with a value outside the bound, in words; `None` inside it.
    pub fn broken_by(self, cell: &Cell) -> Option<&'static str> {
        let (sign, above_one) = match cell {
            Cell::Integer(value) => (value.signum(), false),
            Cell::Real(value) => (
                if *value > 0.0 {
                    1
                } else if *value < 0.0 {
                    -1
                } else {
                    0
                },
                *value > 1.0,
            ),
            _ => return None,
        };
        match self {
            Self::Any => None,
            Self::NotNegative => (sign < 0).then_some("is below zero"),
            Self::Positive => (sign <= 0).then_some("is not above zero"),
            Self::Share => (sign < 0 || above_one).then_some("is not from 0 to 1"),
        }
    }
}

/// A type of a column.
pub trait CellValue: Sized {
    /// What the column holds.
    const KIND: ColumnKind;
    /// Whether the column must have a value.
    const REQUIRED: bool;
    /// The cell of a value.
    fn to_cell(&self) -> Cell;
    /// The value of a cell; `None` where the cell is of another kind.
    fn from_cell(cell: &Cell) -> Option<Self>;
}

impl<T: CellValue> CellValue for Option<T> {
    const KIND: ColumnKind = T::KIND;
    const REQUIRED: bool = false;
    fn to_cell(&self) -> Cell {
        self.as_ref().map_or(Cell::Null, CellValue::to_cell)
    }
    fn from_cell(cell: &Cell) -> Option<Self> {
        match cell {
            Cell::Null => Some(None),
            cell => T::from_cell(cell).map(Some),
        }
    }
}

macro_rules! cell_value {
    ($type:ty, $kind:ident, $required:literal, $cell:ident, $to:expr, $from:expr) => {
        impl CellValue for $type {
            const KIND: ColumnKind = ColumnKind::$kind;
            const REQUIRED: bool = $required;
            fn to_cell(&self) -> Cell {
                let to: fn(&$type) -> _ = $to;
                Cell::$cell(to(self))
            }
            fn from_cell(cell: &Cell) -> Option<Self> {
                match cell {
                    Cell::$cell(value) => {
                        let from: fn(_) -> $type = $from;
                        Some(from(value.clone()))
                    }
                    _ => None,
                }
            }
        }
    };
}

cell_value!(String, Text, true, Text, |v| v.clone(), |v: String| v);
cell_value!(Mark, Mark, false, Text, |v| v.0.clone(), Mark);
cell_value!(Code, Code, true, Text, |v| v.as_str().to_owned(), |v: String| Code::from_stored(v));
cell_value!(PartKey, Part, true, Text, |v| v.as_str().to_owned(), |v: String| PartKey::from_stored(v));
cell_value!(UnitKey, Unit, true, Text, |v| v.as_str().to_owned(), |v: String| UnitKey::from_stored(v));
cell_value!(Gtin, Gtin, true, Text, |v| v.as_str().to_owned(), |v: String| Gtin::from_stored(v));
cell_value!(i64, Integer, true, Integer, |v| *v, |v: i64| v);
cell_value!(f64, Real, true, Real, |v| *v, |v: f64| v);
cell_value!(Money, Money, true, Integer, |v| v.raw(), Money::from_raw);
cell_value!(Quantity, Quantity, true, Integer, |v| v.raw(), Quantity::from_raw);
cell_value!(Percent, Percent, true, Integer, |v| v.raw(), Percent::from_raw);
cell_value!(Rate, Rate, true, Integer, |v| v.raw(), Rate::from_raw);
cell_value!(bool, Flag, true, Flag, |v| *v, |v: bool| v);
cell_value!(NaiveDate, Date, true, Date, |v| *v, |v: NaiveDate| v);

impl CellValue for Currency {
    const KIND: ColumnKind = ColumnKind::Currency;
    const REQUIRED: bool = true;
    fn to_cell(&self) -> Cell {
        Cell::Text(self.as_str().to_owned())
    }
    fn from_cell(cell: &Cell) -> Option<Self> {
        match cell {
            Cell::Text(code) => Self::parse(code),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_written_is_read_back() {
        let cases = [
            (ColumnKind::Money, "12.50"),
            (ColumnKind::Quantity, "0.125"),
            (ColumnKind::Real, "0.1"),
            (ColumnKind::Date, "2026-02-28"),
            (ColumnKind::Flag, "yes"),
            (ColumnKind::Rate, "0.93"),
            (ColumnKind::Part, "VESSICK/VK640118"),
            (ColumnKind::Choice(&["hard", "wear"]), "wear"),
        ];
        for (kind, text) in cases {
            assert_eq!(kind.write(&kind.read(text).unwrap()), text);
        }
    }

    #[test]
    fn a_fault_says_what_would_be_right() {
        let fault = ColumnKind::Date.read("2026-02-30").unwrap_err();
        assert_eq!((fault.wrong.as_str(), fault.right.as_str()), ("is no day", "a day as YYYY-MM-DD"));
        for (kind, text) in [
            (ColumnKind::Real, "NaN"),
            (ColumnKind::Real, "1e99"),
            (ColumnKind::Flag, "true"),
            (ColumnKind::Integer, "1.0"),
            (ColumnKind::Currency, "Euro"),
            (ColumnKind::Text, "a\u{0}b"),
        ] {
            assert!(kind.read(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_blank_is_nothing_but_an_empty_mark() {
        assert_eq!(ColumnKind::Text.read("  "), Ok(Cell::Null));
        assert_eq!(ColumnKind::Mark.read(" "), Ok(Cell::Text(String::new())));
    }
}
