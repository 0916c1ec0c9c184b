//! References that the database cannot hold against a table.

use std::collections::BTreeSet;

use catalogue::{PartKey, UnitKey};

use super::finding::Finding;
use super::lookup::Lookup;
use super::money_fact::MoneyFact;
use super::unit_fact::UnitFact;

/// The settings that the service reads.
const SETTINGS: [&str; 6] =
    ["BASE-CURRENCY", "LABOUR-RATE", "TAX", "QUOTE-VALID-DAYS", "KIT-DISPLAY", "SURPLUS"];

pub(super) fn check(lookup: &Lookup<'_>, findings: &mut Vec<Finding>) {
    let in_unit: BTreeSet<(&UnitKey, &PartKey)> =
        lookup.rows.candidates.iter().map(|row| (&row.unit, &row.part)).collect();
    // A successor of a candidate is fitted in its place.
    let successor_in_unit = |unit: &UnitKey, part: &PartKey| {
        lookup.rows.supersessions.iter().any(|row| row.new == *part && in_unit.contains(&(unit, &row.old)))
    };
    for row in &lookup.rows.positions {
        let Some(part) = &row.only_with else { continue };
        if !in_unit.contains(&(&row.unit, part)) && !successor_in_unit(&row.unit, part) {
            let fact = UnitFact::OnlyWithNeverFitted {
                unit: row.unit.clone(),
                position: row.position.clone(),
                part: part.clone(),
            };
            findings.push(Finding::new("positions", &[row.unit.as_str(), row.position.as_str()], fact));
        }
    }
    for row in &lookup.rows.settings {
        if !SETTINGS.contains(&row.setting.as_str()) {
            let fact = MoneyFact::SettingUnknown { setting: row.setting.clone() };
            findings.push(Finding::new("settings", &[row.setting.as_str()], fact));
        }
    }
}
