//! Each kind of damage to a paper as CSV is told with its place, its cause and what would be right.

use exchange::paper_csv::read;
use exchange::papers::{Catalogue, Order};

fn faults(text: &str) -> String {
    let faults = read::<Order>("order.csv", text.as_bytes()).unwrap_err();
    faults.kept().iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

const HEADER: &str = "record,number,issued,text,quantity,quantity_unit,price_amount,price_amount_currency\n";

fn rows(rows: &str) -> String {
    faults(&format!("{HEADER}{rows}"))
}

const ORDER: &str = "order,PO-1,2026-11-24,,,,,\n";

#[test]
fn a_sound_file_is_read_whatever_the_order_of_its_columns() {
    let text = "issued,record,quantity_unit,number,quantity,text\r\n2026-11-24,order,,PO-1,,\r\n\r\n,,,,,\r\n,note,,,,\"two\r\nlines\"\r\n,line,H87,1,2,\r\n,note,,,,of the line\r\n";
    let order: Order = read("order.csv", text.as_bytes()).unwrap();
    assert_eq!(
        (order.notes, order.lines[0].notes.clone()),
        (vec!["two\nlines".into()], vec!["of the line".to_owned()])
    );
    assert_eq!(order.lines[0].quantity.quantity.to_string(), "2");
}

#[test]
fn faults_of_the_header() {
    let all = [
        faults(""),
        faults("\n\n"),
        faults("record,nubmer\norder,1\n"),
        faults("record,number,number\norder,1,1\n"),
        faults("number,issued\n1,2026-11-24\n"),
        faults("record;number\norder;1\n"),
        faults(&format!("record{}\n", ",a".repeat(500))),
        faults("record,number,issued\n"),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn faults_of_the_rows() {
    let all = [
        rows("line,1,,,1,H87,,\n"),
        rows(&format!("{ORDER}{ORDER}")),
        rows(&format!("{ORDER}part,1,,,,,,\n")),
        rows(&format!("{ORDER}offered_substitute,1,,,,,,\n")),
        rows(&format!("{ORDER}line,1,,,1\n")),
        rows(&format!("{ORDER}note,7,,a,,,,\n")),
        rows(&format!("{ORDER}note,,,,,,,\n")),
        rows(&format!("{ORDER}note,,,a\"b,,,,\n")),
        rows(&format!("{ORDER}note,,,\"a\n")),
        rows(&format!("{ORDER},1,,,1,H87,,\n")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn faults_of_the_values() {
    let all = [
        rows("order,,2026-11-24,,,,,\n"),
        rows("order,PO-1,24.11.2026,,,,,\n"),
        rows(&format!(
            "{ORDER}line,1,,,two,H87,,\nline,2,,,1,pcs,,\nline,3,,,1,,,\nline,4,,,,H87,,\nline,5,,,-1,H87,,\n"
        )),
        rows(&format!(
            "{ORDER}line,1,,,1,H87,1.5,\nline,2,,,1,H87,,EUR\nline,3,,,1,H87,1.23456,EUR\nline,4,,,1,H87,1,euro\n"
        )),
        rows(&format!("{ORDER}note,,,a\u{1}b,,,,\n")),
    ];
    insta::assert_snapshot!(all.join("\n"));
}

#[test]
fn a_catalogue_keeps_what_belongs_to_which_line() {
    let text = "record,number,issued,number_scheme,quantity,quantity_unit,text,price_amount,price_amount_currency,minimum,minimum_unit\n\
        catalogue,CAT-1,2026-11-01,,,,,,,,\n\
        line,1,,,,,,,,,\n\
        component,6308,,NORRWALD,2,H87,,,,,\n\
        related_description,,,,,,brass cage,,,,\n\
        component,VK 640-118,,,1,H87,,,,,\n\
        price,,,,,,,149.90,EUR,1,H87\n\
        price,,,,,,,139,EUR,5,H87\n\
        line,2,,,,,,,,,\n\
        successor,6308A,,NORRWALD,1,H87,,,,,\n";
    let catalogue: Catalogue = read("catalogue.csv", text.as_bytes()).unwrap();
    let [kit, old] = &catalogue.lines[..] else { panic!("{catalogue:?}") };
    assert_eq!(kit.components[0].descriptions, ["brass cage"]);
    assert_eq!((kit.components.len(), kit.prices.len(), old.replaced_by.len()), (2, 2, 1));
    assert_eq!(old.replaced_by[0].number.scheme.as_deref(), Some("NORRWALD"));
}
