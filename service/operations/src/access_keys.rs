//! Keys: made, shown, revoked, and recognised when a request carries one.

use chrono::{DateTime, NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use store::{AccessKey, Caller, NewAccessKey, StoreError};
use utoipa::ToSchema;

use crate::listed::Listed;
use crate::role::Role;
use crate::shop::Shop;

/// Random bytes of a key.
const SECRET_BYTES: usize = 32;
/// What every key begins with, so that one that has strayed into a text is recognised.
const SECRET_PREFIX: &str = "cw_";
/// Longest name of a key, in characters.
const NAME_LENGTH_MAX: usize = 80;
/// Name of the first key of a new database.
const FIRST: &str = "first owner";

/// A key that is to be made.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(deny_unknown_fields)]
pub struct AskedKey {
    /// Who or what will carry it. Papers and the audit name it, so no two keys that are not revoked share it.
    #[schema(min_length = 1, max_length = 80, example = "till at the counter")]
    pub name: String,
    /// What it opens.
    pub role: Role,
    /// From when on it opens nothing any more; left out: it does not end by itself.
    #[serde(default)]
    pub expires_at: Option<DateTime<Utc>>,
}

catalogue::choice! {
    /// Whether a key opens anything.
    pub enum KeyState {
        /// It does.
        Valid = "valid",
        /// Its time is over.
        Expired = "expired",
        /// It was revoked.
        Revoked = "revoked",
    }
}

/// A key as it is shown: never the key itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct KeySheet {
    /// Its number.
    #[schema(example = "K-000001")]
    pub number: String,
    /// Who or what carries it.
    pub name: String,
    /// What it opens.
    pub role: Role,
    /// Whether it opens anything.
    pub state: KeyState,
    /// When it was made.
    pub created_at: DateTime<Utc>,
    /// The name of the key with which it was made; `terminal`: at the database itself.
    pub created_by: String,
    /// From when on it opens nothing any more.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub expires_at: Option<DateTime<Utc>>,
    /// When it was revoked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub revoked_at: Option<DateTime<Utc>>,
    /// The name of the key with which it was revoked.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub revoked_by: Option<String>,
    /// The last day on which it was used (UTC). No more is kept, so that asking does not write.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(required = false)]
    pub last_used_on: Option<NaiveDate>,
}

/// A key that was just made, with the key itself, which is shown this once.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct NewKey {
    /// What is kept of it.
    #[serde(flatten)]
    pub sheet: KeySheet,
    /// The key itself. It is kept nowhere: who loses it makes another one.
    #[schema(example = "cw_0000000000000000000000000000000000000000000000000000000000000000")]
    pub secret: String,
}

/// Why a key was not made, shown or revoked.
#[derive(Debug, thiserror::Error)]
pub enum KeyError {
    /// There is none of this number.
    #[error("there is no key `{0}`")]
    NotFound(String),
    /// A value of the request is wrong.
    #[error("{detail}")]
    Bad {
        /// Its place.
        pointer: &'static str,
        /// What is wrong, and what would be right.
        detail: String,
    },
    /// The key was changed since the change was decided on.
    #[error("the key was changed in the meantime")]
    Stale,
    /// The system gives no random numbers.
    #[error("the system gives no random numbers: {0}")]
    Random(getrandom::Error),
    /// The store refused or failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Why a key that was sent opens nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Refused {
    /// No such key was ever made.
    Unknown,
    /// It was revoked.
    Revoked(String),
    /// Its time is over.
    Expired(String, DateTime<Utc>),
}

/// Who carries a key, and what it opens.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Carrier {
    /// The number of the key.
    pub number: String,
    /// Its name.
    pub name: String,
    /// Its role.
    pub role: Role,
    last_used_on: Option<NaiveDate>,
}

impl Carrier {
    /// As the store knows them.
    pub fn caller(&self) -> Caller {
        Caller { key: Some(self.number.clone()), name: self.name.clone() }
    }
}

/// Makes a key.
pub async fn create_key(shop: &Shop, asked: &AskedKey) -> Result<NewKey, KeyError> {
    let now = Utc::now();
    let (secret, hash) = new_secret()?;
    let made = shop.store().insert_access_key(checked(asked, hash, now)?).await?;
    Ok(NewKey { sheet: sheet(made, now)?, secret })
}

/// Makes an owner's key if the database never had a key.
pub async fn create_first_key(shop: &Shop) -> Result<Option<NewKey>, KeyError> {
    let now = Utc::now();
    let (secret, hash) = new_secret()?;
    let asked = AskedKey { name: FIRST.to_owned(), role: Role::Owner, expires_at: None };
    let made = shop.store().insert_first_access_key(checked(&asked, hash, now)?).await?;
    made.map(|key| Ok(NewKey { sheet: sheet(key, now)?, secret })).transpose()
}

