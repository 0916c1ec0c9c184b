//! The list of content models is that of the official schemas.

use std::collections::BTreeMap;

use quick_xml::events::{BytesStart, Event};
use quick_xml::reader::Reader;

use crate::schema_validator::schemas;

fn attribute(tag: &BytesStart<'_>, name: &str) -> Option<String> {
    tag.try_get_attribute(name).unwrap().map(|attribute| attribute.value.into_owned())
}

/// The content of each complex type of a schema as the list writes it, but with the elements' names alone, and the
/// type of each global element.
fn read_schema(
    file: &str,
    types: &mut BTreeMap<String, Vec<String>>,
    elements: &mut BTreeMap<String, String>,
) {
    let text = std::fs::read_to_string(schemas().join(file)).unwrap();
    let mut reader = Reader::from_str(&text);
    let mut open = None;
    loop {
        match reader.read_event().unwrap() {
            Event::Start(tag) | Event::Empty(tag) => match tag.local_name().as_ref() {
                "complexType" => open = attribute(&tag, "name"),
                "element" => match (attribute(&tag, "ref"), &open) {
                    (Some(name), Some(of)) => {
                        let least = attribute(&tag, "minOccurs").unwrap_or("1".into());
                        let most = attribute(&tag, "maxOccurs").unwrap_or("1".into());
                        let often = match (&*least, &*most) {
                            ("1", "1") => "",
                            ("0", "1") => "?",
                            ("0", "unbounded") => "*",
                            ("1", "unbounded") => "+",
                            other => panic!("{other:?}"),
                        };
                        types.entry(of.clone()).or_default().push(format!("{name}{often}"));
                    }
                    _ => drop(elements.insert(
                        attribute(&tag, "name").unwrap(),
                        attribute(&tag, "type").unwrap_or_default(),
                    )),
                },
                _ => {}
            },
            Event::End(tag) if tag.local_name().as_ref() == "complexType" => open = None,
            Event::Eof => break,
            _ => {}
        }
    }
}

#[test]
fn every_content_model_is_that_of_the_schemas() {
    let (mut types, mut elements) = (BTreeMap::new(), BTreeMap::new());
    read_schema("common/UBL-CommonAggregateComponents-2.1.xsd", &mut types, &mut elements);
    for document in ["Order", "OrderResponse", "DespatchAdvice", "ReceiptAdvice", "Catalogue"] {
        read_schema(&format!("maindoc/UBL-{document}-2.1.xsd"), &mut types, &mut BTreeMap::new());
    }
    let list =
        std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/src/ubl/sequences.txt")).unwrap();
    let mut compared = 0;
    for line in list.lines() {
        let (name, children) = line.split_once(" = ").unwrap();
        let ours: Vec<String> = children
            .split(' ')
            .map(|token| {
                let Some(aggregate) = token.strip_prefix("cac:") else {
                    return if token.starts_with("ext:") { token.to_owned() } else { format!("cbc:{token}") };
                };
                let plain = aggregate.trim_end_matches(['?', '*', '+']);
                let (element, of) = plain.split_once(':').unwrap_or((plain, plain));
                assert_eq!(elements[element], format!("{of}Type"), "{name}: {token}");
                format!("cac:{element}{}", &aggregate[plain.len()..])
            })
            .collect();
        assert_eq!(ours, types[&format!("{name}Type")], "{name}");
        compared += 1;
    }
    assert!(compared > 100, "only {compared} types were compared");
}
