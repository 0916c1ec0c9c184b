//! How a transaction that changes something ends.

use sea_orm::DatabaseTransaction;

use crate::error::StoreError;
use crate::outbox::Outbox;
use crate::store::Store;

impl Store {
    /// Ends a transaction: what it made is noted at the key of the request that asked for it, the audit and the events are
    /// written, and all of it is kept or nothing.
    ///
    /// # Errors
    /// [`StoreError::ClaimLost`] where the key of the request is no longer held: somebody else may be doing the same.
    pub(crate) async fn finish(
        &self,
        transaction: DatabaseTransaction,
        outbox: Outbox,
    ) -> Result<(), StoreError> {
        self.note_made(&transaction, &outbox.subjects()).await?;
        self.finish_aside(transaction, outbox).await
    }

    /// The same for what is done on the way and is not what the request asked for, such as reservations whose time is
    /// over.
    pub(crate) async fn finish_aside(
        &self,
        transaction: DatabaseTransaction,
        outbox: Outbox,
    ) -> Result<(), StoreError> {
        outbox.write(&transaction, self.caller()).await?;
        transaction.commit().await?;
        Ok(())
    }
}
