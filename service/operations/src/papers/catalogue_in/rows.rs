//! From the lines of a catalogue document to rows of the catalogue.

use std::collections::BTreeSet;

use catalogue::{
    Code, Companion, Interchange, KitLine, Maker, Money, Part, PartClass, PartKey, PartKind, Price, Quantity,
    Snapshot, Supersession, SupersessionShape, UnitOfMeasure,
};
use chrono::NaiveDate;
use exchange::papers::{
    Catalogue, CatalogueAction, CatalogueLine, CataloguePrice, Item, ItemNumber, RelatedItem,
};

use super::super::error::{PaperError, PaperFault};
use super::super::item::part_of;
use super::Rows;
use crate::identify_part::identify_part;
use crate::shop::Shop;

/// The price group of a new part of which the document names none.
const GROUP_USUAL: &str = "UNSORTED";

/// Reads the lines of a document.
pub(super) struct RowsOf<'a> {
    paper: &'a Catalogue,
    supplier: &'a Code,
    known: Snapshot,
    prices: Vec<Price>,
    currency_of_supplier: Option<catalogue::Currency>,
    groups: BTreeSet<Code>,
    /// The part of each line.
    parts: Vec<Option<Part>>,
    rows: Rows,
}

impl<'a> RowsOf<'a> {
    pub(super) async fn read(
        shop: &Shop,
        paper: &'a Catalogue,
        supplier: &'a Code,
    ) -> Result<Rows, PaperError> {
        let mut parts = Vec::with_capacity(paper.lines.len());
        for (at, line) in paper.lines.iter().enumerate() {
            parts.push(part_of(shop, &line.item, &place(at)).await?.ok());
        }
        let keys: Vec<PartKey> = parts.iter().flatten().map(|part| part.part.clone()).collect();
        let book = shop.store().load_prices(&keys, None).await?;
        let mut of = RowsOf {
            paper,
            supplier,
            known: shop.store().load_part_families(&keys).await?,
            currency_of_supplier: book
                .suppliers
                .iter()
                .find(|row| row.supplier == *supplier)
                .map(|row| row.currency.clone()),
            prices: book.prices.into_iter().filter(|price| price.supplier == *supplier).collect(),
            groups: book.price_rules.iter().filter_map(|rule| rule.price_group.clone()).collect(),
            parts,
            rows: Rows::default(),
        };
        for (at, line) in paper.lines.iter().enumerate() {
            of.part(at, line);
        }
        for (at, line) in paper.lines.iter().enumerate() {
            let Some(part) = of.parts[at].clone() else { continue };
            of.contents(shop, at, line, &part).await?;
            of.prices(at, line, &part);
            of.companions(shop, at, line, &part).await?;
            of.supersession(shop, at, line, &part).await?;
        }
        Ok(of.rows)
    }

    fn remark(&mut self, at: usize, words: &str) {
        self.rows.remarks.push(format!("line {}: {words}", self.paper.lines[at].number));
    }

    fn fault(&mut self, at: usize, element: &str, detail: impl Into<String>) {
        self.rows.faults.push(PaperFault::new(format!("{}{element}", place(at)), detail));
    }

    /// The part that a line speaks of: known, or new.
    fn part(&mut self, at: usize, line: &CatalogueLine) {
        let known = self.parts[at].clone();
        let mut part = match known.clone() {
            Some(part) => part,
            None => match self.new_part(at, line) {
                Some(part) => part,
                None => return,
            },
        };
        if let Some(name) = &line.item.name {
            part.name.clone_from(name);
        }
        if line.item.gtin.is_some() {
            part.gtin.clone_from(&line.item.gtin);
        }
        let action = line.action.clone().or_else(|| self.paper.action.clone());
        part.retired = action == Some(CatalogueAction::Delete)
            || (part.retired && action.is_none() && line.orderable != Some(true));
        if known.as_ref() != Some(&part) {
            self.rows.parts.insert(part.part.clone(), part.clone());
        }
        self.parts[at] = Some(part);
    }

