//! What follows an import: running numbers, the audit and the report.

use catalogue::event::{CatalogueEvent, Happened, SheetChanged};
use catalogue::{Revision, bundle};
use chrono::Utc;

use super::connection::{Bound, Connection};
use super::digest::{BundleDigest, RowDigest};
use super::report::{ImportOptions, ImportReport, SheetChange};
use crate::audit::{Changed, INSERT, particulars};
use crate::caller::Caller;
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::Outbox;
use crate::revisions::REVISIONS;

/// Moves the revisions that the changes touch, writes the audit's entry, and reports.
pub(super) async fn conclude(
    connection: &mut Connection,
    (options, caller): (&ImportOptions, &Caller),
    (changes, values): (Vec<(SheetChange, RowDigest)>, &[Changed]),
    outbox: &mut Outbox,
) -> Result<ImportReport, StoreError> {
    for (revision, name) in [(Revision::Structure, "structure"), (Revision::Price, "price")] {
        if changes.iter().any(|(change, _)| is_change(change) && revision_of(change.sheet) == Some(revision))
        {
            let sql = "UPDATE revisions SET number = number + 1 WHERE name = $1";
            connection.execute(sql, &[Bound::Text(name.to_owned())]).await?;
        }
    }
    let numbers = connection.fetch(REVISIONS, &[]).await?;
    let numbers =
        numbers.first().ok_or(StoreError::BadRow { table: "revisions", column: "number".to_owned() })?;
    let mut digest = BundleDigest::default();
    let mut sheets = Vec::new();
    for (change, rows) in changes {
        digest.add(change.sheet, rows);
        sheets.push(change);
    }
    let report = ImportReport {
        sheets,
        structure_revision: numbers.whole(0)?,
        price_revision: numbers.whole(1)?,
        ledger_sequence: numbers.whole(2)?,
    };
    let hash = digest.finish();
    let at = kept(Utc::now());
    if report.sheets.iter().any(is_change) {
        outbox.add(at, Happened::CatalogueChanged(event_of(options, &report, &hash)));
    }
    write_audit(connection, (options, caller), (&report, values), hash, at).await?;
    Ok(report)
}

fn event_of(options: &ImportOptions, report: &ImportReport, hash: &str) -> CatalogueEvent {
    let changed = report.sheets.iter().filter(|change| is_change(change)).map(|change| SheetChanged {
        sheet: change.sheet.to_owned(),
        added: change.added,
        changed: change.changed,
        removed: change.removed,
        retired: change.retired,
    });
    CatalogueEvent {
        by: options.who.clone(),
        note: options.note.clone(),
        structure_revision: report.structure_revision,
        price_revision: report.price_revision,
        ledger_sequence: report.ledger_sequence,
        sheets: changed.collect(),
        hash: hash.to_owned(),
    }
}

fn is_change(change: &SheetChange) -> bool {
    change.added + change.changed + change.removed + change.retired > 0
}

fn revision_of(sheet: &str) -> Option<Revision> {
    bundle::SHEETS.iter().find(|spec| spec.name == sheet).map(|spec| spec.revision)
}

async fn write_audit(
    connection: &mut Connection,
    (options, caller): (&ImportOptions, &Caller),
    (report, values): (&ImportReport, &[Changed]),
    hash: String,
    at: chrono::DateTime<Utc>,
) -> Result<(), StoreError> {
    let sheets: Vec<serde_json::Value> = report
        .sheets
        .iter()
        .map(|change| {
            serde_json::json!({
                "sheet": change.sheet,
                "added": change.added,
                "changed": change.changed,
                "removed": change.removed,
                "unchanged": change.unchanged,
                "retired": change.retired,
            })
        })
        .collect();
    let mut detail = serde_json::json!({
        "by": options.who,
        "note": options.note,
        "replaced": options.replace,
        "sheets": sheets,
        "structure_revision": report.structure_revision,
        "price_revision": report.price_revision,
        "ledger_sequence": report.ledger_sequence,
    });
    if let Some(paper) = options.paper {
        detail["import"] = paper.to_string().into();
    }
    let next = "UPDATE numbers SET last = last + 1 WHERE series = 'audit' RETURNING last";
    let sequence = connection.whole(next, &[]).await?;
    let values = [
        Bound::Whole(sequence),
        Bound::Instant(at),
        caller.key.clone().map_or(Bound::NoText, Bound::Text),
        Bound::Text(caller.name.clone()),
        Bound::Text("import".to_owned()),
        Bound::Text("catalogue".to_owned()),
        Bound::Text(particulars(values, detail)),
        Bound::Text(hash),
    ];
    connection.execute(INSERT, &values).await?;
    Ok(())
}
