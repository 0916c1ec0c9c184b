//! The order response: what a supplier says to an order.

use catalogue::Currency;
use chrono::NaiveDate;

use super::amount::{Amount, Measure};
use super::codes::{LineAnswer, OrderAnswer};
use super::item::{Item, Price};
use super::party::{Party, Period};
use super::references::OrderLineReference;

paper! {
    /// A supplier's answer to one order.
    pub struct OrderResponse {
        /// The supplier's number of the answer.
        number: String = "cbc:ID";
        /// The supplier's number of the order.
        sales_order: Option<String> = "cbc:SalesOrderID";
        /// An identifier that no other paper has.
        uuid: Option<String> = "cbc:UUID";
        /// The day it was issued.
        issued: NaiveDate = "cbc:IssueDate";
        /// What is said of the whole order.
        answer: Option<OrderAnswer> = "cbc:OrderResponseCode";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// The currency of the paper; each amount names its own.
        currency: Option<Currency> = "cbc:DocumentCurrencyCode";
        /// The buyer's number of the order.
        order: String = "cac:OrderReference/cbc:ID";
        /// Who answers.
        seller: Party = "cac:SellerSupplierParty/cac:Party";
        /// Who ordered.
        buyer: Party = "cac:BuyerCustomerParty/cac:Party";
        /// When all of it is promised, where no line says otherwise.
        promised: Option<Period> = "cac:Delivery/cac:PromisedDeliveryPeriod";
        /// What it will cost.
        total: Option<Amount> = "cac:LegalMonetaryTotal/cbc:PayableAmount";
        /// What is said line by line.
        lines: Vec<OrderResponseLine> = "cac:OrderLine", each "line";
    }
}

paper! {
    /// What is said of one line of the order.
    pub struct OrderResponseLine {
        /// Its number in the answer.
        number: String = "cac:LineItem/cbc:ID";
        /// Remarks, such as why it is rejected.
        notes: Vec<String> = "cac:LineItem/cbc:Note", each "note";
        /// Accepted, changed, rejected.
        answer: Option<LineAnswer> = "cac:LineItem/cbc:LineStatusCode";
        /// How many will be sent.
        quantity: Option<Measure> = "cac:LineItem/cbc:Quantity";
        /// How many of them at most will come later.
        back_ordered: Option<Measure> = "cac:LineItem/cbc:MaximumBackorderQuantity";
        /// When how many are promised.
        promised: Vec<PromisedDelivery> = "cac:LineItem/cac:Delivery", each "promise";
        /// The price it is accepted at.
        price: Option<Price> = "cac:LineItem/cac:Price";
        /// What was ordered, or what is sent.
        item: Item = "cac:LineItem/cac:Item";
        /// What the supplier offers instead; the buyer decides.
        offered: Vec<Substitute> = "cac:SellerProposedSubstituteLineItem", each "offered_substitute";
        /// What the supplier will send instead.
        substituted: Vec<Substitute> = "cac:SellerSubstitutedLineItem", each "made_substitute";
        /// The line of the order; absent: the one with the same number.
        order_line: Option<OrderLineReference> = "cac:OrderLineReference";
    }
}

paper! {
    /// A delivery that is promised.
    pub struct PromisedDelivery {
        /// How many; absent: all that the line has.
        quantity: Option<Measure> = "cbc:Quantity";
        /// The first day; absent: open.
        from: Option<NaiveDate> = "cac:PromisedDeliveryPeriod/cbc:StartDate";
        /// The last day.
        to: Option<NaiveDate> = "cac:PromisedDeliveryPeriod/cbc:EndDate";
    }
}

paper! {
    /// An item in place of the one that was ordered.
    pub struct Substitute {
        /// Its number in the answer.
        number: String = "cbc:ID";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// How many.
        quantity: Option<Measure> = "cbc:Quantity";
        /// When how many are promised.
        promised: Vec<PromisedDelivery> = "cac:Delivery", each "promise";
        /// What it costs.
        price: Option<Price> = "cac:Price";
        /// What it is.
        item: Item = "cac:Item";
    }
}
