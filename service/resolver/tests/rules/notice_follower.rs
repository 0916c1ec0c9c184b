//! Supersession against a follower that tries everything, on random notices.

use std::collections::{BTreeMap, BTreeSet};

use proptest::prelude::*;

use crate::small_world::{overhaul, shop};

/// A notice: old number, new numbers with factors, shape, interchange, year.
#[derive(Debug, Clone)]
struct Notice {
    old: usize,
    new: Vec<(usize, i64)>,
    shape: &'static str,
    interchange: &'static str,
    year: i32,
}

type Pieces = BTreeMap<usize, i64>;

/// All ways in which notices lead on from a number; `None`: they lead in a circle.
fn ways(notices: &[Notice], part: usize, above: &[usize]) -> Option<Vec<Pieces>> {
    if above.contains(&part) {
        return None;
    }
    let latest =
        (0..notices.len()).filter(|at| notices[*at].old == part).max_by_key(|at| (notices[*at].year, *at));
    let Some(notice) = latest.map(|at| &notices[at]).filter(|notice| notice.interchange != "none") else {
        return Some(vec![Pieces::from([(part, 1)])]);
    };
    let above: Vec<usize> = above.iter().copied().chain([part]).collect();
    let mut behind: Vec<Vec<Pieces>> = Vec::new();
    for (new, factor) in &notice.new {
        let onward = ways(notices, *new, &above)?;
        let times = |way: Pieces| way.into_iter().map(|(part, pieces)| (part, pieces * factor)).collect();
        behind.push(onward.into_iter().map(times).collect());
    }
    if notice.shape != "all_of" {
        return Some(behind.into_iter().flatten().collect());
    }
    let mut together = vec![Pieces::new()];
    for onward in behind {
        let with = |so_far: &Pieces| {
            let so_far = so_far.clone();
            onward
                .iter()
                .map(move |way| {
                    let mut sum = so_far.clone();
                    way.iter().for_each(|(part, pieces)| *sum.entry(*part).or_default() += pieces);
                    sum
                })
                .collect::<Vec<_>>()
        };
        together = together.iter().flat_map(with).collect();
    }
    Some(together)
}

/// Numbers that serve for each other, one for one.
fn class(notices: &[Notice], part: usize) -> BTreeSet<usize> {
    let mut class = BTreeSet::from([part]);
    loop {
        let tied = notices
            .iter()
            .filter(|n| n.interchange == "two_way" && n.shape == "one_to_one" && n.new[0].1 == 1);
        let before = class.len();
        for notice in tied {
            let (old, new) = (notice.old, notice.new[0].0);
            if class.contains(&old) || class.contains(&new) {
                class.extend([old, new]);
            }
        }
        if class.len() == before {
            return class;
        }
    }
}

fn notice(parts: usize) -> impl Strategy<Value = Notice> {
    let new = prop::collection::btree_map(0..parts, 1_i64..3, 1..3);
    let shapes = prop::sample::select(vec!["one_to_one", "one_to_one", "one_of", "all_of"]);
    let interchange = prop::sample::select(vec!["two_way", "new_for_old", "new_for_old", "none"]);
    (0..parts, new, shapes, interchange, 2010..2020).prop_map(|(old, new, shape, interchange, year)| {
        let mut new: Vec<(usize, i64)> = new.into_iter().filter(|(new, _)| *new != old).collect();
        if new.is_empty() {
            new.push(((old + 1) % 7, 1));
        }
        if shape == "one_to_one" {
            new.truncate(1);
        }
        Notice { old, new, shape, interchange, year }
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_is_fitted_is_the_cheapest_of_all_ways_that_notices_lead(
        notices in prop::collection::vec(notice(7), 0..9),
        prices in prop::collection::vec(1_i64..40, 7),
    ) {
        let mut text = String::from("at SEAL P0\n");
        for (part, price) in prices.iter().enumerate() {
            text.push_str(&format!("part P{part} consumable seal {price}\n"));
        }
        for (at, notice) in notices.iter().enumerate() {
            for (new, factor) in &notice.new {
                let Notice { old, shape, interchange, year, .. } = notice;
                text.push_str(&format!(
                    "notice N{at} P{old}>P{new} {interchange} shape={shape} x={factor} from={year}-01-01\n"
                ));
            }
        }
        let answer = shop(&text).try_resolve(overhaul());
        let Some(ways) = ways(&notices, 0, &[]) else {
            prop_assert!(answer.unwrap_err().detail.starts_with("notices lead in a circle: M/P"));
            return Ok(());
        };
        let cost = |way: &Pieces| -> i64 {
            let only = way.len() == 1;
            way.iter()
                .map(|(part, pieces)| {
                    let serves = if only { class(&notices, *part) } else { BTreeSet::from([*part]) };
                    pieces * serves.iter().map(|part| prices[*part]).min().unwrap()
                })
                .sum()
        };
        let least = ways.iter().map(cost).min().unwrap();
        prop_assert_eq!(answer.unwrap().sourcing.cash, catalogue::Money::from_raw(least * 10_000));
    }
}
