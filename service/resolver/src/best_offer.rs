//! Who sells a part, loose, for least money on a day.

use catalogue::{Code, Currency, Money, PartKey, Price, PriceBook, Quantity};
use chrono::NaiveDate;

use crate::offers::Rates;
use crate::request_fault::RequestFault;

/// What a supplier asks for so many of a part.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BestOffer {
    /// The supplier.
    pub supplier: Code,
    /// How many must be bought: whole packs, and not less than the least order.
    pub quantity: Quantity,
    /// The offer's currency.
    pub currency: Currency,
    /// Price of one.
    pub price: Money,
    /// Deposit on one, given back for the old part.
    pub deposit: Money,
    /// Price of one in the base currency, without the deposit.
    pub unit_value: Money,
    /// Days until it is here.
    pub lead_days: i64,
}

/// The offer that brings at least so many of a part for the least money in the base currency, deposits apart; of equal ones
/// the earliest, then that of the first supplier by code. `from` leaves only that supplier's offers. What an order costs is
/// not counted. `None` where nobody sells it on that day.
///
/// # Errors
/// [`crate::RequestFaultKind::MissingSetting`] where the base currency or an exchange rate is not known.
pub fn best_offer(
    book: &PriceBook,
    part: &PartKey,
    wanted: Quantity,
    from: Option<&Code>,
    as_of: NaiveDate,
) -> Result<Option<BestOffer>, RequestFault> {
    let rates = Rates::new(book, as_of)?;
    let mut best: Option<(Money, i64, BestOffer)> = None;
    for supplier in book.suppliers.iter().filter(|row| from.is_none_or(|from| row.supplier == *from)) {
        let valid = |row: &&Price| {
            row.part == *part
                && row.supplier == supplier.supplier
                && row.valid_from <= as_of
                && row.valid_to.is_none_or(|to| as_of <= to)
        };
        let rows: Vec<&Price> = book.prices.iter().filter(valid).collect();
        for row in &rows {
            let quantity = whole_packs(wanted.max(row.minimum).max(row.quantity_from), row.pack);
            // A tier is asked for what it reaches; of two rows for one quantity the later stands.
            let stands = rows
                .iter()
                .filter(|other| other.quantity_from <= quantity)
                .max_by_key(|other| (other.quantity_from, other.valid_from));
            if !stands.is_some_and(|other| std::ptr::eq(*other, *row)) {
                continue;
            }
            let unit_value = rates.to_base(row.price, &row.currency)?;
            let Some(cost) = unit_value.times(quantity.raw(), Quantity::SCALE) else { continue };
            let offer = BestOffer {
                supplier: row.supplier.clone(),
                quantity,
                currency: row.currency.clone(),
                price: row.price,
                deposit: row.deposit.unwrap_or(Money::ZERO),
                unit_value,
                lead_days: row.lead_days,
            };
            if best.as_ref().is_none_or(|(least, days, _)| (cost, row.lead_days) < (*least, *days)) {
                best = Some((cost, row.lead_days, offer));
            }
        }
    }
    Ok(best.map(|(_, _, offer)| offer))
}

fn whole_packs(wanted: Quantity, pack: Quantity) -> Quantity {
    let pack = pack.raw().max(1);
    let packs = wanted.raw() / pack + i64::from(wanted.raw() % pack > 0);
    Quantity::from_raw(packs.saturating_mul(pack))
}

#[cfg(test)]
mod tests {
    use catalogue::{ExchangeRate, Rate, Setting, Supplier};

    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn price(supplier: &str, from: i64, price: &str, pack: i64, minimum: i64, currency: &str) -> Price {
        Price {
            supplier: Code::from_stored(supplier),
            part: PartKey::from_stored("M/A"),
            quantity_from: Quantity::whole(from),
            valid_from: day("2020-01-01"),
            valid_to: None,
            currency: Currency::parse(currency).unwrap(),
            price: Money::parse(price).unwrap(),
            pack: Quantity::whole(pack),
            minimum: Quantity::whole(minimum),
            lead_days: 3,
            deposit: None,
        }
    }

    fn book(prices: Vec<Price>) -> PriceBook {
        let supplier = |code: &str| Supplier {
            supplier: Code::from_stored(code),
            name: code.to_owned(),
            currency: Currency::parse("EUR").unwrap(),
            order_cost: Money::ZERO,
        };
        PriceBook {
            suppliers: vec![supplier("OSTREL"), supplier("SKARNE")],
            prices,
            exchange_rates: vec![ExchangeRate {
                currency: Currency::parse("SEK").unwrap(),
                valid_from: day("2020-01-01"),
                rate: Rate::parse("0.1").unwrap(),
                source: "test".to_owned(),
            }],
            settings: vec![Setting { setting: Code::from_stored("BASE-CURRENCY"), value: "EUR".to_owned() }],
            ..PriceBook::default()
        }
    }

    fn found(book: &PriceBook, wanted: i64, from: Option<&str>) -> Option<(String, String, String)> {
        let from = from.map(Code::from_stored);
        let part = PartKey::from_stored("M/A");
        let best =
            best_offer(book, &part, Quantity::whole(wanted), from.as_ref(), day("2026-01-01")).unwrap()?;
        Some((best.supplier.to_string(), best.quantity.to_string(), best.unit_value.to_string()))
    }

    fn told(supplier: &str, quantity: &str, value: &str) -> Option<(String, String, String)> {
        Some((supplier.to_owned(), quantity.to_owned(), value.to_owned()))
    }

    #[test]
    fn packs_minimums_and_quantity_breaks_are_counted() {
        let book = book(vec![
            price("OSTREL", 1, "10", 1, 1, "EUR"),
            price("OSTREL", 5, "4", 1, 1, "EUR"),
            price("SKARNE", 1, "60", 2, 4, "SEK"),
        ]);
        assert_eq!(found(&book, 1, None), told("OSTREL", "1", "10.00"));
        // Five at four are less than three at ten, or four at six.
        assert_eq!(found(&book, 3, None), told("OSTREL", "5", "4.00"));
        assert_eq!(found(&book, 3, Some("SKARNE")), told("SKARNE", "4", "6.00"));
        assert_eq!(found(&book, 5, Some("SKARNE")), told("SKARNE", "6", "6.00"));
        assert_eq!(found(&book, 1, Some("PELLWORTH")), None);
    }
}
