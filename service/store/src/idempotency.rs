//! Answers kept under the key that a client gave with its request.
//!
//! # Exactly once
//!
//! A request claims its key in a transaction of its own, does its work, and keeps its answer. Between these a process may
//! die. So the transaction that makes what was asked for also notes at the key what it has made ([`Store::finish`]): a claim
//! without such a note has made nothing and may be given up, one with it has made it, and is never done again. Work that goes
//! on after its claim was given up finds that out in the same transaction, and keeps nothing.

use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use sea_orm::sea_query::{Expr, OnConflict};
use sea_orm::{
    ActiveValue::Set, ColumnTrait, Condition, ConnectionTrait, DatabaseTransaction, EntityTrait, ExprTrait,
    QueryFilter, TryInsertResult,
};
use uuid::Uuid;

use crate::error::StoreError;
use crate::numbers::kept;
use crate::store::Store;

/// A request that has run for longer without making anything is taken to have died with its process, and its key is free
/// again.
const RUNNING_MAX: TimeDelta = TimeDelta::minutes(2);

/// A request that made what it was asked for this long ago and has still kept no answer is taken to have died in between.
const ANSWERING_MAX: TimeDelta = TimeDelta::seconds(5);

/// Longest time for which an answer is kept: a hundred years. Later years have more digits than the text of an instant.
const LIFE_MAX: TimeDelta = TimeDelta::days(36_525);

/// What became of the claim to a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Claim {
    /// Nobody had the key: the request may run, and is then completed or abandoned.
    Fresh(HeldKey),
    /// The same request was answered before.
    Replay(StoredResponse),
    /// The same request made these papers before (their paths below `/v1/`), and its process died before it answered.
    Made(Vec<String>),
    /// The same request is running.
    Running,
    /// The key was used for another request.
    Mismatch,
}

/// A key that a running request holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HeldKey {
    route: String,
    key: String,
    claim: String,
}

/// An answer as it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredResponse {
    /// HTTP status.
    pub status: u16,
    /// Header fields that belong to it.
    pub headers: Vec<(String, String)>,
    /// The body.
    pub body: String,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "idempotency_keys")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) route: String,
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) key: String,
        pub(super) payload_hash: String,
        pub(super) state: String,
        pub(super) status: Option<i64>,
        pub(super) headers: Option<String>,
        pub(super) body: Option<String>,
        pub(super) created_at: DateTimeUtc,
        pub(super) expires_at: DateTimeUtc,
        pub(super) claim: Option<String>,
        pub(super) made: Option<String>,
        pub(super) made_at: Option<DateTimeUtc>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Claims a key for a request of a route. What was kept longer than its time is forgotten on the way.
    ///
    /// Keys of different callers have nothing to do with each other: nobody is given another one's answer.
    ///
    /// `time_to_live` is how long the answer will be kept, from now on.
    pub async fn claim(
        &self,
        key: &str,
        route: &str,
        payload_hash: &str,
        time_to_live: Duration,
    ) -> Result<Claim, StoreError> {
        let now = kept(Utc::now());
        let held = HeldKey {
            route: format!("{} {route}", self.caller().key.as_deref().unwrap_or("-")),
            key: key.to_owned(),
            claim: Uuid::now_v7().to_string(),
        };
        let transaction = self.begin_writing().await?;
        forget_old(&transaction, now).await?;
        let life = TimeDelta::from_std(time_to_live).unwrap_or(LIFE_MAX).min(LIFE_MAX);
        let row = table::ActiveModel {
            route: Set(held.route.clone()),
            key: Set(held.key.clone()),
            payload_hash: Set(payload_hash.to_owned()),
            state: Set("running".to_owned()),
            status: Set(None),
            headers: Set(None),
            body: Set(None),
            created_at: Set(now),
            expires_at: Set(kept(now + life)),
            claim: Set(Some(held.claim.clone())),
            made: Set(None),
            made_at: Set(None),
        };
        let mut nobody_else = OnConflict::columns([Column::Route, Column::Key]);
        let inserted = table::Entity::insert(row)
            .on_conflict(nobody_else.do_nothing().to_owned())
            .try_insert()
            .exec_without_returning(&transaction)
            .await?;
        let claim = match inserted {
            TryInsertResult::Inserted(1..) => Claim::Fresh(held),
            _ => found_claim(&transaction, &held, payload_hash, now).await?,
        };
        transaction.commit().await?;
        Ok(claim)
    }

    /// Keeps the answer to a request whose key is held.
    ///
    /// # Errors
    /// [`StoreError::KeyNotClaimed`] where the key is not held any longer, or is answered already.
    pub async fn complete(&self, held: &HeldKey, response: &StoredResponse) -> Result<(), StoreError> {
        let headers = serde_json::Value::from_iter(
            response.headers.iter().map(|(name, value)| serde_json::Value::from_iter([name.as_str(), value])),
        );
        let updated = table::Entity::update_many()
            .col_expr(Column::State, Expr::value("done"))
            .col_expr(Column::Status, Expr::value(i64::from(response.status)))
            .col_expr(Column::Headers, Expr::value(headers.to_string()))
            .col_expr(Column::Body, Expr::value(response.body.as_str()))
            .filter(of(held))
            .filter(Column::State.eq("running"))
            .exec(&self.db)
            .await?;
        if updated.rows_affected == 0 { Err(StoreError::KeyNotClaimed(held.key.clone())) } else { Ok(()) }
    }

    /// Gives a held key back, so that the request can be sent again. A key that is answered, or whose request has made
    /// something, stays. Whether it was given back.
    pub async fn abandon(&self, held: &HeldKey) -> Result<bool, StoreError> {
        let deleted = table::Entity::delete_many()
            .filter(of(held))
            .filter(Column::State.eq("running"))
            .filter(Column::Made.is_null())
            .exec(&self.db)
            .await?;
        Ok(deleted.rows_affected > 0)
    }

    /// Notes at the key of the request, if it has one, what a transaction makes. What was noted first stays: it is what was
    /// asked for.
    ///
    /// # Errors
    /// [`StoreError::ClaimLost`] where the key is not held any longer.
    pub(crate) async fn note_made(
        &self,
        transaction: &DatabaseTransaction,
        subjects: &[String],
    ) -> Result<(), StoreError> {
        let Some(held) = self.held_key().filter(|_| !subjects.is_empty()) else { return Ok(()) };
        let made = serde_json::Value::from_iter(subjects.iter().map(String::as_str)).to_string();
        let first = |column: Column, value| Expr::col(column).if_null(value);
        let updated = table::Entity::update_many()
            .col_expr(Column::Made, first(Column::Made, Expr::value(made)))
            .col_expr(Column::MadeAt, first(Column::MadeAt, Expr::value(kept(Utc::now()))))
            .filter(of(held))
            .exec(transaction)
            .await?;
        if updated.rows_affected == 0 { Err(StoreError::ClaimLost(held.key.clone())) } else { Ok(()) }
    }
}

