//! What prices, rates and settings lack.

use catalogue::{Code, Currency, PartKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::finding::Severity;

/// What prices, rates and settings lack.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum MoneyFact {
    /// A part that is needed has no price.
    PriceMissing {
        /// The part.
        part: PartKey,
        /// Whether a kit or the shelf brings it all the same.
        available: bool,
    },
    /// All prices of a part that is needed have run out.
    PriceExpired {
        /// The part.
        part: PartKey,
        /// The last day of the last price.
        last_day: NaiveDate,
        /// Whether a kit or the shelf brings it all the same.
        available: bool,
    },
    /// The first price of a part that is needed lies ahead.
    PriceNotYetValid {
        /// The part.
        part: PartKey,
        /// Its first day.
        first_day: NaiveDate,
    },
    /// A currency has no exchange rate.
    ExchangeRateMissing {
        /// The currency.
        currency: Currency,
        /// The base currency.
        base: Currency,
        /// Rows that use the currency.
        rows: usize,
    },
    /// Money is spoken of, and the setting BASE-CURRENCY is missing.
    BaseCurrencyMissing {},
    /// A tax is named that no rate speaks of yet.
    TaxUnknown {
        /// The tax.
        tax: Code,
    },
    /// A price rule speaks of a price group that no part has.
    PriceGroupUnknown {
        /// The group.
        price_group: Code,
    },
    /// A setting is set that the service does not know.
    SettingUnknown {
        /// The setting.
        setting: Code,
    },
}

impl MoneyFact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::PriceMissing { .. } => "price_missing",
            Self::PriceExpired { .. } => "price_expired",
            Self::PriceNotYetValid { .. } => "price_not_yet_valid",
            Self::ExchangeRateMissing { .. } => "exchange_rate_missing",
            Self::BaseCurrencyMissing { .. } => "base_currency_missing",
            Self::TaxUnknown { .. } => "tax_unknown",
            Self::PriceGroupUnknown { .. } => "price_group_unknown",
            Self::SettingUnknown { .. } => "setting_unknown",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::PriceMissing { available: true, .. }
            | Self::PriceExpired { available: true, .. }
            | Self::PriceNotYetValid { .. } => Severity::Note,
            Self::PriceMissing { available: false, .. }
            | Self::PriceExpired { available: false, .. }
            | Self::TaxUnknown { .. }
            | Self::PriceGroupUnknown { .. }
            | Self::SettingUnknown { .. } => Severity::Warning,
            Self::ExchangeRateMissing { .. } | Self::BaseCurrencyMissing { .. } => Severity::Error,
        }
    }
}
