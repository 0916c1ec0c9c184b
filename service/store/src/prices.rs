//! Reading what things cost.

use catalogue::{Code, PartKey, PriceBook};

use crate::error::StoreError;
use crate::revisions::read_revisions;
use crate::select::{key_list, keys_in, rows};
use crate::store::Store;

impl Store {
    /// The prices of parts and the shop's rules, for a customer or for nobody in particular, at one moment. The number
    /// of queries does not depend on the number of parts.
    pub async fn load_prices(
        &self,
        parts: &[PartKey],
        customer: Option<&Code>,
    ) -> Result<PriceBook, StoreError> {
        let transaction = self.begin_reading().await?;
        let db = &transaction;
        let list = key_list(parts.iter().map(PartKey::as_str));
        let of_parts = format!("JOIN {} k ON t.part = k.\"key\"", keys_in(self.kind(), "$1"));
        // No code is empty, so the empty text matches no customer.
        let customer = customer.map_or("", Code::as_str);
        let book = PriceBook {
            price_revision: read_revisions(db).await?.price,
            suppliers: rows(db, "", vec![]).await?,
            prices: rows(db, &of_parts, vec![list]).await?,
            exchange_rates: rows(db, "", vec![]).await?,
            tax_rates: rows(db, "", vec![]).await?,
            customers: rows(db, "WHERE t.customer = $1", vec![customer.into()]).await?,
            price_rules: rows(db, "WHERE t.customer IS NULL OR t.customer = $1", vec![customer.into()])
                .await?,
            settings: rows(db, "", vec![]).await?,
        };
        transaction.commit().await?;
        Ok(book)
    }
}
