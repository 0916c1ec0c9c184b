//! From a matching to what is said of each line.

use std::collections::BTreeMap;

use catalogue::{PartKey, Quantity, UnitOfMeasure};

use super::answer::{
    CountVerdict, CountedOutcome, ExpectedOutcome, ExpectedVerdict, ListChange, PiecesOutcome,
    Reconciliation, ToldReason,
};
use super::contents::contents_of;
use super::input::{CountedLine, ExpectedLine, ReceiptInput};
use super::matching::{Demand, Match, Matching, Rank, Supply, match_count, quantity};
use super::reason::ReceiptReason;
use super::relation::{Numbers, Relations, closest_expected, relations, todays_parts};
use crate::explain::receipt_sentence;
use crate::graph::Graph;

/// Holds a count against what should have come.
pub fn reconcile(input: &ReceiptInput) -> Reconciliation {
    let graph = Graph::new(&input.snapshot);
    let numbers = Numbers::of(input);
    let related = relations(input, &graph, &numbers);
    let demands: Vec<Demand> = input
        .expected
        .iter()
        .map(|line| Demand { part: numbers.part(&graph, &line.part), quantity: line.quantity.raw() })
        .collect();
    let supplies: Vec<Supply> = input
        .counted
        .iter()
        .enumerate()
        .map(|(at, line)| Supply {
            part: line.part.as_ref().map_or(numbers.unknown(at), |part| numbers.part(&graph, part)),
            sound: (line.quantity - line.damaged).raw(),
            damaged: line.damaged.raw(),
        })
        .collect();
    let matching = match_count(&demands, &supplies, &related.ways);
    let on_lists = todays_parts(input);
    let report = Report { input, graph: &graph, related: &related, matching: &matching, on_lists };
    Reconciliation {
        as_of: input.as_of,
        expected: (0..input.expected.len()).map(|at| report.expected(at)).collect(),
        counted: (0..input.counted.len()).map(|at| report.counted(at, &supplies, &demands)).collect(),
        list_changes: list_changes(input),
        proven: matching.proven,
        catalogue_faults: related.faults.iter().cloned().collect(),
    }
}

struct Report<'a, 'b> {
    input: &'b ReceiptInput,
    graph: &'b Graph<'a>,
    related: &'b Relations,
    matching: &'b Matching,
    on_lists: BTreeMap<PartKey, PartKey>,
}

fn told(reason: ReceiptReason) -> ToldReason {
    ToldReason { sentence: receipt_sentence(&reason), reason }
}

impl Report<'_, '_> {
    fn rank(&self, found: &Match) -> Rank {
        found.way.map_or(Rank::Same, |way| self.related.ways[way].rank)
    }

    fn reason(&self, found: &Match) -> ReceiptReason {
        found.way.map_or(ReceiptReason::SameNumber, |way| self.related.reasons[way].clone())
    }

    fn name(&self, part: &PartKey) -> (String, UnitOfMeasure) {
        self.graph.find(part).map_or((String::new(), UnitOfMeasure::Piece), |at| {
            let part = self.graph.part(at);
            (part.name.clone(), part.measure)
        })
    }

