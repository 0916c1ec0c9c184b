//! The small parts of markup: names, references, values of attributes, the XML declaration.

use quick_xml::events::{BytesDecl, BytesStart};
use quick_xml::name::QName;

use super::fault::{Place, XmlFault, XmlFaultCode as Code};
use super::limits::NAME_BYTES_MAX;
use super::xml_text::{forbidden_char, is_xml_name, is_xml_space};

/// A fault that ends reading; only the caller knows its path.
pub(super) type Stop = Box<XmlFault>;

/// Makes the fault that ends reading.
pub(super) fn stop(code: Code, wrong: &str, right: &str, place: Place) -> Stop {
    Box::new(XmlFault::new(code, "", wrong, right).at(place))
}

/// The same, with what stands there.
pub(super) fn stop_at(value: &str, code: Code, wrong: &str, right: &str, place: Place) -> Stop {
    Box::new(XmlFault::new(code, "", wrong, right).at(place).with_value(value))
}

/// Checks the name of an element or attribute and gives its local part.
pub(super) fn local_name(name: QName<'_>, place: Place) -> Result<String, Stop> {
    if name.0.len() > NAME_BYTES_MAX {
        let wrong = format!("is a name longer than {NAME_BYTES_MAX} bytes");
        return Err(stop_at(name.0, Code::NameTooLong, &wrong, "use the names of UBL only", place));
    }
    let (local, prefix) = name.decompose();
    let local: &str = local.as_ref();
    let is_prefix_sound = prefix.is_none_or(|prefix| !prefix.is_xmlns() && !prefix.as_ref().is_empty());
    if !is_prefix_sound || local.contains(':') || !is_xml_name(local) || !is_xml_name(name.0) {
        return Err(stop_at(name.0, Code::NotWellFormed, "is no name of XML", "repair the markup", place));
    }
    Ok(local.to_owned())
}

/// Checks that XML allows each character of a text.
pub(super) fn checked_text(text: String, place: Place) -> Result<String, Stop> {
    match text.chars().find(|c| forbidden_char(*c)) {
        Some(odd) => {
            let wrong = "is a character that XML does not allow";
            Err(stop_at(&odd.to_string(), Code::NotWellFormed, wrong, "leave it out", place))
        }
        None => Ok(text),
    }
}

/// The character that a reference stands for, by its name (`amp`, `#10`, `#xE9`).
pub(super) fn referred(name: &str, place: Place) -> Result<char, Stop> {
    let shown = format!("&{name};");
    let Some(number) = name.strip_prefix('#') else {
        let known = [("amp", '&'), ("lt", '<'), ("gt", '>'), ("quot", '"'), ("apos", '\'')];
        return known.iter().find(|(known, _)| *known == name).map(|(_, c)| *c).ok_or_else(|| {
            let right = "write the text itself, or a character reference such as &#246;";
            stop_at(&shown, Code::Entity, "is an entity that XML itself does not have", right, place)
        });
    };
    let code = match number.strip_prefix('x') {
        Some(hex) if hex.bytes().all(|b| b.is_ascii_hexdigit()) => u32::from_str_radix(hex, 16).ok(),
        None if number.bytes().all(|b| b.is_ascii_digit()) => number.parse().ok(),
        _ => None,
    };
    code.and_then(char::from_u32).filter(|c| !forbidden_char(*c)).ok_or_else(|| {
        stop_at(&shown, Code::NotWellFormed, "refers to no character of XML", "write the text itself", place)
    })
}

