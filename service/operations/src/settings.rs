//! The settings of the shop: shown, and changed one at a time.

use catalogue::{Code, Setting};
use store::StoreError;

use crate::shop::Shop;

/// Why a setting was not shown or changed.
#[derive(Debug, thiserror::Error)]
pub enum SettingError {
    /// The shop has no such setting.
    #[error("there is no setting `{written}`; there are {}", known.join(", "))]
    NotFound {
        /// The name as written.
        written: String,
        /// The names there are.
        known: Vec<String>,
    },
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// All settings.
pub async fn list_settings(shop: &Shop) -> Result<Vec<Setting>, StoreError> {
    shop.store().all_rows::<Setting>().await
}

/// The setting of a name.
pub async fn show_setting(shop: &Shop, written: &str) -> Result<Setting, SettingError> {
    let settings = list_settings(shop).await?;
    let code = Code::parse(written).ok();
    let found = settings.iter().find(|setting| Some(&setting.setting) == code.as_ref());
    found.cloned().ok_or_else(|| SettingError::NotFound {
        written: written.to_owned(),
        known: settings.iter().map(|setting| setting.setting.to_string()).collect(),
    })
}
