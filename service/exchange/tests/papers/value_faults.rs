//! Values that are none, each refused with its place and its cause.

use exchange::papers::{Catalogue, DespatchAdvice, Paper, ReceiptAdvice};
use exchange::ubl::{XmlFaultCode as Code, read, write};

use crate::hostile_documents::{order, refused};
use crate::sample_papers;

fn line(quantity: &str, rest: &str) -> String {
    let line = format!(
        "<cac:OrderLine><cac:LineItem><cbc:ID>1</cbc:ID>{quantity}{rest}<cac:Item/></cac:LineItem></cac:OrderLine>"
    );
    order("", "", "", &line)
}

fn quantity(text: &str, unit: &str) -> String {
    line(&format!("<cbc:Quantity unitCode=\"{unit}\">{text}</cbc:Quantity>"), "")
}

fn price(text: &str) -> String {
    let price =
        format!("<cac:Price><cbc:PriceAmount currencyID=\"EUR\">{text}</cbc:PriceAmount></cac:Price>");
    line("<cbc:Quantity unitCode=\"H87\">1</cbc:Quantity>", &price)
}

fn item(text: &str) -> String {
    quantity("1", "H87").replace("<cac:Item/>", &format!("<cac:Item>{text}</cac:Item>"))
}

#[test]
fn bad_numbers_units_and_currencies() {
    let all = [
        refused(Code::BadDecimal, quantity("two", "H87")),
        refused(Code::BadDecimal, quantity("1,5", "H87")),
        refused(Code::BadDecimal, quantity("1e3", "H87")),
        refused(Code::BadDecimal, quantity("1.0001", "H87")),
        refused(Code::BadDecimal, quantity("99999999999999999999", "H87")),
        refused(Code::OutOfBounds, quantity("-1", "H87")),
        refused(Code::MissingValue, quantity("", "H87")),
        refused(Code::MissingValue, quantity("  ", "H87")),
        refused(Code::BadUnit, quantity("1", "pcs")),
        refused(Code::MissingValue, quantity("1", "")),
        refused(Code::MissingValue, line("<cbc:Quantity>1</cbc:Quantity>", "")),
        refused(Code::MissingElement, line("", "")),
        refused(Code::BadDecimal, price("12.34567")),
        refused(Code::BadDecimal, price("NaN")),
        refused(Code::BadCurrency, price("1").replace("EUR", "EURO")),
        refused(Code::BadCurrency, price("1").replace("EUR", "ZZZ")),
        refused(Code::MissingValue, price("1").replace(" currencyID=\"EUR\"", "")),
        refused(
            Code::MissingElement,
            price("1")
                .replace("cbc:PriceAmount currencyID=\"EUR\"", "cbc:PriceType")
                .replace("cbc:PriceAmount", "cbc:PriceType"),
        ),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn bad_days_flags_and_numbers_of_parts() {
    let date = |text: &str| order("", "", "", "").replace("2026-11-24", text);
    let all = [
        refused(Code::BadDate, date("24.11.2026")),
        refused(Code::BadDate, date("2026-02-30")),
        refused(Code::BadDate, date("2026-11-24T10:00:00")),
        refused(Code::MissingValue, date("")),
        refused(
            Code::BadValue,
            line(
                "<cbc:Quantity unitCode=\"H87\">1</cbc:Quantity>",
                "<cbc:PartialDeliveryIndicator>yes</cbc:PartialDeliveryIndicator>",
            ),
        ),
        refused(
            Code::BadValue,
            item(
                "<cac:StandardItemIdentification><cbc:ID schemeID=\"GTIN\">6291041500214</cbc:ID></cac:StandardItemIdentification>",
            ),
        ),
        refused(Code::MissingValue, item("<cbc:Name/>")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

fn refused_after<P: Paper + std::fmt::Debug>(paper: &P, from: &str, to: &str) -> String {
    let document = write(paper).unwrap();
    assert!(document.contains(from), "{document}");
    read::<P>(document.replacen(from, to, 1).as_bytes()).unwrap_err().to_string()
}

#[test]
fn faults_of_the_other_papers() {
    let despatch = sample_papers::despatch_advice();
    let receipt = sample_papers::receipt_advice();
    let catalogue = sample_papers::catalogue_of_supplier();
    let all = [
        refused_after::<DespatchAdvice>(&despatch, "<cbc:LineID>2</cbc:LineID>", ""),
        refused_after::<DespatchAdvice>(
            &despatch,
            "unitCode=\"H87\">1</cbc:OutstandingQuantity>",
            "unitCode=\"bag\">1</cbc:OutstandingQuantity>",
        ),
        refused_after::<ReceiptAdvice>(
            &receipt,
            "2026-11-27</cbc:ReceivedDate>",
            "27 November</cbc:ReceivedDate>",
        ),
        refused_after::<ReceiptAdvice>(
            &receipt,
            "<cbc:LineID>1</cbc:LineID>",
            "<cbc:LineID>1</cbc:LineID><cbc:Colour>red</cbc:Colour>",
        ),
        refused_after::<Catalogue>(&catalogue, "<cbc:ID schemeID=\"NORRWALD\">6308</cbc:ID>", ""),
        refused_after::<Catalogue>(&catalogue, "<cbc:OrderableUnit>KT<", "<cbc:OrderableUnit>kit<"),
        refused_after::<Catalogue>(
            &catalogue,
            "<cbc:OrderQuantityIncrementNumeric>2<",
            "<cbc:OrderQuantityIncrementNumeric>-2<",
        ),
    ];
    insta::assert_snapshot!(all.join("\n"));
}
