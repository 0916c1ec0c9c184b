//! Which types of events are wanted: names, or the beginning of names with a star.

use catalogue::event::{EventKind, TYPE_PREFIX};

use super::feed::EventError;

/// Reads patterns: `order.placed`, `order.*`, each with or without the prefix of all types. Returns them without it.
///
/// # Errors
/// [`EventError::BadType`] for a pattern that no type fits.
pub(crate) fn parse_patterns<'a>(
    patterns: impl IntoIterator<Item = &'a str>,
) -> Result<Vec<String>, EventError> {
    let mut read = Vec::new();
    for written in patterns {
        let word = written.trim();
        let word = word.strip_prefix(TYPE_PREFIX).unwrap_or(word);
        if !EventKind::ALL.iter().any(|kind| fits(word, kind.word())) {
            return Err(EventError::BadType { written: written.to_owned(), known: known(word) });
        }
        if !read.iter().any(|pattern| pattern == word) {
            read.push(word.to_owned());
        }
    }
    Ok(read)
}

/// The kinds that patterns name; without patterns all of them.
pub(crate) fn kinds_of(patterns: &[String]) -> Vec<EventKind> {
    let wanted =
        |kind: &EventKind| patterns.is_empty() || patterns.iter().any(|pattern| fits(pattern, kind.word()));
    EventKind::ALL.iter().copied().filter(wanted).collect()
}

fn fits(pattern: &str, word: &str) -> bool {
    match pattern.strip_suffix(".*") {
        Some(noun) => word.strip_prefix(noun).is_some_and(|rest| rest.starts_with('.')),
        None => pattern == word,
    }
}

/// The types that speak of the same noun, or else all nouns with a star.
fn known(word: &str) -> Vec<String> {
    let noun = word.split('.').next().unwrap_or("");
    let same = EventKind::ALL.iter().filter(|kind| fits(&format!("{noun}.*"), kind.word()));
    let same: Vec<String> = same.map(|kind| kind.type_name()).collect();
    if !same.is_empty() {
        return same;
    }
    let mut nouns: Vec<String> = Vec::new();
    for kind in EventKind::ALL {
        let star = format!("{TYPE_PREFIX}{}.*", kind.word().split('.').next().unwrap_or(""));
        if !nouns.contains(&star) {
            nouns.push(star);
        }
    }
    nouns
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_is_a_type_or_a_noun_with_a_star_with_or_without_the_prefix() {
        let read = |texts: &[&str]| parse_patterns(texts.iter().copied());
        assert_eq!(read(&["order.placed"]).unwrap(), ["order.placed"]);
        assert_eq!(
            read(&["internal.crownwheel.order.placed", " order.placed", "job.*"]).unwrap(),
            ["order.placed", "job.*"]
        );
        for wrong in ["", "*", "order", "order.", "order.lost", "ord.*", "order.placed.*", "orde*"] {
            assert!(matches!(read(&[wrong]), Err(EventError::BadType { .. })), "{wrong}");
        }
        let Err(EventError::BadType { known, .. }) = read(&["order.lost"]) else { panic!() };
        assert!(
            known.contains(&"internal.crownwheel.order.placed".to_owned()) && known.len() == 7,
            "{known:?}"
        );
    }

    #[test]
    fn patterns_name_kinds() {
        assert_eq!(kinds_of(&[]), EventKind::ALL);
        assert_eq!(kinds_of(&["job.*".to_owned()]), [EventKind::JobOpened, EventKind::JobChanged]);
        assert_eq!(kinds_of(&["quote.stored".to_owned()]), [EventKind::QuoteStored]);
    }
}
