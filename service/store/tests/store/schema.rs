//! The tables are what the sheets say, on both databases.

use catalogue::{Column, ColumnKind, SheetSpec, bundle};
use sea_orm::{ConnectionTrait, Database as Connect, DatabaseConnection, DbBackend, Statement};

use crate::databases::Database;
use crate::sheets::{import, options, put};

on_both_databases!(
    tables_match_the_sheets,
    a_large_first_import_leaves_the_rules_in_place,
    a_word_that_is_none_of_a_column_is_refused,
);

async fn tables_match_the_sheets(database: Database) {
    assert_tables_match(&database).await;
}

async fn a_large_first_import_leaves_the_rules_in_place(database: Database) {
    let rows: String = (0..10_000).map(|number| format!("\n VESSICK | {number}")).collect();
    let parts = format!("maker | number{rows}");
    let features: String = (0..10_000).map(|number| format!("\n VESSICK/{number} | BORE")).collect();
    let features = format!("part | feature{features}");
    let sheets = [("makers", "maker\n VESSICK"), ("parts", parts.as_str()), ("features", features.as_str())];
    let mut dry = options();
    dry.dry_run = true;
    let told = import(&database.store, dry, &sheets).await.unwrap();
    assert_tables_match(&database).await;
    assert_eq!(put(&database.store, &sheets).await, told);
    assert_tables_match(&database).await;
    let again = put(&database.store, &sheets).await;
    assert!(again.sheets.iter().all(|change| change.unchanged > 0 && change.added == 0), "{again:?}");
    let db = Connect::connect(&database.url).await.unwrap();
    for wrong in [
        "INSERT INTO features (part, feature, kind, basis) VALUES ('VESSICK/NONE', 'X', 'bore', 'stated')",
        "INSERT INTO features (part, feature, kind, basis) VALUES ('VESSICK/1', 'BORE', 'bore', 'stated')",
        "DELETE FROM parts WHERE part = 'VESSICK/1'",
    ] {
        assert!(db.execute_unprepared(wrong).await.is_err(), "{wrong}");
    }
}

async fn a_word_that_is_none_of_a_column_is_refused(database: Database) {
    let db = Connect::connect(&database.url).await.unwrap();
    put(&database.store, &[("makers", "maker\n VESSICK"), ("parts", "maker | number\n VESSICK | 1")]).await;
    for spec in bundle::SHEETS.iter().filter(|spec| spec.name == "parts") {
        for column in spec.columns.iter().filter(|c| matches!(c.kind, ColumnKind::Choice(_))) {
            let wrong = format!("UPDATE parts SET {} = 'sprocket'", column.name);
            assert!(db.execute_unprepared(&wrong).await.is_err(), "{wrong}");
        }
    }
    assert_eq!(
        db.execute_unprepared("UPDATE parts SET kind = 'hard', renewal = NULL")
            .await
            .unwrap()
            .rows_affected(),
        1
    );
}

/// SQLite puts the words of a longer list into a table of their own for each row that it checks.
#[tokio::test]
async fn no_check_of_sqlite_makes_a_list_for_every_row() {
    let folder = tempfile::tempdir().unwrap();
    let url = format!("sqlite:{}?mode=rwc", folder.path().join("shop.db").display());
    store::Store::open(&url).await.unwrap().close().await.unwrap();
    let db = Connect::connect(&url).await.unwrap();
    let sql = "SELECT sql FROM sqlite_schema WHERE type = 'table' AND sql <> $1";
    for table in lines(&db, sql, "", "").await {
        let lists = table.split(" IN (").skip(1).filter_map(|rest| rest.split(')').next());
        for list in lists {
            assert!(list.split(',').count() < 3, "write the words with OR: {list} in {table}");
        }
    }
}

/// References by which nothing is looked up and that have no index for it: a shop has a dozen makers, so each is that of many
/// parts.
const WITHOUT_INDEX: [(&str, &str); 1] = [("parts", "makers")];

async fn assert_tables_match(database: &Database) {
    let db = Connect::connect(&database.url).await.unwrap();
    for spec in bundle::SHEETS {
        let mut wanted: Vec<String> = spec.columns.iter().map(|c| wanted_column(&db, spec, c)).collect();
        if spec.name == "stock" {
            let whole = if db.get_database_backend() == DbBackend::Sqlite { "INTEGER" } else { "bigint" };
            wanted.push(format!("reserved {whole} not null"));
        }
        assert_eq!(columns(&db, spec.name).await, wanted, "columns of {}", spec.name);
        assert_eq!(primary_key(&db, spec.name).await, spec.key, "key of {}", spec.name);
        let mut references: Vec<String> = spec
            .references
            .iter()
            .map(|r| format!("({}) -> {}({})", r.columns.join(","), r.sheet, r.target.join(",")))
            .collect();
        references.sort();
        assert_eq!(foreign_keys(&db, spec.name).await, references, "references of {}", spec.name);
        let indexes = indexes(&db, spec.name).await;
        for reference in spec.references {
            let begins = format!("{},", reference.columns.join(","));
            assert_eq!(
                indexes.iter().any(|index| index.starts_with(&begins)),
                !WITHOUT_INDEX.contains(&(spec.name, reference.sheet)),
                "{}: an index begins with {:?}: {indexes:?}",
                spec.name,
                reference.columns
            );
        }
    }
}

