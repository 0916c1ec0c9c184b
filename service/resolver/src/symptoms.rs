//! From what the driver notices to what is likely to be found, and what to check on the vehicle before anything is taken
//! apart.
//!
//! A symptom is taken to show when, and only when, at least one of the findings that it is listed for is there; how likely
//! each finding then is follows exactly from the likelihoods of the catalogue.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Grade, Snapshot, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::answer::CautionNote;
use crate::cautions::{DEFERRAL, cautions_of_vehicle_checks};
use crate::closest::{closest, distance};
use crate::request_fault::{RequestFault, RequestFaultKind};
use crate::weak_points::components;

/// Words that say nothing of a symptom.
const SMALL_WORDS: &[&str] = &[
    "a", "an", "and", "at", "by", "for", "from", "in", "is", "it", "its", "of", "off", "on", "or", "out",
    "the", "that", "to", "when", "while", "with",
];

/// What a symptom points to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct SymptomAnswer {
    /// What was asked.
    pub asked: String,
    /// The symptoms of the catalogue that it was taken for.
    pub symptoms: Vec<String>,
    /// Likely findings, likeliest first.
    pub findings: Vec<LikelyFinding>,
    /// What to check on the vehicle first, in the order of the findings.
    pub checks: Vec<VehicleCheck>,
    /// If nothing matches: what may have been meant.
    pub suggestions: Vec<String>,
    /// What can hurt someone.
    pub cautions: Vec<CautionNote>,
    /// Sentence that always goes with an answer for bench or road.
    pub deferral: String,
}

/// A finding that a symptom makes likely.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct LikelyFinding {
    /// The unit.
    pub unit: UnitKey,
    /// The weak point.
    pub weak_point: Code,
    /// The position.
    pub position: Code,
    /// What the position is called.
    pub position_name: String,
    /// What is found there.
    pub finding: Grade,
    /// How likely it is in any such unit, from 0 to 1.
    pub likelihood: f64,
    /// How likely it is with the symptom.
    pub with_symptom: f64,
    /// Whether the symptom is listed for it; if not, it comes along with a finding for which it is.
    pub shows_it: bool,
}

/// A check to make on the vehicle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct VehicleCheck {
    /// What to do.
    pub check: String,
    /// The unit.
    pub unit: UnitKey,
    /// The weak points that it speaks of.
    pub weak_points: Vec<Code>,
}

/// A symptom that the catalogue knows.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct KnownSymptom {
    /// The unit.
    pub unit: UnitKey,
    /// What the driver notices.
    pub symptom: String,
    /// The weak points it is listed for.
    pub weak_points: Vec<Code>,
}

/// The symptoms of some units, by unit and words; with a `text` only those that it may mean, however it is mistyped.
pub fn known_symptoms(snapshot: &Snapshot, units: &[UnitKey], text: Option<&str>) -> Vec<KnownSymptom> {
    let mut known: BTreeMap<(&UnitKey, &str), Vec<Code>> = BTreeMap::new();
    for point in snapshot.weak_points.iter().filter(|point| units.contains(&point.unit)) {
        known.entry((&point.unit, &point.symptom)).or_default().push(point.weak_point.clone());
    }
    let asked = text.map(words).unwrap_or_default();
    known
        .into_iter()
        .filter(|((_, symptom), _)| asked.is_empty() || matched(&asked, &words(symptom)) > 0)
        .map(|((unit, symptom), weak_points)| KnownSymptom {
            unit: unit.clone(),
            symptom: symptom.to_owned(),
            weak_points,
        })
        .collect()
}

/// Ranks what a symptom points to in some units. `text` is what the driver says, or the code of a weak point.
///
/// # Errors
///
/// Nothing was said; or the catalogue's weak points contradict themselves.
pub fn symptom(snapshot: &Snapshot, units: &[UnitKey], text: &str) -> Result<SymptomAnswer, RequestFault> {
    if words(text).is_empty() {
        return Err(RequestFault::new(
            RequestFaultKind::BadValue,
            "/symptom",
            "say what the driver notices, such as `oil at the pinion`",
        ));
    }
    let meant = meant(snapshot, units, text);
    let mut findings = likely(snapshot, units, &meant)?;
    findings.sort_by(|a, b| {
        b.with_symptom
            .total_cmp(&a.with_symptom)
            .then_with(|| (&a.unit, &a.weak_point).cmp(&(&b.unit, &b.weak_point)))
    });
    let suggestions = if meant.is_empty() { suggestions(snapshot, units, text) } else { Vec::new() };
    Ok(SymptomAnswer {
        asked: text.to_owned(),
        checks: checks(snapshot, &findings),
        findings,
        suggestions,
        symptoms: meant.iter().map(|symptom| (*symptom).to_owned()).collect(),
        cautions: cautions_of_vehicle_checks(snapshot, units),
        deferral: DEFERRAL.to_owned(),
    })
}

/// The words of a text that say something, in lower case.
fn words(text: &str) -> Vec<String> {
    text.split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .map(str::to_lowercase)
        .filter(|word| !SMALL_WORDS.contains(&word.as_str()))
        .collect()
}

