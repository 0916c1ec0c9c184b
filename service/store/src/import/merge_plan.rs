//! What is known of a bundle before its rows are checked.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{SheetSpec, bundle};

use super::connection::Connection;
use super::staging::Staged;
use super::tables::{
    changes, create_changes, create_doomed, doomed, key, ready_doomed, ready_stage, stage, table,
};
use crate::error::StoreError;
use crate::store::DatabaseKind;

/// Which sheets are there, which are replaced, and which tables have no rows yet.
#[derive(Debug)]
pub(super) struct Plan {
    staged: BTreeSet<&'static str>,
    replaced: BTreeSet<&'static str>,
    empty: BTreeSet<&'static str>,
    doomed: BTreeMap<&'static str, u64>,
    with_double_keys: BTreeSet<&'static str>,
    naming_all: BTreeSet<&'static str>,
}

impl Plan {
    /// Looks at the tables, readies the staging tables for questions, finds what is new or changed, and marks the rows that
    /// are to go.
    pub(super) async fn make(
        connection: &mut Connection,
        sheets: &[Staged],
        replace: &BTreeSet<String>,
    ) -> Result<Self, StoreError> {
        let mut plan = Self {
            staged: sheets.iter().map(|staged| staged.spec.name).collect(),
            replaced: BTreeSet::new(),
            empty: BTreeSet::new(),
            doomed: BTreeMap::new(),
            with_double_keys: BTreeSet::new(),
            naming_all: BTreeSet::new(),
        };
        if connection.kind() == DatabaseKind::Postgres {
            // A rough idea of the tables is enough, and takes a tenth of the time. Whole tables are sorted and joined
            // here, for which the usual few megabytes send them to disk.
            for setting in
                ["default_statistics_target = 10", "work_mem = '64MB'", "maintenance_work_mem = '128MB'"]
            {
                connection.execute(&format!("SET LOCAL {setting}"), &[]).await?;
            }
        }
        for staged in sheets {
            let spec = staged.spec;
            let some = format!("SELECT COUNT(*) FROM (SELECT 1 AS one FROM {} LIMIT 1) t", table(spec));
            if connection.whole(&some, &[]).await? == 0 {
                plan.empty.insert(spec.name);
            }
            // PostgreSQL is asked nothing of rows that go into an empty table, unless its rules refuse them.
            if connection.kind() == DatabaseKind::Sqlite || !plan.was_empty(spec) {
                connection.execute(&ready_stage(connection.kind(), spec), &[]).await?;
            }
            if !plan.was_empty(spec) {
                plan.compare(connection, staged).await?;
            }
        }
        for Staged { spec, .. } in sheets.iter().filter(|staged| replace.contains(staged.spec.name)) {
            plan.replaced.insert(spec.name);
            connection.execute(&create_doomed(connection.kind(), spec, plan.names_all(spec)), &[]).await?;
            connection.execute(&ready_doomed(connection.kind(), spec), &[]).await?;
            let count = connection.whole(&format!("SELECT COUNT(*) FROM {}", doomed(spec)), &[]).await?;
            plan.doomed.insert(spec.name, u64::try_from(count).unwrap_or(0));
        }
        Ok(plan)
    }

    /// Holds the rows of a file against those of its table.
    async fn compare(&mut self, connection: &mut Connection, staged: &Staged) -> Result<(), StoreError> {
        let spec = staged.spec;
        let twice = format!(
            "SELECT COUNT(*) FROM (SELECT 1 AS one FROM {} s GROUP BY {} HAVING COUNT(*) > 1 LIMIT 1) d",
            stage(spec),
            key(spec, "s"),
        );
        if connection.whole(&twice, &[]).await? > 0 {
            self.with_double_keys.insert(spec.name);
        }
        connection.execute(&create_changes(connection.kind(), spec), &[]).await?;
        let new = format!("SELECT COUNT(*) FROM {} c WHERE c.is_new", changes(spec));
        let new = u64::try_from(connection.whole(&new, &[]).await?).unwrap_or(0);
        let stored = format!("SELECT COUNT(*) FROM {}", table(spec));
        let stored = u64::try_from(connection.whole(&stored, &[]).await?).unwrap_or(0);
        // Where each key stands once, each row that is not new is another one of the table's.
        if !self.has_double_keys(spec) && staged.rows == new + stored {
            self.naming_all.insert(spec.name);
        }
        Ok(())
    }

    /// Readies the staging tables for every question.
    pub(super) async fn ready_for_all(
        &self,
        connection: &mut Connection,
        sheets: &[Staged],
    ) -> Result<(), StoreError> {
        for Staged { spec, .. } in sheets {
            if connection.kind() == DatabaseKind::Postgres && self.was_empty(spec) {
                connection.execute(&ready_stage(connection.kind(), spec), &[]).await?;
            }
        }
        Ok(())
    }

    /// Whether the bundle holds the sheet.
    pub(super) fn holds(&self, sheet: &str) -> bool {
        self.staged.contains(sheet)
    }

    /// Whether rows of the sheet that the file does not name are to go.
    pub(super) fn replaces(&self, spec: &SheetSpec) -> bool {
        self.replaced.contains(spec.name)
    }

    /// Whether the sheet's table had no rows before.
    pub(super) fn was_empty(&self, spec: &SheetSpec) -> bool {
        self.empty.contains(spec.name)
    }

    /// Whether a key stands twice in the file of a table that had rows before.
    pub(super) fn has_double_keys(&self, spec: &SheetSpec) -> bool {
        self.with_double_keys.contains(spec.name)
    }

    /// Whether the file names every row that the table had: none is to go.
    pub(super) fn names_all(&self, spec: &SheetSpec) -> bool {
        self.was_empty(spec) || self.naming_all.contains(spec.name)
    }

    /// How many rows of the sheet are to go.
    pub(super) fn doomed_rows(&self, spec: &SheetSpec) -> u64 {
        self.doomed.get(spec.name).copied().unwrap_or(0)
    }
}

/// The sheet that a reference points to.
pub(super) fn target_of(sheet: &str) -> &'static SheetSpec {
    bundle::SHEETS
        .iter()
        .find(|spec| spec.name == sheet)
        .expect("every reference points at a sheet, which a test of the catalogue holds")
}