fn of(held: &HeldKey) -> Condition {
    Condition::all()
        .add(Column::Route.eq(held.route.as_str()))
        .add(Column::Key.eq(held.key.as_str()))
        .add(Column::Claim.eq(held.claim.as_str()))
}

async fn forget_old(db: &impl ConnectionTrait, now: DateTime<Utc>) -> Result<(), StoreError> {
    let dead = Condition::all()
        .add(Column::State.eq("running"))
        .add(Column::Made.is_null())
        .add(Column::CreatedAt.lte(now - RUNNING_MAX));
    let old = Condition::any().add(Column::ExpiresAt.lte(now)).add(dead);
    table::Entity::delete_many().filter(old).exec(db).await?;
    Ok(())
}

async fn found_claim(
    db: &impl ConnectionTrait,
    held: &HeldKey,
    payload_hash: &str,
    now: DateTime<Utc>,
) -> Result<Claim, StoreError> {
    let bad = |column: &str| StoreError::BadRow { table: "idempotency_keys", column: column.to_owned() };
    let id = (held.route.clone(), held.key.clone());
    let row = table::Entity::find_by_id(id).one(db).await?.ok_or_else(|| bad("key"))?;
    if row.payload_hash != payload_hash {
        return Ok(Claim::Mismatch);
    }
    if row.state == "running" {
        return match (row.made, row.made_at) {
            (Some(made), Some(at)) if at <= now - ANSWERING_MAX => {
                Ok(Claim::Made(serde_json::from_str(&made).map_err(|_| bad("made"))?))
            }
            _ => Ok(Claim::Running),
        };
    }
    let headers = row.headers.ok_or_else(|| bad("headers"))?;
    Ok(Claim::Replay(StoredResponse {
        status: row.status.and_then(|status| u16::try_from(status).ok()).ok_or_else(|| bad("status"))?,
        headers: serde_json::from_str(&headers).map_err(|_| bad("headers"))?,
        body: row.body.ok_or_else(|| bad("body"))?,
    }))
}
