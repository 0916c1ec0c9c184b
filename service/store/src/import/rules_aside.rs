//! Keys, indexes and references of tables that are filled for the first time, set aside while they are filled.
//!
//! PostgreSQL looks up the key, each index and each reference for every single row; made afterwards, all of them together
//! take a third of the time. On SQLite, where rows lie in the order of their key and references are looked up at once,
//! that holds for the other indexes. The rules are back, and checked by the database, before anything is kept. Nobody
//! reads these tables meanwhile: they were empty until now.

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
    if tables.is_empty() {
        return Ok(RulesAside::default());
    }
    match connection.kind() {
        DatabaseKind::Sqlite => set_indexes_aside(connection, tables).await,
        DatabaseKind::Postgres => set_all_aside(connection, tables).await,
    }
}

async fn set_indexes_aside(
    connection: &mut Connection,
    tables: Vec<&'static str>,
) -> Result<RulesAside, StoreError> {
    let mut restore = Vec::new();
    for table in &tables {
        let indexes = format!(
            "SELECT 'DROP INDEX \"' || name || '\"', sql FROM sqlite_schema \
             WHERE type = 'index' AND tbl_name = '{table}' AND sql IS NOT NULL ORDER BY name"
        );
        restore.extend(set_aside(connection, &indexes).await?);
    }
    Ok(RulesAside { restore, tables })
}

async fn set_all_aside(
    connection: &mut Connection,
    tables: Vec<&'static str>,
) -> Result<RulesAside, StoreError> {
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
    let references = set_aside(connection, &references).await?;
    let mut restore = set_aside(connection, &keys).await?;
    restore.extend(set_aside(connection, &indexes).await?);
    restore.extend(references);
    Ok(RulesAside { restore, tables })
}

/// Runs the first statement of each row of a query; the second ones bring back what is gone then.
async fn set_aside(connection: &mut Connection, query: &str) -> Result<Vec<String>, StoreError> {
    let mut restore = Vec::new();
    for row in connection.fetch(query, &[]).await? {
        connection.execute(&row.text(0)?, &[]).await?;
        restore.push(row.text(1)?);
    }
    Ok(restore)
}

impl RulesAside {
    /// Whether the rules of a table are set aside.
    pub(super) fn of(&self, table: &str) -> bool {
        self.tables.contains(&table)
    }

    /// Brings the rules back; the database checks all rows against them.
    pub(super) async fn restore(&mut self, connection: &mut Connection) -> Result<(), StoreError> {
        for statement in self.restore.drain(..) {
            connection.execute(&statement, &[]).await?;
        }
        // The first questions should not have to guess how large the tables are; SQLite keeps no account of that.
        for table in self.tables.drain(..) {
            if connection.kind() == DatabaseKind::Postgres {
                connection.execute(&format!("ANALYZE \"{table}\""), &[]).await?;
            }
        }
        Ok(())
    }
}
