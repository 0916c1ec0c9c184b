//! Names and pieces of SQL about a sheet's table and the temporary tables beside it.

use catalogue::{ColumnKind, SheetSpec};

use crate::select::{column_list, quoted};
use crate::store::DatabaseKind;

/// The temporary table that holds the rows of the file: `file_line`, then the sheet's columns.
pub(super) fn stage(spec: &SheetSpec) -> String {
    format!("\"stage_{}\"", spec.name)
}

/// The temporary table that holds the keys of rows that are to go.
pub(super) fn doomed(spec: &SheetSpec) -> String {
    format!("\"doomed_{}\"", spec.name)
}

/// The temporary table that holds the rows of the file that the table has not, or has with other values.
pub(super) fn changes(spec: &SheetSpec) -> String {
    format!("\"changes_{}\"", spec.name)
}

/// The sheet's table.
pub(super) fn table(spec: &SheetSpec) -> String {
    quoted(spec.name)
}

/// Creates the staging table. It has no rules: what breaks one is to be found and told, not run into.
pub(super) fn create_stage(kind: DatabaseKind, spec: &SheetSpec) -> String {
    let columns: Vec<String> = spec
        .columns
        .iter()
        .map(|column| format!("{} {}", quoted(column.name), stage_type(kind, column.kind)))
        .collect();
    let (line, end) = match kind {
        DatabaseKind::Sqlite => ("bigint", ""),
        DatabaseKind::Postgres => ("bigint", " ON COMMIT DROP"),
    };
    format!("CREATE TEMPORARY TABLE {} (file_line {line}, {}){end}", stage(spec), columns.join(", "))
}

fn stage_type(kind: DatabaseKind, column: ColumnKind) -> &'static str {
    match (column, kind) {
        (
            ColumnKind::Integer
            | ColumnKind::Money
            | ColumnKind::Quantity
            | ColumnKind::Percent
            | ColumnKind::Rate,
            _,
        ) => "bigint",
        (ColumnKind::Real, _) => "double precision",
        (ColumnKind::Flag, _) => "boolean",
        (ColumnKind::Date, DatabaseKind::Postgres) => "date",
        (_, DatabaseKind::Postgres) => "text COLLATE \"C\"",
        (_, DatabaseKind::Sqlite) => "text",
    }
}

/// All columns of a sheet behind an alias.
pub(super) fn columns(spec: &SheetSpec, alias: &str) -> String {
    column_list(alias, spec.columns.iter().map(|column| column.name))
}

/// The key's columns behind an alias.
pub(super) fn key(spec: &SheetSpec, alias: &str) -> String {
    column_list(alias, spec.key.iter().copied())
}

/// Whether columns of one alias equal columns of another.
pub(super) fn equal(one: &str, ones: &[&str], other: &str, others: &[&str]) -> String {
    let pairs: Vec<String> = ones
        .iter()
        .zip(others)
        .map(|(a, b)| format!("{one}.{} = {other}.{}", quoted(a), quoted(b)))
        .collect();
    pairs.join(" AND ")
}

/// Whether two aliases have the same key.
pub(super) fn same_key(spec: &SheetSpec, one: &str, other: &str) -> String {
    equal(one, spec.key, other, spec.key)
}

/// Whether two aliases of the same key differ in another column.
pub(super) fn differ(spec: &SheetSpec, one: &str, other: &str) -> String {
    let pairs: Vec<String> = values(spec)
        .map(|name| format!("{one}.{name} IS DISTINCT FROM {other}.{name}", name = quoted(name)))
        .collect();
    if pairs.is_empty() { "FALSE".to_owned() } else { format!("({})", pairs.join(" OR ")) }
}

/// The columns that are not part of the key.
pub(super) fn values(spec: &SheetSpec) -> impl Iterator<Item = &'static str> {
    spec.columns.iter().map(|column| column.name).filter(|name| !spec.key.contains(name))
}

/// Makes the table of the rows of the file that the sheet's table has not, or has with other values: the sheet's columns,
/// `file_line`, and `is_new`.
pub(super) fn create_changes(kind: DatabaseKind, spec: &SheetSpec) -> String {
    let end = if kind == DatabaseKind::Postgres { " ON COMMIT DROP" } else { "" };
    let first = quoted(spec.key[0]);
    format!(
        "CREATE TEMPORARY TABLE {}{end} AS SELECT {}, s.file_line, t.{first} IS NULL AS is_new \
         FROM {} s LEFT JOIN {} t ON {} WHERE (t.{first} IS NULL OR {})",
        changes(spec),
        columns(spec, "s"),
        stage(spec),
        table(spec),
        same_key(spec, "s", "t"),
        differ(spec, "s", "t"),
    )
}

