//! Taking in a bundle: all of it or nothing.
//!
//! 1. Rows are staged as they come, in temporary tables without rules ([`staging`]); nobody else is kept waiting.
//! 2. The import takes its turn; from here on no other one merges ([`connection`]).
//! 3. What no rule of the database would refuse is asked in questions about sets of rows ([`check`]): keys that stand
//!    twice in a file that meets rows, rows that are to go and are needed, a count below what is reserved.
//! 4. Tables are brought to what the files say, parents first ([`merge`]); what is to go, goes, children first
//!    ([`removal`]); a count is booked to the ledger ([`count`]). Tables that are filled for the first time get their
//!    indexes afterwards ([`rules_aside`]).
//! 5. Where something was asked and found, or the database refused a row by its keys and references, all of step 4 is undone
//!    and every question is asked ([`duplicates`], [`references`] and the rest): faults are gathered up to the limit,
//!    each with its row, and end the import. A bundle without faults is spared these questions.
//! 6. Running numbers and the audit follow, in the same transaction ([`conclusion`]).

mod cell_check;
mod changed_values;
mod check;
mod conclusion;
mod connection;
mod count;
mod digest;
mod duplicates;
mod events;
mod faults;
mod line;
mod merge;
mod merge_plan;
mod references;
mod removal;
mod report;
mod row;
mod rules_aside;
mod sqlite_link;
mod staging;
mod suggestion;
mod tables;

use std::sync::Arc;

use catalogue::{SheetSpec, bundle};
use tokio::sync::Mutex;

use crate::caller::Caller;
use crate::error::StoreError;
use crate::outbox::Outbox;
use crate::store::{DatabaseKind, Store};
use changed_values::changed_values;
use check::{Asked, is_refusal};
use conclusion::conclude;
use connection::Connection;
use digest::RowDigest;
use events::{Settings, settings_changed, stock_counted, write_events};
use faults::Faults;
use merge_plan::Plan;
use rules_aside::set_rules_aside;
use staging::Staged;

pub use report::{Change, ImportFailure, ImportFault, ImportOptions, ImportReport, SheetChange, StagedRow};

/// What was merged: the changes of each sheet with their digest, and the events so far.
type Merged = (Vec<(SheetChange, RowDigest)>, Outbox);

/// An import under way. Dropping it leaves the database as it was.
#[derive(Debug)]
pub struct Import {
    connection: Connection,
    turn: Arc<Mutex<()>>,
    options: ImportOptions,
    caller: Caller,
    sheets: Vec<Staged>,
    faults: Faults,
}

impl Store {
    /// Begins to take in a bundle.
    pub async fn begin_import(&self, options: ImportOptions) -> Result<Import, StoreError> {
        // A count is held against what is reserved: what has run out does not count.
        self.release_expired(chrono::Utc::now()).await?;
        Ok(Import {
            connection: Connection::open(self).await?,
            turn: Arc::clone(&self.import_turn),
            faults: Faults::up_to(options.fault_limit),
            sheets: Vec::new(),
            caller: self.caller().clone(),
            options,
        })
    }
}

impl Import {
    /// Hands over rows of a sheet, in batches of any size (some thousand are quickest); a sheet may come back later. A
    /// file without rows is handed over as an empty batch, so that it counts as present.
    ///
    /// Cells that cannot be stored become faults, which [`Import::finish`] returns.
    pub async fn stage(&mut self, spec: &'static SheetSpec, rows: Vec<StagedRow>) -> Result<(), StoreError> {
        let at = match self.sheets.iter().position(|staged| staged.spec.name == spec.name) {
            Some(at) => at,
            None => {
                self.sheets.push(Staged::create(&mut self.connection, spec).await?);
                self.sheets.len() - 1
            }
        };
        self.sheets[at].add(&mut self.connection, rows, &mut self.faults).await
    }

    /// Notes a fault that was found while the row's text was read. The row may still be staged, with nothing in the
    /// cells that could not be read: no fault is found in these again, and what refers to the row is not blamed.
    pub fn reject(&mut self, fault: ImportFault) {
        self.faults.add(fault);
    }

    /// Whether as many faults were found as are wanted: reading on is of no use.
    pub fn has_enough_faults(&self) -> bool {
        self.faults.room() == 0
    }

    /// Checks all rows and, unless there are faults or it is a dry run, stores them: all or nothing.
    ///
    /// # Errors
    /// The faults, or what the database says; the database is then as it was.
    pub async fn finish(mut self) -> Result<ImportReport, ImportFailure> {
        let turn = Arc::clone(&self.turn);
        let _until_the_end = turn.lock().await;
        self.sheets.sort_by_key(|staged| place(staged.spec));
        self.connection.take_turn().await?;
        if let Some(moved) = self.moved_revision().await? {
            self.connection.undo().await?;
            return Err(moved.into());
        }
        if self.sheets.iter().any(|staged| staged.spec.name == count::STOCK) {
            count::hold_balances(&mut self.connection).await?;
        }
        let plan = Plan::make(&mut self.connection, &self.sheets, &self.options.replace).await?;
        let before = self.settings().await?;
        let mut values = Vec::new();
        for staged in &self.sheets {
            values.extend(changed_values(&mut self.connection, &plan, staged).await?);
        }
        let Some((changes, mut outbox)) = self.take_in(&plan).await? else {
            self.connection.undo().await?;
            return Err(ImportFailure::Refused(self.faults.into_sorted()));
        };
        settings_changed(&mut outbox, &before, &self.settings().await?);
        let report =
            conclude(&mut self.connection, (&self.options, &self.caller), (changes, &values), &mut outbox)
                .await?;
        write_events(&mut self.connection, outbox).await?;
        if self.options.dry_run {
            self.connection.undo().await?
        } else {
            self.connection.commit().await?
        }
        Ok(report)
    }

