//! What a notice or a bad part touches: the positions of units, the kits and the further numbers it reaches, each with the
//! path that leads there; and the numbers by which stored papers, stock and records are to be searched.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use catalogue::{
    CandidateRole, Code, Interchange, PartKey, Quantity, Snapshot, Supersession, SupersessionNeed,
    SupersessionShape, UnitKey,
};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "event", rename_all = "snake_case")]
pub enum Event {
    /// A notice was entered; one row of it.
    Notice {
        /// The row.
        row: Box<Supersession>,
    },
    /// A part, or a batch of it, is bad.
    BadPart {
        /// The part.
        part: PartKey,
    },
}

/// What it touches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct NoticeEffects {
    /// The positions at which a touched number may stand, by unit and position.
    pub positions: Vec<TouchedPosition>,
    /// The kits that hold a touched number, by key.
    pub kits: Vec<TouchedKit>,
    /// Parts that bring a touched number along, or that it brings along.
    pub companions: Vec<TouchedCompanion>,
    /// Other changes that the notice asks for.
    pub needs: Vec<TouchedNeed>,
    /// The numbers to look for on papers, in stock and in records: those touched, and the kits that hold them.
    pub parts: BTreeSet<PartKey>,
    /// The same numbers, each with the shortest way that leads from it to a touched one.
    pub numbers: Vec<TouchedNumber>,
    /// The circle that the notice closes with others; empty: none.
    pub circle: Vec<PartKey>,
}

/// A position that is touched.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct TouchedPosition {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// The variant in which it is touched; empty: in all.
    pub variant: Option<Code>,
    /// The number that is listed there.
    pub listed: PartKey,
    /// What it is to the unit.
    pub role: CandidateRole,
    /// The touched number that may stand there.
    pub part: PartKey,
    /// How the listed number leads to it.
    pub path: Vec<PathStep>,
    /// The same in one sentence.
    pub sentence: String,
}

/// A kit that is touched.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TouchedKit {
    /// The kit.
    pub kit: PartKey,
    /// The touched number in it.
    pub part: PartKey,
    /// How many lie in one box by this path.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// How it lies there: through nested kits.
    pub path: Vec<PathStep>,
    /// The same in one sentence.
    pub sentence: String,
}

/// A number that leads to a touched one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct TouchedNumber {
    /// The number.
    pub part: PartKey,
    /// The touched number that it leads to; itself, where it is one.
    pub touched: PartKey,
    /// How: by notices, or through kits.
    pub path: Vec<PathStep>,
    /// The same in one sentence.
    pub sentence: String,
}

/// A part tied to a touched one as companion.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct TouchedCompanion {
    /// The part.
    pub part: PartKey,
    /// What comes along with it.
    pub companion: PartKey,
}

/// Another change that a notice asks for.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct TouchedNeed {
    /// The unit.
    pub unit: UnitKey,
    /// The position.
    pub position: Code,
    /// The part that must be there; empty: any that the position takes.
    pub part: Option<PartKey>,
}

/// One step of a path.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "step", rename_all = "snake_case")]
pub enum PathStep {
    /// One number gives way to another.
    Notice {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The new number.
        new: PartKey,
        /// The direction of interchange.
        interchange: Interchange,
    },
    /// A number lies in a kit.
    KitLine {
        /// The kit.
        kit: PartKey,
        /// The line.
        line: i64,
        /// The number, or a nested kit.
        part: PartKey,
    },
}

/// What an event touches in the rows of a catalogue. For a notice, its row counts whether the catalogue holds it or not; dates
/// are left aside, because a notice touches papers from the day it is known.
pub fn notice_effects(catalogue: &Snapshot, event: &Event) -> NoticeEffects {
    let mut rows: Vec<&Supersession> = catalogue.supersessions.iter().collect();
    let (touched, notice): (Vec<&PartKey>, Option<&Supersession>) = match event {
        Event::Notice { row } => {
            let same = |other: &&Supersession| {
                (&other.notice, &other.old, &other.new) == (&row.notice, &row.old, &row.new)
            };
            if !rows.iter().any(same) {
                rows.push(row);
            }
            (vec![&row.old, &row.new], Some(row))
        }
        Event::BadPart { part } => (vec![part], None),
    };
    let mut effects = NoticeEffects {
        positions: Vec::new(),
        kits: Vec::new(),
        companions: Vec::new(),
        needs: Vec::new(),
        parts: touched.iter().map(|part| (*part).clone()).collect(),
        numbers: Vec::new(),
        circle: notice.map_or_else(Vec::new, |row| circle(&rows, row)),
    };
    let mut numbers: BTreeMap<PartKey, TouchedNumber> = BTreeMap::new();
    for part in &touched {
        let reaching = reaching(&rows, part);
        effects.parts.extend(reaching.keys().map(|from| (*from).clone()));
        for (from, path) in &reaching {
            keep_shortest(&mut numbers, from, part, path);
        }
        positions(catalogue, part, &reaching, &mut effects.positions);
        kits(catalogue, part, &mut effects.kits);
    }
    effects.positions.sort();
    effects.positions.dedup();
    effects.kits.sort_by(|a, b| (&a.kit, &a.part, &a.path).cmp(&(&b.kit, &b.part, &b.path)));
    effects.parts.extend(effects.kits.iter().map(|kit| kit.kit.clone()));
    for kit in &effects.kits {
        keep_shortest(&mut numbers, &kit.kit, &kit.part, &kit.path);
    }
    effects.numbers = numbers.into_values().collect();
    let companions = catalogue
        .companions
        .iter()
        .filter(|row| touched.contains(&&row.part) || touched.contains(&&row.companion));
    effects.companions = companions
        .map(|row| TouchedCompanion { part: row.part.clone(), companion: row.companion.clone() })
        .collect();
    if let Some(row) = notice {
        let needs = catalogue.supersession_needs.iter().filter(|need| need.notice == row.notice);
        let told = |need: &SupersessionNeed| TouchedNeed {
            unit: need.unit.clone(),
            position: need.position.clone(),
            part: need.part.clone(),
        };
        effects.needs = needs.map(told).collect();
    }
    effects
}

