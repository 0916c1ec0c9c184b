//! On SQLite, checks against a list of words that do not make the list anew for every row.
//!
//! In a check, SQLite puts the words of `IN` into a table of their own for each row that is written, which takes several
//! times as long as writing the row (own measurement); two words alone it compares. The same words joined by `OR` are
//! compared, however many there are. Rows stay where they are: only the text of the checks changes, in the way that
//! SQLite's documentation describes for changes that do not touch what is stored (sqlite.org, "ALTER TABLE", section
//! "Making Other Kinds Of Table Schema Changes").

use sea_orm_migration::prelude::*;
use sea_orm_migration::sea_orm::{DbBackend, Statement};

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        rewrite_checks(manager, lists_as_comparisons).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        rewrite_checks(manager, comparisons_as_lists).await
    }
}

/// Fewest words of a list that SQLite does not simply compare.
const WORDS_MIN: usize = 3;

/// Rewrites what the tables were made by.
async fn rewrite_checks(manager: &SchemaManager<'_>, rewrite: fn(&str) -> String) -> Result<(), DbErr> {
    if manager.get_database_backend() != DbBackend::Sqlite {
        return Ok(());
    }
    let connection = manager.get_connection();
    let ask = |sql: &str| Statement::from_string(DbBackend::Sqlite, sql.to_owned());
    let tables = ask("SELECT name, sql FROM sqlite_schema WHERE type = 'table' ORDER BY name");
    let mut script = "PRAGMA writable_schema = ON; ".to_owned();
    for row in connection.query_all_raw(tables).await? {
        let (name, sql): (String, String) = (row.try_get_by_index(0)?, row.try_get_by_index(1)?);
        let rewritten = rewrite(&sql);
        if rewritten != sql {
            let text = rewritten.replace('\'', "''");
            script += &format!(
                "UPDATE sqlite_schema SET sql = '{text}' WHERE type = 'table' AND name = '{name}'; "
            );
        }
    }
    let version = connection.query_one_raw(ask("SELECT schema_version FROM pragma_schema_version")).await?;
    let version = version.ok_or_else(|| DbErr::Custom("SQLite tells no schema version".to_owned()))?;
    let version: i64 = version.try_get_by_index(0)?;
    script += &format!("PRAGMA schema_version = {}; PRAGMA writable_schema = RESET", version + 1);
    // In one go, so that all of it runs on one connection even where there is no transaction.
    connection.execute_unprepared(&script).await?;
    Ok(())
}

/// Writes `column IN ('a', 'b', 'c')` as `(column = 'a' OR column = 'b' OR column = 'c')`.
fn lists_as_comparisons(sql: &str) -> String {
    let mut written = String::new();
    let mut rest = sql;
    while let Some(at) = rest.find(" IN ('") {
        let Some(length) = rest[at..].find(')') else { break };
        let end = at + length + 1;
        let start = rest[..at].rfind(|letter: char| !is_of_a_name(letter)).map_or(0, |before| before + 1);
        let column = &rest[start..at];
        let words: Vec<&str> = rest[at + " IN (".len()..end - 1].split(',').map(str::trim).collect();
        written += &rest[..start];
        if column == "NOT" || words.len() < WORDS_MIN {
            written += &rest[start..end];
        } else {
            let equals: Vec<String> = words.iter().map(|word| format!("{column} = {word}")).collect();
            written += &format!("({})", equals.join(" OR "));
        }
        rest = &rest[end..];
    }
    written + rest
}

/// The way back.
fn comparisons_as_lists(sql: &str) -> String {
    let mut written = String::new();
    let mut rest = sql;
    while let Some(start) = rest.find('(') {
        let inner = &rest[start + 1..];
        let end = inner.find(')').unwrap_or(inner.len());
        if let Some(list) = list_of(&inner[..end]) {
            written += &rest[..start];
            written += &list;
            rest = inner.get(end + 1..).unwrap_or_default();
        } else {
            written += &rest[..=start];
            rest = inner;
        }
    }
    written + rest
}

/// `column = 'a' OR column = 'b' OR column = 'c'` as `column IN ('a', 'b', 'c')`; nothing for anything else.
fn list_of(comparisons: &str) -> Option<String> {
    let mut words = Vec::new();
    let mut named = None;
    for comparison in comparisons.split(" OR ") {
        let (column, word) = comparison.split_once(" = ")?;
        let a_word = word.len() > 1 && word.starts_with('\'') && word.ends_with('\'');
        if !column.chars().all(is_of_a_name) || !a_word || *named.get_or_insert(column) != column {
            return None;
        }
        words.push(word);
    }
    (words.len() >= WORDS_MIN).then(|| format!("{} IN ({})", named.unwrap_or_default(), words.join(", ")))
}

fn is_of_a_name(letter: char) -> bool {
    letter.is_ascii_alphanumeric() || letter == '_'
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_lists_that_sqlite_does_not_compare_are_rewritten_and_come_back() {
        let lists = "CREATE TABLE t (a TEXT CHECK (a IN ('x', 'y', 'z')), b CHECK (b IN (FALSE, TRUE)), \
             c CHECK (CASE WHEN c IN ('p', 'q') THEN 1 ELSE c NOT IN ('r', 's', 't') END), \
             FOREIGN KEY (a, b) REFERENCES u (a, b))";
        let comparisons = "CREATE TABLE t (a TEXT CHECK ((a = 'x' OR a = 'y' OR a = 'z')), b CHECK (b IN (FALSE, TRUE)), \
             c CHECK (CASE WHEN c IN ('p', 'q') THEN 1 ELSE c NOT IN ('r', 's', 't') END), \
             FOREIGN KEY (a, b) REFERENCES u (a, b))";
        assert_eq!(lists_as_comparisons(lists), comparisons);
        assert_eq!(lists_as_comparisons(comparisons), comparisons);
        assert_eq!(comparisons_as_lists(comparisons), lists);
        assert_eq!(comparisons_as_lists(lists), lists);
        assert_eq!(lists_as_comparisons("a IN ('x',\n   'y',\n   'z')"), "(a = 'x' OR a = 'y' OR a = 'z')");
    }

    #[test]
    fn comparisons_of_several_columns_are_no_list() {
        for other in ["(a = 'x' OR b = 'y' OR a = 'z')", "(a = 'x' OR a = 'y')", "(a = 1 OR a = 2 OR a = 3)"]
        {
            assert_eq!(comparisons_as_lists(other), other);
        }
    }
}