    /// What to say if prices or structure are no longer at the revision that the options name. Only imports move them, one
    /// at a time.
    async fn moved_revision(&mut self) -> Result<Option<StoreError>, StoreError> {
        let named =
            [("price", self.options.at_price_revision), ("structure", self.options.at_structure_revision)];
        for (name, expected) in named {
            let Some(expected) = expected else { continue };
            let sql = format!("SELECT number FROM revisions WHERE name = '{name}'");
            let current = self.connection.whole(&sql, &[]).await?;
            if current != expected {
                return Ok(Some(StoreError::RevisionMoved { expected, current }));
            }
        }
        Ok(None)
    }

    /// Merges the bundle, or finds its faults.
    async fn take_in(&mut self, plan: &Plan) -> Result<Option<Merged>, StoreError> {
        if self.faults.is_empty() {
            let mut found = Faults::up_to(1);
            self.check(plan, Asked::Beforehand, &mut found).await?;
            if found.is_empty()
                && let Some(merged) = self.merge_by_rules(plan).await?
            {
                return Ok(Some(merged));
            }
        }
        plan.ready_for_all(&mut self.connection, &self.sheets).await?;
        let mut faults = std::mem::replace(&mut self.faults, Faults::up_to(1));
        let asked = self.check(plan, Asked::Everything, &mut faults).await;
        self.faults = faults;
        asked?;
        if !self.faults.is_empty() {
            return Ok(None);
        }
        // The database refused for another reason, and says so again.
        Ok(Some(self.merge(plan).await?))
    }

    /// Merges as far as the rules of the database let it; nothing where they refused a row, and all is as it was before.
    async fn merge_by_rules(&mut self, plan: &Plan) -> Result<Option<Merged>, StoreError> {
        self.connection.execute("SAVEPOINT merge", &[]).await?;
        let merged = match self.merge(plan).await {
            Ok(merged) => Some(merged),
            Err(error) if is_refusal(&error) => {
                self.connection.execute("ROLLBACK TO SAVEPOINT merge", &[]).await?;
                None
            }
            Err(error) => return Err(error),
        };
        self.connection.execute("RELEASE SAVEPOINT merge", &[]).await?;
        Ok(merged)
    }

    async fn check(&mut self, plan: &Plan, asked: Asked, faults: &mut Faults) -> Result<(), StoreError> {
        for sheet in self.options.replace.iter().filter(|sheet| !plan.holds(sheet)) {
            faults.add(no_file_to_replace(sheet));
        }
        check::find_faults(&mut self.connection, plan, &self.sheets, asked, faults).await
    }

    /// The settings, where the bundle holds any.
    async fn settings(&mut self) -> Result<Settings, StoreError> {
        if self.sheets.iter().any(|staged| staged.spec.name == events::SETTINGS) {
            events::read_settings(&mut self.connection).await
        } else {
            Ok(Settings::new())
        }
    }

    async fn merge(&mut self, plan: &Plan) -> Result<Merged, StoreError> {
        let mut outbox = Outbox::default();
        let connection = &mut self.connection;
        let mut aside = set_rules_aside(connection, plan, &self.sheets).await?;
        let mut changes = Vec::new();
        for staged in &self.sheets {
            if staged.spec.name == count::STOCK {
                let reason = if self.options.note.is_empty() { "count" } else { &self.options.note };
                let now = crate::numbers::kept(chrono::Utc::now());
                let booked = (reason, self.options.who.as_str());
                let moved = count::book_adjustments(connection, plan, staged.spec, booked, now).await?;
                stock_counted(&mut outbox, moved, &self.options.who, now);
            }
            changes.push(merge::merge_rows(connection, plan, &aside, staged).await?);
        }
        // SQLite looks in its indexes for what still refers to a row that goes.
        if connection.kind() == DatabaseKind::Sqlite {
            aside.restore(connection).await?;
        }
        for (staged, (change, digest)) in self.sheets.iter().zip(&mut changes).rev() {
            removal::remove_rows(connection, plan, staged.spec, change, digest).await?;
        }
        aside.restore(connection).await?;
        Ok((changes, outbox))
    }
}

fn place(spec: &SheetSpec) -> Option<usize> {
    bundle::SHEETS.iter().position(|other| other.name == spec.name)
}

fn no_file_to_replace(sheet: &str) -> ImportFault {
    ImportFault {
        sheet: bundle::SHEETS.iter().find(|spec| spec.name == sheet).map_or("", |spec| spec.name),
        row: 0,
        columns: Vec::new(),
        value: sheet.to_owned(),
        wrong: "is to be replaced, but the bundle has no such file".to_owned(),
        right: "the name of a sheet that the bundle holds".to_owned(),
        suggestion: None,
    }
}
