//! A supplier and an ordering system that write UBL by hand, with nothing of the service's own code, and hold what they get
//! against the official schemas with `xmllint`.

use std::path::Path;
use std::process::Command;

/// Holds a document against the official schema of its type.
pub(crate) fn assert_valid(document_type: &str, document: &str) {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("document.xml");
    std::fs::write(&file, document).unwrap();
    let schemas = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/ubl_schemas/maindoc");
    let schema = schemas.join(format!("UBL-{document_type}-2.1.xsd"));
    let output = Command::new("xmllint")
        .args(["--nonet", "--noout", "--schema"])
        .args([&schema, &file])
        .output()
        .expect("xmllint is installed (Debian: libxml2-utils)");
    assert!(output.status.success(), "{}\n{document}", String::from_utf8_lossy(&output.stderr));
}

/// The texts of all elements of a name, in the order of the document.
pub(crate) fn texts<'d>(document: &'d str, element: &str) -> Vec<&'d str> {
    let opening = format!("<{element}");
    let closing = format!("</{element}>");
    let mut found = Vec::new();
    let mut rest = document;
    while let Some(at) = rest.find(&opening) {
        rest = &rest[at + opening.len()..];
        if !rest.starts_with(['>', ' ']) {
            continue;
        }
        let text = &rest[rest.find('>').unwrap() + 1..];
        found.push(&text[..text.find(&closing).unwrap()]);
        rest = text;
    }
    found
}

fn document(document_type: &str, inside: &str) -> String {
    format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<{document_type} xmlns="urn:oasis:names:specification:ubl:schema:xsd:{document_type}-2"
  xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
  xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2">{inside}</{document_type}>"#
    )
}

fn party(element: &str, code: &str) -> String {
    format!(
        "<cac:{element}><cac:Party><cac:PartyIdentification><cbc:ID>{code}</cbc:ID></cac:PartyIdentification></cac:Party>\
         </cac:{element}>"
    )
}

/// An item by the shop's own number.
pub(crate) fn item(part: &str) -> String {
    format!(
        "<cac:Item><cbc:Name>{part}</cbc:Name><cac:BuyersItemIdentification><cbc:ID>{part}</cbc:ID>\
         </cac:BuyersItemIdentification></cac:Item>"
    )
}

/// A line of an order response: its number, what it is of, how many, the day, and what is offered instead.
pub(crate) fn answered_line(
    line: i64,
    (part, quantity): (&str, &str),
    day: Option<&str>,
    instead: Option<&str>,
) -> String {
    let delivery = day.map_or(String::new(), |day| {
        format!(
            "<cac:Delivery><cac:PromisedDeliveryPeriod><cbc:EndDate>{day}</cbc:EndDate></cac:PromisedDeliveryPeriod>\
             </cac:Delivery>"
        )
    });
    let offered = instead.map_or(String::new(), |part| {
        format!(
            "<cac:SellerProposedSubstituteLineItem><cbc:ID>{line}a</cbc:ID>{}</cac:SellerProposedSubstituteLineItem>",
            item(part)
        )
    });
    format!(
        "<cac:OrderLine><cac:LineItem><cbc:ID>{line}</cbc:ID><cbc:LineStatusCode>3</cbc:LineStatusCode>\
         <cbc:Quantity unitCode=\"EA\">{quantity}</cbc:Quantity>{delivery}{}</cac:LineItem>{offered}</cac:OrderLine>",
        item(part)
    )
}

/// An answer of a supplier to an order.
pub(crate) fn order_response(number: &str, (order, supplier): (&str, &str), lines: &str) -> String {
    document(
        "OrderResponse",
        &format!(
            "<cbc:ID>{number}</cbc:ID><cbc:IssueDate>2026-11-25</cbc:IssueDate>\
             <cbc:OrderResponseCode>CA</cbc:OrderResponseCode><cbc:Note>Sent by hand</cbc:Note>\
             <cac:OrderReference><cbc:ID>{order}</cbc:ID></cac:OrderReference>{}{}{lines}",
            party("SellerSupplierParty", supplier),
            party("BuyerCustomerParty", "SHOP"),
        ),
    )
}

