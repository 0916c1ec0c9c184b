//! One box, one thing to learn.

use catalogue::{Interchange, Quantity, Snapshot, SupersessionShape};

use super::super::{CountVerdict, ExpectedVerdict, Reconciliation, reconcile};
use super::{catalogue_of, input, key, with_lines, with_notice};

const PLAIN: SupersessionShape = SupersessionShape::OneToOne;

/// Each expected line as `number verdict right+successor+interchange short`.
fn expected(outcome: &Reconciliation) -> Vec<String> {
    let lines = outcome.expected.iter().map(|line| {
        format!(
            "{} {} {}+{}+{} short {}",
            line.part.number(),
            line.verdict,
            line.right,
            line.by_successor,
            line.by_interchange,
            line.short
        )
    });
    lines.collect()
}

/// What became of each counted line, as `number: verdict pieces/damaged in place of number`.
fn counted(outcome: &Reconciliation) -> Vec<String> {
    let mut lines = Vec::new();
    for line in &outcome.counted {
        for pieces in &line.pieces {
            let place = pieces.in_place_of.as_ref().map_or("-", |part| part.number());
            lines.push(format!(
                "{}: {} {}/{} for {place}",
                line.written, pieces.verdict, pieces.quantity, pieces.damaged
            ));
        }
    }
    lines
}

fn seal_kit() -> Snapshot {
    let snapshot = catalogue_of(&["K1", "S10", "S12", "B7", "B8", "N3"]);
    with_lines(snapshot, "K1", &[("B7", 2, ""), ("S10", 1, "SEAL"), ("S12", 1, "SEAL")])
}

#[test]
fn a_full_box_is_right_line_by_line_options_included() {
    let outcome = reconcile(&input(&seal_kit(), &[("K1", 2)], &[("S12", 2, 0), ("B7", 4, 0), ("S10", 2, 0)]));
    assert_eq!(
        expected(&outcome),
        ["B7 right 4+0+0 short 0", "S10 right 2+0+0 short 0", "S12 right 2+0+0 short 0"]
    );
    assert_eq!(
        counted(&outcome),
        ["S12: right 2/0 for S12", "B7: right 4/0 for B7", "S10: right 2/0 for S10"]
    );
    assert!(outcome.proven && outcome.list_changes.is_empty());
}

#[test]
fn an_option_that_lacks_is_short_though_a_job_might_not_need_it() {
    let outcome = reconcile(&input(&seal_kit(), &[("K1", 1)], &[("S12", 1, 0), ("B7", 1, 0)]));
    assert_eq!(
        expected(&outcome),
        ["B7 short 1+0+0 short 1", "S10 short 0+0+0 short 1", "S12 right 1+0+0 short 0"]
    );
    assert_eq!(outcome.expected[1].reasons[0].sentence, "1 short");
}

#[test]
fn a_successor_is_taken_and_an_old_number_is_not() {
    let snapshot = with_notice(
        catalogue_of(&["B7", "B8", "B9"]),
        ("N-1", PLAIN),
        ("B7", "B8", 1),
        Interchange::NewForOld,
    );
    let successor = reconcile(&input(&snapshot, &[("B7", 2)], &[("B8", 2, 0)]));
    assert_eq!(expected(&successor), ["B7 accepted 0+2+0 short 0"]);
    assert_eq!(counted(&successor), ["B8: proper_successor 2/0 for B7"]);
    let reason = &successor.counted[0].pieces[0].reasons[0];
    assert_eq!(reason.sentence, "it follows VESSICK/B7 by notice N-1 and serves for it");
    let old = reconcile(&input(&snapshot, &[("B8", 2)], &[("B7", 2, 0)]));
    assert_eq!(expected(&old), ["B8 short 0+0+0 short 2"]);
    assert_eq!(counted(&old), ["B7: old_number_refused 2/0 for B8"]);
    assert_eq!(
        old.counted[0].pieces[0].reasons[0].sentence,
        "an old number: VESSICK/B8 serves for it, but it does not serve for VESSICK/B8 (notice N-1)"
    );
}

#[test]
fn a_two_way_notice_lets_the_old_number_pass() {
    let snapshot =
        with_notice(catalogue_of(&["B7", "B8"]), ("N-1", PLAIN), ("B7", "B8", 1), Interchange::TwoWay);
    let outcome = reconcile(&input(&snapshot, &[("B8", 2)], &[("B7", 2, 0)]));
    assert_eq!(expected(&outcome), ["B8 accepted 0+0+2 short 0"]);
    assert_eq!(counted(&outcome), ["B7: interchangeable 2/0 for B8"]);
}

