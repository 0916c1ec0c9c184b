//! Global Trade Item Numbers.

use std::fmt;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// A GTIN, kept as fourteen digits with leading zeros (GS1 General Specifications).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String)]
pub struct Gtin(String);

/// What is wrong with a text that should be a GTIN.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum GtinFault {
    /// Not 8, 12, 13 or 14 digits.
    #[error("has not 8, 12, 13 or 14 digits")]
    Length,
    /// The check digit does not follow from the others.
    #[error("ends in check digit {found}, the other digits ask for {right}")]
    CheckDigit {
        /// The last digit as given.
        found: u32,
        /// The digit that would be right.
        right: u32,
    },
}

/// The check digit of the digits before it: weights 3, 1, 3, ... from the right (GS1 General Specifications).
fn check_digit(digits: &[u32]) -> u32 {
    let sum: u32 =
        digits.iter().rev().zip([3, 1].into_iter().cycle()).map(|(digit, weight)| digit * weight).sum();
    (10 - sum % 10) % 10
}

impl Gtin {
    /// Reads a GTIN-8, -12, -13 or -14 and checks its last digit.
    pub fn parse(text: &str) -> Result<Self, GtinFault> {
        let text = text.trim();
        let digits: Option<Vec<u32>> = text.chars().map(|c| c.to_digit(10)).collect();
        let digits = digits.filter(|d| matches!(d.len(), 8 | 12 | 13 | 14)).ok_or(GtinFault::Length)?;
        let (before, last) = digits.split_at(digits.len() - 1);
        let right = check_digit(before);
        if last[0] != right {
            return Err(GtinFault::CheckDigit { found: last[0], right });
        }
        Ok(Self(format!("{text:0>14}")))
    }

    /// The fourteen digits.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Takes fourteen digits that were checked before, as a database gives them back.
    pub fn from_stored(text: impl Into<String>) -> Self {
        Self(text.into())
    }
}

impl fmt::Display for Gtin {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_check_digit_is_held_against_the_others() {
        // The worked example of the GS1 check digit calculation: 629104150021 gives 3.
        assert_eq!(Gtin::parse("6291041500213").unwrap().as_str(), "06291041500213");
        assert_eq!(Gtin::parse("6291041500214"), Err(GtinFault::CheckDigit { found: 4, right: 3 }));
        assert_eq!(Gtin::parse("629104150021"), Err(GtinFault::CheckDigit { found: 1, right: 4 }));
        assert_eq!(Gtin::parse("12345"), Err(GtinFault::Length));
        assert_eq!(Gtin::parse("62910415002x3"), Err(GtinFault::Length));
    }
}