/// Makes a key in place of the one that has its name.
pub async fn replace_key(shop: &Shop, asked: &AskedKey) -> Result<NewKey, KeyError> {
    let now = Utc::now();
    let (secret, hash) = new_secret()?;
    let made = shop.store().replace_access_key(checked(asked, hash, now)?).await?;
    Ok(NewKey { sheet: sheet(made, now)?, secret })
}

/// Whether there is any key, valid or not.
pub async fn has_keys(shop: &Shop) -> Result<bool, StoreError> {
    shop.store().has_access_keys().await
}

/// The keys behind a number, the oldest first, at most so many.
pub async fn list_keys(shop: &Shop, after: Option<&str>, limit: u64) -> Result<Listed<KeySheet>, KeyError> {
    let now = Utc::now();
    let found = shop.store().list_access_keys(after, limit + 1).await?;
    let sheets = found.into_iter().map(|key| sheet(key, now)).collect::<Result<Vec<_>, _>>()?;
    Ok(Listed::of(sheets, limit, |key| key.number.clone()))
}

/// The key of a number.
pub async fn show_key(shop: &Shop, number: &str) -> Result<KeySheet, KeyError> {
    match shop.store().access_key(number).await? {
        Some(key) => sheet(key, Utc::now()),
        None => Err(KeyError::NotFound(number.to_owned())),
    }
}

/// Revokes a key, from now on and for good, if `still_holds` says that this was decided on the key as it is.
pub async fn revoke_key(
    shop: &Shop,
    number: &str,
    still_holds: impl FnOnce(&KeySheet) -> bool,
) -> Result<KeySheet, KeyError> {
    let current = show_key(shop, number).await?;
    if !still_holds(&current) {
        return Err(KeyError::Stale);
    }
    sheet(shop.store().revoke_access_key(number).await?, Utc::now())
}

/// Recognises a key that was sent.
pub async fn recognise(shop: &Shop, secret: &str) -> Result<Result<Carrier, Refused>, KeyError> {
    let Some(key) = shop.store().access_key_by_hash(&hash_of(secret)).await? else {
        return Ok(Err(Refused::Unknown));
    };
    let last_used_on = key.last_used_on;
    let sheet = sheet(key, Utc::now())?;
    Ok(match (sheet.state, sheet.expires_at) {
        (KeyState::Revoked, _) => Err(Refused::Revoked(sheet.number)),
        (KeyState::Expired, Some(end)) => Err(Refused::Expired(sheet.number, end)),
        _ => Ok(Carrier { number: sheet.number, name: sheet.name, role: sheet.role, last_used_on }),
    })
}

/// Notes that a key was used today, if that is not noted yet.
pub async fn note_use(shop: &Shop, carrier: &Carrier) -> Result<(), StoreError> {
    let today = Utc::now().date_naive();
    if carrier.last_used_on.is_some_and(|day| day >= today) {
        return Ok(());
    }
    shop.store().note_use_of_access_key(&carrier.number, today).await
}

fn checked(asked: &AskedKey, hash: String, now: DateTime<Utc>) -> Result<NewAccessKey, KeyError> {
    let name = asked.name.trim();
    let bad = |pointer, detail: String| Err(KeyError::Bad { pointer, detail });
    if name.is_empty() || name.chars().count() > NAME_LENGTH_MAX || name.chars().any(char::is_control) {
        let detail =
            format!("a key's name has 1 to {NAME_LENGTH_MAX} characters, none of them a control character");
        return bad("/name", detail);
    }
    if let Some(end) = asked.expires_at.filter(|end| *end <= now) {
        return bad("/expires_at", format!("{end} is past; name a time to come, or leave it out"));
    }
    let role = asked.role.word().to_owned();
    Ok(NewAccessKey { name: name.to_owned(), role, hash, expires_at: asked.expires_at })
}

fn sheet(key: AccessKey, now: DateTime<Utc>) -> Result<KeySheet, KeyError> {
    let bad = || StoreError::BadRow { table: "access_keys", column: "role".to_owned() };
    let role = Role::from_word(&key.role).ok_or_else(bad)?;
    let state = if key.revoked.is_some() {
        KeyState::Revoked
    } else if key.expires_at.is_some_and(|end| end <= now) {
        KeyState::Expired
    } else {
        KeyState::Valid
    };
    let (revoked_at, revoked_by) = key.revoked.unzip();
    Ok(KeySheet {
        number: key.number,
        name: key.name,
        role,
        state,
        created_at: key.created_at,
        created_by: key.created_by,
        expires_at: key.expires_at,
        revoked_at,
        revoked_by,
        last_used_on: key.last_used_on,
    })
}

