//! A stock file: a count of what lies in the bins, booked to the ledger as adjustments.

use catalogue::{Quantity, SheetSpec};

use super::connection::{Bound, Connection};
use super::duplicates::line_of;
use super::faults::{Faults, written};
use super::merge_plan::Plan;
use super::report::ImportFault;
use super::tables::{columns, differ, doomed, same_key, stage, table};
use crate::error::StoreError;
use crate::store::DatabaseKind;

/// The sheet whose file is a count.
pub(super) const STOCK: &str = "stock";

/// Keeps others from booking until the end, so that the balances counted against stay as they are.
pub(super) async fn hold_balances(connection: &mut Connection) -> Result<(), StoreError> {
    // SQLite has one writer anyway.
    if connection.kind() == DatabaseKind::Postgres {
        connection.execute("LOCK TABLE stock IN SHARE ROW EXCLUSIVE MODE", &[]).await?;
    }
    Ok(())
}

/// Finds lots of which fewer are counted than are reserved.
pub(super) async fn find_counts_below_reserved(
    connection: &mut Connection,
    plan: &Plan,
    spec: &'static SheetSpec,
    faults: &mut Faults,
) -> Result<(), StoreError> {
    let counted = format!(
        "SELECT {}, s.file_line, t.reserved FROM {} s JOIN {} t ON {} WHERE s.quantity < t.reserved \
         ORDER BY s.file_line LIMIT {}",
        columns(spec, "s"),
        stage(spec),
        table(spec),
        same_key(spec, "s", "t"),
        faults.room(),
    );
    let mut queries = vec![counted];
    if plan.doomed_rows(spec) > 0 {
        queries.push(format!(
            "SELECT {}, CAST(0 AS bigint), t.reserved FROM {} d JOIN {} t ON {} WHERE t.reserved > 0 \
             ORDER BY t.bin, t.part, t.mark LIMIT {}",
            columns(spec, "t"),
            doomed(spec),
            table(spec),
            same_key(spec, "d", "t"),
            faults.room(),
        ));
    }
    for sql in queries {
        for row in connection.fetch(&sql, &[]).await? {
            let cells = row.cells(spec)?;
            let line = line_of(&row, spec)?;
            let reserved = Quantity::from_raw(row.whole(spec.columns.len() + 1)?);
            let (column, wrong) = if line == 0 {
                (spec.key.to_vec(), format!("is not in the file, but {reserved} are reserved for jobs"))
            } else {
                (vec!["quantity"], format!("is below the {reserved} that are reserved for jobs"))
            };
            faults.add(ImportFault {
                sheet: spec.name,
                row: line,
                value: written(spec, &column, &cells),
                columns: column,
                wrong,
                right: format!("at least {reserved}, or the reservations given back first"),
                suggestion: None,
            });
        }
    }
    Ok(())
}

/// Books each difference between the count and the balances as an adjustment; the numbers of the first and last movement,
/// where there is any.
pub(super) async fn book_adjustments(
    connection: &mut Connection,
    plan: &Plan,
    spec: &SheetSpec,
    (reason, who): (&str, &str),
    now: chrono::DateTime<chrono::Utc>,
) -> Result<Option<(i64, i64)>, StoreError> {
    let mut differences = format!(
        "SELECT s.bin AS bin, s.part AS part, s.mark AS mark, \
         s.quantity - COALESCE(t.quantity, 0) AS quantity, s.carrying_value AS carrying_value \
         FROM {} s LEFT JOIN {} t ON {} WHERE (t.bin IS NULL AND s.quantity <> 0) OR (t.bin IS NOT NULL AND {})",
        stage(spec),
        table(spec),
        same_key(spec, "s", "t"),
        differ(spec, "s", "t"),
    );
    if plan.doomed_rows(spec) > 0 {
        differences += &format!(
            " UNION ALL SELECT t.bin, t.part, t.mark, -t.quantity, t.carrying_value FROM {} d JOIN {} t ON {} \
             WHERE t.quantity <> 0",
            doomed(spec),
            table(spec),
            same_key(spec, "d", "t"),
        );
    }
    // Taking the series first holds it until the end: the ledger has no gaps, and its order is that of the commits.
    let last = connection
        .whole("UPDATE numbers SET last = last WHERE series = 'movement' RETURNING last", &[])
        .await?;
    let sql = format!(
        "INSERT INTO movements (seq, bin, part, mark, kind, quantity, carrying_value, reason, at, paper, who) \
         SELECT $1 + ROW_NUMBER() OVER (ORDER BY n.bin, n.part, n.mark), n.bin, n.part, n.mark, 'adjust', \
         n.quantity, n.carrying_value, $2, $3, NULL, $4 FROM ({differences}) n"
    );
    let values = [
        Bound::Whole(last),
        Bound::Text(reason.to_owned()),
        Bound::Instant(now),
        Bound::Text(who.to_owned()),
    ];
    let booked = connection.execute(&sql, &values).await?;
    let booked = i64::try_from(booked).unwrap_or(i64::MAX);
    let count = [Bound::Whole(booked)];
    connection.execute("UPDATE numbers SET last = last + $1 WHERE series = 'movement'", &count).await?;
    Ok((booked > 0).then(|| (last + 1, last + booked)))
}
