//! Why nothing fits: the smallest group of facts that cannot hold together, in words.

use mechanics::Verdict;
use solver::fit::Conflict;

use crate::fit_problem::{Build, Fact};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::value::Value;

/// The fault that a conflict makes of a request. It points at a wish that takes part, if one does.
pub(crate) fn explain(build: &Build<'_, '_>, facts: &[Fact], conflict: &Conflict) -> RequestFault {
    let taking_part: Vec<&Fact> = conflict.constraints.iter().filter_map(|at| facts.get(*at)).collect();
    let mut said: Vec<String> = Vec::new();
    let mut pointer = "/units".to_owned();
    for fact in &taking_part {
        if let Fact::Wish(index) = fact {
            pointer.clone_from(&build.wishes[*index].pointer);
        }
        let sentence = sentence(build, fact);
        if !said.contains(&sentence) {
            said.push(sentence);
        }
    }
    for variable in &conflict.domains {
        if let Some(place) = build.places.get(*variable) {
            said.push(format!("no part that can be had is listed for {}", place.position.position));
        }
    }
    let kind = match taking_part.iter().any(|fact| matches!(fact, Fact::Wish(_))) {
        true => RequestFaultKind::ImpossibleChoice,
        false => RequestFaultKind::CatalogueFault,
    };
    RequestFault::new(kind, pointer, format!("these cannot hold together: {}", said.join("; ")))
}

/// What a fact says, in words.
pub(crate) fn sentence(build: &Build<'_, '_>, fact: &Fact) -> String {
    let name = |at: usize| build.places.get(at).map_or("?", |place| place.position.position.as_str());
    let key = |part: usize| build.context.graph.part(part).part.as_str();
    match fact {
        Fact::Joint(row) => joint_sentence(build, *row),
        Fact::Shared(places) => {
            let names: Vec<&str> = places.iter().map(|at| name(*at)).collect();
            format!("one number fills {} together", names.join(" and "))
        }
        Fact::NotAlone(at) => {
            format!("a set at {} fills other positions too, and one of them cannot have it", name(*at))
        }
        Fact::OnlyWith(at) => format!("{} exists only with a certain part", name(*at)),
        Fact::Companion(at, companion) => {
            format!("what is fitted at {} brings a companion at {}", name(*at), name(*companion))
        }
        Fact::NoticeNeeds(at, other) => {
            format!("the new number at {} needs a change at {}", name(*at), name(*other))
        }
        Fact::Axles(at, other) => {
            format!(
                "{} and {} stand in two driven axles of one vehicle, whose ratios must match",
                name(*at),
                name(*other)
            )
        }
        Fact::Wish(index) => {
            let names: Vec<&str> =
                build.wishes[*index].alternatives.iter().map(|alternative| key(alternative.named)).collect();
            match names.as_slice() {
                [] => "what was asked for has no place in this variant of the unit".to_owned(),
                names => format!("{} was asked for", names.join(" or ")),
            }
        }
    }
}

/// Why a joint refuses: a pair of values that it refuses, of what was asked for if there is one, and the figures.
fn joint_sentence(build: &Build<'_, '_>, row: usize) -> String {
    let joint = &build.context.graph.snapshot.joints[row];
    let between = format!("joint {} between {} and {}", joint.joint, joint.position_a, joint.position_b);
    let Some(placed) = build.joints.iter().find(|placed| placed.row == row) else { return between };
    let stands = || build.wishes.iter().flat_map(|wish| &wish.alternatives).flat_map(|way| &way.at);
    let unasked = |at: usize, value: &Value| {
        let mut here = stands().filter(|stand| stand.place == at).peekable();
        usize::from(here.peek().is_some() && !here.any(|stand| stand.is_met_by(value)))
    };
    let mut refused: Vec<(usize, String)> = Vec::new();
    for a in &build.values[placed.a] {
        for b in &build.values[placed.b] {
            let ends = ((&build.places[placed.a], a), (&build.places[placed.b], b));
            let Some(verdict) = build.judge.verdict(build.context, placed, ends.0, ends.1) else { continue };
            let Some((part_a, part_b)) = a.main().zip(b.main()) else { continue };
            if verdict.verdict == Verdict::DoesNotFit {
                let key = |part: usize| build.context.graph.part(part).part.as_str();
                let why = crate::explain::why_not(&verdict);
                let said =
                    format!("{} does not go with {} at {} ({why})", key(part_a), key(part_b), joint.joint);
                refused.push((unasked(placed.a, a) + unasked(placed.b, b), said));
            }
        }
    }
    // The first of those that the wishes leave.
    refused.into_iter().min_by_key(|(unasked, _)| *unasked).map_or(between, |(_, said)| said)
}