fn wanted_column(db: &DatabaseConnection, spec: &SheetSpec, column: &Column) -> String {
    use ColumnKind as K;
    let sqlite = db.get_database_backend() == DbBackend::Sqlite;
    let kind = match (column.kind, sqlite) {
        (K::Integer | K::Money | K::Quantity | K::Percent | K::Rate, true) => "INTEGER",
        (K::Integer | K::Money | K::Quantity | K::Percent | K::Rate, false) => "bigint",
        (K::Real, true) => "REAL",
        (K::Real, false) => "double precision",
        (K::Flag, true) => "INTEGER",
        (K::Flag, false) => "boolean",
        (K::Date, false) => "date",
        (_, true) => "TEXT",
        (_, false) => "text in C",
    };
    let needed = column.required || column.kind == K::Mark || spec.key.contains(&column.name);
    format!("{} {kind}{}", column.name, if needed { " not null" } else { "" })
}

async fn lines(db: &DatabaseConnection, sqlite: &str, postgres: &str, table: &str) -> Vec<String> {
    let backend = db.get_database_backend();
    let sql = if backend == DbBackend::Sqlite { sqlite } else { postgres };
    let statement = Statement::from_sql_and_values(backend, sql, [table.into()]);
    db.query_all_raw(statement)
        .await
        .unwrap()
        .iter()
        .map(|row| row.try_get_by_index::<String>(0).unwrap())
        .collect()
}

async fn columns(db: &DatabaseConnection, table: &str) -> Vec<String> {
    let sqlite = "SELECT name || ' ' || type || iif(\"notnull\", ' not null', '') FROM pragma_table_info($1) ORDER BY cid";
    let postgres = "SELECT a.attname || ' ' || format_type(a.atttypid, a.atttypmod) \
        || COALESCE(' in ' || NULLIF(c.collname, 'default'), '') || CASE WHEN a.attnotnull THEN ' not null' ELSE '' END \
        FROM pg_attribute a LEFT JOIN pg_collation c ON c.oid = a.attcollation \
        WHERE a.attrelid = CAST(CAST($1 AS text) AS regclass) AND a.attnum > 0 ORDER BY a.attnum";
    lines(db, sqlite, postgres, table).await
}

async fn primary_key(db: &DatabaseConnection, table: &str) -> Vec<String> {
    let sqlite = "SELECT name FROM pragma_table_info($1) WHERE pk > 0 ORDER BY pk";
    let postgres = "SELECT CAST(a.attname AS text) FROM pg_constraint k CROSS JOIN unnest(k.conkey) WITH ORDINALITY u(n, at) \
        JOIN pg_attribute a ON a.attrelid = k.conrelid AND a.attnum = u.n \
        WHERE k.contype = 'p' AND k.conrelid = CAST(CAST($1 AS text) AS regclass) ORDER BY u.at";
    lines(db, sqlite, postgres, table).await
}

async fn foreign_keys(db: &DatabaseConnection, table: &str) -> Vec<String> {
    let sqlite = "SELECT '(' || group_concat(\"from\", ',') || ') -> ' || \"table\" || '(' || group_concat(\"to\", ',') || ')' \
        FROM (SELECT * FROM pragma_foreign_key_list($1) ORDER BY id, seq) GROUP BY id";
    let postgres = "SELECT replace(regexp_replace(pg_get_constraintdef(oid), \
        'FOREIGN KEY (\\(.*\\)) REFERENCES (.*)', '\\1 -> \\2'), ', ', ',') \
        FROM pg_constraint WHERE contype = 'f' AND conrelid = CAST(CAST($1 AS text) AS regclass)";
    let mut found = lines(db, sqlite, postgres, table).await;
    for line in &mut found {
        *line = line.replace('"', "").replace("s (", "s(").replace("ts (", "ts(");
    }
    found.sort();
    found
}

async fn indexes(db: &DatabaseConnection, table: &str) -> Vec<String> {
    let sqlite = "SELECT (SELECT group_concat(name, ',') FROM (SELECT name FROM pragma_index_info(l.name) ORDER BY seqno)) || ',' \
        FROM pragma_index_list($1) l WHERE NOT l.partial";
    let postgres = "SELECT string_agg(a.attname, ',' ORDER BY u.at) || ',' FROM pg_index i \
        CROSS JOIN unnest(i.indkey) WITH ORDINALITY u(n, at) \
        JOIN pg_attribute a ON a.attrelid = i.indrelid AND a.attnum = u.n \
        WHERE i.indrelid = CAST(CAST($1 AS text) AS regclass) AND i.indpred IS NULL GROUP BY i.indexrelid";
    lines(db, sqlite, postgres, table).await
}
