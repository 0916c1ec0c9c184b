//! Matchings against trying everything.

use std::collections::BTreeMap;

use catalogue::{Interchange, Quantity, Snapshot, SupersessionShape};
use proptest::prelude::*;

use super::super::matching::{Demand, Rank, Supply, Way, Worth, match_count, worth};
use super::super::reconcile;
use super::{catalogue_of, input, with_notice};

/// What is left of parts after the same numbers took what they can: to come, sound, damaged.
type Left = BTreeMap<usize, [i64; 3]>;

fn left(demands: &[Demand], supplies: &[Supply]) -> Left {
    let mut left = Left::new();
    for demand in demands {
        left.entry(demand.part).or_default()[0] += demand.quantity;
    }
    for supply in supplies {
        let entry = left.entry(supply.part).or_default();
        entry[1] += supply.sound;
        entry[2] += supply.damaged;
    }
    for entry in left.values_mut() {
        let same = entry[0].min(entry[1] + entry[2]);
        let sound = same.min(entry[1]);
        *entry = [entry[0] - same, entry[1] - sound, entry[2] - (same - sound)];
    }
    left
}

/// The best worth over every number of units of every way.
fn best(ways: &[Way], left: &Left) -> Worth {
    fn go(
        ways: &[Way],
        at: usize,
        left: &mut BTreeMap<usize, (i64, i64)>,
        used: &mut Vec<i64>,
        found: &mut Vec<Vec<i64>>,
    ) {
        let Some(way) = ways.get(at) else {
            found.push(used.clone());
            return;
        };
        let room = |left: &BTreeMap<usize, (i64, i64)>| {
            let expected = way.expected.iter().map(|(part, each)| left.get(part).map_or(0, |l| l.0) / each);
            let counted = way.counted.iter().map(|(part, each)| left.get(part).map_or(0, |l| l.1) / each);
            expected.chain(counted).min().unwrap_or(0)
        };
        for units in 0..=room(left) {
            let change = |left: &mut BTreeMap<usize, (i64, i64)>, sign: i64| {
                for (part, each) in &way.expected {
                    left.entry(*part).or_default().0 += sign * units * each;
                }
                for (part, each) in &way.counted {
                    left.entry(*part).or_default().1 += sign * units * each;
                }
            };
            change(left, -1);
            used.push(units);
            go(ways, at + 1, left, used, found);
            used.pop();
            change(left, 1);
        }
    }
    let mut open = left.iter().map(|(part, l)| (*part, (l[0], l[1] + l[2]))).collect();
    let mut found = Vec::new();
    go(ways, 0, &mut open, &mut Vec::new(), &mut found);
    let worth_of = |used: &Vec<i64>| {
        let mut worth: Worth = [0; 6];
        let mut taken: BTreeMap<usize, i64> = BTreeMap::new();
        for (way, units) in ways.iter().zip(used) {
            let stood_for: i64 = way.expected.iter().map(|(_, each)| each * units).sum();
            let entry = match way.rank {
                Rank::Same => continue,
                Rank::Successor => 0,
                Rank::Interchangeable => 1,
                Rank::Refused => 2,
                Rank::Closest => 3,
            };
            worth[entry] -= stood_for;
            for (part, each) in &way.counted {
                worth[4] += i64::from(way.distance) * each * units;
                *taken.entry(*part).or_default() += each * units;
            }
        }
        worth[5] =
            taken.iter().map(|(part, taken)| (taken - left.get(part).map_or(0, |l| l[1])).max(0)).sum();
        worth
    };
    found.iter().map(worth_of).min().unwrap_or([0; 6])
}

fn ways() -> impl Strategy<Value = Vec<Way>> {
    let rank =
        prop::sample::select(vec![Rank::Successor, Rank::Interchangeable, Rank::Refused, Rank::Closest]);
    let single =
        (rank, 0_usize..4, 0_usize..4, 1_i64..3, 0_u32..3).prop_map(|(rank, of, by, each, distance)| {
            let plain = !rank.is_accepted();
            Way {
                rank,
                expected: vec![(of, 1)],
                counted: vec![(by, if plain { 1 } else { each })],
                distance: if rank == Rank::Closest { distance } else { 0 },
            }
        });
    let split = (0_usize..4, 0_usize..3).prop_map(|(of, by)| Way {
        rank: Rank::Successor,
        expected: vec![(of, 1)],
        counted: vec![(by, 1), (by + 1, 1)],
        distance: 0,
    });
    let merge = (0_usize..3, 0_usize..4).prop_map(|(of, by)| Way {
        rank: Rank::Successor,
        expected: vec![(of, 1), (of + 1, 1)],
        counted: vec![(by, 1)],
        distance: 0,
    });
    prop::collection::vec(prop_oneof![4 => single, 1 => split, 1 => merge], 0..5)
}