    fn new_part(&mut self, at: usize, line: &CatalogueLine) -> Option<Part> {
        let (Some(number), Some(maker)) = (
            &line.item.manufacturers_number,
            line.item.manufacturer.as_ref().and_then(|maker| maker.code.as_deref()),
        ) else {
            let detail = "the catalogue does not know it, and a new part needs the maker's number and the maker's code";
            self.fault(at, "/cac:Item", detail);
            return None;
        };
        let Ok(key) = PartKey::parse(&format!("{maker}/{number}")) else {
            let detail = format!("`{maker}/{number}` is no part number");
            self.fault(at, "/cac:Item/cac:ManufacturersItemIdentification", detail);
            return None;
        };
        let (Ok(code), Some(name)) = (Code::parse(maker), line.item.name.clone()) else {
            self.fault(at, "/cac:Item/cbc:Name", "a new part needs a name, and its maker a code");
            return None;
        };
        let kind = if line.components.is_empty() { property(&line.item, "kind") } else { Some("kit") };
        let kind = kind.and_then(PartKind::from_word);
        let class = property(&line.item, "class").and_then(PartClass::from_word);
        if kind.is_none() {
            let detail = format!("a new part needs the item property `kind`: {}", PartKind::WORDS.join(", "));
            self.fault(at, "/cac:Item/cac:AdditionalItemProperty", detail);
        }
        let unit = line.orderable_unit.as_ref().or(line.content.as_ref().map(|content| &content.unit));
        let measure = unit.map_or(Some(UnitOfMeasure::Piece), exchange::papers::Unit::measure);
        if measure.is_none() {
            self.fault(at, "/cbc:OrderableUnit", "the catalogue does not count in this unit");
        }
        let group = property(&line.item, "price_group").unwrap_or(GROUP_USUAL);
        let group = Code::parse(group).ok()?;
        if !self.groups.contains(&group) {
            self.remark(at, &format!("it is in the price group {group}, of which no price rule speaks"));
        }
        let maker_name = line.item.manufacturer.as_ref().and_then(|maker| maker.name.clone());
        let maker_name = maker_name.unwrap_or_else(|| code.to_string());
        self.rows.makers.entry(code.clone()).or_insert(Maker { maker: code.clone(), name: maker_name });
        Some(Part {
            part: key,
            maker: code,
            number: number.clone(),
            name,
            kind: kind?,
            class: class.unwrap_or(PartClass::Other),
            price_group: group,
            measure: measure?,
            renewal: None,
            gtin: line.item.gtin.clone(),
            mass_kg: None,
            surplus_credit: None,
            retired: false,
        })
    }

    /// The part of a related item: one of the document, or one that the catalogue knows.
    async fn related(
        &mut self,
        shop: &Shop,
        at: usize,
        (element, number): (&str, &ItemNumber),
    ) -> Result<Option<PartKey>, PaperError> {
        let written = match number.scheme.as_deref() {
            Some(scheme) if scheme != "GTIN" => format!("{scheme}/{}", number.number),
            _ => number.number.clone(),
        };
        let of_document = PartKey::parse(&written).ok().filter(|key| self.rows.parts.contains_key(key));
        if of_document.is_some() {
            return Ok(of_document);
        }
        if number.scheme.as_deref() == Some("GTIN")
            && let Ok(gtin) = catalogue::Gtin::parse(&written)
            && let [part] = shop.store().parts_by_gtin(&gtin).await?.as_slice()
        {
            return Ok(Some(part.part.clone()));
        }
        match identify_part(shop, &written).await {
            Ok(part) => Ok(Some(part.part)),
            Err(crate::lookup_error::LookupError::Store(error)) => Err(error.into()),
            Err(error) => {
                self.fault(at, element, error.to_string());
                Ok(None)
            }
        }
    }

