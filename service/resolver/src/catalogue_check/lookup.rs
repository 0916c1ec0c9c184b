//! The rows by what they are looked up by, as of a day.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Candidate, CandidateRole, Code, Feature, Part, PartKey, Price, Supersession, UnitKey};
use chrono::NaiveDate;

use super::rows::CatalogueRows;

/// References into the rows; a few words for each row.
pub(super) struct Lookup<'a> {
    pub(super) rows: &'a CatalogueRows,
    pub(super) as_of: NaiveDate,
    /// Parts by key.
    pub(super) parts: BTreeMap<&'a PartKey, &'a Part>,
    /// Notices in force on the day, by old number; those of a number to itself are left out.
    notices: BTreeMap<&'a PartKey, Vec<&'a Supersession>>,
    /// Candidates of a position.
    candidates: BTreeMap<(&'a UnitKey, &'a Code), Vec<&'a Candidate>>,
    /// Features of a part.
    features: BTreeMap<&'a PartKey, Vec<&'a Feature>>,
    /// Prices of a part.
    prices: BTreeMap<&'a PartKey, Vec<&'a Price>>,
    /// Parts of which a piece lies on the shelf.
    pub(super) stocked: BTreeSet<&'a PartKey>,
}

fn grouped<'a, K: Ord, T>(rows: &'a [T], key: impl Fn(&'a T) -> K) -> BTreeMap<K, Vec<&'a T>> {
    let mut groups: BTreeMap<K, Vec<&'a T>> = BTreeMap::new();
    for row in rows {
        groups.entry(key(row)).or_default().push(row);
    }
    groups
}

impl<'a> Lookup<'a> {
    pub(super) fn new(rows: &'a CatalogueRows, as_of: NaiveDate) -> Self {
        let mut notices = grouped(&rows.supersessions, |row| &row.old);
        for group in notices.values_mut() {
            group.retain(|row| row.effective_from <= as_of && row.old != row.new);
        }
        notices.retain(|_, group| !group.is_empty());
        Self {
            rows,
            as_of,
            parts: rows.parts.iter().map(|part| (&part.part, part)).collect(),
            notices,
            candidates: grouped(&rows.candidates, |row| (&row.unit, &row.position)),
            features: grouped(&rows.features, |row| &row.part),
            prices: grouped(&rows.prices, |row| &row.part),
            stocked: rows.stock.iter().filter(|lot| lot.quantity.raw() > 0).map(|lot| &lot.part).collect(),
        }
    }

    /// The notices by which a number has given way; without a unit only those that speak of none.
    pub(super) fn notices_of(
        &self,
        part: &PartKey,
        unit: Option<&UnitKey>,
    ) -> impl Iterator<Item = &'a Supersession> {
        self.notices
            .get(part)
            .into_iter()
            .flatten()
            .copied()
            .filter(move |row| row.unit.as_ref().is_none_or(|only| Some(only) == unit))
    }

    /// The old numbers with their notices.
    pub(super) fn all_notices(&self) -> impl Iterator<Item = &'a Supersession> {
        self.notices.values().flatten().copied()
    }

    /// What may stand at a position.
    pub(super) fn candidates(&self, unit: &'a UnitKey, position: &'a Code) -> &[&'a Candidate] {
        self.candidates.get(&(unit, position)).map_or(&[], Vec::as_slice)
    }

    /// What may stand at a position without being chosen as an upgrade.
    pub(super) fn usual_candidates(
        &self,
        unit: &'a UnitKey,
        position: &'a Code,
    ) -> impl Iterator<Item = &'a Candidate> {
        self.candidates(unit, position).iter().copied().filter(|row| row.role != CandidateRole::Upgrade)
    }

    /// A feature of a part.
    pub(super) fn feature(&self, part: &PartKey, feature: &Code) -> Option<&'a Feature> {
        self.features.get(part)?.iter().copied().find(|row| row.feature == *feature)
    }

    /// The prices of a part, of any day.
    pub(super) fn prices(&self, part: &PartKey) -> &[&'a Price] {
        self.prices.get(part).map_or(&[], Vec::as_slice)
    }

    /// Whether a price holds on the day.
    pub(super) fn is_priced(&self, part: &PartKey) -> bool {
        self.prices(part).iter().any(|price| self.holds(price))
    }

    fn holds(&self, price: &Price) -> bool {
        price.valid_from <= self.as_of && price.valid_to.is_none_or(|last| last >= self.as_of)
    }
}
