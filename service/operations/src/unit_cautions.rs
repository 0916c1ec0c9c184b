//! The cautions that speak of a unit, for answers that lead to its bench.

use catalogue::{Snapshot, UnitKey};
use resolver::answer::CautionNote;

/// Every caution that speaks of a unit, of any of its operations, or of all units.
pub(crate) fn unit_cautions(snapshot: &Snapshot, unit: &UnitKey) -> Vec<CautionNote> {
    let spoken = snapshot.cautions.iter().filter(|caution| caution.unit.as_ref().is_none_or(|of| of == unit));
    let note = |caution: &catalogue::Caution| CautionNote {
        hazard: caution.hazard,
        text: caution.text.clone(),
        unit: caution.unit.clone(),
        position: caution.position.clone(),
    };
    spoken.map(note).collect()
}
