//! Keys, indexes and references of tables that are filled for the first time, set aside while they are filled.
//!
//! PostgreSQL looks up the key, each index and each reference for every single row; made afterwards, all of them together
//! take a third of the time. The rows were held against the same rules before, and the rules are back, and checked by the
//! database, before anything is kept. Nobody reads these tables meanwhile: they were empty until now.

use super::connection::Connection;
use super::merge_plan::Plan;
use super::staging::Staged;
use crate::error::StoreError;
use crate::store::DatabaseKind;

/// From how many rows on it is worth it.
const ROWS_MIN: u64 = 10_000;

/// Statements that bring back what was set aside.
#[derive(Debug, Default)]
pub(super) struct RulesAside {
    restore: Vec<String>,
    tables: Vec<&'static str>,
}

/// Sets aside the rules of the tables that are empty and get many rows.
pub(super) async fn set_rules_aside(
    connection: &mut Connection,
    plan: &Plan,
    sheets: &[Staged],
) -> Result<RulesAside, StoreError> {
    let filled = sheets.iter().filter(|staged| staged.rows >= ROWS_MIN && plan.was_empty(staged.spec));
    let tables: Vec<&'static str> = filled.map(|staged| staged.spec.name).collect();
    // SQLite checks a row where it lies anyway, and gains next to nothing (own measurement).
    if tables.is_empty() || connection.kind() == DatabaseKind::Sqlite {
        return Ok(RulesAside::default());
    }
    let list: Vec<String> = tables.iter().map(|table| format!("CAST('\"{table}\"' AS regclass)")).collect();
    let list = list.join(", ");
    let constraints = |kind: &str, whose: &str| {
        format!(
            "SELECT 'ALTER TABLE ' || CAST(conrelid AS regclass) || ' DROP CONSTRAINT ' || quote_ident(conname), \
             'ALTER TABLE ' || CAST(conrelid AS regclass) || ' ADD CONSTRAINT ' || quote_ident(conname) || ' ' \
             || pg_get_constraintdef(oid) \
             FROM pg_constraint WHERE contype = '{kind}' AND ({whose}) ORDER BY CAST(conrelid AS text), conname"
        )
    };
    let references = constraints("f", &format!("conrelid IN ({list}) OR confrelid IN ({list})"));
    let keys = constraints("p", &format!("conrelid IN ({list})"));
    let indexes = format!(
        "SELECT 'DROP INDEX ' || CAST(indexrelid AS regclass), pg_get_indexdef(indexrelid) \
         FROM pg_index WHERE NOT indisprimary AND indrelid IN ({list}) ORDER BY CAST(indexrelid AS text)"
    );
    // References lean on keys: they go first and come back last.
    let mut restore = Vec::new();
    for query in [references, keys, indexes] {
        let mut pairs = Vec::new();
        for row in connection.fetch(&query, &[]).await? {
            pairs.push((row.text(0)?, row.text(1)?));
        }
        for (drop, _) in &pairs {
            connection.execute(drop, &[]).await?;
        }
        restore.push(pairs.into_iter().map(|(_, add)| add).collect::<Vec<_>>());
    }
    let references = restore.remove(0);
    Ok(RulesAside { restore: restore.into_iter().flatten().chain(references).collect(), tables })
}

impl RulesAside {
    /// Whether the rules of a table are set aside.
    pub(super) fn of(&self, table: &str) -> bool {
        self.tables.contains(&table)
    }

    /// Brings the rules back; the database checks all rows against them.
    pub(super) async fn restore(self, connection: &mut Connection) -> Result<(), StoreError> {
        for statement in &self.restore {
            connection.execute(statement, &[]).await?;
        }
        // The first questions should not have to guess how large the tables are.
        for table in self.tables {
            connection.execute(&format!("ANALYZE \"{table}\""), &[]).await?;
        }
        Ok(())
    }
}
