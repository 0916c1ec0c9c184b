//! What units can reach, kept in memory by structure revision.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use catalogue::{Snapshot, UnitKey};
use store::{Store, StoreError};
use tokio::sync::OnceCell;

/// Rows that are kept at most; a row takes a few hundred bytes, so this is some hundred megabytes.
const ROWS_MAX: usize = 500_000;

/// Snapshots by units and structure revision; the least recently used go first.
pub(crate) struct SnapshotCache {
    kept: Mutex<Kept>,
    rows_max: usize,
}

#[derive(Default)]
struct Kept {
    entries: BTreeMap<(Vec<UnitKey>, i64), Entry>,
    clock: u64,
    hits: u64,
    misses: u64,
}

struct Entry {
    cell: Arc<OnceCell<Arc<Snapshot>>>,
    used: u64,
}

/// What the cache has done so far.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CacheFigures {
    /// Snapshots kept.
    pub entries: u64,
    /// Asked for and found.
    pub hits: u64,
    /// Asked for and read from the database.
    pub misses: u64,
}

impl SnapshotCache {
    pub(crate) fn new() -> Self {
        Self::with_bound(ROWS_MAX)
    }

    fn with_bound(rows_max: usize) -> Self {
        Self { kept: Mutex::default(), rows_max }
    }

    /// The snapshot of these units at this revision; of several that ask at once, one reads and the others wait for it.
    ///
    /// Where the structure changes while it is read, the snapshot is of the later revision, and says so.
    pub(crate) async fn get(
        &self,
        store: &Store,
        units: &[UnitKey],
        structure_revision: i64,
    ) -> Result<Arc<Snapshot>, StoreError> {
        let key = (units.to_vec(), structure_revision);
        let cell = self.cell(key.clone());
        let snapshot = cell
            .get_or_try_init(|| async { store.load_snapshot(units).await.map(Arc::new) })
            .await
            .inspect_err(|_| self.forget(&key))?
            .clone();
        self.trim();
        Ok(snapshot)
    }

    pub(crate) fn figures(&self) -> CacheFigures {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        CacheFigures {
            entries: u64::try_from(kept.entries.len()).unwrap_or(u64::MAX),
            hits: kept.hits,
            misses: kept.misses,
        }
    }

    fn cell(&self, key: (Vec<UnitKey>, i64)) -> Arc<OnceCell<Arc<Snapshot>>> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.clock += 1;
        let used = kept.clock;
        if let Some(entry) = kept.entries.get_mut(&key) {
            entry.used = used;
            let cell = entry.cell.clone();
            kept.hits += 1;
            return cell;
        }
        kept.misses += 1;
        // Snapshots of earlier revisions of the same units will not be asked for again.
        kept.entries.retain(|(units, revision), _| *units != key.0 || *revision >= key.1);
        let cell = Arc::new(OnceCell::new());
        kept.entries.insert(key, Entry { cell: cell.clone(), used });
        cell
    }

    fn forget(&self, key: &(Vec<UnitKey>, i64)) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        if kept.entries.get(key).is_some_and(|entry| !entry.cell.initialized()) {
            kept.entries.remove(key);
        }
    }

    fn trim(&self) {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let mut by_use: Vec<(u64, usize, (Vec<UnitKey>, i64))> = kept
            .entries
            .iter()
            .filter_map(|(key, entry)| {
                entry.cell.get().map(|snapshot| (entry.used, rows(snapshot), key.clone()))
            })
            .collect();
        by_use.sort_unstable();
        let mut total: usize = by_use.iter().map(|(_, rows, _)| rows).sum();
        for (_, rows, key) in by_use {
            if total <= self.rows_max {
                break;
            }
            kept.entries.remove(&key);
            total -= rows;
        }
    }
}

/// Rows of a snapshot: what it weighs.
pub(crate) fn rows(snapshot: &Snapshot) -> usize {
    // Destructured, so that a new list cannot be forgotten here.
    let Snapshot {
        structure_revision: _,
        units,
        vehicles,
        engine_points,
        vehicle_units,
        makers,
        parts,
        features,
        variants,
        positions,
        bench_values,
        bench_renewals,
        candidates,
        set_positions,
        joints,
        fit_statements,
        companions,
        kit_lines,
        supersessions,
        supersession_needs,
        operations,
        operation_scope,
        fluids,
        outside_work,
        weak_points,
        cautions,
    } = snapshot;
    units.len()
        + vehicles.len()
        + engine_points.len()
        + vehicle_units.len()
        + makers.len()
        + parts.len()
        + features.len()
        + variants.len()
        + positions.len()
        + bench_values.len()
        + bench_renewals.len()
        + candidates.len()
        + set_positions.len()
        + joints.len()
        + fit_statements.len()
        + companions.len()
        + kit_lines.len()
        + supersessions.len()
        + supersession_needs.len()
        + operations.len()
        + operation_scope.len()
        + fluids.len()
        + outside_work.len()
        + weak_points.len()
        + cautions.len()
}

#[cfg(test)]
mod tests {
    use catalogue::{Code, Unit, UnitKind};

    use super::*;

    fn snapshot_of(unit: &UnitKey) -> Arc<Snapshot> {
        let unit = Unit {
            unit: unit.clone(),
            code: unit.to_string(),
            maker: Code::from_stored("M"),
            name: String::new(),
            kind: UnitKind::Gearbox,
            mass_kg: None,
        };
        Arc::new(Snapshot { units: vec![unit], ..Snapshot::default() })
    }

    fn put(cache: &SnapshotCache, unit: &str, revision: i64) {
        let unit = UnitKey::from_stored(unit);
        let cell = cache.cell((vec![unit.clone()], revision));
        let _ = cell.set(snapshot_of(&unit));
        cache.trim();
    }

    fn kept(cache: &SnapshotCache) -> Vec<(String, i64)> {
        let kept = cache.kept.lock().unwrap();
        kept.entries.keys().map(|(units, revision)| (units[0].to_string(), *revision)).collect()
    }

    #[test]
    fn the_least_recently_used_goes_first() {
        let cache = SnapshotCache::with_bound(2);
        put(&cache, "A", 1);
        put(&cache, "B", 1);
        put(&cache, "A", 1);
        put(&cache, "C", 1);
        assert_eq!(kept(&cache), [("A".to_owned(), 1), ("C".to_owned(), 1)]);
        assert_eq!(cache.figures(), CacheFigures { entries: 2, hits: 1, misses: 3 });
    }

    #[test]
    fn a_new_revision_replaces_the_old_one() {
        let cache = SnapshotCache::with_bound(10);
        put(&cache, "A", 1);
        put(&cache, "A", 2);
        assert_eq!(kept(&cache), [("A".to_owned(), 2)]);
    }
}
