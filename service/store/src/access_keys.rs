//! Keys that requests carry: named, with a role, revocable, known by their hashes alone.
//!
//! A key is 256 random bits, so nobody finds it by trying, however fast its hash is made; a plain SHA-256 is enough, and
//! a slow hash as passwords need it would only slow every request. A look-up by the hash is a comparison whose time tells
//! at most how a *hash* begins: whoever sends keys cannot choose their hashes, and a known hash leads to no key.

use chrono::{DateTime, NaiveDate, Utc};
use sea_orm::sea_query::{Expr, SimpleExpr};
use sea_orm::{
    ActiveModelTrait, ActiveValue::Set, ColumnTrait, DatabaseTransaction, EntityTrait, ExprTrait,
    PaginatorTrait, QueryFilter, QueryOrder, QuerySelect,
};

use crate::audit::{Changed, NewEntry};
use crate::error::StoreError;
use crate::numbers::{kept, take_number};
use crate::outbox::Outbox;
use crate::store::{DatabaseKind, Store};

/// The role that no database may be left without.
const OWNER: &str = "owner";

/// A key that is to be kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewAccessKey {
    /// What it is called; no two keys that are not revoked have the same name.
    pub name: String,
    /// The word of its role.
    pub role: String,
    /// SHA-256 of the key in hexadecimal.
    pub hash: String,
    /// From when on it opens nothing any more.
    pub expires_at: Option<DateTime<Utc>>,
}

/// A key as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AccessKey {
    /// Its number, such as `K-000001`.
    pub number: String,
    /// What it is called.
    pub name: String,
    /// The word of its role.
    pub role: String,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// Who made it.
    pub created_by: String,
    /// From when on it opens nothing any more.
    pub expires_at: Option<DateTime<Utc>>,
    /// When it was revoked, and by whom.
    pub revoked: Option<(DateTime<Utc>, String)>,
    /// The last day on which it was used (UTC).
    pub last_used_on: Option<NaiveDate>,
}

mod table {
    use sea_orm::entity::prelude::*;

    #[derive(Clone, Debug, PartialEq, Eq, DeriveEntityModel)]
    #[sea_orm(table_name = "access_keys")]
    pub(super) struct Model {
        #[sea_orm(primary_key, auto_increment = false)]
        pub(super) number: String,
        pub(super) running: i64,
        pub(super) name: String,
        pub(super) role: String,
        pub(super) hash: String,
        pub(super) created_at: DateTimeUtc,
        pub(super) created_by: String,
        pub(super) expires_at: Option<DateTimeUtc>,
        pub(super) revoked_at: Option<DateTimeUtc>,
        pub(super) revoked_by: Option<String>,
        pub(super) last_used_on: Option<Date>,
    }

    #[derive(Copy, Clone, Debug, EnumIter, DeriveRelation)]
    pub(super) enum Relation {}

    impl ActiveModelBehavior for ActiveModel {}
}

use table::Column;

impl Store {
    /// Keeps a key and gives it its number.
    ///
    /// # Errors
    /// [`StoreError::KeyNameTaken`] where a key that is not revoked has the name.
    pub async fn insert_access_key(&self, new: NewAccessKey) -> Result<AccessKey, StoreError> {
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        let made = self.insert_in(&transaction, &mut outbox, new).await?;
        self.finish(transaction, outbox).await?;
        Ok(made)
    }

    /// Keeps a key in place of the one that has its name, which is revoked.
    pub async fn replace_access_key(&self, new: NewAccessKey) -> Result<AccessKey, StoreError> {
        let transaction = self.begin_writing().await?;
        let mut outbox = Outbox::default();
        self.mark_revoked(&transaction, &mut outbox, Column::Name.eq(new.name.as_str())).await?;
        let made = self.insert_in(&transaction, &mut outbox, new).await?;
        self.finish(transaction, outbox).await?;
        Ok(made)
    }

    /// Keeps a key only if there never was one. Of several who try at the same time one succeeds.
    pub async fn insert_first_access_key(&self, new: NewAccessKey) -> Result<Option<AccessKey>, StoreError> {
        if self.has_access_keys().await? {
            return Ok(None);
        }
        let transaction = self.begin_writing().await?;
        // The number is taken first: the series is held by this transaction from here on, so that the others wait.
        let mut outbox = Outbox::default();
        let made = self.insert_in(&transaction, &mut outbox, new).await?;
        let count = table::Entity::find().count(&transaction).await?;
        if count > 1 {
            transaction.rollback().await?;
            return Ok(None);
        }
        self.finish(transaction, outbox).await?;
        Ok(Some(made))
    }

    async fn insert_in(
        &self,
        transaction: &DatabaseTransaction,
        outbox: &mut Outbox,
        new: NewAccessKey,
    ) -> Result<AccessKey, StoreError> {
        let running = take_number(transaction, "key").await?;
        let taken = table::Entity::find()
            .filter(Column::Name.eq(new.name.as_str()))
            .filter(Column::RevokedAt.is_null())
            .one(transaction)
            .await?;
        if let Some(taken) = taken {
            return Err(StoreError::KeyNameTaken { name: new.name, number: taken.number });
        }
        let row = table::ActiveModel {
            number: Set(format!("K-{running:06}")),
            running: Set(running),
            name: Set(new.name),
            role: Set(new.role),
            hash: Set(new.hash),
            created_at: Set(kept(Utc::now())),
            created_by: Set(self.caller().name.clone()),
            expires_at: Set(new.expires_at.map(kept)),
            revoked_at: Set(None),
            revoked_by: Set(None),
            last_used_on: Set(None),
        };
        let made = key_of(row.insert(transaction).await?);
        outbox.note(entry_of(
            "key.made",
            &made,
            vec![
                Changed::made("name", &made.name),
                Changed::made("role", &made.role),
                Changed::new("expires_at", None::<&str>, made.expires_at.map(|end| end.to_rfc3339())),
            ],
        ));
        Ok(made)
    }

