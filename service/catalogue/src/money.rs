//! Money: exact decimals in a stated currency.

use std::fmt;
use std::ops::{Add, AddAssign, Sub};

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use utoipa::ToSchema;

use crate::quantity::{decimal_text, parse_decimal};

/// An amount in ten-thousandths of a currency unit.
///
/// Four places hold every ISO 4217 minor unit and the prices of small parts. Text on every edge, never a float.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, ToSchema)]
#[schema(value_type = String)]
pub struct Money(i64);

impl Money {
    /// Ten-thousandths in one unit of currency.
    pub const SCALE: i64 = 10_000;
    /// No money.
    pub const ZERO: Self = Self(0);

    /// The amount of so many ten-thousandths.
    pub const fn from_raw(raw: i64) -> Self {
        Self(raw)
    }

    /// The amount in ten-thousandths.
    pub const fn raw(self) -> i64 {
        self.0
    }

    /// Reads a decimal with up to four places.
    pub fn parse(text: &str) -> Option<Self> {
        parse_decimal(text, 4).map(Self)
    }

    /// The amount rounded half away from zero to the minor unit of a currency with so many places.
    pub fn rounded(self, places: u32) -> Self {
        let unit = 10_i64.pow(4_u32.saturating_sub(places));
        let half = if self.0 < 0 { -(unit / 2) } else { unit / 2 };
        Self((self.0.saturating_add(half)) / unit * unit)
    }

    /// The product with a ratio, rounded half away from zero; `None` past the range.
    pub fn times(self, numerator: i64, denominator: i64) -> Option<Self> {
        let product = i128::from(self.0) * i128::from(numerator);
        let denominator = i128::from(denominator);
        if denominator <= 0 {
            return None;
        }
        let half = if product < 0 { -(denominator / 2) } else { denominator / 2 };
        i64::try_from((product + half) / denominator).ok().map(Self)
    }

    /// The amount with the places of a currency (`12.50`), or more where the amount needs them.
    pub fn text(self, places: u32) -> String {
        let full = decimal_text(self.0, 4);
        let (whole, fraction) = full.split_once('.').unwrap_or((full.as_str(), ""));
        if places == 0 && fraction.is_empty() {
            return whole.to_owned();
        }
        format!("{whole}.{fraction:0<width$}", width = places as usize)
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl std::iter::Sum for Money {
    fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
        amounts.fold(Self::ZERO, Add::add)
    }
}

impl fmt::Display for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text(2))
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).ok_or_else(|| {
            serde::de::Error::custom(format!("`{text}` is not a decimal with up to four places"))
        })
    }
}

/// A currency by its ISO 4217 code.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, ToSchema)]
#[serde(transparent)]
#[schema(value_type = String)]
pub struct Currency(String);

/// Currencies whose minor unit is not a hundredth, with the places of their minor unit (ISO 4217, from memory).
const UNUSUAL_PLACES: &[(&str, u32)] = &[
    ("BHD", 3),
    ("BIF", 0),
    ("CLF", 4),
    ("CLP", 0),
    ("DJF", 0),
    ("GNF", 0),
    ("IQD", 3),
    ("ISK", 0),
    ("JOD", 3),
    ("JPY", 0),
    ("KMF", 0),
    ("KRW", 0),
    ("KWD", 3),
    ("LYD", 3),
    ("OMR", 3),
    ("PYG", 0),
    ("RWF", 0),
    ("TND", 3),
    ("UGX", 0),
    ("UYW", 4),
    ("VND", 0),
    ("VUV", 0),
    ("XAF", 0),
    ("XOF", 0),
    ("XPF", 0),
];

impl Currency {
    /// Reads a code of three capital letters.
    pub fn parse(text: &str) -> Option<Self> {
        let text = text.trim();
        (text.len() == 3 && text.bytes().all(|b| b.is_ascii_uppercase())).then(|| Self(text.to_owned()))
    }

    /// The code.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Decimal places of the minor unit.
    pub fn places(&self) -> u32 {
        UNUSUAL_PLACES.iter().find(|(code, _)| *code == self.0).map_or(2, |(_, places)| *places)
    }
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// An exchange rate: base currency for one unit of another, in hundred-millionths.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, ToSchema)]
#[schema(value_type = String)]
pub struct Rate(i64);

impl Rate {
    /// Hundred-millionths in one.
    pub const SCALE: i64 = 100_000_000;
    /// One for one.
    pub const ONE: Self = Self(Self::SCALE);

    /// The rate of so many hundred-millionths.
    pub const fn from_raw(raw: i64) -> Self {
        Self(raw)
    }

    /// The rate in hundred-millionths.
    pub const fn raw(self) -> i64 {
        self.0
    }

    /// Reads a decimal with up to eight places.
    pub fn parse(text: &str) -> Option<Self> {
        parse_decimal(text, 8).map(Self)
    }

    /// An amount of the other currency in the base currency, rounded to a ten-thousandth.
    pub fn convert(self, amount: Money) -> Option<Money> {
        amount.times(self.0, Self::SCALE)
    }
}

impl fmt::Display for Rate {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&decimal_text(self.0, 8))
    }
}

impl Serialize for Rate {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Rate {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        Self::parse(&text).ok_or_else(|| {
            serde::de::Error::custom(format!("`{text}` is not a decimal with up to eight places"))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn money_is_read_and_written_exactly() {
        for (text, shown) in [("12.5", "12.50"), ("0.0001", "0.0001"), ("-3", "-3.00"), ("7.125", "7.125")] {
            assert_eq!(Money::parse(text).unwrap().to_string(), shown);
        }
        for wrong in ["", "1,5", "1.23456", "1e3", "NaN", "--1", "99999999999999999999"] {
            assert_eq!(Money::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn money_is_rounded_half_away_from_zero_to_the_minor_unit() {
        let cents = |text: &str, places| Money::parse(text).unwrap().rounded(places).text(places);
        assert_eq!(cents("1.005", 2), "1.01");
        assert_eq!(cents("-1.005", 2), "-1.01");
        assert_eq!(cents("1.4999", 0), "1");
        assert_eq!(cents("1.5", 0), "2");
    }

    #[test]
    fn a_rate_converts_with_one_rounding() {
        let rate = Rate::parse("0.91234567").unwrap();
        assert_eq!(rate.convert(Money::parse("100").unwrap()).unwrap().text(4), "91.2346");
        assert_eq!(Money::from_raw(i64::MAX).times(2, 1), None);
    }

    #[test]
    fn a_currency_has_three_capitals_and_its_places() {
        assert_eq!(Currency::parse("EUR").unwrap().places(), 2);
        assert_eq!(Currency::parse("JPY").unwrap().places(), 0);
        assert_eq!(Currency::parse("eur"), None);
    }
}
