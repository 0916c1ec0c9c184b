//! Quantities and percentages as exact decimals.

use std::fmt;
use std::ops::{Add, AddAssign, Sub};

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use utoipa::ToSchema;

/// Reads a decimal with at most `places` places into so many-th parts; `None` for anything else.
pub(crate) fn parse_decimal(text: &str, places: u32) -> Option<i64> {
    let text = text.trim();
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let only_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if whole.is_empty() || !only_digits(whole) || !only_digits(fraction) || digits.ends_with('.') {
        return None;
    }
    let fraction = fraction.trim_end_matches('0');
    let missing = (places as usize).checked_sub(fraction.len())?;
    let whole: i64 = whole.parse().ok()?;
    let fraction: i64 = if fraction.is_empty() { 0 } else { fraction.parse().ok()? };
    let value = whole
        .checked_mul(10_i64.checked_pow(places)?)?
        .checked_add(fraction.checked_mul(10_i64.checked_pow(u32::try_from(missing).ok()?)?)?)?;
    Some(if negative { -value } else { value })
}

/// Writes so many `10^-places` as a decimal without needless zeros.
pub(crate) fn decimal_text(raw: i64, places: u32) -> String {
    let scale = 10_u64.pow(places);
    let (sign, size) = (if raw < 0 { "-" } else { "" }, raw.unsigned_abs());
    let (whole, fraction) = (size / scale, size % scale);
    if fraction == 0 {
        return format!("{sign}{whole}");
    }
    let fraction = format!("{fraction:0width$}", width = places as usize);
    format!("{sign}{whole}.{}", fraction.trim_end_matches('0'))
}

macro_rules! thousandths {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Hash, ToSchema)]
        #[schema(value_type = String)]
        pub struct $name(i64);

        impl $name {
            /// Thousandths in one.
            pub const SCALE: i64 = 1_000;
            /// None.
            pub const ZERO: Self = Self(0);
            /// One.
            pub const ONE: Self = Self(Self::SCALE);

            /// So many thousandths.
            pub const fn from_raw(raw: i64) -> Self {
                Self(raw)
            }

            /// So many whole ones.
            pub const fn whole(count: i64) -> Self {
                Self(count.saturating_mul(Self::SCALE))
            }

            /// The value in thousandths.
            pub const fn raw(self) -> i64 {
                self.0
            }

            /// Reads a decimal with up to three places.
            pub fn parse(text: &str) -> Option<Self> {
                parse_decimal(text, 3).map(Self)
            }

            /// The product of two, `None` past the range; rounded half away from zero.
            pub fn times(self, other: Self) -> Option<Self> {
                let product = i128::from(self.0) * i128::from(other.0);
                let half = i128::from(Self::SCALE / 2) * if product < 0 { -1 } else { 1 };
                i64::try_from((product + half) / i128::from(Self::SCALE)).ok().map(Self)
            }
        }

        impl Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0.saturating_add(other.0))
            }
        }

        impl Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0.saturating_sub(other.0))
            }
        }

        impl AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(amounts: I) -> Self {
                amounts.fold(Self::ZERO, Add::add)
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str(&decimal_text(self.0, 3))
            }
        }

        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(self)
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let text = String::deserialize(deserializer)?;
                Self::parse(&text).ok_or_else(|| {
                    serde::de::Error::custom(format!("`{text}` is not a decimal with up to three places"))
                })
            }
        }
    };
}

thousandths! {
    /// A quantity in the unit of measure of its part (pieces, litres) or in hours, in thousandths.
    Quantity
}
thousandths! {
    /// A percentage in thousandths of a per cent.
    Percent
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_quantity_is_read_and_written_exactly() {
        for (text, shown) in [("2", "2"), ("2.50", "2.5"), ("-0.125", "-0.125"), ("0", "0")] {
            assert_eq!(Quantity::parse(text).unwrap().to_string(), shown);
        }
        for wrong in ["", ".5", "5.", "1.2345", "+1", "1 000", "9223372036854775807"] {
            assert_eq!(Quantity::parse(wrong), None, "{wrong}");
        }
    }

    #[test]
    fn a_product_of_quantities_stays_in_thousandths() {
        let half = Quantity::parse("2.5").unwrap();
        assert_eq!(half.times(Quantity::whole(3)), Quantity::parse("7.5"));
        assert_eq!(Quantity::from_raw(i64::MAX).times(Quantity::whole(2)), None);
    }
}
