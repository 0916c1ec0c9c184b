//! The stored quotes that speak of some parts.

use catalogue::PartKey;
use chrono::NaiveDate;
use sea_orm::ConnectionTrait;

use crate::error::StoreError;
use crate::select::{key_list, keys_in, statement};
use crate::store::Store;

/// A quote with those of the parts that it speaks of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteOfParts {
    /// Its number.
    pub number: String,
    /// Last day on which it holds.
    pub valid_until: NaiveDate,
    /// The parts, by key.
    pub parts: Vec<PartKey>,
}

impl Store {
    /// The quotes that speak of any of some parts and hold on a day, the oldest first.
    pub async fn quotes_of_parts(
        &self,
        parts: &[PartKey],
        holding_on: NaiveDate,
    ) -> Result<Vec<QuoteOfParts>, StoreError> {
        let transaction = self.begin_reading().await?;
        let sql = format!(
            "SELECT q.number, q.valid_until, p.part FROM quote_parts p JOIN quotes q ON q.number = p.number \
             JOIN {} k ON p.part = k.\"key\" WHERE q.valid_until >= $2 ORDER BY q.running",
            keys_in(self.kind(), "$1")
        );
        let values = vec![key_list(parts.iter().map(PartKey::as_str)), holding_on.into()];
        let mut quotes: Vec<QuoteOfParts> = Vec::new();
        for row in transaction.query_all_raw(statement(&transaction, sql, values)).await? {
            let number: String = row.try_get_by_index(0)?;
            let part = PartKey::from_stored(row.try_get_by_index::<String>(2)?);
            match quotes.last_mut().filter(|quote| quote.number == number) {
                Some(quote) => quote.parts.push(part),
                None => {
                    let valid_until = row.try_get_by_index(1)?;
                    quotes.push(QuoteOfParts { number, valid_until, parts: vec![part] });
                }
            }
        }
        // Sorted here and not by the database: one order for both.
        quotes.iter_mut().for_each(|quote| quote.parts.sort());
        transaction.commit().await?;
        Ok(quotes)
    }
}
