//! Asking for the rows of a sheet.

use std::collections::BTreeSet;

use catalogue::{Sheet, SheetSpec};
use sea_orm::{ConnectionTrait, Statement, Value};

use crate::cells::{by_key, cells_of, noun_of};
use crate::error::StoreError;
use crate::store::DatabaseKind;

/// A name that may also be a word of SQL.
pub(crate) fn quoted(name: &str) -> String {
    format!("\"{name}\"")
}

/// Names of columns behind the alias of their table, with commas between.
pub(crate) fn column_list(alias: &str, names: impl IntoIterator<Item = &'static str>) -> String {
    let names: Vec<String> = names.into_iter().map(|name| format!("{alias}.\"{name}\"")).collect();
    names.join(", ")
}

/// `SELECT` all columns of a sheet `FROM` its table as `t`; the rest of the query follows.
pub(crate) fn select_from(spec: &SheetSpec) -> String {
    let columns = column_list("t", spec.columns.iter().map(|column| column.name));
    format!("SELECT {columns} FROM \"{}\" t ", spec.name)
}

/// The rows of a sheet that the end of a query leaves, in the order in which they come.
pub(crate) async fn rows_as_they_come<T: Sheet>(
    db: &impl ConnectionTrait,
    rest: &str,
    values: Vec<Value>,
) -> Result<Vec<T>, StoreError> {
    let statement = statement(db, format!("{}{rest}", select_from(&T::SPEC)), values);
    let rows = db.query_all_raw(statement).await?;
    rows.iter().map(|row| noun_of(&cells_of(row, &T::SPEC)?)).collect()
}

/// The rows of a sheet that the end of a query leaves, in the order of the sheet's key.
pub(crate) async fn rows<T: Sheet>(
    db: &impl ConnectionTrait,
    rest: &str,
    values: Vec<Value>,
) -> Result<Vec<T>, StoreError> {
    let spec = &T::SPEC;
    let statement = statement(db, format!("{}{rest}", select_from(spec)), values);
    let found = db.query_all_raw(statement).await?;
    let mut cells = found.iter().map(|row| cells_of(row, spec)).collect::<Result<Vec<_>, _>>()?;
    // Sorted here and not by the database: one order for both, whatever the collation of a server.
    cells.sort_by(|one, other| by_key(spec, one, other));
    cells.iter().map(|row| noun_of(row)).collect()
}

/// A statement with its values, numbered `$1`, `$2` in its text.
pub(crate) fn statement(db: &impl ConnectionTrait, sql: String, values: Vec<Value>) -> Statement {
    Statement::from_sql_and_values(db.get_database_backend(), sql, values)
}

/// A list of keys, each once, as one value: SQLite takes no more than some thousand values, and a list of a statement's own length
/// would need a plan of its own for each length.
pub(crate) fn key_list<'a>(keys: impl IntoIterator<Item = &'a str>) -> Value {
    let keys: BTreeSet<&str> = keys.into_iter().collect();
    serde_json::Value::from_iter(keys).to_string().into()
}

/// The subquery that gives back the keys of the list that is bound to a placeholder, in a column `key`.
pub(crate) fn keys_in(kind: DatabaseKind, placeholder: &str) -> String {
    match kind {
        DatabaseKind::Sqlite => format!("(SELECT value AS \"key\" FROM json_each({placeholder}))"),
        // The keys compare with columns that are ordered by code point, and must say that they are too.
        DatabaseKind::Postgres => format!(
            "(SELECT value COLLATE \"C\" AS \"key\" FROM json_array_elements_text(CAST({placeholder} AS json)))"
        ),
    }
}
