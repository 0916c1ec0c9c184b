//! What a supplier sells, as the shop knows it, as a catalogue document.

use std::collections::BTreeMap;

use catalogue::{Part, PartKey, Price as PriceRow, Quantity, Snapshot, UnitOfMeasure};
use chrono::NaiveDate;
use exchange::papers::{
    Amount, Catalogue, CatalogueLine, CataloguePrice, ItemNumber, ItemProperty, Measure, Party, Period,
    Price, RelatedItem, Unit,
};

use super::error::PaperError;
use super::format::{PaperFormat, write};
use super::item::{item_of, measure};
use super::order_out::SHOP_NAME;
use crate::shop::Shop;

/// A piece of a supplier's catalogue.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CataloguePiece {
    /// The document.
    pub text: String,
    /// The part behind which the next piece starts; `None` where this is the last one.
    pub next_after: Option<String>,
}

/// The catalogue of a supplier behind a part, at most so many lines: each part and kit that it sells, with its prices, its
/// list, what comes along and what stands for it.
pub async fn write_catalogue(
    shop: &Shop,
    supplier: &str,
    (after, limit): (Option<&str>, u64),
    as_of: NaiveDate,
    format: PaperFormat,
) -> Result<CataloguePiece, PaperError> {
    let suppliers = shop.store().load_prices(&[], None).await?.suppliers;
    let known = suppliers.iter().find(|row| row.supplier.as_str().eq_ignore_ascii_case(supplier.trim()));
    let Some(known) = known else {
        return Err(PaperError::SupplierNotFound {
            written: supplier.to_owned(),
            known: suppliers.iter().map(|row| row.supplier.to_string()).collect(),
        });
    };
    let mut keys = shop.store().parts_of_supplier(&known.supplier, after, limit.saturating_add(1)).await?;
    let more = keys.len() as u64 > limit;
    keys.truncate(usize::try_from(limit).unwrap_or(usize::MAX));
    let next_after = keys.last().filter(|_| more).map(ToString::to_string);
    let family = shop.store().load_part_families(&keys).await?;
    let book = shop.store().load_prices(&keys, None).await?;
    let companions = shop.store().companions_of(&keys).await?;
    let mut prices: BTreeMap<&PartKey, Vec<&PriceRow>> = BTreeMap::new();
    for price in book.prices.iter().filter(|price| price.supplier == known.supplier) {
        prices.entry(&price.part).or_default().push(price);
    }
    let parts: BTreeMap<&PartKey, &Part> = family.parts.iter().map(|part| (&part.part, part)).collect();
    let lines = keys.iter().filter_map(|key| {
        let prices = prices.get(key).map_or(&[] as &[_], Vec::as_slice);
        let along = companions.iter().filter(|row| row.part == *key);
        let along = along.map(|row| related(&parts, &row.companion, row.quantity)).collect();
        Some(line(&family, &parts, parts.get(key)?, prices, along))
    });
    let mut lines: Vec<CatalogueLine> = lines.collect();
    for (at, line) in lines.iter_mut().enumerate() {
        line.number = (at + 1).to_string();
    }
    let paper = Catalogue {
        number: format!("{}-{}-{}", known.supplier, as_of, book.price_revision),
        name: Some(format!("What {} sells", known.name)),
        issued: as_of,
        provider: Party { code: Some(known.supplier.as_str().to_owned()), name: Some(known.name.clone()) },
        receiver: Party { code: None, name: Some(SHOP_NAME.to_owned()) },
        lines,
        ..Catalogue::default()
    };
    Ok(CataloguePiece { text: write(&paper, format)?, next_after })
}

fn line(
    family: &Snapshot,
    parts: &BTreeMap<&PartKey, &Part>,
    part: &Part,
    prices: &[&PriceRow],
    companions: Vec<RelatedItem>,
) -> CatalogueLine {
    let mut item = item_of(part);
    let notice = family.supersessions.iter().find(|row| row.old == part.part);
    let told = [
        ("kind", Some(part.kind.word())),
        ("class", Some(part.class.word())),
        ("price_group", Some(part.price_group.as_str())),
        ("interchange", notice.map(|row| row.interchange.word())),
        ("notice", notice.map(|row| row.notice.as_str())),
    ];
    let told = told.into_iter().filter_map(|(name, value)| Some((name, value?)));
    item.properties = told
        .map(|(name, value)| ItemProperty { property: name.to_owned(), value: Some(value.to_owned()) })
        .collect();
    let first = prices.first();
    let contents = family.kit_lines.iter().filter(|row| row.kit == part.part);
    let successors = family.supersessions.iter().filter(|row| row.old == part.part);
    CatalogueLine {
        orderable: Some(!part.retired),
        orderable_unit: Some(Unit::from(part.measure)),
        increment: first.map(|price| price.pack),
        minimum: first.map(|price| measure(price.minimum, part.measure)),
        valid: notice.map(|row| Period { from: Some(row.effective_from), to: None }),
        components: contents.map(|row| related(parts, &row.part, row.quantity)).collect(),
        companions,
        replaced_by: successors.map(|row| related(parts, &row.new, row.quantity)).collect(),
        prices: prices.iter().map(|price| price_of(price, part.measure)).collect(),
        item,
        ..CatalogueLine::default()
    }
}

fn related(parts: &BTreeMap<&PartKey, &Part>, key: &PartKey, quantity: Quantity) -> RelatedItem {
    let (maker, number) = match parts.get(key) {
        Some(part) => (part.maker.as_str().to_owned(), part.number.clone()),
        None => (key.maker().to_owned(), key.number().to_owned()),
    };
    let unit = parts.get(key).map_or(UnitOfMeasure::Piece, |part| part.measure);
    RelatedItem {
        number: ItemNumber { number, scheme: Some(maker) },
        quantity: Some(measure(quantity, unit)),
        descriptions: Vec::new(),
    }
}

fn price_of(price: &PriceRow, unit: UnitOfMeasure) -> CataloguePrice {
    CataloguePrice {
        lead_time: Unit::parse("DAY")
            .map(|unit| Measure { quantity: Quantity::whole(price.lead_days), unit }),
        minimum: Some(measure(price.quantity_from, unit)),
        maximum: None,
        price: Some(Price {
            amount: Amount { money: price.price, currency: price.currency.clone() },
            per: None,
            valid: Some(Period { from: Some(price.valid_from), to: price.valid_to }),
        }),
    }
}