/// The rows of the staging table as `s`, in the order of the key on SQLite, which then adds each at the end of its table.
pub(super) fn stage_in_order(kind: DatabaseKind, spec: &SheetSpec) -> String {
    match kind {
        DatabaseKind::Sqlite => {
            format!("{} s INDEXED BY \"stage_{}_key\" ORDER BY {}", stage(spec), spec.name, key(spec, "s"))
        }
        DatabaseKind::Postgres => format!("{} s ORDER BY {}", stage(spec), key(spec, "s")),
    }
}

/// The key's columns without an alias.
pub(super) fn plain_key(spec: &SheetSpec) -> String {
    let names: Vec<String> = spec.key.iter().map(|name| quoted(name)).collect();
    names.join(", ")
}

/// Readies a staging table to be asked by key. SQLite looks each row up and needs an index; PostgreSQL joins whole tables,
/// and needs to know their size instead.
pub(super) fn ready_stage(kind: DatabaseKind, spec: &SheetSpec) -> String {
    ready(kind, &stage(spec), &format!("{}, file_line", plain_key(spec)))
}

/// Readies the table of the rows that are to go to be asked by key.
pub(super) fn ready_doomed(kind: DatabaseKind, spec: &SheetSpec) -> String {
    ready(kind, &doomed(spec), &plain_key(spec))
}

fn ready(kind: DatabaseKind, table: &str, columns: &str) -> String {
    match kind {
        DatabaseKind::Sqlite => {
            format!("CREATE INDEX temp.\"{}_key\" ON {table} ({columns})", table.trim_matches('"'))
        }
        DatabaseKind::Postgres => format!("ANALYZE {table}"),
    }
}

/// Columns of papers that keep a row of a sheet from being removed: the sheet, the paper's table, its column.
const PAPERS: &[(&str, &str, &str)] = &[
    ("parts", "movements", "part"),
    ("parts", "quote_parts", "part"),
    ("parts", "order_lines", "part"),
    ("parts", "order_lines", "substitute"),
    ("parts", "order_contents", "part"),
    ("parts", "order_shares", "part"),
    ("parts", "order_replaced_parts", "part"),
    ("parts", "receipts", "kit"),
    ("parts", "receipt_pieces", "part"),
    ("parts", "claim_lines", "part"),
    ("suppliers", "orders", "supplier"),
    ("suppliers", "receipts", "supplier"),
    ("suppliers", "claims", "supplier"),
    ("bins", "receipt_pieces", "bin"),
    ("bins", "movements", "bin"),
];

/// Whether papers use the row of a sheet behind an alias.
pub(super) fn used_by_papers(spec: &SheetSpec, alias: &str) -> String {
    let uses: Vec<String> = PAPERS
        .iter()
        .filter(|(sheet, _, _)| *sheet == spec.name)
        .map(|(_, paper, column)| {
            format!("EXISTS (SELECT 1 FROM {paper} p WHERE p.{column} = {alias}.{})", quoted(spec.key[0]))
        })
        .collect();
    if uses.is_empty() { "FALSE".to_owned() } else { format!("({})", uses.join(" OR ")) }
}

/// Whether rows of a sheet that papers use are marked as retired instead of removed.
pub(super) fn can_retire(spec: &SheetSpec) -> bool {
    spec.column_index("retired").is_some()
}

/// Makes the table of the rows that the file does not name and that are to go, `none` where it is known to name all. It has
/// the key's columns alone.
pub(super) fn create_doomed(kind: DatabaseKind, spec: &SheetSpec, none: bool) -> String {
    let end = if kind == DatabaseKind::Postgres { " ON COMMIT DROP" } else { "" };
    let which = if none {
        "FALSE".to_owned()
    } else if can_retire(spec) {
        format!("{} AND NOT {}", not_in_file(spec), used_by_papers(spec, "t"))
    } else {
        not_in_file(spec)
    };
    format!(
        "CREATE TEMPORARY TABLE {}{end} AS SELECT {} FROM {} t WHERE {which}",
        doomed(spec),
        key(spec, "t"),
        table(spec),
    )
}

/// Whether the file does not name the table's row `t`.
pub(super) fn not_in_file(spec: &SheetSpec) -> String {
    format!("NOT EXISTS (SELECT 1 FROM {} s WHERE {})", stage(spec), same_key(spec, "s", "t"))
}
