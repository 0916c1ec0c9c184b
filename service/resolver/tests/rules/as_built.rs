//! A unit that was here before starts from its record (facts of the trade: common practice, no source).

use catalogue::{Code, PartKey};
use resolver::Request;
use resolver::as_built::{Recorded, start_from_record};

use crate::small_world::job;
use crate::trade_facts::pinion;
use crate::world::{inside, lines};

fn code(text: &str) -> Code {
    Code::parse(text).unwrap()
}

fn part(text: &str) -> PartKey {
    PartKey::parse(text).unwrap()
}

fn record(lines: &[(&str, Option<&str>)]) -> Vec<Recorded> {
    let recorded = |(position, part_of): &(&str, Option<&str>)| Recorded {
        position: code(position),
        part: part_of.map(part),
        mark: catalogue::Mark::default(),
        job: "J-000001".into(),
    };
    lines.iter().map(recorded).collect()
}

/// The seal job with a record laid under what the bench says.
fn with_record(mut request: Request, lines: &[(&str, Option<&str>)]) -> Request {
    start_from_record(&mut request.units[0], &record(lines), &pinion().input(job()).snapshot);
    request
}

#[test]
fn with_a_solid_spacer_and_its_shims_recorded_the_next_seal_job_needs_seal_and_nut_only() {
    let request =
        with_record(job(), &[("PINION-SPACER", Some("M/SOLID")), ("PINION-SHIMS", Some("M/SHIMS"))]);
    let answer = pinion().resolve(request);
    assert_eq!(
        lines(&answer, 0),
        ["renew PINION-SEAL M/SEAL 1 single_use_disturbed", "renew PINION-NUT M/NUT 1 single_use_disturbed"]
    );
}

#[test]
fn with_a_crush_spacer_recorded_the_next_seal_job_needs_a_new_spacer_too() {
    let answer = pinion().resolve(with_record(job(), &[("PINION-SPACER", Some("M/CRUSH"))]));
    assert!(
        lines(&answer, 0).iter().any(|line| line.starts_with("renew PINION-SPACER M/CRUSH 1")),
        "{answer:?}"
    );
    assert_eq!(lines(&answer, 0), lines(&pinion().resolve(job()), 0), "the record says what the list says");
}

#[test]
fn what_the_bench_says_goes_before_the_record_and_the_difference_is_shown() {
    let mut asked = job();
    asked.units[0].inside = vec![inside("PINION-SPACER", "M/CRUSH")];
    let request =
        with_record(asked, &[("PINION-SPACER", Some("M/SOLID")), ("PINION-FLANGE", Some("M/FLANGE"))]);
    let answer = pinion().resolve(request);
    assert!(lines(&answer, 0).iter().any(|line| line.starts_with("renew PINION-SPACER M/CRUSH 1")));
    let shown = &answer.units[0].record_differences;
    assert_eq!(shown.len(), 1);
    assert_eq!((&shown[0].recorded, &shown[0].inside), (&part("M/SOLID"), &part("M/CRUSH")));
    assert_eq!(shown[0].job, "J-000001");
}

#[test]
fn a_request_asked_again_starts_from_the_record_of_that_day() {
    let first = with_record(job(), &[("PINION-SPACER", Some("M/SOLID")), ("PINION-SHIMS", Some("M/SHIMS"))]);
    let again = with_record(first.clone(), &[("PINION-SPACER", Some("M/CRUSH")), ("PINION-SHIMS", None)]);
    assert_eq!(again, with_record(job(), &[("PINION-SPACER", Some("M/CRUSH"))]));
    assert_ne!(again, first);
}

#[test]
fn a_record_of_what_the_catalogue_does_not_know_is_left_aside() {
    let request = with_record(job(), &[("PINION-SPACER", Some("M/UNKNOWN")), ("GONE", Some("M/SOLID"))]);
    assert_eq!(request, job());
}