    fn expected(&self, at: usize) -> ExpectedOutcome {
        let line: &ExpectedLine = &self.input.expected[at];
        let accepted: Vec<&Match> = self
            .matching
            .matches
            .iter()
            .filter(|found| found.demand == at && self.rank(found).is_accepted())
            .collect();
        let of_rank = |rank| {
            let matches = accepted.iter().filter(|found| self.rank(found) == rank);
            matches.map(|found| quantity(found.stands_for)).sum::<Quantity>()
        };
        let right = of_rank(Rank::Same);
        let (by_successor, by_interchange) = (of_rank(Rank::Successor), of_rank(Rank::Interchangeable));
        let short = line.quantity - right - by_successor - by_interchange;
        let damaged: Quantity = accepted.iter().map(|found| quantity(found.damaged)).sum();
        let verdict = if short > Quantity::ZERO {
            ExpectedVerdict::Short
        } else if right == line.quantity {
            ExpectedVerdict::Right
        } else {
            ExpectedVerdict::Accepted
        };
        let (name, measure) = self.name(&line.part);
        let mut reasons: Vec<ReceiptReason> = Vec::new();
        for found in &accepted {
            let reason = self.reason(found);
            if found.way.is_some() && !reasons.contains(&reason) {
                reasons.push(reason);
            }
        }
        if damaged > Quantity::ZERO {
            reasons.push(ReceiptReason::Damaged { quantity: damaged });
        }
        if short > Quantity::ZERO {
            reasons.push(ReceiptReason::Short { quantity: short });
            if let Some(kit) = line.kit.as_ref().filter(|kit| self.is_gone(kit, &line.part)) {
                reasons.push(ReceiptReason::GoneFromTodaysList { kit: kit.clone() });
            }
        }
        ExpectedOutcome {
            order_line: line.order_line,
            content: line.content,
            part: line.part.clone(),
            name,
            measure,
            kit: line.kit.clone(),
            option_group: line.option_group.clone(),
            verdict,
            expected: line.quantity,
            right,
            by_successor,
            by_interchange,
            short,
            damaged,
            reasons: reasons.into_iter().map(told).collect(),
        }
    }

    fn is_gone(&self, kit: &PartKey, part: &PartKey) -> bool {
        contents_of(&self.input.snapshot, kit)
            .is_ok_and(|today| !today.iter().any(|content| content.part == *part))
    }

    fn counted(&self, at: usize, supplies: &[Supply], demands: &[Demand]) -> CountedOutcome {
        let line: &CountedLine = &self.input.counted[at];
        let mut pieces: Vec<PiecesOutcome> = Vec::new();
        let matches: Vec<&Match> = self.matching.matches.iter().filter(|found| found.supply == at).collect();
        let mut sound = supplies[at].sound;
        let mut damaged = supplies[at].damaged;
        for found in matches {
            sound -= found.pieces - found.damaged;
            damaged -= found.damaged;
            pieces.push(self.matched(line, at, found));
        }
        if sound + damaged > 0 {
            let expects_it = demands.iter().any(|demand| demand.part == supplies[at].part)
                || self.related.ways.iter().any(|way| {
                    way.rank.is_accepted() && way.counted.iter().any(|(part, _)| *part == supplies[at].part)
                });
            pieces.push(self.left_over(line, at, (sound, damaged), expects_it));
        }
        let name = line.part.as_ref().map_or(String::new(), |part| self.name(part).0);
        CountedOutcome {
            written: line.written.clone(),
            part: line.part.clone(),
            name,
            quantity: line.quantity,
            damaged: line.damaged,
            pieces: joined(pieces),
        }
    }

    fn matched(&self, line: &CountedLine, at: usize, found: &Match) -> PiecesOutcome {
        let place = &self.input.expected[found.demand];
        let reason = self.reason(found);
        let verdict = match (self.rank(found), &reason) {
            (Rank::Same, _) => CountVerdict::Right,
            (Rank::Successor, _) => CountVerdict::ProperSuccessor,
            (Rank::Interchangeable, _) => CountVerdict::Interchangeable,
            (Rank::Refused, ReceiptReason::InterchangeIsOneWay { .. }) => CountVerdict::OldNumberRefused,
            (Rank::Refused | Rank::Closest, _) => CountVerdict::WrongPart,
        };
        let mut reasons = vec![reason];
        if line.part.is_none() {
            reasons.push(ReceiptReason::UnknownNumber { closest: closest_expected(self.input, at) });
        }
        PiecesOutcome {
            verdict,
            quantity: quantity(found.pieces),
            damaged: quantity(found.damaged),
            order_line: Some(place.order_line),
            content: Some(place.content),
            in_place_of: Some(place.part.clone()),
            stands_for: if verdict.is_accepted() { quantity(found.stands_for) } else { Quantity::ZERO },
            reasons: with_damage(reasons, found.damaged),
        }
    }

