//! The settings of the shop: shown, and changed one at a time.

use std::collections::BTreeMap;

use catalogue::{Code, Setting, Sheet, bundle};
use chrono::Utc;
use exchange::SheetWriter;
use store::StoreError;

use crate::import_catalogue::{BundleSource, ImportError, ImportRequest, import_catalogue};
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
    /// The setting was changed since the change was decided on.
    #[error("the setting was changed in the meantime")]
    Stale(Setting),
    /// The value is none that the setting can hold.
    #[error("`{value}` {wrong}; {right}")]
    BadValue {
        /// The value.
        value: String,
        /// What is wrong with it, to be read after it.
        wrong: String,
        /// What would be right.
        right: String,
    },
    /// The change was not taken in.
    #[error("the setting was not changed")]
    Import(#[source] ImportError),
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

/// Changes a setting as a bundle of one row would: checked, audited, and counted as a change of prices.
///
/// `still_holds` says whether the change was decided on the setting as it is now.
pub async fn change_setting(
    shop: &Shop,
    written: &str,
    value: &str,
    mut still_holds: impl FnMut(&Setting) -> bool,
) -> Result<Setting, SettingError> {
    loop {
        // Whoever else changes a price or setting in between, here or in another instance, moves the revision; then
        // it is looked at again, so that what was looked at is what is changed.
        let revision = shop.store().revisions().await?.price;
        let current = show_setting(shop, written).await?;
        if !still_holds(&current) {
            return Err(SettingError::Stale(current));
        }
        let changed = Setting { value: value.to_owned(), ..current };
        match take_in(shop, &changed, revision).await {
            Err(SettingError::Store(StoreError::RevisionMoved { .. })) => {}
            Err(error) => return Err(error),
            Ok(()) => return show_setting(shop, written).await,
        }
    }
}

async fn take_in(shop: &Shop, changed: &Setting, revision: i64) -> Result<(), SettingError> {
    let text = one_row(changed).map_err(|source| {
        let path = std::path::PathBuf::from("settings.csv");
        SettingError::Import(ImportError::File { path, source })
    })?;
    let source = BundleSource::Texts(BTreeMap::from([("settings.csv".to_owned(), text)]));
    let request = ImportRequest {
        report_findings: false,
        at_price_revision: Some(revision),
        ..ImportRequest::on(Utc::now().date_naive())
    };
    match import_catalogue(shop, source, &request, &mut |_| ()).await {
        Ok(_) => Ok(()),
        Err(ImportError::Store(error)) => Err(error.into()),
        Err(ImportError::Refused(refused)) => match refused.faults.into_iter().next() {
            Some(fault) => Err(SettingError::BadValue {
                value: changed.value.clone(),
                wrong: fault.wrong,
                right: fault.right,
            }),
            None => Err(SettingError::Import(ImportError::BrokenOff)),
        },
        Err(error) => Err(SettingError::Import(error)),
    }
}

fn one_row(setting: &Setting) -> std::io::Result<Vec<u8>> {
    let spec =
        bundle::sheet(Setting::SPEC.name).ok_or_else(|| std::io::Error::other("there is no such sheet"))?;
    let mut writer = SheetWriter::new(spec, Vec::new())?;
    writer.write_row(&setting.to_cells())?;
    writer.finish()
}
