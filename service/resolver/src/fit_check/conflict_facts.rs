//! The facts that cannot hold together, as data.

use catalogue::{Code, PartKey, UnitKey};
use mechanics::Verdict;
use serde::{Deserialize, Serialize};
use solver::fit::Conflict;
use utoipa::ToSchema;

use super::joint_figures::{JointFigures, joint_figures};
use crate::conflict::sentence;
use crate::context::Context;
use crate::fit::Fit;
use crate::fit_model::Model;
use crate::fit_problem::Fact;
use crate::graph::PartIx;
use crate::placed_joint::PlacedJoint;
use crate::value::{State, Value};

/// One fact of a group, with its sentence.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct GroupFact {
    /// The fact.
    #[serde(flatten)]
    pub fact: ConflictFact,
    /// In words.
    pub sentence: String,
}

/// A fact that takes part in an impossibility.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "fact", rename_all = "snake_case")]
pub enum ConflictFact {
    /// Something was asked for.
    Wanted {
        /// Any one of these.
        any_of: Vec<PartKey>,
    },
    /// A joint refuses.
    Joint {
        /// The joint.
        joint: Code,
        /// The pair it refuses, with figures: what was asked for against what is inside, where there is such a pair.
        refused: Option<Box<JointFigures>>,
    },
    /// One number fills several positions together.
    OnePiece {
        /// The unit.
        unit: UnitKey,
        /// The positions.
        positions: Vec<Code>,
    },
    /// A number fills several positions, and one of them cannot have it.
    NotAlone {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
    },
    /// A position exists only with a part.
    OnlyWith {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The part.
        part: Option<PartKey>,
    },
    /// What is fitted brings a companion.
    Companion {
        /// The unit.
        unit: UnitKey,
        /// Where it is fitted.
        position: Code,
        /// Where the companion stands.
        companion_at: Code,
    },
    /// A notice asks for more to change.
    NoticeNeeds {
        /// The unit.
        unit: UnitKey,
        /// Where the new number is fitted.
        position: Code,
        /// What else must change.
        needs: Code,
    },
    /// Two driven axles of one vehicle must have the same ratio.
    AxleRatios {
        /// One axle.
        unit: UnitKey,
        /// Where its crown wheel stands.
        position: Code,
        /// The other axle.
        other_unit: UnitKey,
        /// Where its crown wheel stands.
        other_position: Code,
    },
    /// Nothing that can be had is listed for a position.
    NothingToFit {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
    },
}

/// The group of a conflict, each fact once.
pub(super) fn group<'a>(
    context: &Context<'a>,
    model: &Model<'a>,
    facts: &[Fact],
    conflict: &Conflict,
) -> Vec<GroupFact> {
    let build = model.build(context);
    let mut group: Vec<GroupFact> = Vec::new();
    for fact in conflict.constraints.iter().filter_map(|at| facts.get(*at)) {
        let data = data(context, model, fact);
        let words = match &data {
            ConflictFact::Joint { refused: Some(refused), .. } => refused.sentence.clone(),
            _ => sentence(&build, fact),
        };
        let fact = GroupFact { fact: data, sentence: words };
        if !group.contains(&fact) {
            group.push(fact);
        }
    }
    for place in conflict.domains.iter().filter_map(|variable| model.places.get(*variable)) {
        let (unit, position) = (place.position.unit.clone(), place.position.position.clone());
        let words = format!("no part that can be had is listed for {position}");
        group.push(GroupFact { fact: ConflictFact::NothingToFit { unit, position }, sentence: words });
    }
    group
}

fn data<'a>(context: &Context<'a>, model: &Model<'a>, fact: &Fact) -> ConflictFact {
    let unit = |at: usize| model.places[at].position.unit.clone();
    let position = |at: usize| model.places[at].position.position.clone();
    match fact {
        Fact::Joint(row) => ConflictFact::Joint {
            joint: context.graph.snapshot.joints[*row].joint.clone(),
            refused: refused(context, model, *row).map(Box::new),
        },
        Fact::Shared(places) => ConflictFact::OnePiece {
            unit: places.first().map_or_else(|| UnitKey::from_stored(""), |at| unit(*at)),
            positions: places.iter().map(|at| position(*at)).collect(),
        },
        Fact::NotAlone(at) => ConflictFact::NotAlone { unit: unit(*at), position: position(*at) },
        Fact::OnlyWith(at) => ConflictFact::OnlyWith {
            unit: unit(*at),
            position: position(*at),
            part: model.places[*at].position.only_with.clone(),
        },
        Fact::Companion(at, other) => ConflictFact::Companion {
            unit: unit(*at),
            position: position(*at),
            companion_at: position(*other),
        },
        Fact::NoticeNeeds(at, other) => {
            ConflictFact::NoticeNeeds { unit: unit(*at), position: position(*at), needs: position(*other) }
        }
        Fact::Axles(at, other) => ConflictFact::AxleRatios {
            unit: unit(*at),
            position: position(*at),
            other_unit: unit(*other),
            other_position: position(*other),
        },
        Fact::Wish(index) => {
            let alternatives = &model.wishes[*index].alternatives;
            let key = |part: PartIx| context.graph.part(part).part.clone();
            ConflictFact::Wanted { any_of: alternatives.iter().map(|way| key(way.named)).collect() }
        }
    }
}

/// The pair that a joint refuses: what was asked for against what is kept before any other.
fn refused<'a>(context: &Context<'a>, model: &Model<'a>, row: usize) -> Option<JointFigures> {
    let placed = model.joints.iter().find(|placed| placed.row == row)?;
    let asked =
        |at: usize, value: &Value| value.listed.is_some_and(|part| model.asked[at].listed.contains(&part));
    let mut best: Option<(u32, JointFigures)> = None;
    for a in &model.values[placed.a] {
        for b in &model.values[placed.b] {
            let ends = ((&model.places[placed.a], a), (&model.places[placed.b], b));
            let Some(verdict) = model.judge.verdict(context, placed, ends.0, ends.1) else { continue };
            if verdict.verdict != Verdict::DoesNotFit {
                continue;
            }
            let wanted = u32::from(asked(placed.a, a)) + u32::from(asked(placed.b, b));
            let kept = u32::from(a.state == State::Kept || b.state == State::Kept);
            let weight = 2 * wanted + kept;
            if best.as_ref().is_none_or(|(before, _)| weight > *before) {
                let part = |at: usize, value: &Value, feature: &Code| {
                    model.judge.end(context, &model.places[at], value, feature.as_str()).map(|end| end.part)
                };
                let parts = part(placed.a, a, &placed.joint.feature_a).zip(part(
                    placed.b,
                    b,
                    &placed.joint.feature_b,
                ));
                if let Some(parts) = parts {
                    best = Some((weight, joint_figures(context, placed, parts, &verdict)));
                }
            }
        }
    }
    best.map(|(_, figures)| figures)
}

/// The parts whose faces meet at a joint.
pub(super) fn ends<'a>(
    context: &Context<'a>,
    fit: &Fit<'a>,
    placed: &PlacedJoint<'a>,
    a: &Value,
    b: &Value,
) -> Option<(PartIx, PartIx)> {
    let end = |at: usize, value: &Value, feature: &Code| {
        fit.judge.end(context, &fit.places[at], value, feature.as_str()).map(|end| end.part)
    };
    end(placed.a, a, &placed.joint.feature_a).zip(end(placed.b, b, &placed.joint.feature_b))
}
