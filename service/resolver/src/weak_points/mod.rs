//! What is likely to be found bad, as a distribution over which weak points of a unit are found together.
//!
//! Weak points are independent unless a row says `given`; chains of `given` are enumerated whole, so nothing is sampled.

mod component;

use std::collections::BTreeMap;

use catalogue::{Code, Grade, Snapshot, UnitKey, WeakPoint};

pub(crate) use component::{Component, Ways};

use crate::request::Finding;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// Most weak points that hang together; their ways to turn out double with each.
const LINKED_MAX: usize = 14;

/// The weak points of a unit in groups that are independent of each other: points linked by `given`, and points at one
/// position.
pub(crate) fn components<'a>(
    snapshot: &'a Snapshot,
    unit: &UnitKey,
) -> Result<Vec<Component<'a>>, RequestFault> {
    let points: Vec<&WeakPoint> = snapshot.weak_points.iter().filter(|row| row.unit == *unit).collect();
    let at: BTreeMap<&Code, usize> =
        points.iter().enumerate().map(|(index, point)| (&point.weak_point, index)).collect();
    let mut group: Vec<usize> = (0..points.len()).collect();
    let mut join = |a: usize, b: usize| {
        let (from, to) = (group[a].max(group[b]), group[a].min(group[b]));
        group.iter_mut().filter(|of| **of == from).for_each(|of| *of = to);
    };
    for (index, point) in points.iter().enumerate() {
        if let Some(given) = &point.given {
            let other = at.get(given).ok_or_else(|| {
                fault(format!("weak point {} of {unit} rests on {given}, which is none", point.weak_point))
            })?;
            join(index, *other);
        }
        if let Some(other) = points[..index].iter().position(|other| other.position == point.position) {
            join(index, other);
        }
    }
    let mut members: BTreeMap<usize, Vec<&WeakPoint>> = BTreeMap::new();
    for (index, point) in points.iter().enumerate() {
        members.entry(group[index]).or_default().push(point);
    }
    members
        .into_values()
        .map(|points| {
            if points.len() > LINKED_MAX {
                let names: Vec<&str> = points.iter().map(|point| point.weak_point.as_str()).collect();
                return Err(RequestFault::new(
                    RequestFaultKind::TooManyUnknowns,
                    "/units",
                    format!(
                        "more than {LINKED_MAX} weak points of {unit} hang together: {}",
                        names.join(", ")
                    ),
                ));
            }
            Component::new(unit, points)
        })
        .collect()
}

fn fault(detail: String) -> RequestFault {
    RequestFault::new(RequestFaultKind::CatalogueFault, "", detail)
}

/// What findings of the bench say of a weak point: found, not found, or nothing. A position that was graded settles all
/// its weak points.
pub(crate) fn observed(point: &WeakPoint, findings: &[Finding]) -> Option<bool> {
    let grades: Vec<Grade> =
        findings.iter().filter(|f| f.position == point.position).filter_map(|f| f.grade).collect();
    if grades.is_empty() { None } else { Some(grades.contains(&point.finding)) }
}
