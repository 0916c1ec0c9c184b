//! The closest known words to a mistyped one.

/// The edit distance of two texts, counting a swap of neighbours as one (optimal string alignment).
pub fn distance(a: &str, b: &str) -> usize {
    let (a, b): (Vec<char>, Vec<char>) = (a.chars().collect(), b.chars().collect());
    let mut before: Vec<usize> = Vec::new();
    let mut above: Vec<usize> = (0..=b.len()).collect();
    for i in 1..=a.len() {
        let mut row = vec![i; b.len() + 1];
        for j in 1..=b.len() {
            let swap = usize::from(a[i - 1] != b[j - 1]);
            row[j] = (above[j] + 1).min(row[j - 1] + 1).min(above[j - 1] + swap);
            if i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] {
                row[j] = row[j].min(before[j - 2] + 1);
            }
        }
        before = std::mem::replace(&mut above, row);
    }
    above[b.len()]
}

/// At most `count` known words near `word`, nearest first, equals by alphabet. A word further than half its length is
/// not near.
pub fn closest<'a>(word: &str, known: impl Iterator<Item = &'a str>, count: usize) -> Vec<String> {
    let limit = (word.chars().count() / 2).max(1);
    let mut near: Vec<(usize, &str)> =
        known.map(|other| (distance(word, other), other)).filter(|(far, _)| *far <= limit).collect();
    near.sort_unstable();
    near.dedup();
    near.into_iter().take(count).map(|(_, other)| other.to_owned()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_swap_counts_one() {
        assert_eq!(distance("BN640", "BN604"), 1);
        assert_eq!(distance("", "AB"), 2);
        assert_eq!(distance("SEAL", "SEAL"), 0);
    }

    #[test]
    fn the_nearest_come_first_and_strangers_not_at_all() {
        let known = ["PINION-SEAL", "OVERHAUL", "PINION-NUT"];
        assert_eq!(closest("PINION-SAEL", known.into_iter(), 2), ["PINION-SEAL", "PINION-NUT"]);
        assert!(closest("XX", known.into_iter(), 2).is_empty());
    }
}