    async fn contents(
        &mut self,
        shop: &Shop,
        at: usize,
        line: &CatalogueLine,
        kit: &Part,
    ) -> Result<(), PaperError> {
        if line.components.is_empty() {
            return Ok(());
        }
        let known: Vec<KitLine> =
            self.known.kit_lines.iter().filter(|row| row.kit == kit.part).cloned().collect();
        let mut next = known.iter().map(|row| row.line).max().unwrap_or(0) / 10 * 10 + 10;
        let mut left: Vec<KitLine> = known;
        self.rows.kits.insert(kit.part.clone());
        for component in &line.components {
            let element = "/cac:ComponentRelatedItem";
            let Some(part) = self.related(shop, at, (element, &component.number)).await? else { continue };
            let quantity = how_many(component);
            let row = match left.iter().position(|row| row.part == part) {
                Some(place) => KitLine { quantity, ..left.remove(place) },
                None => {
                    next += 10;
                    KitLine { kit: kit.part.clone(), line: next - 10, part, quantity, option_group: None }
                }
            };
            self.rows.kit_lines.push(row);
        }
        self.rows.line_falls_away |= !left.is_empty();
        Ok(())
    }

    fn prices(&mut self, at: usize, line: &CatalogueLine, part: &Part) {
        for price in &line.prices {
            let Some(row) = self.price(at, line, price, part) else { continue };
            self.rows.prices.push(row);
        }
    }

    fn price(
        &mut self,
        at: usize,
        line: &CatalogueLine,
        price: &CataloguePrice,
        part: &Part,
    ) -> Option<Price> {
        let asked = price.price.as_ref()?;
        let per = asked.per.as_ref().map_or(Quantity::whole(1), |per| per.quantity);
        let Some(each) = asked.amount.money.times(Quantity::SCALE, per.raw()) else {
            self.fault(
                at,
                "/cac:RequiredItemLocationQuantity/cac:Price/cbc:BaseQuantity",
                "a price is for none",
            );
            return None;
        };
        if self.currency_of_supplier.as_ref().is_some_and(|usual| *usual != asked.amount.currency) {
            self.remark(
                at,
                &format!("its price is in {}, not in the supplier's usual currency", asked.amount.currency),
            );
        }
        let periods = [asked.valid.as_ref(), line.valid.as_ref(), self.paper.valid.as_ref()];
        let from = periods.iter().flatten().find_map(|period| period.from).unwrap_or(self.paper.issued);
        let to = periods.iter().flatten().find_map(|period| period.to);
        let known =
            self.prices.iter().filter(|row| row.part == part.part).max_by_key(|row| row.valid_from).cloned();
        let one = Quantity::whole(1);
        let least = line.minimum.as_ref().map(|minimum| minimum.quantity);
        let pack = line.increment.or(line.item.pack_size).or(known.as_ref().map(|row| row.pack));
        Some(Price {
            supplier: self.supplier.clone(),
            part: part.part.clone(),
            quantity_from: price
                .minimum
                .as_ref()
                .map_or(one, |minimum| minimum.quantity)
                .max(Quantity::from_raw(1)),
            valid_from: from,
            valid_to: to,
            currency: asked.amount.currency.clone(),
            price: each,
            pack: pack.unwrap_or(one),
            minimum: least.or(known.as_ref().map(|row| row.minimum)).unwrap_or(one),
            lead_days: self.lead_days(at, price, known.as_ref()),
            deposit: known.and_then(|row| row.deposit).filter(|deposit| *deposit > Money::ZERO),
        })
    }

    fn lead_days(&mut self, at: usize, price: &CataloguePrice, known: Option<&Price>) -> i64 {
        let usual = known.map_or(0, |row| row.lead_days);
        let Some(lead) = &price.lead_time else {
            if known.is_none() {
                self.remark(at, "no lead time is given; it is taken to be there at once");
            }
            return usual;
        };
        let whole = |days: i64| lead.quantity.raw().saturating_mul(days).div_euclid(Quantity::SCALE);
        match lead.unit.as_str() {
            "DAY" => whole(1),
            "WEE" => whole(7),
            other => {
                let words =
                    format!("its lead time is given in `{other}`, not in DAY or WEE, and was not followed");
                self.remark(at, &words);
                usual
            }
        }
    }

