//! Characters and names of XML 1.0 (fifth edition), and texts escaped for it.

/// Whether XML 1.0 allows a character nowhere (production 2, `Char`).
pub(super) fn forbidden_char(character: char) -> bool {
    !matches!(character,
        '\t' | '\n' | '\r' | '\u{20}'..='\u{d7ff}' | '\u{e000}'..='\u{fffd}' | '\u{10000}'..='\u{10ffff}')
}

/// White space of XML 1.0 (production 3, `S`).
pub(super) fn is_xml_space(character: char) -> bool {
    matches!(character, ' ' | '\t' | '\n' | '\r')
}

/// Production 4, `NameStartChar`.
fn is_name_start(character: char) -> bool {
    matches!(character,
        ':' | '_' | 'A'..='Z' | 'a'..='z' | '\u{c0}'..='\u{d6}' | '\u{d8}'..='\u{f6}' | '\u{f8}'..='\u{2ff}'
        | '\u{370}'..='\u{37d}' | '\u{37f}'..='\u{1fff}' | '\u{200c}'..='\u{200d}' | '\u{2070}'..='\u{218f}'
        | '\u{2c00}'..='\u{2fef}' | '\u{3001}'..='\u{d7ff}' | '\u{f900}'..='\u{fdcf}' | '\u{fdf0}'..='\u{fffd}'
        | '\u{10000}'..='\u{effff}')
}

/// Whether a text is a name of XML 1.0 (production 5, `Name`).
pub(super) fn is_xml_name(text: &str) -> bool {
    let mut characters = text.chars();
    let is_inner = |c: char| {
        is_name_start(c)
            || matches!(c, '-' | '.' | '0'..='9' | '\u{b7}' | '\u{300}'..='\u{36f}' | '\u{203f}'..='\u{2040}')
    };
    characters.next().is_some_and(is_name_start) && characters.all(is_inner)
}

/// Writes a text so that an XML reader gives it back as it is.
pub(super) fn escape(text: &str, in_attribute: bool, into: &mut String) {
    for character in text.chars() {
        match character {
            '&' => into.push_str("&amp;"),
            '<' => into.push_str("&lt;"),
            '>' => into.push_str("&gt;"),
            '\r' => into.push_str("&#13;"),
            '"' if in_attribute => into.push_str("&quot;"),
            '\n' if in_attribute => into.push_str("&#10;"),
            '\t' if in_attribute => into.push_str("&#9;"),
            other => into.push(other),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_characters_are_those_of_xml() {
        for name in ["a", "cbc:ID", "_x-1.b", "größe", "東"] {
            assert!(is_xml_name(name), "{name}");
        }
        for other in ["", "1a", "-a", "a b", "a<b", "a\u{b4}"] {
            assert!(!is_xml_name(other), "{other}");
        }
        assert!(['\0', '\u{1f}', '\u{fffe}', '\u{ffff}'].into_iter().all(forbidden_char));
        assert!(!['\t', 'ä', '\u{fffd}', '\u{10ffff}'].into_iter().any(forbidden_char));
    }

    #[test]
    fn what_markup_would_change_is_escaped() {
        let mut text = String::new();
        escape("a<b>&\"\r\n", false, &mut text);
        escape("\"\n", true, &mut text);
        assert_eq!(text, "a&lt;b&gt;&amp;\"&#13;\n&quot;&#10;");
    }
}
