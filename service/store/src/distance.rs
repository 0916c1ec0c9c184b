//! How far a mistyped key is from one that exists.

/// The least number of characters to insert, take away, change, or swap with their neighbour, to make one text of the
/// other, no text being changed twice in one place (optimal string alignment); `None` where it is above the limit.
///
/// The common three-row scheme; rows are left as soon as nothing in them is within the limit.
pub(crate) fn distance_within(one: &[char], other: &[char], limit: usize) -> Option<usize> {
    if one.len().abs_diff(other.len()) > limit {
        return None;
    }
    let width = other.len() + 1;
    let mut before_last: Vec<usize> = vec![0; width];
    let mut last: Vec<usize> = (0..width).collect();
    let mut row: Vec<usize> = vec![0; width];
    for i in 1..=one.len() {
        row[0] = i;
        let mut least = i;
        for j in 1..width {
            let change = usize::from(one[i - 1] != other[j - 1]);
            let mut steps = (last[j] + 1).min(row[j - 1] + 1).min(last[j - 1] + change);
            let swapped = i > 1 && j > 1 && one[i - 1] == other[j - 2] && one[i - 2] == other[j - 1];
            if swapped {
                steps = steps.min(before_last[j - 2] + 1);
            }
            row[j] = steps;
            least = least.min(steps);
        }
        if least > limit {
            return None;
        }
        std::mem::swap(&mut before_last, &mut last);
        std::mem::swap(&mut last, &mut row);
    }
    Some(last[width - 1]).filter(|steps| *steps <= limit)
}

/// How many slips a text of a length may hold and still be recognised: one in three characters, at most three.
pub(crate) fn slips_allowed(length: usize) -> usize {
    (length / 3).clamp(1, 3)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn within(one: &str, other: &str, limit: usize) -> Option<usize> {
        let chars = |text: &str| text.chars().collect::<Vec<_>>();
        distance_within(&chars(one), &chars(other), limit)
    }

    #[test]
    fn slips_of_a_finger_count_one_each() {
        for (one, other, steps) in [
            ("BN640", "BN640", 0),
            ("BN640", "BN604", 1),
            ("BN640", "BN64", 1),
            ("BN640", "BNX640", 1),
            ("BN640", "BM640", 1),
            ("", "AB", 2),
            ("ABCD", "BADC", 2),
        ] {
            assert_eq!(within(one, other, 3), Some(steps), "{one} {other}");
        }
        assert_eq!(within("BN640", "VK118", 3), None);
        assert_eq!(within("A", "ABCDE", 3), None);
    }

    proptest! {
        #[test]
        fn a_distance_is_the_same_both_ways_and_nought_only_for_equals(one in "[A-D]{0,7}", other in "[A-D]{0,7}") {
            prop_assert_eq!(within(&one, &other, 7), within(&other, &one, 7));
            prop_assert_eq!(within(&one, &other, 7) == Some(0), one == other);
        }

        #[test]
        fn a_limit_only_hides_what_is_above_it(one in "[A-C]{0,7}", other in "[A-C]{0,7}", limit in 0_usize..5) {
            let full = within(&one, &other, 14).unwrap();
            prop_assert_eq!(within(&one, &other, limit), (full <= limit).then_some(full));
        }
    }
}
