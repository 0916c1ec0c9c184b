//! Stored quotes.

use std::collections::BTreeSet;

use catalogue::PartKey;
use catalogue::event::{Happened, QuoteEvent};
use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::{
    ActiveModelTrait, ActiveValue::Set, ColumnTrait, ConnectionTrait, EntityTrait, FromQueryResult,
    QueryFilter, QueryOrder, QuerySelect,
};

use crate::audit::Changed;
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::revisions::Revisions;
use crate::select::{key_list, keys_in, statement};
use crate::store::Store;

/// A quote that is to be stored.
#[derive(Debug, Clone, PartialEq)]
pub struct NewQuote {
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The running numbers it was made at.
    pub revisions: Revisions,
    /// Version of the engine that made it.
    pub engine: String,
    /// What was asked, as JSON.
    pub request: String,
    /// What it was made from, as JSON.
    pub frozen: String,
    /// The answer's body, byte for byte.
    pub answer: String,
    /// The parts it speaks of: while it exists, these are retired, not removed.
    pub parts: BTreeSet<PartKey>,
}

/// A stored quote.
#[derive(Debug, Clone, PartialEq)]
pub struct Quote {
    /// Its number, such as `Q-000001`.
    pub number: String,
    /// When it was made, to the microsecond.
    pub created_at: DateTime<Utc>,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The running numbers it was made at.
    pub revisions: Revisions,
    /// Version of the engine that made it.
    pub engine: String,
    /// What was asked, as JSON.
    pub request: String,
    /// What it was made from, as JSON.
    pub frozen: String,
    /// The answer's body, byte for byte.
    pub answer: String,
}

/// A stored quote in a list.
#[derive(Debug, Clone, PartialEq, Eq, FromQueryResult)]
pub struct QuoteEntry {
    /// Its number.
    pub number: String,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// Version of the engine that made it.
    pub engine: String,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "quotes")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) number: String,
        pub(super) running: i64,
        pub(super) created_at: DateTimeUtc,
        pub(super) valid_until: Date,
        pub(super) structure_revision: i64,
        pub(super) price_revision: i64,
        pub(super) ledger_sequence: i64,
        pub(super) engine: String,
        pub(super) request: String,
        pub(super) frozen: String,
        pub(super) answer: String,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

impl Store {
    /// Stores a quote and gives it its number. Numbers run without gaps or doubles, whoever stores at the same time.
    pub async fn insert_quote(&self, quote: NewQuote) -> Result<String, StoreError> {
        let transaction = self.begin_writing().await?;
        let running = take_number(&transaction, "quote").await?;
        let number = format!("Q-{running:06}");
        let stored = QuoteEvent { quote: number.clone(), valid_until: quote.valid_until };
        let mut outbox = Outbox::default();
        let changes = vec![Changed::made("valid_until", quote.valid_until)];
        outbox.record(quote.created_at, Happened::QuoteStored(stored), changes);
        let row = table::ActiveModel {
            number: Set(number.clone()),
            running: Set(running),
            created_at: Set(kept(quote.created_at)),
            valid_until: Set(quote.valid_until),
            structure_revision: Set(quote.revisions.structure),
            price_revision: Set(quote.revisions.price),
            ledger_sequence: Set(quote.revisions.ledger),
            engine: Set(quote.engine),
            request: Set(quote.request),
            frozen: Set(quote.frozen),
            answer: Set(quote.answer),
        };
        row.insert(&transaction).await?;
        // A part that has gone from the catalogue since the quote was made needs no keeping.
        let sql = format!(
            "INSERT INTO quote_parts (number, part) SELECT $1, p.part FROM parts p WHERE p.part IN {}",
            keys_in(self.kind(), "$2")
        );
        let parts = key_list(quote.parts.iter().map(PartKey::as_str));
        transaction.execute_raw(statement(&transaction, sql, vec![number.clone().into(), parts])).await?;
        self.finish(transaction, outbox).await?;
        Ok(number)
    }

    /// The quote of a number.
    pub async fn quote(&self, number: &str) -> Result<Option<Quote>, StoreError> {
        let row = table::Entity::find_by_id(number.to_owned()).one(&self.db).await?;
        Ok(row.map(|row| Quote {
            number: row.number,
            created_at: row.created_at,
            valid_until: row.valid_until,
            revisions: Revisions {
                structure: row.structure_revision,
                price: row.price_revision,
                ledger: row.ledger_sequence,
            },
            engine: row.engine,
            request: row.request,
            frozen: row.frozen,
            answer: row.answer,
        }))
    }

    /// The quotes after a number, the oldest first, at most so many. After a number that there is none of comes nothing.
    pub async fn list_quotes(&self, after: Option<&str>, limit: u64) -> Result<Vec<QuoteEntry>, StoreError> {
        use table::Column;
        let mut query = table::Entity::find()
            .select_only()
            .columns([Column::Number, Column::CreatedAt, Column::ValidUntil, Column::Engine])
            .order_by_asc(Column::Running)
            .limit(limit);
        if let Some(after) = after {
            let Some(last) = table::Entity::find_by_id(after.to_owned()).one(&self.db).await? else {
                return Ok(Vec::new());
            };
            query = query.filter(Column::Running.gt(last.running));
        }
        Ok(query.into_model().all(&self.db).await?)
    }
}
