//! What a document says that no paper has a place for is kept, with its path.

use exchange::papers::{Order, Paper};
use exchange::ubl::{Received, Remainder, limits, read, write};

use crate::hostile_documents::order;
use crate::sample_papers;

fn told(remainder: &Remainder) -> String {
    let line = |one: &exchange::ubl::NotUnderstood| {
        format!("line {}, column {}, {}: {}", one.place.line, one.place.column, one.path, one.content)
    };
    remainder.kept.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn received<P: Paper>(document: &str) -> Received<P> {
    read(document.as_bytes()).unwrap_or_else(|faults| panic!("{faults}\n{document}"))
}

#[test]
fn elements_attributes_extensions_and_instructions_are_kept() {
    let sound = write(&sample_papers::order()).unwrap();
    let extension = "<ext:UBLExtensions xmlns:ext=\"urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2\">\
        <ext:UBLExtension><ext:ExtensionContent><w:winch xmlns:w=\"urn:winch\" w:rope=\"16 &amp; 18\" drum=\"2\">two <b>layers</b></w:winch>\
        </ext:ExtensionContent></ext:UBLExtension></ext:UBLExtensions>\n  <cbc:UBLVersionID>";
    let document = sound
        .replacen("<Order ", "<?rope check?>\n<Order ", 1)
        .replacen("<cbc:UBLVersionID>", extension, 1)
        .replacen("urn:crownwheel:ubl-2.1:order:1", "urn:example:ubl:order", 1)
        .replacen("<cbc:Note>", "<cbc:Note languageID=\"en\">", 1)
        .replacen("<cbc:IssueDate>2026-11-24</cbc:IssueDate>", "<cbc:IssueDate>2026-11-24</cbc:IssueDate><cbc:IssueTime>10:00:00</cbc:IssueTime>", 1)
        .replacen("<cac:BuyersItemIdentification>", "<cbc:Keyword>kit</cbc:Keyword><cac:BuyersItemIdentification>", 1)
        .replacen("unitCode=\"H87\">1</cbc:Quantity>", "unitCode=\"H87\" unitCodeListID=\"UNECERec20\">1</cbc:Quantity>", 1)
        .replacen("schemeID=\"GTIN\"", "schemeID=\"0099\"", 1)
        .replacen("<cac:DocumentReference>", "<cac:OrderLineReference><cbc:LineID>7</cbc:LineID></cac:OrderLineReference><cac:DocumentReference>", 1);
    let received = received::<Order>(&document);
    insta::assert_snapshot!(told(&received.not_understood));
    let mut expected = sample_papers::order();
    expected.lines[0].item.gtin = None;
    assert_eq!(received.paper, expected);
}

#[test]
fn the_second_of_what_one_field_speaks_of_is_kept() {
    let delivery = |day: &str| {
        format!(
            "<cac:Delivery><cac:RequestedDeliveryPeriod><cbc:EndDate>{day}</cbc:EndDate></cac:RequestedDeliveryPeriod></cac:Delivery>\n"
        )
    };
    let line = "<cac:OrderLine><cac:LineItem><cbc:ID>1</cbc:ID><cbc:Quantity unitCode=\"H87\">1</cbc:Quantity><cac:Item/></cac:LineItem></cac:OrderLine>";
    let document = order("", "", &(delivery("2026-12-01") + &delivery("2026-12-09")), line);
    let received = received::<Order>(&document);
    assert_eq!(received.paper.requested.and_then(|period| period.to).unwrap().to_string(), "2026-12-01");
    insta::assert_snapshot!(told(&received.not_understood), @"line 7, column 1, /Order/cac:Delivery[2]: <cac:Delivery><cac:RequestedDeliveryPeriod><cbc:EndDate>2026-12-09</cbc:EndDate></cac:RequestedDeliveryPeriod></cac:Delivery>");
}

#[test]
fn what_is_too_much_to_keep_is_counted() {
    let tax = "<cac:TaxTotal><cbc:TaxAmount currencyID=\"EUR\">1</cbc:TaxAmount></cac:TaxTotal>".repeat(3);
    let line = format!(
        "<cac:OrderLine><cac:LineItem><cbc:ID>1</cbc:ID><cbc:Quantity unitCode=\"H87\">1</cbc:Quantity><cac:Item/>{tax}</cac:LineItem></cac:OrderLine>"
    );
    let lines = 8_000;
    let received = received::<Order>(&order("", "", "", &line.repeat(lines)));
    let remainder = received.not_understood;
    assert_eq!(remainder.total(), 3 * lines as u64);
    assert_eq!(remainder.kept.len(), limits::NOT_UNDERSTOOD_MAX);
    assert_eq!(
        remainder.more["/Order/cac:OrderLine/cac:LineItem/cac:TaxTotal"],
        3 * lines as u64 - limits::NOT_UNDERSTOOD_MAX as u64
    );
}

#[test]
fn a_line_count_that_agrees_and_a_schema_location_are_understood() {
    let document = write(&sample_papers::order()).unwrap();
    let located = document.replacen(
        "<Order ",
        "<Order xmlns:xsi=\"http://www.w3.org/2001/XMLSchema-instance\" xsi:schemaLocation=\"urn:a b.xsd\" ",
        1,
    );
    assert!(received::<Order>(&located.replace("Numeric>2<", "Numeric>2.0<")).not_understood.is_empty());
}