/// The value of an attribute: its references resolved, its white space as XML normalises it.
pub(super) fn attribute_value(raw: &str, place: Place) -> Result<String, Stop> {
    if raw.contains('<') {
        let wrong = "the value of an attribute holds `<`";
        return Err(stop(Code::NotWellFormed, wrong, "write `&lt;`", place));
    }
    let plain = |text: &str| text.replace("\r\n", " ").replace(['\t', '\n', '\r'], " ");
    let mut value = String::with_capacity(raw.len());
    let mut rest = raw;
    while let Some(at) = rest.find('&') {
        value.push_str(&plain(&rest[..at]));
        let Some((name, behind)) = rest[at + 1..].split_once(';') else {
            let wrong = "a reference in an attribute is not closed";
            return Err(stop(Code::NotWellFormed, wrong, "write `&amp;` for `&`", place));
        };
        value.push(referred(name, place)?);
        rest = behind;
    }
    value.push_str(&plain(rest));
    checked_text(value, place)
}

/// Whether white space stands before each attribute of a start tag.
pub(super) fn has_space_between_attributes(raw: &str) -> bool {
    let mut quote = None;
    let mut closed = false;
    for character in raw.chars() {
        match quote {
            Some(open) if character == open => (quote, closed) = (None, true),
            Some(_) => {}
            None if closed && !is_xml_space(character) => return false,
            None => {
                closed = false;
                if matches!(character, '"' | '\'') {
                    quote = Some(character);
                }
            }
        }
    }
    true
}

/// Checks the XML declaration: at the very beginning, version 1.0, UTF-8.
pub(super) fn check_declaration(declaration: &BytesDecl<'_>, first: bool, place: Place) -> Result<(), Stop> {
    let right = "begin with <?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    let not_xml = || stop(Code::NotWellFormed, "the XML declaration is no XML", right, place);
    if !first {
        let wrong = "an XML declaration stands inside the document";
        return Err(stop(Code::NotWellFormed, wrong, right, place));
    }
    let text: &str = declaration;
    let tag = BytesStart::from_content(text, "xml".len());
    if !has_space_between_attributes(tag.attributes_raw()) {
        return Err(not_xml());
    }
    let mut allowed = ["version", "encoding", "standalone"].into_iter();
    let mut has_version = false;
    for attribute in tag.attributes() {
        let attribute = attribute.map_err(|_| not_xml())?;
        let (key, value) = (attribute.key.0, attribute.value.as_ref());
        if !allowed.any(|name| name == key) || !(has_version || key == "version") {
            return Err(not_xml());
        }
        has_version = true;
        match key {
            "version" if value != "1.0" => {
                return Err(stop(Code::NotWellFormed, "the document is not of XML 1.0", right, place));
            }
            "standalone" if !matches!(value, "yes" | "no") => return Err(not_xml()),
            "encoding" if !value.eq_ignore_ascii_case("UTF-8") && !value.eq_ignore_ascii_case("US-ASCII") => {
                return Err(stop_at(
                    value,
                    Code::NotUtf8,
                    "is the encoding the document states",
                    right,
                    place,
                ));
            }
            _ => {}
        }
    }
    if has_version { Ok(()) } else { Err(not_xml()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_reference_is_one_of_five_or_a_character() {
        let at = Place::default();
        assert_eq!(
            (referred("amp", at), referred("#228", at), referred("#x2F", at)),
            (Ok('&'), Ok('ä'), Ok('/'))
        );
        assert_eq!(referred("nbsp", at).unwrap_err().code, Code::Entity);
        for wrong in ["#", "#x", "#0", "#xD800", "#x110000", "#-1", "#+65", "#X41", "#99999999999"] {
            assert_eq!(referred(wrong, at).unwrap_err().code, Code::NotWellFormed, "{wrong}");
        }
    }

    #[test]
    fn the_value_of_an_attribute_is_normalised() {
        let value = |raw| attribute_value(raw, Place::default());
        assert_eq!(value("a\r\nb\t&#10;&lt;").unwrap(), "a b \n<");
        assert!(value("a & b").is_err() && value("a<b").is_err() && value("&x;").is_err());
    }

    #[test]
    fn attributes_need_space_between_them() {
        assert!(has_space_between_attributes(" a=\"1\" b='\"2\"'\n c = \"3\""));
        assert!(!has_space_between_attributes(" a=\"1\"b=\"2\""));
    }
}