/// Keeps the shortest way of each number, of equally short ones the first.
fn keep_shortest(
    numbers: &mut BTreeMap<PartKey, TouchedNumber>,
    part: &PartKey,
    touched: &PartKey,
    path: &[PathStep],
) {
    if numbers.get(part).is_some_and(|known| known.path.len() <= path.len()) {
        return;
    }
    let sentence = match path {
        [] => format!("{part} itself"),
        steps => steps.iter().map(words).collect::<Vec<_>>().join(", "),
    };
    let number =
        TouchedNumber { part: part.clone(), touched: touched.clone(), path: path.to_vec(), sentence };
    numbers.insert(part.clone(), number);
}

/// The numbers where a part may be fitted today, each with the shortest path of notices to it: the part itself, those that
/// give way to it with interchange, and those it serves for both ways.
fn reaching<'r>(rows: &[&'r Supersession], part: &'r PartKey) -> BTreeMap<&'r PartKey, Vec<PathStep>> {
    let mut found: BTreeMap<&PartKey, Vec<PathStep>> = BTreeMap::from([(part, Vec::new())]);
    let mut queue = VecDeque::from([part]);
    while let Some(at) = queue.pop_front() {
        let path = found[at].clone();
        for row in rows.iter().filter(|row| row.interchange != Interchange::None) {
            let back = row.interchange == Interchange::TwoWay && row.shape == SupersessionShape::OneToOne;
            let from = if row.new == *at {
                &row.old
            } else if back && row.old == *at {
                &row.new
            } else {
                continue;
            };
            if !found.contains_key(from) {
                let step = PathStep::Notice {
                    notice: row.notice.clone(),
                    old: row.old.clone(),
                    new: row.new.clone(),
                    interchange: row.interchange,
                };
                found.insert(from, std::iter::once(step).chain(path.iter().cloned()).collect());
                queue.push_back(from);
            }
        }
    }
    found
}

fn positions(
    catalogue: &Snapshot,
    part: &PartKey,
    reaching: &BTreeMap<&PartKey, Vec<PathStep>>,
    found: &mut Vec<TouchedPosition>,
) {
    for candidate in &catalogue.candidates {
        let Some(path) = reaching.get(&candidate.part) else { continue };
        let listed = format!("{} is listed at {} of {}", candidate.part, candidate.position, candidate.unit);
        let steps: Vec<String> = path.iter().map(words).collect();
        found.push(TouchedPosition {
            unit: candidate.unit.clone(),
            position: candidate.position.clone(),
            variant: candidate.variant.clone(),
            listed: candidate.part.clone(),
            role: candidate.role,
            part: part.clone(),
            path: path.clone(),
            sentence: std::iter::once(listed).chain(steps).collect::<Vec<_>>().join(", "),
        });
    }
}

/// The kits that hold a part, through nested kits; a kit that holds itself is followed once.
fn kits(catalogue: &Snapshot, part: &PartKey, found: &mut Vec<TouchedKit>) {
    let mut queue: VecDeque<(&PartKey, Quantity, Vec<PathStep>)> =
        VecDeque::from([(part, Quantity::ONE, Vec::new())]);
    while let Some((inner, count, path)) = queue.pop_front() {
        for line in catalogue.kit_lines.iter().filter(|line| line.part == *inner) {
            let seen =
                path.iter().any(|step| matches!(step, PathStep::KitLine { kit, .. } if *kit == line.kit));
            if seen {
                continue;
            }
            let step = PathStep::KitLine { kit: line.kit.clone(), line: line.line, part: line.part.clone() };
            let path: Vec<PathStep> = std::iter::once(step).chain(path.iter().cloned()).collect();
            let quantity = count.times(line.quantity).unwrap_or(count);
            found.push(TouchedKit {
                kit: line.kit.clone(),
                part: part.clone(),
                quantity,
                path: path.clone(),
                sentence: path.iter().map(words).collect::<Vec<_>>().join(", "),
            });
            queue.push_back((&line.kit, quantity, path));
        }
    }
}

/// The circle of notices that a row closes, from its old number round to it.
fn circle(rows: &[&Supersession], row: &Supersession) -> Vec<PartKey> {
    let mut before: BTreeMap<&PartKey, &PartKey> = BTreeMap::new();
    let mut queue = VecDeque::from([&row.new]);
    while let Some(at) = queue.pop_front() {
        if *at == row.old {
            let mut path = vec![at.clone()];
            let mut step = at;
            while let Some(from) = before.get(step).filter(|_| *step != row.new) {
                path.push((*from).clone());
                step = from;
            }
            path.push(row.old.clone());
            path.reverse();
            return path;
        }
        for next in rows.iter().filter(|other| other.old == *at) {
            if next.new != row.new && !before.contains_key(&next.new) {
                before.insert(&next.new, at);
                queue.push_back(&next.new);
            }
        }
    }
    Vec::new()
}

fn words(step: &PathStep) -> String {
    match step {
        PathStep::Notice { notice, old, new, .. } => format!("{old} gave way to {new} by notice {notice}"),
        PathStep::KitLine { kit, line, part } => format!("{kit} holds {part} on line {line}"),
    }
}
