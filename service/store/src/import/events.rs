//! The events of an import: what it counted, which settings it changed, and that it went in.

use std::collections::BTreeMap;

use catalogue::Code;
use catalogue::event::{Happened, MovementsEvent, SettingEvent};
use chrono::{DateTime, Utc};

use super::connection::{Bound, Connection};
use crate::error::StoreError;
use crate::numbers::kept;
use crate::outbox::{INSERT, Outbox, SOURCE};

/// The sheet of the settings.
pub(super) const SETTINGS: &str = "settings";

/// Settings by name.
pub(super) type Settings = BTreeMap<String, String>;

/// The settings as they are.
pub(super) async fn read_settings(connection: &mut Connection) -> Result<Settings, StoreError> {
    let mut settings = Settings::new();
    for row in connection.fetch("SELECT setting, value FROM settings", &[]).await? {
        settings.insert(row.text(0)?, row.text(1)?);
    }
    Ok(settings)
}

/// An event for each setting that is another one than before.
pub(super) fn settings_changed(outbox: &mut Outbox, before: &Settings, after: &Settings) {
    let now = kept(Utc::now());
    let gone = before.keys().filter(|name| !after.contains_key(*name));
    for name in after.keys().chain(gone) {
        let (value, previous) = (after.get(name).cloned(), before.get(name).cloned());
        if value != previous {
            let setting = Code::from_stored(name.as_str());
            outbox.add(now, Happened::SettingChanged(SettingEvent { setting, value, previous }));
        }
    }
}

/// The event of a count that booked adjustments.
pub(super) fn stock_counted(outbox: &mut Outbox, moved: Option<(i64, i64)>, who: &str, now: DateTime<Utc>) {
    if let Some((first, last)) = moved {
        let event = MovementsEvent { first, last, paper: None, by: who.to_owned() };
        outbox.add(now, Happened::StockMoved(event));
    }
}

/// Writes the events; nothing but the commit may follow, see [`crate::outbox`].
pub(super) async fn write_events(connection: &mut Connection, outbox: Outbox) -> Result<(), StoreError> {
    if outbox.count() == 0 {
        return Ok(());
    }
    let sources = connection.fetch(SOURCE, &[]).await?;
    let source =
        sources.first().ok_or(StoreError::BadRow { table: "event_source", column: "id".to_owned() })?;
    let source = source.text(0)?;
    let take = "INSERT INTO numbers (series, last) VALUES ('event', $1) \
                ON CONFLICT (series) DO UPDATE SET last = numbers.last + $1 RETURNING last";
    let last = connection.whole(take, &[Bound::Whole(outbox.count())]).await?;
    for row in outbox.rows(&source, last - outbox.count() + 1)? {
        let values = [
            Bound::Whole(row.sequence),
            Bound::Text(row.id),
            Bound::Text(row.kind.to_owned()),
            Bound::Text(row.subject),
            Bound::Instant(row.at),
            Bound::Text(row.data),
        ];
        connection.execute(INSERT, &values).await?;
    }
    Ok(())
}
