//! The catalogue: what a supplier sells, what is in its kits, what it costs and what replaces what.

use catalogue::Quantity;
use chrono::NaiveDate;

use super::amount::Measure;
use super::codes::CatalogueAction;
use super::item::{Item, Price, RelatedItem};
use super::party::{Party, Period};
use super::unit::Unit;

paper! {
    /// A supplier's catalogue, or changes of it.
    pub struct Catalogue {
        /// The supplier's number of it.
        number: String = "cbc:ID";
        /// An identifier that no other paper has.
        uuid: Option<String> = "cbc:UUID";
        /// What to do with all of it; absent: as each line says.
        action: Option<CatalogueAction> = "cbc:ActionCode";
        /// What it is called.
        name: Option<String> = "cbc:Name";
        /// The day it was issued.
        issued: NaiveDate = "cbc:IssueDate";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// Which version of it this is.
        version: Option<String> = "cbc:VersionID";
        /// From when to when it holds.
        valid: Option<Period> = "cac:ValidityPeriod";
        /// Who sells.
        provider: Party = "cac:ProviderParty";
        /// For whom it is.
        receiver: Party = "cac:ReceiverParty";
        /// What is sold.
        lines: Vec<CatalogueLine> = "cac:CatalogueLine", each "line";
    }
}

paper! {
    /// One part or kit that is sold, or was.
    pub struct CatalogueLine {
        /// Its number in the catalogue.
        number: String = "cbc:ID";
        /// What to do with it.
        action: Option<CatalogueAction> = "cbc:ActionCode";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// Whether it can be ordered.
        orderable: Option<bool> = "cbc:OrderableIndicator";
        /// The unit it is ordered in.
        orderable_unit: Option<Unit> = "cbc:OrderableUnit";
        /// What is in one unit of ordering.
        content: Option<Measure> = "cbc:ContentUnitQuantity";
        /// It is sold in multiples of this.
        increment: Option<Quantity> = "cbc:OrderQuantityIncrementNumeric";
        /// Least quantity of an order.
        minimum: Option<Measure> = "cbc:MinimumOrderQuantity";
        /// Largest quantity of an order.
        maximum: Option<Measure> = "cbc:MaximumOrderQuantity";
        /// From when to when the line holds; absent: as long as the catalogue.
        valid: Option<Period> = "cac:LineValidityPeriod";
        /// What is in the kit.
        components: Vec<RelatedItem> = "cac:ComponentRelatedItem", each "component";
        /// What may go with it.
        accessories: Vec<RelatedItem> = "cac:AccessoryRelatedItem", each "accessory";
        /// What must come along with it.
        companions: Vec<RelatedItem> = "cac:RequiredRelatedItem", each "companion";
        /// What it gives way to: its successors, with how many of each stand for one of it.
        replaced_by: Vec<RelatedItem> = "cac:ReplacementRelatedItem", each "successor";
        /// What it stands in for: its predecessors.
        replaces: Vec<RelatedItem> = "cac:ReplacedRelatedItem", each "predecessor";
        /// What it costs, from quantity to quantity.
        prices: Vec<CataloguePrice> = "cac:RequiredItemLocationQuantity", each "price";
        /// What it is.
        item: Item = "cac:Item";
    }
}

paper! {
    /// What something costs between two quantities.
    pub struct CataloguePrice {
        /// How long it takes to arrive, usually in `DAY`.
        lead_time: Option<Measure> = "cbc:LeadTimeMeasure";
        /// From which quantity this price holds.
        minimum: Option<Measure> = "cbc:MinimumQuantity";
        /// Up to which quantity it holds; absent: to the next break.
        maximum: Option<Measure> = "cbc:MaximumQuantity";
        /// The price.
        price: Option<Price> = "cac:Price";
    }
}
