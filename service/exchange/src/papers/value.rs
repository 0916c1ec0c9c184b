//! How one value of a paper stands in text: an element with at most one attribute, or one or two cells.

use catalogue::cell::TEXT_LENGTH_MAX;
use catalogue::{Currency, Gtin, Quantity};
use chrono::NaiveDate;

use super::currency_codes;

/// Which of its two texts a value cannot be read from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The text itself.
    Text,
    /// The text beside it: a unit, a currency.
    Beside,
}

/// What sort of thing is wrong with a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrongValue {
    /// Nothing stands where something must.
    Missing,
    /// Longer than any text may be.
    TooLong,
    /// No decimal, or one with too many places.
    Decimal,
    /// No day of the calendar.
    Date,
    /// No unit of UN/ECE Recommendation 20.
    Unit,
    /// No currency of ISO 4217.
    Currency,
    /// Below zero.
    Negative,
    /// Anything else.
    Other,
}

/// Why a text is not a value.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BadValue {
    /// What sort of thing is wrong.
    pub kind: WrongValue,
    /// Which of the two texts it is.
    pub side: Side,
    /// What is wrong, to be read after the text.
    pub wrong: String,
    /// What would be right, as a request.
    pub right: String,
}

impl BadValue {
    fn new(kind: WrongValue, wrong: impl Into<String>, right: impl Into<String>) -> Self {
        Self { kind, side: Side::Text, wrong: wrong.into(), right: right.into() }
    }

    pub(super) fn beside(mut self) -> Self {
        self.side = Side::Beside;
        self
    }

    /// A text that is empty or absent.
    pub(crate) fn missing(wanted: &str) -> Self {
        Self::new(WrongValue::Missing, "is empty", format!("write {wanted}"))
    }
}

/// The text that stands beside the text of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Beside {
    /// The XML attribute.
    pub attribute: &'static str,
    /// What the name of its CSV column ends in; empty: it has no column.
    pub column: &'static str,
    /// What it must be for the value to be ours; empty: anything.
    pub only: &'static str,
}

/// How a kind of value is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    /// What a person should write.
    pub wanted: &'static str,
    /// The text beside it.
    pub beside: Option<Beside>,
}

/// A value that stands in one element.
pub trait Value: Sized {
    /// How it is written.
    const SHAPE: Shape;
    /// Reads it from its text and the text beside it; both are trimmed, and an empty text is never given.
    ///
    /// # Errors
    ///
    /// The text is no such value.
    fn read(text: &str, beside: Option<&str>) -> Result<Self, BadValue>;
    /// Its text, and the text beside it.
    fn write(&self) -> (String, Option<String>);
}

/// What is wrong with a text that must hold characters of a line or paragraph.
fn text_fault(text: &str) -> Option<BadValue> {
    let wanted = String::SHAPE.wanted;
    if text.chars().count() > TEXT_LENGTH_MAX {
        return Some(BadValue::new(WrongValue::TooLong, "is too long", format!("write {wanted}")));
    }
    let odd = |c: char| (c.is_control() && !matches!(c, '\n' | '\t')) || matches!(c, '\u{fffe}' | '\u{ffff}');
    text.chars()
        .find(|c| odd(*c))
        .map(|_| BadValue::new(WrongValue::Other, "holds a control character", format!("write {wanted}")))
}

/// A text as it is kept: trimmed, its lines ended by a line feed alone.
pub(crate) fn kept_text(text: &str) -> String {
    let text = text.trim();
    if text.contains('\r') { text.replace("\r\n", "\n").replace('\r', "\n") } else { text.to_owned() }
}

impl Value for String {
    const SHAPE: Shape = Shape { wanted: "text of at most 2000 characters", beside: None };

    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        let text = kept_text(text);
        match text_fault(&text) {
            Some(fault) => Err(fault),
            None if text.is_empty() => Err(BadValue::missing(Self::SHAPE.wanted)),
            None => Ok(text),
        }
    }

    fn write(&self) -> (String, Option<String>) {
        (kept_text(self), None)
    }
}

impl Value for NaiveDate {
    const SHAPE: Shape = Shape { wanted: "a day as YYYY-MM-DD", beside: None };

    /// Reads an XML Schema `date`; the time zone that may follow is dropped, since a day in the shop's calendar is meant.
    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        let fault = || BadValue::new(WrongValue::Date, "is no day", format!("write {}", Self::SHAPE.wanted));
        let day = text.get(..10).ok_or_else(fault)?;
        let is_shaped = day.bytes().enumerate().all(|(at, byte)| match at {
            4 | 7 => byte == b'-',
            _ => byte.is_ascii_digit(),
        });
        let zone = &text.as_bytes()[10..];
        let is_zone = match zone {
            [] | [b'Z'] => true,
            [b'+' | b'-', a, b, b':', c, d] => [a, b, c, d].into_iter().all(u8::is_ascii_digit),
            _ => false,
        };
        if !is_shaped || !is_zone {
            return Err(fault());
        }
        Self::parse_from_str(day, "%Y-%m-%d").map_err(|_| fault())
    }

    fn write(&self) -> (String, Option<String>) {
        (self.format("%Y-%m-%d").to_string(), None)
    }
}

