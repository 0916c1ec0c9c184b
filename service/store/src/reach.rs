//! Which parts a set of parts leads to: recursive queries, each walking along the same kinds of step.
//!
//! `UNION` keeps every part once, so a cycle in the data ends the walk like any other end.
//!
//! The two databases want the steps written differently. SQLite takes several recursive terms and looks each up by its
//! index, but knows no lateral join. PostgreSQL takes one recursive term; the steps lie in one lateral subquery, whose
//! `OFFSET 0` keeps the planner from joining whole tables because it expects thousands of rows where there are few.

use crate::store::DatabaseKind;

/// From a part to those of the other column, by the rows of a table.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Step {
    table: &'static str,
    from: &'static str,
    to: &'static str,
}

/// To the numbers that a number gives way to.
pub(crate) const TO_SUCCESSOR: Step = Step { table: "supersessions", from: "old", to: "new" };
/// To the numbers that give way to a number.
pub(crate) const TO_ANCESTOR: Step = Step { table: "supersessions", from: "new", to: "old" };
/// To what must come along.
pub(crate) const TO_COMPANION: Step = Step { table: "companions", from: "part", to: "companion" };
/// To the kits that hold a part.
pub(crate) const TO_KIT: Step = Step { table: "kit_lines", from: "part", to: "kit" };
/// To what lies in a kit.
pub(crate) const TO_CONTENTS: Step = Step { table: "kit_lines", from: "kit", to: "part" };

/// A term of `WITH RECURSIVE`: the parts of a query (whose column is `part`) and all that the steps lead to.
pub(crate) fn closure(kind: DatabaseKind, name: &str, base: &str, steps: &[Step]) -> String {
    match kind {
        DatabaseKind::Sqlite => {
            let steps = steps.iter().map(|Step { table, from, to }| {
                format!("UNION SELECT s.{to} FROM {name} r CROSS JOIN {table} s ON s.{from} = r.part")
            });
            format!("{name}(part) AS (SELECT part FROM ({base}) {})", joined(steps, " "))
        }
        DatabaseKind::Postgres => {
            let steps = steps.iter().map(|Step { table, from, to }| {
                format!("SELECT s.{to} AS part FROM {table} s WHERE s.{from} = r.part")
            });
            format!(
                "{name}(part) AS (SELECT part COLLATE \"C\" FROM ({base}) b \
                 UNION SELECT n.part FROM {name} r CROSS JOIN LATERAL (SELECT u.part FROM ({}) u OFFSET 0) n)",
                joined(steps, " UNION ALL ")
            )
        }
    }
}

/// The rows `t` of a table whose column names a part of another table or term `h`, for after `FROM`: each part looked up
/// by the column's index, for the same reasons and in the same two ways as a step.
pub(crate) fn looked_up(kind: DatabaseKind, parts: &str, table: &str, column: &str) -> String {
    match kind {
        DatabaseKind::Sqlite => format!("{parts} h CROSS JOIN {table} t ON t.{column} = h.part"),
        DatabaseKind::Postgres => format!(
            "{parts} h CROSS JOIN LATERAL (SELECT * FROM {table} u WHERE u.{column} = h.part OFFSET 0) t"
        ),
    }
}

/// A query for the parts of a query (whose column is `part`), and all their ancestors and successors.
pub(crate) fn supersession_family(kind: DatabaseKind, base: &str) -> String {
    let family = closure(kind, "family", base, &[TO_SUCCESSOR, TO_ANCESTOR]);
    format!("WITH RECURSIVE {family} SELECT part FROM family")
}

fn joined(pieces: impl Iterator<Item = String>, between: &str) -> String {
    pieces.collect::<Vec<_>>().join(between)
}
