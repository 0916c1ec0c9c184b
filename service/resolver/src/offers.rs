//! What can be bought on the day of asking, in the base currency.

use std::collections::BTreeMap;

use catalogue::{Code, Currency, Money, Price, PriceBook, Quantity, Rate};
use chrono::NaiveDate;

use crate::graph::{Graph, PartIx};
use crate::request::Request;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// A part or kit as one supplier sells it today; where packs, least quantities or lead times differ by quantity, an offer
/// each.
#[derive(Debug, Clone)]
pub(crate) struct Offer<'a> {
    /// Index of the supplier in the price book.
    pub(crate) supplier: usize,
    /// The part or kit.
    pub(crate) part: PartIx,
    /// Sold in multiples of this.
    pub(crate) pack: Quantity,
    /// Least quantity: never below the first price's.
    pub(crate) minimum: Quantity,
    /// Days until it is here.
    pub(crate) lead_days: i64,
    /// Prices from a quantity on, rising.
    pub(crate) tiers: Vec<OfferTier<'a>>,
}

/// A price from a quantity on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct OfferTier<'a> {
    /// The quantity.
    pub(crate) from: Quantity,
    /// The currency of price and deposit.
    pub(crate) currency: &'a Currency,
    /// Price of one.
    pub(crate) price: Money,
    /// Deposit on one.
    pub(crate) deposit: Money,
    /// Price of one in the base currency.
    pub(crate) base_price: Money,
    /// Deposit on one in the base currency.
    pub(crate) base_deposit: Money,
}

impl<'a> Offer<'a> {
    /// The tier that a quantity reaches.
    pub(crate) fn tier(&self, quantity: Quantity) -> OfferTier<'a> {
        *self.tiers.iter().rev().find(|tier| tier.from <= quantity).unwrap_or(&self.tiers[0])
    }
}

/// Exchange rates of the day.
#[derive(Debug)]
pub(crate) struct Rates<'a> {
    /// The base currency.
    pub(crate) base: Currency,
    by_currency: BTreeMap<&'a Currency, Rate>,
}

impl<'a> Rates<'a> {
    /// The rates as of a day.
    pub(crate) fn new(book: &'a PriceBook, as_of: NaiveDate) -> Result<Self, RequestFault> {
        let text = setting(book, "BASE-CURRENCY")?;
        let base = Currency::parse(text).ok_or_else(|| {
            RequestFault::new(
                RequestFaultKind::MissingSetting,
                "",
                format!("the setting BASE-CURRENCY is `{text}`, it should be an ISO 4217 code such as EUR"),
            )
        })?;
        let mut by_currency = BTreeMap::new();
        // The rows are sorted by currency and day, so the last that is not after the day stands.
        for row in book.exchange_rates.iter().filter(|row| row.valid_from <= as_of) {
            by_currency.insert(&row.currency, row.rate);
        }
        Ok(Self { base, by_currency })
    }

    /// An amount in the base currency.
    pub(crate) fn to_base(&self, amount: Money, currency: &Currency) -> Result<Money, RequestFault> {
        if *currency == self.base {
            return Ok(amount);
        }
        let rate = self.by_currency.get(currency).and_then(|rate| rate.convert(amount));
        rate.ok_or_else(|| {
            RequestFault::new(
                RequestFaultKind::MissingSetting,
                "",
                format!("there is no exchange rate from {currency} to {} on the day asked for", self.base),
            )
        })
    }
}

/// A setting of the shop.
pub(crate) fn setting<'a>(book: &'a PriceBook, name: &str) -> Result<&'a str, RequestFault> {
    optional_setting(book, name).ok_or_else(|| {
        RequestFault::new(
            RequestFaultKind::MissingSetting,
            "",
            format!("the shop's setting {name} is missing; import it with settings.csv"),
        )
    })
}

/// A setting of the shop that has a usual value.
pub(crate) fn optional_setting<'a>(book: &'a PriceBook, name: &str) -> Option<&'a str> {
    book.settings.iter().find(|row| row.setting.as_str() == name).map(|row| row.value.as_str())
}

/// All offers that hold on the day, without what the request rules out.
pub(crate) fn offers<'a>(
    graph: &Graph<'a>,
    book: &'a PriceBook,
    rates: &Rates<'_>,
    request: &Request,
) -> Result<Vec<Offer<'a>>, RequestFault> {
    let mut offers: Vec<Offer<'a>> = Vec::new();
    let mut of: BTreeMap<(usize, PartIx, Quantity, Quantity, i64), usize> = BTreeMap::new();
    let mut standing: BTreeMap<(usize, PartIx, Quantity), &'a Price> = BTreeMap::new();
    for row in &book.prices {
        let valid = row.valid_from <= request.as_of && row.valid_to.is_none_or(|to| request.as_of <= to);
        let Some(part) = graph.find(&row.part).filter(|_| valid) else { continue };
        if request.without_parts.contains(&row.part) || request.without_suppliers.contains(&row.supplier) {
            continue;
        }
        let Some(supplier) = supplier_index(book, &row.supplier) else { continue };
        // Rows are sorted by quantity, then by first day: of two prices from one quantity the later stands.
        standing.insert((supplier, part, row.quantity_from), row);
    }
    for ((supplier, part, from), row) in standing {
        let deposit = row.deposit.unwrap_or(Money::ZERO);
        let tier = OfferTier {
            from,
            currency: &row.currency,
            price: row.price,
            deposit,
            base_price: rates.to_base(row.price, &row.currency)?,
            base_deposit: rates.to_base(deposit, &row.currency)?,
        };
        let terms = (supplier, part, row.pack, row.minimum, row.lead_days);
        let at = *of.entry(terms).or_insert_with(|| {
            offers.push(Offer {
                supplier,
                part,
                pack: row.pack,
                minimum: row.minimum.max(from),
                lead_days: row.lead_days,
                tiers: Vec::new(),
            });
            offers.len() - 1
        });
        offers[at].tiers.push(tier);
    }
    offers.sort_by_key(|offer| (offer.part, offer.supplier, offer.minimum));
    Ok(offers)
}

/// The index of a supplier in the price book.
pub(crate) fn supplier_index(book: &PriceBook, supplier: &Code) -> Option<usize> {
    book.suppliers.binary_search_by(|row| row.supplier.cmp(supplier)).ok()
}