#[test]
fn what_goes_on_from_a_successor_is_a_successor_and_none_stops_the_chain() {
    let numbers = ["B1", "B2", "B3", "B4"];
    let snapshot = with_notice(catalogue_of(&numbers), ("N-1", PLAIN), ("B1", "B2", 1), Interchange::TwoWay);
    let snapshot = with_notice(snapshot, ("N-2", PLAIN), ("B2", "B3", 1), Interchange::NewForOld);
    let snapshot = with_notice(snapshot, ("N-3", PLAIN), ("B3", "B4", 1), Interchange::None);
    let outcome =
        reconcile(&input(&snapshot, &[("B1", 4)], &[("B2", 1, 0), ("B3", 1, 0), ("B4", 1, 0), ("B1", 1, 0)]));
    assert_eq!(
        counted(&outcome),
        [
            "B2: proper_successor 1/0 for B1",
            "B3: proper_successor 1/0 for B1",
            "B4: wrong_part 1/0 for B1",
            "B1: right 1/0 for B1"
        ]
    );
    assert_eq!(expected(&outcome), ["B1 short 1+2+0 short 1"]);
    let none = reconcile(&input(&snapshot, &[("B3", 1)], &[("B4", 1, 0)]));
    assert_eq!(counted(&none), ["B4: wrong_part 1/0 for B3"]);
    assert!(none.counted[0].pieces[0].reasons[0].sentence.contains("N-3 says that"));
}

#[test]
fn a_quantity_factor_is_taken_in_whole_pieces_of_what_was_ordered() {
    let snapshot =
        with_notice(catalogue_of(&["N1", "N2"]), ("N-1", PLAIN), ("N1", "N2", 2), Interchange::NewForOld);
    let outcome = reconcile(&input(&snapshot, &[("N1", 2)], &[("N2", 3, 0)]));
    assert_eq!(expected(&outcome), ["N1 short 0+1+0 short 1"]);
    assert_eq!(counted(&outcome), ["N2: proper_successor 2/0 for N1", "N2: over 1/0 for -"]);
    assert_eq!(outcome.counted[0].pieces[0].stands_for, Quantity::ONE);
}

#[test]
fn a_split_needs_all_its_numbers_and_a_merge_all_that_it_merges() {
    let all = SupersessionShape::AllOf;
    let snapshot =
        with_notice(catalogue_of(&["A1", "B1", "B2"]), ("N-1", all), ("A1", "B1", 1), Interchange::NewForOld);
    let snapshot = with_notice(snapshot, ("N-1", all), ("A1", "B2", 1), Interchange::NewForOld);
    let both = reconcile(&input(&snapshot, &[("A1", 2)], &[("B1", 2, 0), ("B2", 1, 0)]));
    assert_eq!(expected(&both), ["A1 short 0+1+0 short 1"]);
    assert_eq!(
        counted(&both),
        ["B1: proper_successor 1/0 for A1", "B1: over 1/0 for -", "B2: proper_successor 1/0 for A1"]
    );

    let merge = SupersessionShape::Merge;
    let snapshot = with_notice(
        catalogue_of(&["A1", "A2", "B1"]),
        ("N-1", merge),
        ("A1", "B1", 1),
        Interchange::NewForOld,
    );
    let snapshot = with_notice(snapshot, ("N-1", merge), ("A2", "B1", 1), Interchange::NewForOld);
    let merged = reconcile(&input(&snapshot, &[("A1", 1), ("A2", 1)], &[("B1", 1, 0)]));
    assert_eq!(expected(&merged), ["A1 accepted 0+1+0 short 0", "A2 accepted 0+1+0 short 0"]);
    let one = reconcile(&input(&snapshot, &[("A1", 1)], &[("B1", 1, 0)]));
    assert_eq!(expected(&one), ["A1 short 0+0+0 short 1"]);
}

#[test]
fn damage_does_not_change_what_a_thing_is_and_sound_pieces_go_first() {
    let snapshot =
        with_notice(catalogue_of(&["B7", "B8"]), ("N-1", PLAIN), ("B7", "B8", 1), Interchange::NewForOld);
    let outcome = reconcile(&input(&snapshot, &[("B7", 1)], &[("B7", 1, 1), ("B8", 1, 0)]));
    assert_eq!(counted(&outcome), ["B7: right 1/1 for B7", "B8: over 1/0 for -"]);
    assert_eq!(outcome.expected[0].damaged, Quantity::ONE);
    let outcome = reconcile(&input(&snapshot, &[("B7", 2)], &[("B7", 3, 2)]));
    assert_eq!(counted(&outcome), ["B7: right 2/1 for B7", "B7: over 1/1 for -"]);
}

