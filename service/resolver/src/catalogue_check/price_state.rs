//! Prices, rates, taxes and settings.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Currency, PartKey, PartKind, Price};

use super::finding::Finding;
use super::lookup::Lookup;
use super::money_fact::MoneyFact;

pub(super) fn check(lookup: &Lookup<'_>, available: &BTreeSet<&PartKey>, findings: &mut Vec<Finding>) {
    prices(lookup, available, findings);
    rates(lookup, findings);
    taxes(lookup, findings);
    let groups: BTreeSet<&Code> = lookup.rows.parts.iter().map(|part| &part.price_group).collect();
    for rule in &lookup.rows.price_rules {
        if let Some(price_group) = rule.price_group.as_ref().filter(|group| !groups.contains(group)) {
            let fact = MoneyFact::PriceGroupUnknown { price_group: price_group.clone() };
            findings.push(Finding::new("price_rules", &[rule.rule.as_str()], fact));
        }
    }
}

/// Parts that a rebuild may have to buy: what may stand at positions, kits, what comes along, fluids. A number that gave way
/// is bought under its new one.
fn needed<'a>(lookup: &Lookup<'a>) -> BTreeSet<&'a PartKey> {
    let rows = lookup.rows;
    let kits = rows.parts.iter().filter(|part| part.kind == PartKind::Kit && !part.retired);
    let mut parts: BTreeSet<&PartKey> = rows.candidates.iter().map(|row| &row.part).collect();
    parts.extend(kits.map(|part| &part.part));
    parts.extend(rows.companions.iter().map(|row| &row.companion));
    parts.extend(rows.fluids.iter().map(|row| &row.part));
    parts.retain(|part| lookup.notices_of(part, None).next().is_none());
    parts
}

fn prices(lookup: &Lookup<'_>, available: &BTreeSet<&PartKey>, findings: &mut Vec<Finding>) {
    for part in needed(lookup) {
        if lookup.is_priced(part) {
            continue;
        }
        let prices: &[&Price] = lookup.prices(part);
        let first_ahead = prices.iter().map(|price| price.valid_from).filter(|day| *day > lookup.as_of).min();
        let last_past =
            prices.iter().filter_map(|price| price.valid_to).filter(|day| *day < lookup.as_of).max();
        let (part_key, available) = (part.clone(), available.contains(part));
        let fact = match (last_past, first_ahead) {
            (Some(last_day), _) => MoneyFact::PriceExpired { part: part_key, last_day, available },
            (None, Some(first_day)) => MoneyFact::PriceNotYetValid { part: part_key, first_day },
            (None, None) => MoneyFact::PriceMissing { part: part_key, available },
        };
        findings.push(Finding::new("parts", &[part.as_str()], fact));
    }
}

fn rates(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    let rows = lookup.rows;
    let mut used: BTreeMap<&Currency, usize> = BTreeMap::new();
    let currencies = rows
        .prices
        .iter()
        .filter(|price| price.valid_to.is_none_or(|last| last >= lookup.as_of))
        .map(|price| &price.currency)
        .chain(rows.suppliers.iter().map(|supplier| &supplier.currency))
        .chain(rows.outside_work.iter().map(|work| &work.currency));
    for currency in currencies {
        *used.entry(currency).or_default() += 1;
    }
    let setting = rows.settings.iter().find(|setting| setting.setting.as_str() == "BASE-CURRENCY");
    let Some(base) = setting.and_then(|setting| Currency::parse(&setting.value)) else {
        if !used.is_empty() {
            findings.push(Finding::new("settings", &["BASE-CURRENCY"], MoneyFact::BaseCurrencyMissing {}));
        }
        return;
    };
    let rated: BTreeSet<&Currency> = rows
        .exchange_rates
        .iter()
        .filter(|rate| rate.valid_from <= lookup.as_of)
        .map(|rate| &rate.currency)
        .collect();
    for (currency, rows) in
        used.into_iter().filter(|(currency, _)| **currency != base && !rated.contains(currency))
    {
        let fact = MoneyFact::ExchangeRateMissing { currency: currency.clone(), base: base.clone(), rows };
        findings.push(Finding::new("exchange_rates", &[currency.as_str()], fact));
    }
}

fn taxes(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    let rows = lookup.rows;
    let rated: BTreeSet<&str> = rows
        .tax_rates
        .iter()
        .filter(|rate| rate.valid_from <= lookup.as_of)
        .map(|rate| rate.tax.as_str())
        .collect();
    let usual = rows
        .settings
        .iter()
        .filter(|setting| setting.setting.as_str() == "TAX")
        .filter_map(|setting| Some(("settings", "TAX", Code::parse(&setting.value).ok()?)));
    let of_customers = rows
        .customers
        .iter()
        .filter_map(|customer| Some(("customers", customer.customer.as_str(), customer.tax.clone()?)));
    for (sheet, key, tax) in usual.chain(of_customers) {
        if !rated.contains(tax.as_str()) {
            findings.push(Finding::new(sheet, &[key], MoneyFact::TaxUnknown { tax }));
        }
    }
}
