//! Events, written in the transaction of the change they tell of.
//!
//! # Order
//!
//! A reader that has seen the event of a number never finds a lower one later, so that a cursor skips none. Numbers that
//! concurrent transactions draw from a sequence of the database do not give that: on PostgreSQL the transaction with the
//! higher number may commit first, and a sequence has holes wherever a transaction was rolled back. So the number is the
//! last thing a transaction takes, by an update of the row of the series `event` in `numbers`. That holds the row until the
//! transaction has ended: the next one gets its number only when this one is visible to all or undone, and one that is
//! undone gives its number back. On SQLite there is one writer anyway.
//!
//! It is taken last, behind every other lock, so that two transactions never wait for each other in a circle, and writers
//! wait for each other no longer than a commit takes.

use catalogue::event::{EventKind, Happened, NewEvent};
use chrono::{DateTime, SecondsFormat, Utc};
use sea_orm::{ConnectionTrait, DatabaseTransaction, QueryResult, Value};
use sha2::{Digest, Sha256};

use crate::audit::{Changed, NewEntry, insert_entries};
use crate::caller::Caller;
use crate::error::StoreError;
use crate::numbers::{kept, take_numbers};
use crate::select::statement;
use crate::store::Store;

/// Adds an event.
pub(crate) const INSERT: &str =
    "INSERT INTO events (seq, id, kind, subject, at, data) VALUES ($1, $2, $3, $4, $5, $6)";
/// Reads the source of this database's events.
pub(crate) const SOURCE: &str = "SELECT id FROM event_source";

/// What a transaction leaves beside its rows, gathered until it is about to commit: its events, and its entries of the audit.
#[derive(Debug, Default)]
#[must_use = "events that are not written are lost"]
pub(crate) struct Outbox {
    events: Vec<NewEvent>,
    entries: Vec<NewEntry>,
}

/// An event as its row.
pub(crate) struct EventRow {
    pub(crate) sequence: i64,
    pub(crate) id: String,
    pub(crate) kind: &'static str,
    pub(crate) subject: String,
    pub(crate) at: DateTime<Utc>,
    pub(crate) data: String,
}

/// An event that was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredEvent {
    /// Its running number, without holes.
    pub sequence: i64,
    /// Its id, a UUID.
    pub id: String,
    /// The source of this database's events, a UUID.
    pub source: String,
    /// The word of its kind. It may be one that only a later version of the service knows.
    pub kind: String,
    /// What it speaks of.
    pub subject: String,
    /// When it happened.
    pub at: DateTime<Utc>,
    /// Its data, as JSON.
    pub data: String,
}

/// Which events are wanted.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct EventFilter {
    /// Of this subject.
    pub subject: Option<String>,
    /// Of one of these kinds; `None`: of any.
    pub kinds: Option<Vec<EventKind>>,
}

impl Outbox {
    /// Adds what has happened, and what it changed from which value to which.
    pub(crate) fn record(&mut self, at: DateTime<Utc>, happened: Happened, changes: Vec<Changed>) {
        let data = serde_json::to_value(&happened).unwrap_or_default();
        let (what, subject) = (happened.kind().word().to_owned(), happened.subject());
        self.entries.push(NewEntry { at: kept(at), what, subject, changes, data });
        self.add(at, happened);
    }

    /// Adds what has happened where the audit hears of it in another way: an import is one entry.
    pub(crate) fn add(&mut self, at: DateTime<Utc>, happened: Happened) {
        self.events.push(NewEvent { at: kept(at), happened });
    }

    /// Adds an entry of the audit for what nobody is told of by an event.
    pub(crate) fn note(&mut self, entry: NewEntry) {
        self.entries.push(entry);
    }

    /// What the events speak of, each once, in their order.
    pub(crate) fn subjects(&self) -> Vec<String> {
        let mut subjects: Vec<String> = Vec::new();
        for event in &self.events {
            let subject = event.happened.subject();
            if !subjects.contains(&subject) {
                subjects.push(subject);
            }
        }
        subjects
    }

    /// Writes the entries of the audit, then the events; nothing but the commit may follow.
    pub(crate) async fn write(
        self,
        transaction: &DatabaseTransaction,
        caller: &Caller,
    ) -> Result<(), StoreError> {
        insert_entries(transaction, caller, &self.entries).await?;
        if self.events.is_empty() {
            return Ok(());
        }
        let row = transaction.query_one_raw(statement(transaction, SOURCE.to_owned(), vec![])).await?;
        let row = row.ok_or(StoreError::BadRow { table: "event_source", column: "id".to_owned() })?;
        let source: String = row.try_get_by_index(0)?;
        let first = take_numbers(transaction, "event", self.count()).await?;
        for row in self.rows(&source, first)? {
            let values: Vec<Value> = vec![
                row.sequence.into(),
                row.id.into(),
                row.kind.into(),
                row.subject.into(),
                row.at.into(),
                row.data.into(),
            ];
            transaction.execute_raw(statement(transaction, INSERT.to_owned(), values)).await?;
        }
        Ok(())
    }

    /// How many events there are.
    pub(crate) fn count(&self) -> i64 {
        i64::try_from(self.events.len()).unwrap_or(i64::MAX)
    }