#[test]
fn an_unknown_number_gets_the_closest_line_that_lacks() {
    let outcome =
        reconcile(&input(&seal_kit(), &[("K1", 1)], &[("S1O", 1, 0), ("B7", 2, 0), ("XYZ99", 1, 0)]));
    assert_eq!(
        counted(&outcome),
        ["S1O: wrong_part 1/0 for S10", "B7: right 2/0 for B7", "XYZ99: wrong_part 1/0 for -"]
    );
    let sentence = &outcome.counted[0].pieces[0].reasons[1].sentence;
    assert_eq!(sentence, "the catalogue does not know this number; was it VESSICK/S10?");
    assert_eq!(expected(&outcome)[1], "S10 short 0+0+0 short 1");
}

#[test]
fn claims_go_against_what_was_frozen_and_todays_list_explains() {
    let frozen = input(&seal_kit(), &[("K1", 1)], &[("B7", 2, 0), ("S10", 1, 0), ("N3", 1, 0)]);
    let today = with_lines(seal_kit(), "K1", &[("B7", 2, ""), ("S10", 1, ""), ("N3", 1, "")]);
    let outcome = reconcile(&super::ReceiptInput { snapshot: today, ..frozen });
    assert_eq!(counted(&outcome)[2], "N3: todays_list 1/0 for -");
    let seal = &outcome.expected[2];
    assert_eq!((seal.verdict, seal.short), (ExpectedVerdict::Short, Quantity::ONE));
    assert!(seal.reasons.iter().any(|told| told.sentence.contains("does not hold it any more")));
    let changed: Vec<_> = outcome
        .list_changes
        .iter()
        .map(|change| (change.part.number(), change.frozen, change.today))
        .collect();
    assert_eq!(changed, [("N3", Quantity::ZERO, Quantity::ONE), ("S12", Quantity::ONE, Quantity::ZERO)]);
}

#[test]
fn more_than_expected_is_over_and_what_nobody_ordered_is_wrong() {
    let outcome = reconcile(&input(&seal_kit(), &[("S10", 1)], &[("S10", 3, 0), ("B8", 1, 0)]));
    assert_eq!(
        counted(&outcome),
        ["S10: right 1/0 for S10", "S10: over 2/0 for -", "B8: wrong_part 1/0 for -"]
    );
    assert_eq!(outcome.counted[1].pieces[0].verdict, CountVerdict::WrongPart);
    assert_eq!(outcome.counted[1].pieces[0].reasons[0].sentence, "it was not ordered");
}

#[test]
fn notices_in_a_circle_stop_nobody_from_counting() {
    let snapshot =
        with_notice(catalogue_of(&["B7", "B8"]), ("N-1", PLAIN), ("B7", "B8", 1), Interchange::NewForOld);
    let snapshot = with_notice(snapshot, ("N-2", PLAIN), ("B8", "B7", 1), Interchange::NewForOld);
    let outcome = reconcile(&input(&snapshot, &[("B7", 1)], &[("B7", 1, 0)]));
    assert_eq!(expected(&outcome), ["B7 right 1+0+0 short 0"]);
    assert!(outcome.catalogue_faults[0].contains("circle"), "{:?}", outcome.catalogue_faults);
}

#[test]
fn a_nested_kit_is_opened_in_its_place_and_a_kit_in_itself_is_named() {
    let snapshot = with_lines(seal_kit(), "K2", &[("N3", 1, ""), ("K1", 2, "")]);
    let mut snapshot = Snapshot { parts: catalogue_of(&["K2"]).parts, ..snapshot };
    snapshot.parts.extend(seal_kit().parts);
    snapshot.parts.sort_by(|a, b| a.part.cmp(&b.part));
    let contents = super::contents_of(&snapshot, &key("K2")).unwrap();
    let told: Vec<String> = contents
        .iter()
        .map(|content| {
            format!(
                "{} {} {} {}",
                content.content,
                content.part.number(),
                content.quantity,
                content.through.len()
            )
        })
        .collect();
    assert_eq!(told, ["1 N3 1 0", "2 B7 4 1", "3 S10 2 1", "4 S12 2 1"]);
    let circle = with_lines(snapshot, "K1", &[("K2", 1, "")]);
    let fault = super::contents_of(&circle, &key("K2")).unwrap_err();
    assert!(fault.detail.contains("VESSICK/K2 → VESSICK/K1 lies in itself"), "{}", fault.detail);
}