/// How many of the asked words stand in a symptom: alike, mistyped by a letter in five, or with another ending.
fn matched(asked: &[String], symptom: &[String]) -> usize {
    let alike = |a: &String, b: &String| {
        let (long, short) =
            (a.chars().count().max(b.chars().count()), a.chars().count().min(b.chars().count()));
        let stem: usize = a.chars().zip(b.chars()).take_while(|(x, y)| x == y).count();
        a == b || (short >= 4 && distance(a, b) <= long / 5) || (stem >= 4 && stem + 3 >= long)
    };
    asked.iter().filter(|word| symptom.iter().any(|other| alike(word, other))).count()
}

/// The symptoms that match best: those with the most of the asked words, at least half of them.
fn meant<'a>(snapshot: &'a Snapshot, units: &[UnitKey], text: &str) -> BTreeSet<&'a str> {
    let of_units = || snapshot.weak_points.iter().filter(|point| units.contains(&point.unit));
    let code = text.trim().to_uppercase();
    let by_code: BTreeSet<&str> = of_units()
        .filter(|point| point.weak_point.as_str() == code)
        .map(|point| point.symptom.as_str())
        .collect();
    if !by_code.is_empty() {
        return by_code;
    }
    let asked = words(text);
    let scored: BTreeSet<(usize, &str)> =
        of_units().map(|point| (matched(&asked, &words(&point.symptom)), point.symptom.as_str())).collect();
    let best = scored.iter().map(|(score, _)| *score).max().unwrap_or(0);
    if best == 0 || 2 * best < asked.len() {
        return BTreeSet::new();
    }
    scored.into_iter().filter(|(score, _)| *score == best).map(|(_, symptom)| symptom).collect()
}

fn suggestions(snapshot: &Snapshot, units: &[UnitKey], text: &str) -> Vec<String> {
    let known: BTreeSet<&str> = snapshot
        .weak_points
        .iter()
        .filter(|point| units.contains(&point.unit))
        .map(|point| point.symptom.as_str())
        .collect();
    let near = closest(text, known.iter().copied(), 5);
    if near.is_empty() { known.into_iter().take(5).map(str::to_owned).collect() } else { near }
}

/// The findings of some units that the symptom shows or makes likelier. The units are looked at together: what one of them
/// explains, another need not.
fn likely(
    snapshot: &Snapshot,
    units: &[UnitKey],
    meant: &BTreeSet<&str>,
) -> Result<Vec<LikelyFinding>, RequestFault> {
    let mut parts: Vec<Part<'_>> = Vec::new();
    for unit in units {
        for component in components(snapshot, unit)? {
            let ways = component.prior();
            let mask = (0..component.points.len())
                .filter(|at| meant.contains(component.points[*at].symptom.as_str()))
                .fold(0, |mask, at| mask | 1_usize << at);
            let silent = ways.iter().enumerate().filter(|(way, _)| way & mask == 0).map(|(_, p)| p).sum();
            parts.push(Part { unit, component, ways, mask, silent });
        }
    }
    let shown = 1.0 - parts.iter().map(|part| part.silent).product::<f64>();
    let mut found = Vec::new();
    for (index, part) in parts.iter().enumerate().filter(|(_, part)| part.mask != 0) {
        let others: f64 =
            parts.iter().enumerate().filter(|(at, _)| *at != index).map(|(_, part)| part.silent).product();
        for (at, point) in part.component.points.iter().enumerate() {
            let likelihood = part.component.likelihood(&part.ways, at);
            // The symptom does not show only where this group is silent and all others are.
            let silent_with: f64 = part
                .ways
                .iter()
                .enumerate()
                .filter(|(way, _)| way >> at & 1 == 1 && way & part.mask == 0)
                .map(|(_, p)| p)
                .sum();
            let with_symptom =
                if shown > 0.0 { (likelihood - silent_with * others) / shown } else { likelihood };
            let shows_it = meant.contains(point.symptom.as_str());
            if shows_it || with_symptom > likelihood {
                let here = |p: &&catalogue::Position| p.unit == *part.unit && p.position == point.position;
                let position = snapshot.positions.iter().find(here);
                found.push(LikelyFinding {
                    unit: part.unit.clone(),
                    weak_point: point.weak_point.clone(),
                    position: point.position.clone(),
                    position_name: position.map_or_else(String::new, |p| p.name.clone()),
                    finding: point.finding,
                    likelihood,
                    with_symptom: with_symptom.clamp(0.0, 1.0),
                    shows_it,
                });
            }
        }
    }
    Ok(found)
}

/// Weak points of a unit that rest on each other.
struct Part<'a> {
    unit: &'a UnitKey,
    component: crate::weak_points::Component<'a>,
    ways: crate::weak_points::Ways,
    /// The points that show the symptom.
    mask: usize,
    /// How likely it is that none of them is found.
    silent: f64,
}

fn checks(snapshot: &Snapshot, findings: &[LikelyFinding]) -> Vec<VehicleCheck> {
    let mut checks: Vec<VehicleCheck> = Vec::new();
    for finding in findings {
        let row = snapshot
            .weak_points
            .iter()
            .find(|point| point.unit == finding.unit && point.weak_point == finding.weak_point);
        let Some(row) = row.filter(|row| !row.vehicle_check.is_empty()) else { continue };
        match checks.iter_mut().find(|check| check.unit == row.unit && check.check == row.vehicle_check) {
            Some(check) => check.weak_points.push(row.weak_point.clone()),
            None => checks.push(VehicleCheck {
                check: row.vehicle_check.clone(),
                unit: row.unit.clone(),
                weak_points: vec![row.weak_point.clone()],
            }),
        }
    }
    checks
}
