//! What can hurt someone in the work an answer leads to.

use std::collections::BTreeSet;

use catalogue::{Caution, Code, Hazard, Snapshot, UnitKey};

use crate::answer::{Action, CautionNote, UnitRequirement};
use crate::context::Context;
use crate::gearing::dangers;
use crate::request::UnitRequest;

/// The sentence that goes with every answer that leads to bench or road work.
pub const DEFERRAL: &str = "The maker's manual, local codes and licensed practice go before this answer; \
     work on driveline units is for people who are trained for it.";

/// The cautions of an answer: those of the catalogue that speak of its units, operations and the positions worked on, and for
/// changed gearing only where an upgrade is fitted.
pub(crate) fn cautions(context: &Context<'_>, units: &[UnitRequirement]) -> Vec<CautionNote> {
    let upgraded = units.iter().any(|unit| unit.lines.iter().any(|line| line.action == Action::Upgrade));
    let mut seen: BTreeSet<(Hazard, &str)> = BTreeSet::new();
    let mut notes = Vec::new();
    for caution in &context.graph.snapshot.cautions {
        let speaks = units.iter().any(|unit| speaks_of(caution, unit));
        let wanted = caution.hazard != Hazard::ChangedGearing || upgraded;
        if speaks && wanted && seen.insert((caution.hazard, caution.text.as_str())) {
            notes.push(CautionNote {
                hazard: caution.hazard,
                text: caution.text.clone(),
                unit: caution.unit.clone(),
                position: caution.position.clone(),
            });
        }
    }
    for unit in units {
        let by_outcome = unit.gearing_by_outcome.iter().filter_map(|outcome| outcome.gearing.as_ref());
        let mut found = Vec::new();
        for danger in unit.gearing.iter().chain(by_outcome).flat_map(|gearing| dangers(&unit.unit, gearing)) {
            if !found.contains(&danger) {
                found.push(danger);
            }
        }
        notes.extend(found.into_iter().map(|(unit, text)| CautionNote {
            hazard: Hazard::ChangedGearing,
            text,
            unit: Some(unit),
            position: None,
        }));
    }
    notes.sort_by(|a, b| (a.hazard, &a.unit, &a.position).cmp(&(b.hazard, &b.unit, &b.position)));
    notes
}

fn speaks_of(caution: &Caution, unit: &UnitRequirement) -> bool {
    caution.unit.as_ref().is_none_or(|key| *key == unit.unit)
        && caution.operation.as_ref().is_none_or(|operation| *operation == unit.operation)
        && caution.position.as_ref().is_none_or(|position| {
            unit.lines
                .iter()
                .any(|line| line.position.as_ref() == Some(position) && line.action != Action::Keep)
        })
}

/// The cautions of work on some positions of units, before a requirement exists: those of the catalogue that speak of the units
/// and their operations, and of no other position. Cautions on changed gearing only where `changed_gearing` says so.
pub(crate) fn cautions_of_work(
    snapshot: &Snapshot,
    units: &[UnitRequest],
    worked_on: &BTreeSet<(UnitKey, Code)>,
    changed_gearing: bool,
) -> Vec<CautionNote> {
    let speaks = |caution: &Caution| {
        let of_unit = |unit: &&UnitRequest| {
            caution.unit.as_ref().is_none_or(|key| *key == unit.unit)
                && caution.operation.as_ref().is_none_or(|operation| *operation == unit.operation)
                && caution
                    .position
                    .as_ref()
                    .is_none_or(|position| worked_on.contains(&(unit.unit.clone(), position.clone())))
        };
        units.iter().any(|unit| of_unit(&unit))
            && (changed_gearing || caution.hazard != Hazard::ChangedGearing)
    };
    notes(snapshot.cautions.iter().filter(|caution| speaks(caution)))
}

/// The cautions of looking at a vehicle before anything is taken apart: those on a vehicle on stands, on brakes and on
/// lifting that speak of the units, whatever the operation.
pub(crate) fn cautions_of_vehicle_checks(snapshot: &Snapshot, units: &[UnitKey]) -> Vec<CautionNote> {
    let wanted = [Hazard::VehicleOnStands, Hazard::Brakes, Hazard::Lifting];
    let speaks = |caution: &&Caution| {
        caution.position.is_none()
            && wanted.contains(&caution.hazard)
            && caution.unit.as_ref().is_none_or(|key| units.contains(key))
    };
    notes(snapshot.cautions.iter().filter(speaks))
}

fn notes<'c>(cautions: impl Iterator<Item = &'c Caution>) -> Vec<CautionNote> {
    let mut notes: Vec<CautionNote> = Vec::new();
    let mut seen: BTreeSet<(Hazard, &str)> = BTreeSet::new();
    for caution in cautions {
        if seen.insert((caution.hazard, caution.text.as_str())) {
            notes.push(CautionNote {
                hazard: caution.hazard,
                text: caution.text.clone(),
                unit: caution.unit.clone(),
                position: caution.position.clone(),
            });
        }
    }
    notes.sort_by(|a, b| (a.hazard, &a.unit, &a.position).cmp(&(b.hazard, &b.unit, &b.position)));
    notes
}
