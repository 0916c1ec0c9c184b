//! The despatch advice: what a supplier has sent, and what will follow.

use chrono::NaiveDate;

use super::amount::Measure;
use super::item::Item;
use super::party::Party;
use super::references::{OrderLineReference, OrderReference};

paper! {
    /// A supplier's advice of what is on its way.
    pub struct DespatchAdvice {
        /// The supplier's number.
        number: String = "cbc:ID";
        /// An identifier that no other paper has.
        uuid: Option<String> = "cbc:UUID";
        /// The day it was issued.
        issued: NaiveDate = "cbc:IssueDate";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// The orders that are served.
        orders: Vec<OrderReference> = "cac:OrderReference", each "order";
        /// Who sends.
        supplier: Party = "cac:DespatchSupplierParty/cac:Party";
        /// Who receives.
        customer: Party = "cac:DeliveryCustomerParty/cac:Party";
        /// How it travels.
        shipment: Option<Shipment> = "cac:Shipment";
        /// What is sent.
        lines: Vec<DespatchLine> = "cac:DespatchLine", each "line";
    }
}

paper! {
    /// A journey of goods.
    pub struct Shipment {
        /// Its number.
        number: String = "cbc:ID";
        /// The carrier's number to follow it by.
        tracking: Option<String> = "cac:Delivery/cbc:TrackingID";
        /// The first day it may arrive.
        expected_from: Option<NaiveDate> = "cac:Delivery/cac:EstimatedDeliveryPeriod/cbc:StartDate";
        /// The last day it should arrive.
        expected_to: Option<NaiveDate> = "cac:Delivery/cac:EstimatedDeliveryPeriod/cbc:EndDate";
        /// Who carries it.
        carrier: Option<Party> = "cac:Delivery/cac:CarrierParty";
        /// The day it left.
        despatched: Option<NaiveDate> = "cac:Delivery/cac:Despatch/cbc:ActualDespatchDate";
    }
}

paper! {
    /// What is sent for one line of an order.
    pub struct DespatchLine {
        /// Its number in the advice.
        number: String = "cbc:ID";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// How many are in this despatch.
        delivered: Option<Measure> = "cbc:DeliveredQuantity";
        /// How many the supplier has on order itself.
        back_ordered: Option<Measure> = "cbc:BackorderQuantity";
        /// Why they are.
        back_order_reasons: Vec<String> = "cbc:BackorderReason", each "back_order_reason";
        /// How many follow in a later despatch.
        outstanding: Option<Measure> = "cbc:OutstandingQuantity";
        /// Why they do.
        outstanding_reasons: Vec<String> = "cbc:OutstandingReason", each "outstanding_reason";
        /// How many more are sent than were ordered.
        oversupply: Option<Measure> = "cbc:OversupplyQuantity";
        /// The line of the order.
        order_line: OrderLineReference = "cac:OrderLineReference";
        /// What is sent.
        item: Item = "cac:Item";
    }
}