/// A key with its hash.
fn new_secret() -> Result<(String, String), KeyError> {
    let mut bytes = [0; SECRET_BYTES];
    getrandom::fill(&mut bytes).map_err(KeyError::Random)?;
    let secret = format!("{SECRET_PREFIX}{}", hexadecimal(&bytes));
    let hash = hash_of(&secret);
    Ok((secret, hash))
}

fn hash_of(secret: &str) -> String {
    hexadecimal(&Sha256::digest(secret.as_bytes()))
}

fn hexadecimal(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use chrono::TimeDelta;

    use super::*;

    async fn shop() -> Shop {
        Shop::open("sqlite::memory:").await.unwrap()
    }

    fn asked(name: &str, role: Role) -> AskedKey {
        AskedKey { name: name.to_owned(), role, expires_at: None }
    }

    #[tokio::test]
    async fn a_key_opens_until_it_is_revoked_or_expires() {
        let shop = shop().await;
        let owner = create_first_key(&shop).await.unwrap().unwrap();
        assert!(create_first_key(&shop).await.unwrap().is_none());
        let bench = create_key(&shop, &asked(" bench one ", Role::Bench)).await.unwrap();
        assert_eq!((bench.sheet.number.as_str(), bench.sheet.name.as_str()), ("K-000002", "bench one"));
        let carrier = recognise(&shop, &bench.secret).await.unwrap().unwrap();
        assert_eq!((carrier.role, carrier.caller().name.as_str()), (Role::Bench, "bench one"));
        note_use(&shop, &carrier).await.unwrap();
        let shown = show_key(&shop, "K-000002").await.unwrap();
        assert_eq!(shown.last_used_on, Some(Utc::now().date_naive()));
        assert!(matches!(revoke_key(&shop, "K-000002", |_| false).await, Err(KeyError::Stale)));
        revoke_key(&shop, "K-000002", |_| true).await.unwrap();
        let refused = recognise(&shop, &bench.secret).await.unwrap();
        assert_eq!(refused, Err(Refused::Revoked("K-000002".to_owned())));
        let again = revoke_key(&shop, "K-000002", |_| true).await;
        assert!(matches!(again, Err(KeyError::Store(StoreError::KeyRevoked(_)))), "{again:?}");
        assert_eq!(recognise(&shop, &format!("{}0", owner.secret)).await.unwrap(), Err(Refused::Unknown));
        let past =
            AskedKey { expires_at: Some(Utc::now() - TimeDelta::days(1)), ..asked("x", Role::Counter) };
        assert!(matches!(create_key(&shop, &past).await, Err(KeyError::Bad { pointer: "/expires_at", .. })));
    }

    #[tokio::test]
    async fn the_last_owners_key_stays_and_names_are_not_shared() {
        let shop = shop().await;
        let first = create_first_key(&shop).await.unwrap().unwrap();
        let last = revoke_key(&shop, &first.sheet.number, |_| true).await;
        assert!(matches!(last, Err(KeyError::Store(StoreError::LastOwnerKey(_)))), "{last:?}");
        let taken = create_key(&shop, &asked(FIRST, Role::Bench)).await;
        assert!(matches!(taken, Err(KeyError::Store(StoreError::KeyNameTaken { .. }))), "{taken:?}");
        let other = replace_key(&shop, &asked(FIRST, Role::Owner)).await.unwrap();
        assert!(recognise(&shop, &other.secret).await.unwrap().is_ok());
        assert!(recognise(&shop, &first.secret).await.unwrap().is_err());
        for wrong in ["", "  ", "a\nb", &"x".repeat(81)] {
            let refused = create_key(&shop, &asked(wrong, Role::Bench)).await;
            assert!(matches!(refused, Err(KeyError::Bad { pointer: "/name", .. })), "{wrong}");
        }
    }

    #[test]
    fn a_key_is_256_random_bits_and_its_hash_is_sha_256() {
        let (one, hash) = new_secret().unwrap();
        let (other, _) = new_secret().unwrap();
        assert_ne!(one, other);
        assert_eq!((one.len(), hash.len()), (SECRET_PREFIX.len() + 64, 64));
        // FIPS 180-4, example of one block: SHA-256 of "abc".
        assert_eq!(hash_of("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
