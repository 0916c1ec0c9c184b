//! The receipt advice: what a buyer found in the box.

use chrono::NaiveDate;

use super::amount::Measure;
use super::item::Item;
use super::party::Party;
use super::references::{DespatchLineReference, DocumentReference, OrderLineReference, OrderReference};

paper! {
    /// A buyer's advice of what arrived.
    pub struct ReceiptAdvice {
        /// The buyer's number.
        number: String = "cbc:ID";
        /// An identifier that no other paper has.
        uuid: Option<String> = "cbc:UUID";
        /// The day it was issued.
        issued: NaiveDate = "cbc:IssueDate";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// The orders that were served.
        orders: Vec<OrderReference> = "cac:OrderReference", each "order";
        /// The despatch advices that announced it.
        despatches: Vec<DocumentReference> = "cac:DespatchDocumentReference", each "despatch";
        /// Who received.
        customer: Party = "cac:DeliveryCustomerParty/cac:Party";
        /// Who sent.
        supplier: Party = "cac:DespatchSupplierParty/cac:Party";
        /// What arrived.
        lines: Vec<ReceiptLine> = "cac:ReceiptLine", each "line";
    }
}

paper! {
    /// What arrived of one line.
    pub struct ReceiptLine {
        /// Its number in the advice.
        number: String = "cbc:ID";
        /// Remarks.
        notes: Vec<String> = "cbc:Note", each "note";
        /// How many arrived, those rejected among them.
        received: Option<Measure> = "cbc:ReceivedQuantity";
        /// How many lack.
        short: Option<Measure> = "cbc:ShortQuantity";
        /// What the supplier should do about those that lack, as a code both agreed on.
        shortage_action: Option<String> = "cbc:ShortageActionCode";
        /// How many are rejected.
        rejected: Option<Measure> = "cbc:RejectedQuantity";
        /// Why, as a code both agreed on.
        reject_code: Option<String> = "cbc:RejectReasonCode";
        /// Why, in words.
        reject_reasons: Vec<String> = "cbc:RejectReason", each "reject_reason";
        /// What the supplier should do about those rejected, as a code both agreed on.
        reject_action: Option<String> = "cbc:RejectActionCode";
        /// What sort of difference it is, as a code both agreed on.
        discrepancy: Option<String> = "cbc:QuantityDiscrepancyCode";
        /// How many more arrived than were announced.
        oversupply: Option<Measure> = "cbc:OversupplyQuantity";
        /// The day it arrived.
        received_on: Option<NaiveDate> = "cbc:ReceivedDate";
        /// The line of the order.
        order_line: Option<OrderLineReference> = "cac:OrderLineReference";
        /// The line of the despatch advice.
        despatch_line: Option<DespatchLineReference> = "cac:DespatchLineReference";
        /// What arrived.
        item: Item = "cac:Item";
    }
}
