//! What can hurt someone in the work an answer leads to.

use std::collections::BTreeSet;

use catalogue::{Caution, Hazard};

use crate::answer::{Action, CautionNote, UnitRequirement};
use crate::context::Context;

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
