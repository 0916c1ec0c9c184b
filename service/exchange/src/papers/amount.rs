//! Money and quantities with what they are counted in, and part numbers with who gave them.

use catalogue::{Currency, Money, Quantity};
use serde::{Deserialize, Serialize};

use super::unit::Unit;
use super::value::{BadValue, Beside, Shape, Value, WrongValue, bad, plain_decimal};

/// Money in a currency.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Amount {
    /// How much, with up to four places.
    pub money: Money,
    /// In which currency (ISO 4217).
    pub currency: Currency,
}

/// Nothing, in `XXX`: no currency.
impl Default for Amount {
    fn default() -> Self {
        let currency = Currency::parse("XXX").expect("XXX is three capitals");
        Self { money: Money::ZERO, currency }
    }
}

impl Value for Amount {
    const SHAPE: Shape = Shape {
        wanted: "an amount with up to four places, such as 12.50",
        beside: Some(Beside { attribute: "currencyID", column: "currency", only: "" }),
    };

    fn read(text: &str, beside: Option<&str>) -> Result<Self, BadValue> {
        let money = plain_decimal(text)
            .and_then(|plain| Money::parse(&plain))
            .ok_or_else(|| bad(WrongValue::Decimal, "is no amount", Self::SHAPE.wanted))?;
        let currency = beside.ok_or_else(|| BadValue::missing(Currency::SHAPE.wanted).beside())?;
        Ok(Self { money, currency: Currency::read(currency, None).map_err(BadValue::beside)? })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.money.text(self.currency.places()), Some(self.currency.as_str().to_owned()))
    }
}

/// A quantity in a unit.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Measure {
    /// How many, with up to three places; never below zero.
    pub quantity: Quantity,
    /// Of what (UN/ECE Recommendation 20).
    pub unit: Unit,
}

impl Value for Measure {
    const SHAPE: Shape = Shape {
        wanted: "a number with up to three places, zero or more",
        beside: Some(Beside { attribute: "unitCode", column: "unit", only: "" }),
    };

    fn read(text: &str, beside: Option<&str>) -> Result<Self, BadValue> {
        let quantity = Quantity::read(text, None)?;
        let unit = beside.ok_or_else(|| BadValue::missing(Unit::SHAPE.wanted).beside())?;
        Ok(Self { quantity, unit: Unit::read(unit, None).map_err(BadValue::beside)? })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.quantity.to_string(), Some(self.unit.as_str().to_owned()))
    }
}

/// A part number with the scheme it belongs to.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct ItemNumber {
    /// The number.
    pub number: String,
    /// Whose number it is: the code of a maker, or `GTIN`; absent: the sender's own.
    pub scheme: Option<String>,
}

impl Value for ItemNumber {
    const SHAPE: Shape = Shape {
        wanted: "a part number",
        beside: Some(Beside { attribute: "schemeID", column: "scheme", only: "" }),
    };

    fn read(text: &str, beside: Option<&str>) -> Result<Self, BadValue> {
        let scheme = beside.map(|scheme| String::read(scheme, None)).transpose().map_err(BadValue::beside)?;
        Ok(Self { number: String::read(text, None)?, scheme })
    }

    fn write(&self) -> (String, Option<String>) {
        (self.number.write().0, self.scheme.as_ref().map(|scheme| scheme.write().0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::value::Side;

    #[test]
    fn money_is_written_with_the_places_of_its_currency() {
        let amount = Amount::read("24.5000", Some("EUR")).unwrap();
        assert_eq!(amount.write(), ("24.50".into(), Some("EUR".into())));
        assert_eq!(Amount::read("1500", Some("JPY")).unwrap().write().0, "1500");
        assert_eq!(Amount::read("0.0125", Some("EUR")).unwrap().write().0, "0.0125");
    }

    #[test]
    fn what_is_wrong_is_told_apart() {
        let wrong = |text, beside| {
            let bad = Amount::read(text, beside).unwrap_err();
            (bad.kind, bad.side)
        };
        assert_eq!(wrong("1.00001", Some("EUR")), (WrongValue::Decimal, Side::Text));
        assert_eq!(wrong("1", None), (WrongValue::Missing, Side::Beside));
        assert_eq!(wrong("1", Some("EURO")), (WrongValue::Currency, Side::Beside));
        let bad = Measure::read("1", Some("pcs")).unwrap_err();
        assert_eq!((bad.kind, bad.side), (WrongValue::Unit, Side::Beside));
    }
}