    fn left_over(
        &self,
        line: &CountedLine,
        at: usize,
        (sound, damaged): (i64, i64),
        expects_it: bool,
    ) -> PiecesOutcome {
        let kit = line.part.as_ref().and_then(|part| self.on_lists.get(part));
        let (verdict, reason) = match (&line.part, kit) {
            _ if expects_it => (CountVerdict::Over, ReceiptReason::MoreThanExpected),
            (Some(_), Some(kit)) => {
                (CountVerdict::TodaysList, ReceiptReason::OnTodaysList { kit: kit.clone() })
            }
            (Some(_), None) => (CountVerdict::WrongPart, ReceiptReason::NotExpected),
            (None, _) => {
                let closest = closest_expected(self.input, at);
                (CountVerdict::WrongPart, ReceiptReason::UnknownNumber { closest })
            }
        };
        PiecesOutcome {
            verdict,
            quantity: quantity(sound + damaged),
            damaged: quantity(damaged),
            order_line: None,
            content: None,
            in_place_of: None,
            stands_for: Quantity::ZERO,
            reasons: with_damage(vec![reason], damaged),
        }
    }
}

fn with_damage(mut reasons: Vec<ReceiptReason>, damaged: i64) -> Vec<ToldReason> {
    if damaged > 0 {
        reasons.push(ReceiptReason::Damaged { quantity: quantity(damaged) });
    }
    reasons.into_iter().map(told).collect()
}

/// Sound and damaged pieces for the same place as one.
fn joined(pieces: Vec<PiecesOutcome>) -> Vec<PiecesOutcome> {
    let mut joined: Vec<PiecesOutcome> = Vec::new();
    let undamaged = |reasons: &[ToldReason]| -> Vec<ToldReason> {
        let kept = reasons.iter().filter(|told| !matches!(told.reason, ReceiptReason::Damaged { .. }));
        kept.cloned().collect()
    };
    for piece in pieces {
        let same = joined.iter_mut().find(|known| {
            (known.verdict, known.order_line, known.content)
                == (piece.verdict, piece.order_line, piece.content)
                && undamaged(&known.reasons) == undamaged(&piece.reasons)
        });
        match same {
            Some(known) => {
                known.quantity += piece.quantity;
                known.damaged += piece.damaged;
                known.stands_for += piece.stands_for;
                let reasons = undamaged(&known.reasons).into_iter().map(|told| told.reason).collect();
                known.reasons = with_damage(reasons, known.damaged.raw());
            }
            None => joined.push(piece),
        }
    }
    joined
}

/// Where today's list of an ordered kit differs from what was frozen, by kit and part.
fn list_changes(input: &ReceiptInput) -> Vec<ListChange> {
    let mut changes = Vec::new();
    let mut seen: Vec<&PartKey> = Vec::new();
    for frozen in &input.boxes {
        let Ok(today) = contents_of(&input.snapshot, &frozen.kit) else { continue };
        if seen.contains(&&frozen.kit) {
            continue;
        }
        seen.push(&frozen.kit);
        let mut sums: BTreeMap<&PartKey, (Quantity, Quantity)> = BTreeMap::new();
        for content in &frozen.contents {
            sums.entry(&content.part).or_default().0 += content.quantity;
        }
        for content in &today {
            sums.entry(&content.part).or_default().1 += content.quantity;
        }
        let differ = sums.into_iter().filter(|(_, (then, now))| then != now);
        changes.extend(differ.map(|(part, (frozen_quantity, today_quantity))| ListChange {
            kit: frozen.kit.clone(),
            part: part.clone(),
            frozen: frozen_quantity,
            today: today_quantity,
        }));
    }
    changes
}
