//! The ways of the power through a unit, read off its joints.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, JointKind};
use mechanics::gear_train::{Chain, train_ratio};

use crate::context::Context;
use crate::graph::PartIx;
use crate::placed_joint::PlacedJoint;
use crate::requirement::Solved;
use crate::verdict::calculate;

/// Most meshes on one way, and most ways through one unit.
const MESHES_MOST: usize = 8;
const WAYS_MOST: usize = 40;

/// One speed.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Speed {
    /// What it is called.
    pub(crate) name: String,
    /// The positions that the power goes through; empty for the direct speed.
    pub(crate) over: Vec<Code>,
    /// Ratio n_in/n_out.
    pub(crate) ratio: f64,
    /// Whether it turns the output the other way than most speeds do.
    pub(crate) reverse: bool,
}

/// Which part stands at a place.
pub(crate) type Standing = dyn Fn(&Solved<'_>, usize) -> Option<PartIx>;

/// A mesh between two bodies.
struct Mesh {
    from: usize,
    to: usize,
    place_a: usize,
    place_b: usize,
    teeth: [u32; 2],
}

/// The speeds of a unit with the parts that stand in it; none where they do not say how the power flows.
pub(super) fn speeds(
    context: &Context<'_>,
    solved: &Solved<'_>,
    unit: usize,
    standing: &Standing,
) -> Option<Vec<Speed>> {
    let joints: Vec<&PlacedJoint<'_>> = solved
        .fit
        .joints
        .iter()
        .filter(|placed| [placed.a, placed.b].iter().all(|at| solved.fit.places[*at].unit == unit))
        .collect();
    let body = bodies(context, solved, &joints, standing);
    let mut meshes = Vec::new();
    for placed in joints.iter().filter(|placed| placed.joint.kind == JointKind::Mesh) {
        let teeth = |at: usize, feature: &Code| {
            let row = context.graph.feature(standing(solved, at)?, feature.as_str())?;
            u32::try_from(row.tooth_count?).ok()
        };
        meshes.push(Mesh {
            from: body[&placed.a],
            to: body[&placed.b],
            place_a: placed.a,
            place_b: placed.b,
            teeth: [teeth(placed.a, &placed.joint.feature_a)?, teeth(placed.b, &placed.joint.feature_b)?],
        });
    }
    let driven: BTreeSet<usize> = meshes.iter().map(|mesh| mesh.to).collect();
    let roots: BTreeSet<usize> =
        meshes.iter().map(|mesh| mesh.from).filter(|from| !driven.contains(from)).collect();
    let root = match roots.into_iter().collect::<Vec<_>>().as_slice() {
        [root] => *root,
        _ => return None,
    };
    let mut ways = Vec::new();
    follow(&meshes, root, &mut Vec::new(), &mut ways)?;
    let direct = joints.iter().any(|placed| {
        placed.joint.kind == JointKind::DogClutch && (body[&placed.a] == root || body[&placed.b] == root)
    });
    named(solved, &meshes, &ways, direct)
}

/// For each place of the joints the body it turns with, known by its least place.
fn bodies(
    context: &Context<'_>,
    solved: &Solved<'_>,
    joints: &[&PlacedJoint<'_>],
    standing: &Standing,
) -> BTreeMap<usize, usize> {
    let mut body: BTreeMap<usize, usize> =
        joints.iter().flat_map(|placed| [(placed.a, placed.a), (placed.b, placed.b)]).collect();
    for placed in joints.iter().filter(|placed| is_rigid(context, solved, placed, standing)) {
        let (a, b) = (body[&placed.a], body[&placed.b]);
        let (keep, merge) = (a.min(b), a.max(b));
        body.values_mut().filter(|of| **of == merge).for_each(|of| *of = keep);
    }
    body
}

/// A spline turns both its positions; so does a seat whose fit is interference at any size within its limits.
fn is_rigid(
    context: &Context<'_>,
    solved: &Solved<'_>,
    placed: &PlacedJoint<'_>,
    standing: &Standing,
) -> bool {
    match placed.joint.kind {
        JointKind::Spline => true,
        JointKind::PlainSeat => standing(solved, placed.a)
            .zip(standing(solved, placed.b))
            .and_then(|(a, b)| calculate(context.graph, placed.joint, a, b))
            .and_then(|judgement| judgement.value_of("C_max"))
            .is_some_and(|most| most <= 0.0),
        _ => false,
    }
}

/// All ways from a body to where the power leaves; none where they are too many or run in a circle.
fn follow(meshes: &[Mesh], from: usize, way: &mut Vec<usize>, ways: &mut Vec<Vec<usize>>) -> Option<()> {
    let mut ends = true;
    for (at, mesh) in meshes.iter().enumerate().filter(|(_, mesh)| mesh.from == from) {
        ends = false;
        if way.len() >= MESHES_MOST {
            return None;
        }
        way.push(at);
        follow(meshes, mesh.to, way, ways)?;
        way.pop();
    }
    if ends && !way.is_empty() {
        ways.push(way.clone());
    }
    (ways.len() <= WAYS_MOST).then_some(())
}

fn named(solved: &Solved<'_>, meshes: &[Mesh], ways: &[Vec<usize>], direct: bool) -> Option<Vec<Speed>> {
    let mut found: Vec<(Speed, bool)> = Vec::new();
    for way in ways {
        let chains: Vec<Chain> =
            way.iter().map(|at| Chain::pair(meshes[*at].teeth[0], meshes[*at].teeth[1])).collect();
        let train = train_ratio(&chains).ok()?;
        let code = |at: usize| solved.fit.places[at].position.position.clone();
        let mut over: Vec<Code> = Vec::new();
        for at in way {
            for place in [meshes[*at].place_a, meshes[*at].place_b] {
                if over.last() != Some(&code(place)) {
                    over.push(code(place));
                }
            }
        }
        let last = solved.fit.places[meshes[*way.last()?].place_b].position;
        let speed = Speed { name: last.name.clone(), over, ratio: train.ratio, reverse: false };
        found.push((speed, train.reversed));
    }
    if direct {
        let speed = Speed { name: "direct".to_owned(), over: Vec::new(), ratio: 1.0, reverse: false };
        found.push((speed, false));
    }
    let turned = found.iter().filter(|(_, reversed)| *reversed).count();
    let usual = turned * 2 > found.len();
    let mut speeds: Vec<Speed> =
        found.into_iter().map(|(speed, reversed)| Speed { reverse: reversed != usual, ..speed }).collect();
    speeds.sort_by(|a, b| {
        a.reverse.cmp(&b.reverse).then(b.ratio.total_cmp(&a.ratio)).then(a.over.cmp(&b.over))
    });
    Some(speeds)
}