proptest! {
    #[test]
    fn no_matching_is_better(
        demands in prop::collection::vec((0_usize..4, 0_i64..3), 0..4),
        supplies in prop::collection::vec((0_usize..4, 0_i64..3, 0_i64..2), 0..4),
        ways in ways(),
    ) {
        let demands: Vec<Demand> =
            demands.into_iter().map(|(part, quantity)| Demand { part, quantity }).collect();
        let supplies: Vec<Supply> =
            supplies.into_iter().map(|(part, sound, damaged)| Supply { part, sound, damaged }).collect();
        // A way from a number to itself means nothing: the same number has gone before.
        let ways: Vec<Way> = ways
            .into_iter()
            .filter(|way| way.expected.iter().all(|(of, _)| way.counted.iter().all(|(by, _)| of != by)))
            .collect();
        let matching = match_count(&demands, &supplies, &ways);
        prop_assert!(matching.proven);
        prop_assert_eq!(worth(&matching.matches, &ways), best(&ways, &left(&demands, &supplies)));
        for (at, supply) in supplies.iter().enumerate() {
            let of_line = || matching.matches.iter().filter(move |found| found.supply == at);
            let damaged: i64 = of_line().map(|found| found.damaged).sum();
            let all: i64 = of_line().map(|found| found.pieces).sum();
            prop_assert!(damaged <= supply.damaged && all - damaged <= supply.sound);
        }
        for (at, demand) in demands.iter().enumerate() {
            let of_line = matching.matches.iter().filter(|found| found.demand == at);
            prop_assert!(of_line.map(|found| found.stands_for).sum::<i64>() <= demand.quantity);
        }
    }

    #[test]
    fn a_random_catalogue_accepts_what_following_its_notices_by_hand_accepts(
        notices in prop::collection::vec((any::<bool>(), 1_usize..4, 0_u8..4, 1_i64..3), 4),
        ordered in prop::collection::vec(0_i64..3, 4),
        counted in prop::collection::vec((0_i64..3, 0_i64..2), 4),
    ) {
        let links: Vec<Option<(usize, Interchange, i64)>> = notices
            .iter()
            .enumerate()
            .map(|(old, (there, step, direction, pieces))| {
                let direction = match direction {
                    0 => Interchange::None,
                    1 | 2 => Interchange::NewForOld,
                    _ => Interchange::TwoWay,
                };
                (*there && old + step < 4).then_some((old + step, direction, *pieces))
            })
            .collect();
        let by_hand = ways_by_hand(&links);
        let outcome = reconcile(&box_of(&links, &ordered, &counted));
        prop_assert!(outcome.proven);
        let demands: Vec<Demand> =
            ordered.iter().enumerate().map(|(part, quantity)| Demand { part, quantity: *quantity }).collect();
        let supplies: Vec<Supply> = counted
            .iter()
            .enumerate()
            .map(|(part, (sound, damaged))| Supply { part, sound: *sound, damaged: *damaged })
            .collect();
        let found = best(&by_hand, &left(&demands, &supplies));
        let successors: Quantity = outcome.expected.iter().map(|line| line.by_successor).sum();
        let interchanged: Quantity = outcome.expected.iter().map(|line| line.by_interchange).sum();
        prop_assert_eq!((successors, interchanged), (Quantity::whole(-found[0]), Quantity::whole(-found[1])));
        for line in &outcome.counted {
            let told: Quantity = line.pieces.iter().map(|pieces| pieces.quantity).sum();
            prop_assert_eq!(told, line.quantity, "every counted piece is spoken of once");
        }
    }
}

const NUMBERS: [&str; 4] = ["A0", "B1", "C2", "D3"];

fn box_of(
    links: &[Option<(usize, Interchange, i64)>],
    ordered: &[i64],
    counted: &[(i64, i64)],
) -> super::ReceiptInput {
    let mut snapshot: Snapshot = catalogue_of(&NUMBERS);
    for (old, link) in links.iter().enumerate() {
        if let Some((new, direction, pieces)) = link {
            let notice = (&*format!("N-{old}"), SupersessionShape::OneToOne);
            snapshot = with_notice(snapshot, notice, (NUMBERS[old], NUMBERS[*new], *pieces), *direction);
        }
    }
    let ordered: Vec<(&str, i64)> = NUMBERS.iter().copied().zip(ordered.iter().copied()).collect();
    let counted: Vec<(&str, i64, i64)> = NUMBERS
        .iter()
        .zip(counted)
        .map(|(number, (sound, damaged))| (*number, sound + damaged, *damaged))
        .collect();
    input(&snapshot, &ordered, &counted)
}

/// The ways that a person finds who walks along the notices, one number at most behind each.
fn ways_by_hand(links: &[Option<(usize, Interchange, i64)>]) -> Vec<Way> {
    let mut ways = Vec::new();
    for ordered in 0..links.len() {
        let mut stations = vec![(ordered, 1)];
        let mut at = ordered;
        while let Some((new, direction, pieces)) = links[at] {
            if direction == Interchange::None {
                break;
            }
            let factor = stations.last().map_or(1, |(_, factor)| *factor) * pieces;
            stations.push((new, factor));
            at = new;
        }
        let way = |rank, by, each| Way {
            rank,
            expected: vec![(ordered, 1)],
            counted: vec![(by, each)],
            distance: 0,
        };
        let mut tied = vec![ordered];
        for (station, factor) in stations.iter().skip(1) {
            tied.push(*station);
            ways.push(way(Rank::Successor, *station, *factor));
        }
        for (station, factor) in &stations {
            for other in two_way(links, *station) {
                if !tied.contains(&other) {
                    tied.push(other);
                    ways.push(way(Rank::Interchangeable, other, *factor));
                }
            }
        }
    }
    ways
}

/// All numbers that two-way notices of one piece for one piece tie to a number.
fn two_way(links: &[Option<(usize, Interchange, i64)>], from: usize) -> Vec<usize> {
    let tied = |a: usize, b: usize| links[a] == Some((b, Interchange::TwoWay, 1));
    let mut found = vec![from];
    loop {
        let next = (0..links.len()).find(|other| {
            !found.contains(other) && found.iter().any(|at| tied(*at, *other) || tied(*other, *at))
        });
        match next {
            Some(other) => found.push(other),
            None => return found,
        }
    }
}
