//! The order: what a buyer wants, from whom, by when.

use catalogue::Currency;
use chrono::NaiveDate;

use super::amount::{Amount, Measure};
use super::item::{Item, Price};
use super::party::{Party, Period};
use super::references::DocumentReference;

paper! {
    /// An order.
    pub struct Order {
        /// The buyer's number.
        number: String = "cbc:ID";
        /// An identifier that no other paper has.
        uuid: Option<String> = "cbc:UUID";
        /// The day it was issued.
        issued: NaiveDate = "cbc:IssueDate";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// The currency of the paper; each amount names its own.
        currency: Option<Currency> = "cbc:DocumentCurrencyCode";
        /// What the seller should repeat in its papers.
        reference: Option<String> = "cbc:CustomerReference";
        /// Who orders.
        buyer: Party = "cac:BuyerCustomerParty/cac:Party";
        /// From whom.
        seller: Party = "cac:SellerSupplierParty/cac:Party";
        /// When all of it is wanted.
        requested: Option<Period> = "cac:Delivery/cac:RequestedDeliveryPeriod";
        /// What it is expected to cost.
        total: Option<Amount> = "cac:AnticipatedMonetaryTotal/cbc:PayableAmount";
        /// What is ordered.
        lines: Vec<OrderLine> = "cac:OrderLine", each "line";
    }
}

paper! {
    /// A line of an order.
    pub struct OrderLine {
        /// Its number in the order.
        number: String = "cac:LineItem/cbc:ID";
        /// Remarks.
        notes: Vec<String> = "cac:LineItem/cbc:Note", each "note";
        /// How many.
        quantity: Measure = "cac:LineItem/cbc:Quantity";
        /// What the line costs.
        line_total: Option<Amount> = "cac:LineItem/cbc:LineExtensionAmount";
        /// Whether a part of it may come first.
        partial_delivery: Option<bool> = "cac:LineItem/cbc:PartialDeliveryIndicator";
        /// Whether what lacks may be sent later.
        back_order: Option<bool> = "cac:LineItem/cbc:BackOrderAllowedIndicator";
        /// When it is wanted.
        requested: Option<Period> = "cac:LineItem/cac:Delivery/cac:RequestedDeliveryPeriod";
        /// The price it is ordered at.
        price: Option<Price> = "cac:LineItem/cac:Price";
        /// What is ordered.
        item: Item = "cac:LineItem/cac:Item";
        /// The buyer's papers behind the line, such as its job.
        documents: Vec<DocumentReference> = "cac:DocumentReference", each "document";
    }
}
