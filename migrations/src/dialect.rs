//! The few words in which the two databases differ.
//!
//! The statements of the migrations are written out in full, so that what a database was made of stays in view and does
//! not move when the catalogue does. Only the words below stand for something else in each database:
//!
//! | word | SQLite | PostgreSQL |
//! |---|---|---|
//! | `{text}` | `TEXT` | `text` ordered by code point, as SQLite and Rust do |
//! | `{whole}` | `INTEGER` | `bigint` |
//! | `{real}` | `REAL` | `double precision` |
//! | `{flag}` | `INTEGER` | `boolean` |
//! | `{date}` | `TEXT`, `YYYY-MM-DD` | `date` |
//! | `{instant}` | `TEXT`, RFC 3339 | `timestamp with time zone` |
//! | `{plain}` | types are kept strictly | |
//! | `{clustered}` | the same, and rows lie in the order of the key | |
//!
//! In a check, three words or more are joined by `OR`, not listed by `IN`: see [`crate::quick_checks`].

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::DbBackend;

use crate::quick_checks::lists_as_comparisons;

const SQLITE: &[(&str, &str)] = &[
    ("{text}", "TEXT"),
    ("{whole}", "INTEGER"),
    ("{real}", "REAL"),
    ("{flag}", "INTEGER"),
    ("{date}", "TEXT"),
    ("{instant}", "TEXT"),
    ("{plain}", "STRICT"),
    ("{clustered}", "STRICT, WITHOUT ROWID"),
];

const POSTGRES: &[(&str, &str)] = &[
    ("{text}", "text COLLATE \"C\""),
    ("{whole}", "bigint"),
    ("{real}", "double precision"),
    ("{flag}", "boolean"),
    ("{date}", "date"),
    ("{instant}", "timestamp with time zone"),
    ("{plain}", ""),
    ("{clustered}", ""),
];

/// A statement in the words of a database.
pub(crate) fn in_words_of(backend: DbBackend, statement: &str) -> String {
    let words = if backend == DbBackend::Postgres { POSTGRES } else { SQLITE };
    let written =
        words.iter().fold(statement.to_owned(), |text, (word, meaning)| text.replace(word, meaning));
    let makes_table = backend == DbBackend::Sqlite && written.starts_with("CREATE TABLE");
    if makes_table { lists_as_comparisons(&written) } else { written }
}

/// Runs statements one after the other.
pub(crate) async fn run(manager: &SchemaManager<'_>, statements: &[&str]) -> Result<(), DbErr> {
    let connection = manager.get_connection();
    for statement in statements {
        connection.execute_unprepared(&in_words_of(manager.get_database_backend(), statement)).await?;
    }
    Ok(())
}

/// Drops tables, the last made first.
pub(crate) async fn drop_tables(manager: &SchemaManager<'_>, tables: &[&str]) -> Result<(), DbErr> {
    for table in tables.iter().rev() {
        manager.get_connection().execute_unprepared(&format!("DROP TABLE {table}")).await?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_word_is_known_to_both_databases() {
        let statement =
            "CREATE TABLE t (a {text}, b {whole}, c {real}, d {flag}, e {date}, f {instant}) {clustered}";
        for backend in [DbBackend::Sqlite, DbBackend::Postgres] {
            assert!(!in_words_of(backend, statement).contains('{'));
        }
        assert_eq!(in_words_of(DbBackend::Sqlite, "x {flag} {plain}"), "x INTEGER STRICT");
        assert_eq!(in_words_of(DbBackend::Postgres, "x {flag} {plain}"), "x boolean ");
    }
}
