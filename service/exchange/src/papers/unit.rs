//! Units of measure of a paper.

use std::collections::BTreeSet;
use std::fmt;
use std::sync::LazyLock;

use catalogue::UnitOfMeasure;
use serde::{Deserialize, Serialize};

use super::value::{BadValue, Shape, Value, WrongValue, bad};

/// The codes of UN/ECE Recommendation 20, with those of Recommendation 21 (packages) behind an `X`, as the validation
/// artefacts of the European standard EN 16931 (release 1.3.15) list them for UBL.
const CODES: &str = include_str!("unit_codes.txt");

static SET: LazyLock<BTreeSet<&str>> = LazyLock::new(|| CODES.split_ascii_whitespace().collect());

/// A unit by its code of UN/ECE Recommendation 20, or a package of Recommendation 21 behind an `X`.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Unit(String);

impl Unit {
    /// Reads a code of the list.
    pub fn parse(text: &str) -> Option<Self> {
        SET.get(text).map(|code| Self((*code).to_owned()))
    }

    /// The code.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// The unit in which the catalogue counts, where it has this one. `C62` (one), `EA` (each) and `NAR` (number of
    /// articles) count pieces as `H87` does; `NPR` (number of pairs) counts pairs.
    pub fn measure(&self) -> Option<UnitOfMeasure> {
        match self.0.as_str() {
            "C62" | "EA" | "NAR" => Some(UnitOfMeasure::Piece),
            "NPR" => Some(UnitOfMeasure::Pair),
            code => UnitOfMeasure::from_word(code),
        }
    }
}

/// One piece.
impl Default for Unit {
    fn default() -> Self {
        UnitOfMeasure::Piece.into()
    }
}

impl From<UnitOfMeasure> for Unit {
    fn from(measure: UnitOfMeasure) -> Self {
        Self(measure.word().to_owned())
    }
}

impl From<Unit> for String {
    fn from(unit: Unit) -> Self {
        unit.0
    }
}

impl TryFrom<String> for Unit {
    type Error = String;

    fn try_from(text: String) -> Result<Self, Self::Error> {
        Self::parse(&text).ok_or_else(|| format!("`{text}` is no unit of UN/ECE Recommendation 20"))
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl Value for Unit {
    const SHAPE: Shape =
        Shape { wanted: "a code of UN/ECE Recommendation 20, such as H87 for pieces", beside: None };

    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        Self::parse(text).ok_or_else(|| {
            bad(WrongValue::Unit, "is no unit of UN/ECE Recommendation 20", Self::SHAPE.wanted)
        })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.0.clone(), None)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_list_holds_every_unit_of_the_catalogue() {
        for word in UnitOfMeasure::WORDS {
            let unit = Unit::parse(word).expect("the catalogue counts in units of the list");
            assert_eq!(unit.measure().map(UnitOfMeasure::word), Some(*word));
        }
        assert!(SET.len() > 2_000 && SET.len() == CODES.split_ascii_whitespace().count());
    }

    #[test]
    fn one_and_each_are_pieces() {
        for code in ["C62", "EA", "NAR", "H87"] {
            assert_eq!(Unit::parse(code).and_then(|unit| unit.measure()), Some(UnitOfMeasure::Piece));
        }
        assert_eq!(Unit::parse("DAY").and_then(|unit| unit.measure()), None);
        for wrong in ["pcs", "h87", "", "PIECE", "ZZZZ"] {
            assert_eq!(Unit::parse(wrong), None, "{wrong}");
        }
    }
}