impl Value for bool {
    const SHAPE: Shape = Shape { wanted: "`true` or `false`", beside: None };

    /// Reads an XML Schema `boolean`.
    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        match text {
            "true" | "1" => Ok(true),
            "false" | "0" => Ok(false),
            _ => Err(BadValue::new(WrongValue::Other, "is neither yes nor no", "write `true` or `false`")),
        }
    }

    fn write(&self) -> (String, Option<String>) {
        (self.to_string(), None)
    }
}

impl Value for Currency {
    const SHAPE: Shape = Shape { wanted: "an ISO 4217 code, such as EUR", beside: None };

    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        Self::parse(text).filter(|code| currency_codes::contains(code.as_str())).ok_or_else(|| {
            let right = format!("write {}", Self::SHAPE.wanted);
            BadValue::new(WrongValue::Currency, "is no currency of ISO 4217", right)
        })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.as_str().to_owned(), None)
    }
}

impl Value for Gtin {
    const SHAPE: Shape = Shape {
        wanted: "a GTIN of 8, 12, 13 or 14 digits with a right check digit",
        beside: Some(Beside { attribute: "schemeID", column: "", only: "GTIN" }),
    };

    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        Self::parse(text).map_err(|fault| {
            BadValue::new(WrongValue::Other, fault.to_string(), format!("write {}", Self::SHAPE.wanted))
        })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.as_str().to_owned(), Some("GTIN".into()))
    }
}

impl Value for Quantity {
    const SHAPE: Shape = Shape { wanted: "a number with up to three places, zero or more", beside: None };

    fn read(text: &str, _: Option<&str>) -> Result<Self, BadValue> {
        let right = format!("write {}", Self::SHAPE.wanted);
        match plain_decimal(text).and_then(|plain| Self::parse(&plain)) {
            Some(value) if value < Self::ZERO => {
                Err(BadValue::new(WrongValue::Negative, "is below zero", right))
            }
            Some(value) => Ok(value),
            None => Err(BadValue::new(WrongValue::Decimal, "is no number of this kind", right)),
        }
    }

    fn write(&self) -> (String, Option<String>) {
        (self.to_string(), None)
    }
}

/// An XML Schema `decimal` (`+1`, `.5`, `5.`) with digits on both sides of its point and no plus; `None` for anything else.
pub(super) fn plain_decimal(text: &str) -> Option<String> {
    let unsigned = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (whole, fraction) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole) || !digits(fraction) || (whole.is_empty() && fraction.is_empty()) {
        return None;
    }
    let sign = if text.starts_with('-') { "-" } else { "" };
    let whole = if whole.is_empty() { "0" } else { whole };
    let fraction = if fraction.is_empty() { "0" } else { fraction };
    Some(format!("{sign}{whole}.{fraction}"))
}

/// A fault of an amount, for the kinds of this folder that are made of a decimal and a code.
pub(super) fn bad(kind: WrongValue, wrong: &str, wanted: &str) -> BadValue {
    BadValue::new(kind, wrong, format!("write {wanted}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_of_xml_schema_are_read() {
        for (text, plain) in
            [("+1", "1.0"), (".5", "0.5"), ("5.", "5.0"), ("-0.25", "-0.25"), ("007", "007.0")]
        {
            assert_eq!(plain_decimal(text).as_deref(), Some(plain));
        }
        for wrong in ["", ".", "1e3", "1,5", "--1", "+-1", "INF", "1 0", "٣"] {
            assert_eq!(plain_decimal(wrong), None, "{wrong}");
        }
        assert_eq!(Quantity::read("-1", None).unwrap_err().kind, WrongValue::Negative);
        assert_eq!(Quantity::read("1.0001", None).unwrap_err().kind, WrongValue::Decimal);
    }

    #[test]
    fn a_day_may_carry_a_zone_and_nothing_else() {
        let day = NaiveDate::from_ymd_opt(2026, 2, 28).unwrap();
        for text in ["2026-02-28", "2026-02-28Z", "2026-02-28+01:00", "2026-02-28-05:30"] {
            assert_eq!(NaiveDate::read(text, None), Ok(day));
        }
        for wrong in
            ["2026-02-30", "28.02.2026", "2026-2-28", "2026-02-28T00:00:00", "2026-02-28+1", "é026-02-28"]
        {
            assert_eq!(NaiveDate::read(wrong, None).unwrap_err().kind, WrongValue::Date, "{wrong}");
        }
    }

    #[test]
    fn a_text_keeps_its_words_and_loses_its_edges() {
        assert_eq!(String::read(" a\r\nb\rc ", None).unwrap(), "a\nb\nc");
        assert_eq!(String::read("a\u{0}", None).unwrap_err().kind, WrongValue::Other);
        assert_eq!(String::read(&"x".repeat(2_001), None).unwrap_err().kind, WrongValue::TooLong);
    }

    #[test]
    fn a_currency_is_one_of_the_list() {
        assert!(Currency::read("EUR", None).is_ok());
        for wrong in ["EUQ", "eur", "€", "EURO"] {
            assert_eq!(Currency::read(wrong, None).unwrap_err().kind, WrongValue::Currency, "{wrong}");
        }
    }
}
