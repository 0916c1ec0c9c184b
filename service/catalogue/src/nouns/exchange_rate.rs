//! Exchange rates.

use chrono::NaiveDate;

use crate::money::{Currency, Rate};

sheet! {
    /// What one unit of a currency is worth in the base currency from a day on.
    pub struct ExchangeRate in "exchange_rates", Price, key(currency, valid_from) {
        /// The currency.
        currency: Currency,
        /// First day of the rate.
        valid_from: NaiveDate,
        /// Base currency for one unit of this currency.
        rate: Rate [positive],
        /// Where the rate comes from.
        source: String,
    }
}
