//! What each piece of a box is worth: the cost of the box spread over what lies in it.
//!
//! The cost is spread by what the pieces would cost loose, so that a bearing is carried at more than the gasket beside
//! it (common practice, no source). Where a price of one of them is not known, all pieces share alike.

use catalogue::{Money, Quantity};

/// A line of a box: how many lie in it, and what one would cost loose.
pub type Share = (Quantity, Option<Money>);

/// What one piece of each line is worth, in the order of the lines.
///
/// Each is rounded down to a ten-thousandth; what that leaves goes to the dearest line with a single piece, so that all
/// pieces together are worth the box. In a box where no line has a single piece, the smallest line takes what divides by
/// its pieces; less than a ten-thousandth for each of them is left out.
pub fn cost_shares(cost: Money, lines: &[Share]) -> Vec<Money> {
    let all_priced = lines.iter().all(|(_, price)| price.is_some());
    let worth = |line: &Share| match line.1 {
        Some(price) if all_priced => i128::from(price.raw()),
        _ => 1,
    };
    let pieces = |line: &Share| i128::from(line.0.raw());
    let whole: i128 = lines.iter().map(|line| worth(line) * pieces(line)).sum();
    if whole <= 0 {
        let alike: Vec<Share> = lines.iter().map(|(quantity, _)| (*quantity, None)).collect();
        return if all_priced && !lines.is_empty() {
            cost_shares(cost, &alike)
        } else {
            vec![Money::ZERO; lines.len()]
        };
    }
    let cost = i128::from(cost.raw()) * i128::from(Quantity::SCALE);
    let mut shares: Vec<i128> = lines.iter().map(|line| cost * worth(line) / whole).collect();
    let given: i128 = shares.iter().zip(lines).map(|(share, line)| share * pieces(line)).sum();
    let single = |line: &Share| line.0 == Quantity::ONE;
    let dearest = (0..lines.len())
        .filter(|at| single(&lines[*at]))
        .max_by_key(|at| (worth(&lines[*at]), std::cmp::Reverse(*at)));
    let smallest =
        || (0..lines.len()).filter(|at| pieces(&lines[*at]) > 0).min_by_key(|at| pieces(&lines[*at]));
    if let Some(at) = dearest.or_else(smallest) {
        shares[at] += (cost - given) / pieces(&lines[at]);
    }
    shares.into_iter().map(|share| Money::from_raw(i64::try_from(share).unwrap_or(i64::MAX))).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn line(quantity: i64, price: &str) -> Share {
        (Quantity::whole(quantity), Money::parse(price))
    }

    fn told(cost: &str, lines: &[Share]) -> Vec<String> {
        cost_shares(Money::parse(cost).unwrap(), lines).iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_box_is_spread_by_the_prices_of_its_pieces() {
        assert_eq!(told("120", &[line(1, "100"), line(2, "20"), line(1, "10")]), ["80.00", "16.00", "8.00"]);
        // A third of a ten-thousandth is left for each, and goes to the single one.
        assert_eq!(told("1", &[line(1, "1"), line(2, "1")]), ["0.3334", "0.3333"]);
    }

    #[test]
    fn without_a_price_all_pieces_share_alike() {
        let unknown = (Quantity::ONE, None);
        assert_eq!(told("55", &[line(2, "30"), unknown, unknown]), ["13.75", "13.75", "13.75"]);
        assert_eq!(told("55", &[line(1, "0"), line(1, "0")]), ["27.50", "27.50"]);
        assert_eq!(told("55", &[]), Vec::<String>::new());
    }

    proptest! {
        #[test]
        fn nothing_of_a_box_with_a_single_piece_is_lost(
            cost in 0_i64..50_000_000,
            lines in proptest::collection::vec((1_i64..20, proptest::option::of(0_i64..5_000_000)), 0..12),
        ) {
            let mut lines: Vec<Share> = lines
                .into_iter()
                .map(|(quantity, price)| (Quantity::whole(quantity), price.map(Money::from_raw)))
                .collect();
            lines.push((Quantity::ONE, Some(Money::from_raw(10_000))));
            let shares = cost_shares(Money::from_raw(cost), &lines);
            let sum: i64 = shares.iter().zip(&lines).map(|(share, (quantity, _))| share.raw() * quantity.raw() / 1000).sum();
            prop_assert_eq!(sum, cost);
            prop_assert!(shares.iter().all(|share| share.raw() >= 0));
        }
    }
}
