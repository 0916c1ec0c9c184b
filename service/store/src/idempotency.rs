//! Answers kept under the key that a client gave with its request.

use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use sea_orm::sea_query::{Expr, OnConflict};
use sea_orm::{
    ActiveValue::Set, ColumnTrait, Condition, ConnectionTrait, EntityTrait, QueryFilter, TryInsertResult,
};

use crate::error::StoreError;
use crate::numbers::kept;
use crate::store::Store;

/// A request that has run for longer is taken to have died with its process, and its key is free again.
const RUNNING_MAX: TimeDelta = TimeDelta::minutes(10);

/// Longest time for which an answer is kept: a hundred years. Later years have more digits than the text of an instant.
const LIFE_MAX: TimeDelta = TimeDelta::days(36_525);

/// What became of the claim to a key.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Claim {
    /// Nobody had the key: the request may run, and is then completed or abandoned.
    Fresh,
    /// The same request was answered before.
    Replay(StoredResponse),
    /// The same request is running.
    Running,
    /// The key was used for another request.
    Mismatch,
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
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Claims a key for a request of a route. What was kept longer than its time is forgotten on the way.
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
        let transaction = self.begin_writing().await?;
        forget_old(&transaction, now).await?;
        let life = TimeDelta::from_std(time_to_live).unwrap_or(LIFE_MAX).min(LIFE_MAX);
        let row = table::ActiveModel {
            route: Set(route.to_owned()),
            key: Set(key.to_owned()),
            payload_hash: Set(payload_hash.to_owned()),
            state: Set("running".to_owned()),
            status: Set(None),
            headers: Set(None),
            body: Set(None),
            created_at: Set(now),
            expires_at: Set(kept(now + life)),
        };
        let mut nobody_else = OnConflict::columns([Column::Route, Column::Key]);
        let inserted = table::Entity::insert(row)
            .on_conflict(nobody_else.do_nothing().to_owned())
            .try_insert()
            .exec_without_returning(&transaction)
            .await?;
        let claim = match inserted {
            TryInsertResult::Inserted(1..) => Claim::Fresh,
            _ => found_claim(&transaction, key, route, payload_hash).await?,
        };
        transaction.commit().await?;
        Ok(claim)
    }

    /// Keeps the answer to a request whose key was claimed.
    ///
    /// # Errors
    /// [`StoreError::KeyNotClaimed`] where the key is not claimed, or is answered already.
    pub async fn complete(
        &self,
        key: &str,
        route: &str,
        response: &StoredResponse,
    ) -> Result<(), StoreError> {
        let headers = serde_json::Value::from_iter(
            response.headers.iter().map(|(name, value)| serde_json::Value::from_iter([name.as_str(), value])),
        );
        let updated = table::Entity::update_many()
            .col_expr(Column::State, Expr::value("done"))
            .col_expr(Column::Status, Expr::value(i64::from(response.status)))
            .col_expr(Column::Headers, Expr::value(headers.to_string()))
            .col_expr(Column::Body, Expr::value(response.body.as_str()))
            .filter(running(key, route))
            .exec(&self.db)
            .await?;
        if updated.rows_affected == 0 { Err(StoreError::KeyNotClaimed(key.to_owned())) } else { Ok(()) }
    }

    /// Gives a claimed key back, so that the request can be sent again. A key that is answered stays.
    pub async fn abandon(&self, key: &str, route: &str) -> Result<(), StoreError> {
        table::Entity::delete_many().filter(running(key, route)).exec(&self.db).await?;
        Ok(())
    }
}

fn running(key: &str, route: &str) -> Condition {
    Condition::all().add(Column::Route.eq(route)).add(Column::Key.eq(key)).add(Column::State.eq("running"))
}

async fn forget_old(db: &impl ConnectionTrait, now: DateTime<Utc>) -> Result<(), StoreError> {
    let dead =
        Condition::all().add(Column::State.eq("running")).add(Column::CreatedAt.lte(now - RUNNING_MAX));
    let old = Condition::any().add(Column::ExpiresAt.lte(now)).add(dead);
    table::Entity::delete_many().filter(old).exec(db).await?;
    Ok(())
}

async fn found_claim(
    db: &impl ConnectionTrait,
    key: &str,
    route: &str,
    payload_hash: &str,
) -> Result<Claim, StoreError> {
    let bad = |column: &str| StoreError::BadRow { table: "idempotency_keys", column: column.to_owned() };
    let id = (route.to_owned(), key.to_owned());
    let row = table::Entity::find_by_id(id).one(db).await?.ok_or_else(|| bad("key"))?;
    if row.payload_hash != payload_hash {
        return Ok(Claim::Mismatch);
    }
    if row.state == "running" {
        return Ok(Claim::Running);
    }
    let headers = row.headers.ok_or_else(|| bad("headers"))?;
    Ok(Claim::Replay(StoredResponse {
        status: row.status.and_then(|status| u16::try_from(status).ok()).ok_or_else(|| bad("status"))?,
        headers: serde_json::from_str(&headers).map_err(|_| bad("headers"))?,
        body: row.body.ok_or_else(|| bad("body"))?,
    }))
}