/// A line of a despatch advice: the line of the order, the part, how many are sent and how many follow.
pub(crate) fn sent_line(line: i64, part: &str, sent: &str, follow: &str) -> String {
    format!(
        "<cac:DespatchLine><cbc:ID>{line}</cbc:ID><cbc:DeliveredQuantity unitCode=\"C62\">{sent}</cbc:DeliveredQuantity>\
         <cbc:OutstandingQuantity unitCode=\"C62\">{follow}</cbc:OutstandingQuantity>\
         <cbc:OutstandingReason>In the next lorry</cbc:OutstandingReason>\
         <cac:OrderLineReference><cbc:LineID>{line}</cbc:LineID></cac:OrderLineReference>{}</cac:DespatchLine>",
        item(part)
    )
}

/// A despatch advice of a supplier.
pub(crate) fn despatch_advice(number: &str, (order, supplier): (&str, &str), lines: &str) -> String {
    document(
        "DespatchAdvice",
        &format!(
            "<cbc:ID>{number}</cbc:ID><cbc:IssueDate>2026-11-27</cbc:IssueDate>\
             <cac:OrderReference><cbc:ID>{order}</cbc:ID></cac:OrderReference>{}{}{lines}",
            party("DespatchSupplierParty", supplier),
            party("DeliveryCustomerParty", "SHOP"),
        ),
    )
}

/// An order of the ordering system: each line a part, how many of which unit, and its job.
pub(crate) fn order(number: &str, supplier: &str, lines: &[(&str, &str, &str, Option<&str>)]) -> String {
    let lines: Vec<String> = lines
        .iter()
        .enumerate()
        .map(|(at, (part, quantity, unit, job))| {
            let job = job.map_or(String::new(), |job| {
                format!(
                    "<cac:DocumentReference><cbc:ID>{job}</cbc:ID><cbc:DocumentType>job</cbc:DocumentType>\
                     </cac:DocumentReference>"
                )
            });
            format!(
                "<cac:OrderLine><cac:LineItem><cbc:ID>{}</cbc:ID><cbc:Quantity unitCode=\"{unit}\">{quantity}</cbc:Quantity>\
                 {}</cac:LineItem>{job}</cac:OrderLine>",
                at + 1,
                item(part)
            )
        })
        .collect();
    document(
        "Order",
        &format!(
            "<cbc:ID>{number}</cbc:ID><cbc:IssueDate>2026-11-25</cbc:IssueDate>{}{}{}",
            party("BuyerCustomerParty", "SHOP"),
            party("SellerSupplierParty", supplier),
            lines.concat(),
        ),
    )
}

/// A receipt advice of the ordering system.
pub(crate) fn receipt_advice(
    number: &str,
    (order, supplier): (&str, &str),
    counted: &[(&str, &str, &str)],
) -> String {
    let lines: Vec<String> = counted
        .iter()
        .enumerate()
        .map(|(at, (part, received, rejected))| {
            format!(
                "<cac:ReceiptLine><cbc:ID>{}</cbc:ID><cbc:ReceivedQuantity unitCode=\"H87\">{received}</cbc:ReceivedQuantity>\
                 <cbc:RejectedQuantity unitCode=\"H87\">{rejected}</cbc:RejectedQuantity>{}</cac:ReceiptLine>",
                at + 1,
                item(part)
            )
        })
        .collect();
    document(
        "ReceiptAdvice",
        &format!(
            "<cbc:ID>{number}</cbc:ID><cbc:IssueDate>2026-11-28</cbc:IssueDate>\
             <cac:OrderReference><cbc:ID>{order}</cbc:ID></cac:OrderReference>{}{}{}",
            party("DeliveryCustomerParty", "SHOP"),
            party("DespatchSupplierParty", supplier),
            lines.concat(),
        ),
    )
}
