//! What is ordered, sent, received or offered, and what it costs.

use catalogue::{Gtin, Quantity};

use super::amount::{Amount, ItemNumber, Measure};
use super::party::{Party, Period};

paper! {
    /// A part or kit, by the numbers that buyer, seller and maker give it.
    pub struct Item {
        /// What it is, at length.
        descriptions: Vec<String> = "cbc:Description", each "description";
        /// Pieces in a pack.
        pack_size: Option<Quantity> = "cbc:PackSizeNumeric";
        /// What it is called.
        name: Option<String> = "cbc:Name";
        /// The buyer's number.
        buyers_number: Option<String> = "cac:BuyersItemIdentification/cbc:ID";
        /// The seller's number.
        sellers_number: Option<String> = "cac:SellersItemIdentification/cbc:ID";
        /// The maker's part number.
        manufacturers_number: Option<String> = "cac:ManufacturersItemIdentification/cbc:ID";
        /// Its GTIN, marked by the scheme `GTIN`.
        gtin: Option<Gtin> = "cac:StandardItemIdentification/cbc:ID";
        /// What else is known of it, by name.
        properties: Vec<ItemProperty> = "cac:AdditionalItemProperty", each "property";
        /// Its maker.
        manufacturer: Option<Party> = "cac:ManufacturerParty";
    }
}

paper! {
    /// Something known of an item for which UBL has no element of its own.
    pub struct ItemProperty {
        /// What it is.
        property: String = "cbc:Name";
        /// Its value.
        value: Option<String> = "cbc:Value";
    }
}

paper! {
    /// What something costs.
    pub struct Price {
        /// The money for the quantity in `per`.
        amount: Amount = "cbc:PriceAmount";
        /// The quantity the price is for; absent: one.
        per: Option<Measure> = "cbc:BaseQuantity";
        /// From when to when it holds; absent: as long as the paper.
        valid: Option<Period> = "cac:ValidityPeriod";
    }
}

paper! {
    /// Another item that belongs to a line of a catalogue.
    pub struct RelatedItem {
        /// Its number.
        number: ItemNumber = "cbc:ID";
        /// How many of it for one of the line's item; absent: one.
        quantity: Option<Measure> = "cbc:Quantity";
        /// Remarks.
        descriptions: Vec<String> = "cbc:Description", each "related_description";
    }
}