    /// Whether there is any key, valid or not.
    pub async fn has_access_keys(&self) -> Result<bool, StoreError> {
        Ok(table::Entity::find().one(&self.db).await?.is_some())
    }

    /// The key of a number.
    pub async fn access_key(&self, number: &str) -> Result<Option<AccessKey>, StoreError> {
        Ok(table::Entity::find_by_id(number.to_owned()).one(&self.db).await?.map(key_of))
    }

    /// The key with this hash.
    pub async fn access_key_by_hash(&self, hash: &str) -> Result<Option<AccessKey>, StoreError> {
        let query = table::Entity::find().filter(Column::Hash.eq(hash));
        Ok(query.one(&self.db).await?.map(key_of))
    }

    /// The keys behind a number, the oldest first, at most so many. Behind a number that there is none of comes nothing.
    pub async fn list_access_keys(
        &self,
        after: Option<&str>,
        limit: u64,
    ) -> Result<Vec<AccessKey>, StoreError> {
        let mut query = table::Entity::find().order_by_asc(Column::Running).limit(limit);
        if let Some(after) = after {
            let Some(last) = table::Entity::find_by_id(after.to_owned()).one(&self.db).await? else {
                return Ok(Vec::new());
            };
            query = query.filter(Column::Running.gt(last.running));
        }
        Ok(query.all(&self.db).await?.into_iter().map(key_of).collect())
    }

    /// Revokes a key, from now on.
    ///
    /// # Errors
    /// [`StoreError::KeyRevoked`] where it is revoked already or was never made, [`StoreError::LastOwnerKey`] where no
    /// other owner's key would be left.
    pub async fn revoke_access_key(&self, number: &str) -> Result<AccessKey, StoreError> {
        let now = kept(Utc::now());
        let transaction = self.begin_writing().await?;
        let owners = self.owners_held(&transaction).await?;
        let usable = |key: &AccessKey| key.expires_at.is_none_or(|end| end > now);
        let is_owner = owners.iter().any(|key| key.number == number);
        if is_owner && !owners.iter().any(|key| key.number != number && usable(key)) {
            return Err(StoreError::LastOwnerKey(number.to_owned()));
        }
        let mut outbox = Outbox::default();
        let revoked = self.mark_revoked(&transaction, &mut outbox, Column::Number.eq(number)).await?;
        let Some(key) = revoked else {
            return Err(StoreError::KeyRevoked(number.to_owned()));
        };
        self.finish(transaction, outbox).await?;
        Ok(key)
    }

    async fn mark_revoked(
        &self,
        transaction: &DatabaseTransaction,
        outbox: &mut Outbox,
        which: SimpleExpr,
    ) -> Result<Option<AccessKey>, StoreError> {
        // A name and a number each stand for at most one key that is not revoked.
        let live = table::Entity::find().filter(which).filter(Column::RevokedAt.is_null());
        let Some(row) = live.one(transaction).await? else { return Ok(None) };
        let now = kept(Utc::now());
        let updated = table::Entity::update_many()
            .col_expr(Column::RevokedAt, Expr::value(now))
            .col_expr(Column::RevokedBy, Expr::value(self.caller().name.as_str()))
            .filter(Column::Number.eq(row.number.as_str()))
            .filter(Column::RevokedAt.is_null())
            .exec(transaction)
            .await?;
        if updated.rows_affected == 0 {
            return Ok(None);
        }
        let by = Some(self.caller().name.clone());
        let revoked = key_of(table::Model { revoked_at: Some(now), revoked_by: by, ..row });
        let changes = vec![Changed::made("revoked_at", now.to_rfc3339())];
        outbox.note(entry_of("key.revoked", &revoked, changes));
        Ok(Some(revoked))
    }

    /// The owners' keys that are not revoked, held so that two revocations at the same time see each other.
    async fn owners_held(&self, transaction: &DatabaseTransaction) -> Result<Vec<AccessKey>, StoreError> {
        let query = table::Entity::find()
            .filter(Column::Role.eq(OWNER))
            .filter(Column::RevokedAt.is_null())
            .order_by_asc(Column::Running);
        let query = if self.kind() == DatabaseKind::Postgres { query.lock_exclusive() } else { query };
        Ok(query.all(transaction).await?.into_iter().map(key_of).collect())
    }

    /// Notes on which day a key was used.
    pub async fn note_use_of_access_key(&self, number: &str, day: NaiveDate) -> Result<(), StoreError> {
        let before = Column::LastUsedOn.is_null().or(Column::LastUsedOn.lt(day));
        table::Entity::update_many()
            .col_expr(Column::LastUsedOn, Expr::value(day))
            .filter(Column::Number.eq(number))
            .filter(before)
            .exec(&self.db)
            .await?;
        Ok(())
    }
}

/// What the audit says of a key. No event tells of keys: they are nobody else's business.
fn entry_of(what: &str, key: &AccessKey, changes: Vec<Changed>) -> NewEntry {
    NewEntry {
        at: kept(Utc::now()),
        what: what.to_owned(),
        subject: format!("keys/{}", key.number),
        changes,
        data: serde_json::json!({ "name": key.name, "role": key.role }),
    }
}

fn key_of(row: table::Model) -> AccessKey {
    AccessKey {
        number: row.number,
        name: row.name,
        role: row.role,
        created_at: row.created_at,
        created_by: row.created_by,
        expires_at: row.expires_at,
        revoked: row.revoked_at.zip(row.revoked_by),
        last_used_on: row.last_used_on,
    }
}
