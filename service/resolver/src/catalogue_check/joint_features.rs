//! Joints whose faces are not described, and faces that no joint uses.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{CandidateRole, Code, Feature, FeatureKind, Joint, JointKind, PartKey, PartKind, UnitKey};
use petgraph::unionfind::UnionFind;

use super::finding::Finding;
use super::joint_fact::JointFact;
use super::lookup::Lookup;

pub(super) fn check(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    for joint in &lookup.rows.joints {
        let faces_a = side(lookup, joint, (&joint.unit_a, &joint.position_a, &joint.feature_a), findings);
        let faces_b = side(lookup, joint, (&joint.unit_b, &joint.position_b, &joint.feature_b), findings);
        let unsuited = faces_a
            .iter()
            .flat_map(|a| faces_b.iter().map(move |b| (*a, *b)))
            .find(|(a, b)| !joins(joint.kind, *a, *b) && !joins(joint.kind, *b, *a));
        if let Some((face_a, face_b)) = unsuited {
            let fact = JointFact::JointFeatureUnsuited {
                joint: joint.joint.clone(),
                kind: joint.kind,
                face_a,
                face_b,
            };
            findings.push(Finding::new("joints", &[joint.joint.as_str()], fact));
        }
    }
    orphans(lookup, findings);
}

/// The kinds of the faces that the originals bring to one side of a joint.
fn side<'a>(
    lookup: &Lookup<'a>,
    joint: &Joint,
    (unit, position, feature): (&'a UnitKey, &'a Code, &'a Code),
    findings: &mut Vec<Finding>,
) -> BTreeSet<FeatureKind> {
    let mut kinds = BTreeSet::new();
    let originals =
        lookup.candidates(unit, position).iter().filter(|row| row.role == CandidateRole::Original);
    for part in originals.map(|row| &row.part) {
        if let Some(face) = lookup.feature(part, feature) {
            kinds.insert(face.kind);
            continue;
        }
        let fact = JointFact::JointFeatureMissing {
            joint: joint.joint.clone(),
            unit: unit.clone(),
            position: position.clone(),
            part: part.clone(),
            feature: feature.clone(),
        };
        findings.push(Finding::new("joints", &[joint.joint.as_str()], fact));
    }
    kinds
}

/// Whether a joint joins two kinds of face, in this order.
fn joins(joint: JointKind, a: FeatureKind, b: FeatureKind) -> bool {
    use FeatureKind as Face;
    match joint {
        JointKind::Mesh => (a, b) == (Face::Gear, Face::Gear),
        JointKind::Spline => (a, b) == (Face::SplineShaft, Face::SplineHub),
        JointKind::BearingSeat => {
            matches!((a, b), (Face::BearingBore, Face::Journal) | (Face::BearingOutside, Face::Bore))
        }
        JointKind::PlainSeat => (a, b) == (Face::Bore, Face::Journal),
        JointKind::Seal => matches!((a, b), (Face::Seal, Face::SealSeat | Face::SealBore)),
        JointKind::Thread => (a, b) == (Face::ThreadOutside, Face::ThreadInside),
        JointKind::Stack => (a, b) == (Face::ThrustFace, Face::ThrustFace),
        JointKind::DogClutch => (a, b) == (Face::DogTeeth, Face::DogTeeth),
        JointKind::Cone => (a, b) == (Face::Cone, Face::Cone),
    }
}

/// Faces that no joint uses at any position of the part, or of a number tied to it by notices: those stand there in turn.
fn orphans(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    let rows = lookup.rows;
    let at: BTreeMap<&PartKey, usize> =
        lookup.parts.keys().enumerate().map(|(at, part)| (*part, at)).collect();
    let mut tied: UnionFind<usize> = UnionFind::new(at.len());
    for row in &rows.supersessions {
        if let (Some(old), Some(new)) = (at.get(&row.old), at.get(&row.new)) {
            tied.union(*old, *new);
        }
    }
    let mut used_at: BTreeMap<(&UnitKey, &Code), BTreeSet<&Code>> = BTreeMap::new();
    for joint in &rows.joints {
        used_at.entry((&joint.unit_a, &joint.position_a)).or_default().insert(&joint.feature_a);
        used_at.entry((&joint.unit_b, &joint.position_b)).or_default().insert(&joint.feature_b);
    }
    let mut used: BTreeMap<usize, BTreeSet<&Code>> = BTreeMap::new();
    for row in &rows.candidates {
        if let Some(part) = at.get(&row.part) {
            let names = used_at.get(&(&row.unit, &row.position)).into_iter().flatten();
            used.entry(tied.find_mut(*part)).or_default().extend(names);
        }
    }
    // The gears of a set run with each other inside it.
    let inside_a_set = |feature: &Feature| {
        let is_set = lookup.parts.get(&feature.part).is_some_and(|part| part.kind == PartKind::Set);
        is_set && feature.kind == FeatureKind::Gear
    };
    let is_orphan = |feature: &&Feature| {
        if inside_a_set(feature) {
            return false;
        }
        // A part that stands nowhere has no joints to be missed.
        at.get(&feature.part)
            .and_then(|part| used.get(&tied.find(*part)))
            .is_some_and(|names| !names.contains(&feature.feature))
    };
    for feature in rows.features.iter().filter(is_orphan) {
        let fact = JointFact::OrphanFeature { part: feature.part.clone(), feature: feature.feature.clone() };
        findings.push(Finding::new("features", &[feature.part.as_str(), feature.feature.as_str()], fact));
    }
}
