//! The peer: the same three questions in recursive SQL, asked straight of the tables by prepared statements.
//!
//! The statements are written as each database wants them: SQLite with the join order fixed, PostgreSQL with the steps in
//! a lateral subquery, without which its planner joins whole tables.

use sea_orm::Database;
use sea_orm::sqlx::{self, PgPool, SqlitePool};

/// The database of the service, asked directly.
#[derive(Clone)]
pub(crate) enum Peer {
    Sqlite(SqlitePool),
    Postgres(PgPool),
}

macro_rules! ask {
    ($peer:expr, $row:ty, $key:expr, $sqlite:expr, $postgres:expr) => {
        match $peer {
            Peer::Sqlite(pool) => {
                sqlx::query_as::<_, $row>($sqlite).bind($key).fetch_all(pool).await.unwrap()
            }
            Peer::Postgres(pool) => {
                sqlx::query_as::<_, $row>($postgres).bind($key).fetch_all(pool).await.unwrap()
            }
        }
    };
}

/// A line of a rebuild: a part, how many are needed and how many of them lie free on the shelf, in thousandths.
pub(crate) type Line = (String, i64, i64);
/// A use: 0 of a position or 1 of a kit, the unit or kit, the position or line, the part.
pub(crate) type Use = (i64, String, String, String);

impl Peer {
    pub(crate) async fn open(url: &str) -> Self {
        let db = Database::connect(url).await.unwrap();
        if url.starts_with("sqlite:") {
            Self::Sqlite(db.get_sqlite_connection_pool().clone())
        } else {
            Self::Postgres(db.get_postgres_connection_pool().clone())
        }
    }

    /// The current numbers for a number.
    pub(crate) async fn current(&self, part: &str) -> Vec<(String,)> {
        ask!(self, (String,), part, CURRENT_SQLITE, CURRENT_POSTGRES)
    }

    /// Everything for the rebuild of a unit, beside what lies on the shelf.
    pub(crate) async fn rebuild(&self, unit: &str) -> Vec<Line> {
        ask!(self, Line, unit, REBUILD_SQLITE, REBUILD_POSTGRES)
    }

    /// Where a number is used.
    pub(crate) async fn uses(&self, part: &str) -> Vec<Use> {
        ask!(self, Use, part, USES_SQLITE, USES_POSTGRES)
    }
}

const CURRENT_SQLITE: &str = "WITH RECURSIVE news(part) AS (SELECT CAST($1 AS text) UNION \
     SELECT s.new FROM news r CROSS JOIN supersessions s ON s.old = r.part) \
     SELECT part FROM news n WHERE NOT EXISTS (SELECT 1 FROM supersessions s WHERE s.old = n.part)";
const CURRENT_POSTGRES: &str = "WITH RECURSIVE news(part) AS (SELECT CAST($1 AS text) COLLATE \"C\" UNION \
     SELECT n.part FROM news r CROSS JOIN LATERAL \
     (SELECT s.new AS part FROM supersessions s WHERE s.old = r.part OFFSET 0) n) \
     SELECT part FROM news n WHERE NOT EXISTS (SELECT 1 FROM supersessions s WHERE s.old = n.part OFFSET 0)";

const REBUILD_SQLITE: &str = "WITH RECURSIVE need(position, part, quantity) AS ( \
     SELECT p.position, c.part, p.quantity FROM positions p \
     JOIN candidates c ON c.unit = p.unit AND c.position = p.position \
     WHERE p.unit = $1 AND p.renewal = 'always_at_overhaul' \
     UNION ALL SELECT n.position, s.new, n.quantity * s.quantity / 1000 \
     FROM need n CROSS JOIN supersessions s ON s.old = n.part) \
     SELECT e.part, e.quantity, MIN(e.quantity, COALESCE((SELECT SUM(k.quantity - k.reserved) FROM stock k \
     WHERE k.part = e.part), 0)) FROM (SELECT n.part, SUM(n.quantity) AS quantity FROM need n \
     WHERE NOT EXISTS (SELECT 1 FROM supersessions s WHERE s.old = n.part) GROUP BY n.part) e";
const REBUILD_POSTGRES: &str = "WITH RECURSIVE need(position, part, quantity) AS ( \
     SELECT p.position, c.part, p.quantity FROM positions p \
     JOIN candidates c ON c.unit = p.unit AND c.position = p.position \
     WHERE p.unit = $1 AND p.renewal = 'always_at_overhaul' \
     UNION ALL SELECT n.position, t.part, n.quantity * t.quantity / 1000 FROM need n CROSS JOIN LATERAL \
     (SELECT s.new AS part, s.quantity FROM supersessions s WHERE s.old = n.part OFFSET 0) t) \
     SELECT e.part, e.quantity, LEAST(e.quantity, COALESCE((SELECT CAST(SUM(k.quantity - k.reserved) AS bigint) \
     FROM stock k WHERE k.part = e.part), 0)) FROM (SELECT n.part, CAST(SUM(n.quantity) AS bigint) AS quantity \
     FROM need n WHERE NOT EXISTS (SELECT 1 FROM supersessions s WHERE s.old = n.part OFFSET 0) GROUP BY n.part) e";

const USES_SQLITE: &str = "WITH RECURSIVE olds(part) AS (SELECT CAST($1 AS text) UNION \
     SELECT s.old FROM olds r CROSS JOIN supersessions s ON s.new = r.part), \
     news(part) AS (SELECT CAST($1 AS text) UNION \
     SELECT s.new FROM news r CROSS JOIN supersessions s ON s.old = r.part), \
     holding(part) AS (SELECT part FROM (SELECT part FROM olds UNION SELECT part FROM news) UNION \
     SELECT l.kit FROM holding h CROSS JOIN kit_lines l ON l.part = h.part) \
     SELECT 0, c.unit, c.position, c.part FROM holding h CROSS JOIN candidates c ON c.part = h.part UNION ALL \
     SELECT 1, l.kit, CAST(l.line AS text), l.part FROM holding h CROSS JOIN kit_lines l ON l.part = h.part";
const USES_POSTGRES: &str = "WITH RECURSIVE olds(part) AS (SELECT CAST($1 AS text) COLLATE \"C\" UNION \
     SELECT n.part FROM olds r CROSS JOIN LATERAL \
     (SELECT s.old AS part FROM supersessions s WHERE s.new = r.part OFFSET 0) n), \
     news(part) AS (SELECT CAST($1 AS text) COLLATE \"C\" UNION SELECT n.part FROM news r CROSS JOIN LATERAL \
     (SELECT s.new AS part FROM supersessions s WHERE s.old = r.part OFFSET 0) n), \
     holding(part) AS (SELECT part FROM (SELECT part FROM olds UNION SELECT part FROM news) b UNION \
     SELECT n.part FROM holding h CROSS JOIN LATERAL \
     (SELECT l.kit AS part FROM kit_lines l WHERE l.part = h.part OFFSET 0) n) \
     SELECT CAST(0 AS bigint), n.unit, n.position, n.part FROM holding h CROSS JOIN LATERAL \
     (SELECT c.unit, c.position, c.part FROM candidates c WHERE c.part = h.part OFFSET 0) n UNION ALL \
     SELECT CAST(1 AS bigint), n.kit, CAST(n.line AS text), n.part FROM holding h CROSS JOIN LATERAL \
     (SELECT l.kit, l.line, l.part FROM kit_lines l WHERE l.part = h.part OFFSET 0) n";