    async fn companions(
        &mut self,
        shop: &Shop,
        at: usize,
        line: &CatalogueLine,
        part: &Part,
    ) -> Result<(), PaperError> {
        if !line.accessories.is_empty() {
            self.remark(at, "what may go with it is not kept: only what must come along is");
        }
        for companion in &line.companions {
            let element = "/cac:RequiredRelatedItem";
            if let Some(key) = self.related(shop, at, (element, &companion.number)).await? {
                self.rows.companions.push(Companion {
                    part: part.part.clone(),
                    companion: key,
                    quantity: how_many(companion),
                });
            }
        }
        Ok(())
    }

    async fn supersession(
        &mut self,
        shop: &Shop,
        at: usize,
        line: &CatalogueLine,
        part: &Part,
    ) -> Result<(), PaperError> {
        let from = line.valid.as_ref().and_then(|period| period.from).unwrap_or(self.paper.issued);
        let several = line.replaced_by.len() > 1;
        let shape = if several { SupersessionShape::AllOf } else { SupersessionShape::OneToOne };
        for successor in &line.replaced_by {
            let element = "/cac:ReplacementRelatedItem";
            if let Some(new) = self.related(shop, at, (element, &successor.number)).await? {
                self.notice(at, (&part.part, &new), (how_many(successor), shape, from));
            }
        }
        for predecessor in &line.replaces {
            let element = "/cac:ReplacedRelatedItem";
            if let Some(old) = self.related(shop, at, (element, &predecessor.number)).await? {
                let shape = SupersessionShape::OneToOne;
                self.notice(at, (&old, &part.part), (how_many(predecessor), shape, from));
            }
        }
        Ok(())
    }

    fn notice(
        &mut self,
        at: usize,
        (old, new): (&PartKey, &PartKey),
        (quantity, shape, from): (Quantity, SupersessionShape, NaiveDate),
    ) {
        let item = &self.paper.lines[at].item;
        let known = self.known.supersessions.iter().find(|row| row.old == *old && row.new == *new).cloned();
        let told = property(item, "interchange").and_then(Interchange::from_word);
        if told.is_none() && known.is_none() {
            self.remark(
                at,
                "the direction of interchange is not told; the new number is taken to fit where the old was",
            );
        }
        let row = match known {
            // Conditions and the notice's own code stay as the shop has them.
            Some(row) => Supersession { quantity, interchange: told.unwrap_or(row.interchange), ..row },
            None => Supersession {
                notice: notice_code(property(&self.paper.lines[at].item, "notice"), self.supplier, old),
                old: old.clone(),
                new: new.clone(),
                quantity,
                shape,
                interchange: told.unwrap_or(Interchange::NewForOld),
                effective_from: from,
                use_old_until_gone: false,
                unit: None,
                variant: None,
                serial_from: None,
                serial_to: None,
                built_from: None,
                built_to: None,
            },
        };
        if !self.rows.supersessions.iter().any(|other| other.old == row.old && other.new == row.new) {
            self.rows.supersessions.push(row);
        }
    }
}

/// The code of a notice: as told, or from the supplier and the old number.
fn notice_code(told: Option<&str>, supplier: &Code, old: &PartKey) -> Code {
    let own = format!("{supplier}-{}", old.number());
    let told = told.and_then(|text| Code::parse(text).ok());
    told.or_else(|| Code::parse(&own).ok()).unwrap_or_else(|| supplier.clone())
}

fn place(at: usize) -> String {
    format!("/Catalogue/cac:CatalogueLine[{}]", at + 1)
}

fn how_many(related: &RelatedItem) -> Quantity {
    related.quantity.as_ref().map_or(Quantity::whole(1), |quantity| quantity.quantity)
}

fn property<'i>(item: &'i Item, name: &str) -> Option<&'i str> {
    let found = item.properties.iter().find(|property| property.property == name)?;
    found.value.as_deref()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_notice_has_the_code_it_is_told_or_one_of_its_own() {
        let supplier = Code::parse("OSTREL").unwrap();
        let old = PartKey::parse("VESSICK/S 1").unwrap();
        assert_eq!(notice_code(Some("V-31"), &supplier, &old).as_str(), "V-31");
        assert_eq!(notice_code(None, &supplier, &old).as_str(), "OSTREL-S1");
        assert_eq!(notice_code(Some("no code at all"), &supplier, &old).as_str(), "OSTREL-S1");
    }
}
