//! Who delivers to a target.

use chrono::{DateTime, Utc};
use sea_orm::{ConnectionTrait, Value};

use super::{Webhook, webhook_of};
use crate::error::StoreError;
use crate::numbers::kept;
use crate::select::statement;
use crate::store::Store;

/// An active target, with what a deliverer needs to know before it begins.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WebhookAtWork {
    /// The target.
    pub webhook: Webhook,
    /// Who holds its lease, and until when.
    pub lease: Option<(String, DateTime<Utc>)>,
    /// When the next attempt is due; `None`: nothing waits.
    pub next_at: Option<DateTime<Utc>>,
}

impl Store {
    /// The targets that are not paused.
    pub async fn webhooks_at_work(&self) -> Result<Vec<WebhookAtWork>, StoreError> {
        let sql = format!(
            "SELECT {}, w.lease_owner, w.lease_until, \
             (SELECT MIN(p.next_at) FROM webhook_waiting p WHERE p.webhook = w.id) \
             FROM webhooks w WHERE w.state = 'active' ORDER BY w.id",
            super::WEBHOOK
        );
        let rows = self.db.query_all_raw(statement(&self.db, sql, vec![])).await?;
        let mut found = Vec::with_capacity(rows.len());
        for row in &rows {
            let owner: Option<String> = row.try_get_by_index(9)?;
            let until: Option<DateTime<Utc>> = row.try_get_by_index(10)?;
            let next_at = row.try_get_by_index(11)?;
            found.push(WebhookAtWork { webhook: webhook_of(row)?, lease: owner.zip(until), next_at });
        }
        Ok(found)
    }

    /// Takes or renews the lease of an active target; whether it was to be had.
    pub async fn lease_webhook(
        &self,
        id: &str,
        owner: &str,
        now: DateTime<Utc>,
        until: DateTime<Utc>,
    ) -> Result<bool, StoreError> {
        let sql = "UPDATE webhooks SET lease_owner = $2, lease_until = $4 WHERE id = $1 AND state = 'active' \
                   AND (lease_owner IS NULL OR lease_owner = $2 OR lease_until <= $3)";
        let values: Vec<Value> = vec![id.into(), owner.into(), kept(now).into(), kept(until).into()];
        let done = self.db.execute_raw(statement(&self.db, sql.to_owned(), values)).await?;
        Ok(done.rows_affected() > 0)
    }

    /// Gives all leases of an owner back.
    pub async fn release_webhooks(&self, owner: &str) -> Result<(), StoreError> {
        let sql = "UPDATE webhooks SET lease_owner = NULL, lease_until = NULL WHERE lease_owner = $1";
        self.db.execute_raw(statement(&self.db, sql.to_owned(), vec![owner.into()])).await?;
        Ok(())
    }
}
