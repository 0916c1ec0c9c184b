//! What a person may have meant by a word that is not known.

use catalogue::ColumnKind;

/// The word nearest to what was written, where one is near enough to be meant; the first of equals.
///
/// Near enough is one slip in three letters, and at least one; letters' case does not count.
pub fn closest<'a>(written: &str, words: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let written = written.to_lowercase();
    let slips_max = (written.chars().count() / 3).max(1);
    words
        .into_iter()
        .map(|word| (slips(&written, &word.to_lowercase()), word))
        .filter(|(slips, word)| *slips <= slips_max && *slips < word.chars().count())
        .min_by_key(|(slips, _)| *slips)
        .map(|(_, word)| word)
}

/// How many letters were dropped, added, changed or swapped with their neighbour (optimal string alignment).
fn slips(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut last: Vec<usize> = (0..=b.len()).collect();
    for (i, from) in a.iter().enumerate() {
        let mut row = vec![i + 1];
        for (j, to) in b.iter().enumerate() {
            let change = last[j] + usize::from(from != to);
            let mut best = change.min(last[j + 1] + 1).min(row[j] + 1);
            if i > 0 && j > 0 && *from == b[j - 1] && a[i - 1] == *to {
                best = best.min(before[j - 1] + 1);
            }
            row.push(best);
        }
        before = std::mem::replace(&mut last, row);
    }
    last[b.len()]
}

/// What people write where UN/ECE Rec 20 has another code (common practice, no source).
const MEASURES: &[(&str, &str)] = &[
    ("PCE", "H87"),
    ("PC", "H87"),
    ("PCS", "H87"),
    ("EA", "H87"),
    ("EACH", "H87"),
    ("C62", "H87"),
    ("KIT", "KT"),
    ("PAIR", "PR"),
    ("PIECE", "H87"),
    ("L", "LTR"),
    ("LITRE", "LTR"),
    ("LITER", "LTR"),
    ("ML", "MLT"),
    ("KG", "KGM"),
    ("G", "GRM"),
    ("M", "MTR"),
    ("MM", "MMT"),
    ("NM", "NU"),
    ("DEG", "DD"),
    ("C", "CEL"),
];

/// What may have been meant by a text that a column refused.
pub(crate) fn meant(kind: ColumnKind, written: &str) -> Option<String> {
    let written = written.trim();
    let guess = match kind {
        ColumnKind::Choice(words) => {
            let upper = written.to_uppercase();
            let measure = MEASURES.iter().find(|(other, _)| *other == upper).map(|(_, code)| *code);
            let spoken = written.to_lowercase().replace([' ', '-'], "_");
            return measure
                .filter(|code| words.contains(code))
                .or_else(|| closest(&spoken, words.iter().copied()))
                .map(str::to_owned);
        }
        ColumnKind::Flag => match written.to_lowercase().as_str() {
            "true" | "1" | "y" | "t" | "yes" => "yes".to_owned(),
            "false" | "0" | "n" | "f" | "no" => "no".to_owned(),
            _ => return None,
        },
        ColumnKind::Currency => written.to_uppercase(),
        ColumnKind::Date => day_written_otherwise(written)?,
        ColumnKind::Money
        | ColumnKind::Quantity
        | ColumnKind::Percent
        | ColumnKind::Rate
        | ColumnKind::Real => written.replacen(',', ".", 1).replace([' ', '\u{a0}', '+', '%'], ""),
        ColumnKind::Integer => written.trim_end_matches('0').trim_end_matches('.').to_owned(),
        ColumnKind::Code => written.replace(char::is_whitespace, "-"),
        ColumnKind::Text | ColumnKind::Mark | ColumnKind::Part | ColumnKind::Unit | ColumnKind::Gtin => {
            return None;
        }
    };
    (guess != written && kind.read(&guess).is_ok_and(|cell| cell != catalogue::Cell::Null)).then_some(guess)
}

/// A day as `YYYY/MM/DD`, `YYYY.MM.DD` or `DD.MM.YYYY`, in which no two readings are possible.
fn day_written_otherwise(written: &str) -> Option<String> {
    let parts: Vec<&str> = written.split(['/', '.', '-']).collect();
    let [first, month, last] = parts.as_slice() else { return None };
    let (year, day) = match (first.len(), last.len()) {
        (4, 1 | 2) => (first, last),
        (1 | 2, 4) if written.contains('.') => (last, first),
        _ => return None,
    };
    Some(format!("{year}-{month:0>2}-{day:0>2}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_slip_in_three_letters_is_forgiven() {
        let words = ["hard", "wear", "consumable", "set", "kit"];
        assert_eq!(closest("Consumabel", words), Some("consumable"));
        assert_eq!(closest("haed", words), Some("hard"));
        assert_eq!(closest("gearbox", words), None);
        assert_eq!(closest("", words), None);
    }

    #[test]
    fn slips_are_counted_as_a_typist_makes_them() {
        for (a, b, count) in
            [("", "", 0), ("abc", "abc", 0), ("abc", "acb", 1), ("abc", "ab", 1), ("", "ab", 2)]
        {
            assert_eq!(slips(a, b), count, "{a} {b}");
            assert_eq!(slips(b, a), count, "{b} {a}");
        }
    }

    #[test]
    fn a_guess_is_always_a_value_of_the_column() {
        let measures = ColumnKind::Choice(catalogue::UnitOfMeasure::WORDS);
        for (kind, written, guess) in [
            (measures, "pce", Some("H87")),
            (measures, "LTRE", Some("LTR")),
            (ColumnKind::Flag, "TRUE", Some("yes")),
            (ColumnKind::Date, "28.2.2026", Some("2026-02-28")),
            (ColumnKind::Date, "2026/2/3", Some("2026-02-03")),
            (ColumnKind::Date, "3/2/2026", None),
            (ColumnKind::Date, "30.2.2026", None),
            (ColumnKind::Money, "12,50", Some("12.50")),
            (ColumnKind::Money, "1,234.50", None),
            (ColumnKind::Percent, "20 %", Some("20")),
            (ColumnKind::Integer, "3.0", Some("3")),
            (ColumnKind::Currency, "eur", Some("EUR")),
            (ColumnKind::Code, "OUTER SEAL", Some("OUTER-SEAL")),
            (ColumnKind::Gtin, "1", None),
        ] {
            assert_eq!(meant(kind, written).as_deref(), guess, "{written}");
        }
    }
}