    /// The rows of the events from a number on.
    pub(crate) fn rows(&self, source: &str, first: i64) -> Result<Vec<EventRow>, StoreError> {
        (first..).zip(&self.events).map(|(sequence, event)| row_of(source, sequence, event)).collect()
    }
}

fn row_of(source: &str, sequence: i64, event: &NewEvent) -> Result<EventRow, StoreError> {
    let kind = event.happened.kind().word();
    let subject = event.happened.subject();
    let data = serde_json::to_string(&event.happened)
        .map_err(|_| StoreError::BadRow { table: "events", column: "data".to_owned() })?;
    Ok(EventRow { sequence, id: id_of(source, sequence, event, &data), kind, subject, at: event.at, data })
}

/// The id of an event follows from its content (a UUID of version 8, RFC 9562, 5.8): where a database is put back to an older
/// state and its numbers run again, another event has another id all the same.
fn id_of(source: &str, sequence: i64, event: &NewEvent, data: &str) -> String {
    let at = event.at.to_rfc3339_opts(SecondsFormat::Micros, true);
    let kind = event.happened.kind().word();
    let digest = Sha256::digest(format!("{source}\n{sequence}\n{kind}\n{at}\n{data}"));
    let mut bytes = [0_u8; 16];
    bytes.copy_from_slice(&digest[..16]);
    uuid::Builder::from_custom_bytes(bytes).into_uuid().to_string()
}

impl Store {
    /// The source of this database's events, a UUID.
    pub async fn event_source(&self) -> Result<String, StoreError> {
        let row = self.db.query_one_raw(statement(&self.db, SOURCE.to_owned(), vec![])).await?;
        let row = row.ok_or(StoreError::BadRow { table: "event_source", column: "id".to_owned() })?;
        Ok(row.try_get_by_index(0)?)
    }

    /// The number of the last event; nought where there is none.
    pub async fn last_event(&self) -> Result<i64, StoreError> {
        let sql = "SELECT last FROM numbers WHERE series = 'event'";
        let row = self.db.query_one_raw(statement(&self.db, sql.to_owned(), vec![])).await?;
        Ok(row.map(|row| row.try_get_by_index(0)).transpose()?.unwrap_or(0))
    }

    /// The events behind a number, in order, at most so many.
    pub async fn events(
        &self,
        after: i64,
        filter: &EventFilter,
        limit: u64,
    ) -> Result<Vec<StoredEvent>, StoreError> {
        let mut values: Vec<Value> = vec![after.into()];
        let mut sql = format!("SELECT {EVENT} FROM events e WHERE e.seq > $1");
        if let Some(subject) = &filter.subject {
            values.push(subject.as_str().into());
            sql.push_str(&format!(" AND e.subject = ${}", values.len()));
        }
        if let Some(kinds) = &filter.kinds {
            let first = values.len() + 1;
            values.extend(kinds.iter().map(|kind| Value::from(kind.word())));
            let places: Vec<String> = (first..=values.len()).map(|at| format!("${at}")).collect();
            let among = if places.is_empty() { "NULL".to_owned() } else { places.join(", ") };
            sql.push_str(&format!(" AND e.kind IN ({among})"));
        }
        sql.push_str(&format!(" ORDER BY e.seq LIMIT {limit}"));
        let rows = self.db.query_all_raw(statement(&self.db, sql, values)).await?;
        rows.iter().map(event_of).collect()
    }
}

/// Columns of an event whose table is called `e`.
pub(crate) const EVENT: &str =
    "e.seq, e.id, (SELECT s.id FROM event_source s), e.kind, e.subject, e.at, e.data";

/// Reads these columns.
pub(crate) fn event_of(row: &QueryResult) -> Result<StoredEvent, StoreError> {
    Ok(StoredEvent {
        sequence: row.try_get_by_index(0)?,
        id: row.try_get_by_index(1)?,
        source: row.try_get_by_index(2)?,
        kind: row.try_get_by_index(3)?,
        subject: row.try_get_by_index(4)?,
        at: row.try_get_by_index(5)?,
        data: row.try_get_by_index(6)?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn event(quote: &str) -> NewEvent {
        let Happened::QuoteStored(data) = Happened::example(EventKind::QuoteStored) else { panic!() };
        let data = catalogue::event::QuoteEvent { quote: quote.to_owned(), ..data };
        NewEvent { at: DateTime::UNIX_EPOCH, happened: Happened::QuoteStored(data) }
    }

    #[test]
    fn an_id_is_a_uuid_that_follows_from_the_content() {
        let id = |source: &str, sequence, quote: &str| row_of(source, sequence, &event(quote)).unwrap().id;
        assert_eq!(id("a", 1, "Q-1"), id("a", 1, "Q-1"));
        let others = [id("a", 1, "Q-1"), id("b", 1, "Q-1"), id("a", 2, "Q-1"), id("a", 1, "Q-2")];
        let all: std::collections::BTreeSet<&String> = others.iter().collect();
        assert_eq!(all.len(), 4);
        assert_eq!(uuid::Uuid::parse_str(&others[0]).unwrap().get_version_num(), 8);
    }
}
