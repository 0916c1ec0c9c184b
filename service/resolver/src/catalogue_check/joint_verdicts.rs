//! Joints whose calculation contradicts what a maker states, or whose original parts do not fit when calculated.

use catalogue::{Candidate, CandidateRole, Code, FitStatement, Joint, PartKey, StatedVerdict, UnitKey};
use mechanics::{Judgement, Verdict};

use super::finding::Finding;
use super::joint_fact::JointFact;
use super::lookup::Lookup;
use crate::explain::fault_words;
use crate::verdict::calculate_faces;

pub(super) fn check(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    for joint in &lookup.rows.joints {
        for (a, b, judgement) in judged(lookup, joint) {
            if let Some(fact) = contradiction(lookup, joint, (a, b), &judgement) {
                findings.push(Finding::new("joints", &[joint.joint.as_str()], fact));
            }
        }
    }
}

/// The pairs of candidates at a joint of which both have the face that meets there, with the calculation.
fn judged<'a>(lookup: &Lookup<'a>, joint: &'a Joint) -> Vec<(&'a Candidate, &'a Candidate, Judgement)> {
    let side = |unit: &'a UnitKey, position: &'a Code| lookup.candidates(unit, position).iter().copied();
    let mut found = Vec::new();
    for a in side(&joint.unit_a, &joint.position_a) {
        let Some(face_a) = lookup.feature(&a.part, &joint.feature_a) else { continue };
        for b in side(&joint.unit_b, &joint.position_b) {
            // A set stands at both ends or at none.
            let same_set = a.part == b.part;
            let Some(face_b) = lookup.feature(&b.part, &joint.feature_b).filter(|_| !same_set) else {
                continue;
            };
            found.push((a, b, calculate_faces(joint, face_a, face_b)));
        }
    }
    found
}

fn contradiction(
    lookup: &Lookup<'_>,
    joint: &Joint,
    (a, b): (&Candidate, &Candidate),
    judgement: &Judgement,
) -> Option<JointFact> {
    let contrary = match judgement.verdict {
        Verdict::Fits => StatedVerdict::DoesNotFit,
        Verdict::DoesNotFit => StatedVerdict::Fits,
        Verdict::Unverified => return None,
    };
    let tests: Vec<String> = judgement.faults.iter().map(fault_words).collect();
    if let Some(statement) = statements(lookup, &a.part, &b.part).find(|row| row.verdict == contrary) {
        return Some(JointFact::CalculationContradictsStatement {
            joint: joint.joint.clone(),
            part_a: a.part.clone(),
            part_b: b.part.clone(),
            maker: statement.maker.clone(),
            stated: statement.verdict,
            document: statement.document.clone(),
            tests,
        });
    }
    let original = |row: &Candidate| row.role == CandidateRole::Original;
    // Originals of different variants never meet.
    let meet = a.variant.is_none() || b.variant.is_none() || a.variant == b.variant;
    let refused = judgement.verdict == Verdict::DoesNotFit && original(a) && original(b) && meet;
    refused.then(|| JointFact::OriginalsDoNotFit {
        joint: joint.joint.clone(),
        part_a: a.part.clone(),
        part_b: b.part.clone(),
        tests,
    })
}

fn statements<'a>(
    lookup: &Lookup<'a>,
    a: &'a PartKey,
    b: &'a PartKey,
) -> impl Iterator<Item = &'a FitStatement> {
    let of = move |row: &&FitStatement| {
        (row.part_a == *a && row.part_b == *b) || (row.part_a == *b && row.part_b == *a)
    };
    lookup.rows.fit_statements.iter().filter(of)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue_check::CatalogueRows;
    use crate::catalogue_check::small_catalogue::{rows, today};

    fn demo() -> CatalogueRows {
        CatalogueRows {
            joints: rows(include_str!("../../../../seed-data/joints.csv")),
            features: rows(include_str!("../../../../seed-data/features.csv")),
            candidates: rows(include_str!("../../../../seed-data/candidates.csv")),
            fit_statements: rows(include_str!("../../../../seed-data/fit_statements.csv")),
            ..CatalogueRows::default()
        }
    }

    #[test]
    fn every_original_joint_of_the_demo_computes_to_a_fit() {
        let rows = demo();
        let lookup = Lookup::new(&rows, today());
        let original = |row: &Candidate| row.role == CandidateRole::Original;
        let (mut computed, mut wrong) = (0, Vec::new());
        for joint in &rows.joints {
            for (a, b, judgement) in judged(&lookup, joint) {
                let meet = a.variant.is_none() || b.variant.is_none() || a.variant == b.variant;
                if !(original(a) && original(b) && meet) {
                    continue;
                }
                computed += 1;
                if judgement.verdict != Verdict::Fits {
                    wrong.push(format!("{} {} {}: {judgement:?}", joint.joint, a.part, b.part));
                }
            }
        }
        assert!(wrong.is_empty(), "{} of {computed}:\n{}", wrong.len(), wrong.join("\n"));
        assert!(computed >= rows.joints.len(), "{computed} pairs at {} joints", rows.joints.len());
    }

    #[test]
    fn a_statement_against_the_figures_is_listed() {
        let mut rows = demo();
        let mut found = Vec::new();
        check(&Lookup::new(&rows, today()), &mut found);
        let before = found.len();
        for row in rows.fit_statements.iter_mut().filter(|row| row.part_b.as_str() == "VESSICK/VK552330") {
            row.verdict = StatedVerdict::Fits;
        }
        let mut found = Vec::new();
        check(&Lookup::new(&rows, today()), &mut found);
        assert_eq!(found.len(), before + 1, "{found:#?}");
        let told: Vec<String> = found.iter().map(Finding::sentence).collect();
        let told = told.iter().find(|told| told.contains("552.MESH.LAYSHAFT.GEAR-3")).unwrap();
        assert!(told.contains("Norrwald bulletin 61") && told.contains("normal base pitch"), "{told}");
    }

    #[test]
    fn originals_that_do_not_fit_when_calculated_are_listed() {
        let mut rows = demo();
        let gear = rows
            .features
            .iter_mut()
            .find(|row| row.part.as_str() == "BRANNOCH/5523300" && row.feature.as_str() == "G3-TEETH");
        gear.unwrap().module_mm = Some(3.0);
        let mut found = Vec::new();
        check(&Lookup::new(&rows, today()), &mut found);
        let refused = found.iter().any(|finding| {
            let told = finding.sentence();
            told.contains("552.MESH.LAYSHAFT.GEAR-3") && told.contains("8.8564")
        });
        assert!(refused, "{found:#?}");
    }
}
