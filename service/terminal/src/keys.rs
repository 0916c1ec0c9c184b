//! `crownwheel keys`: keys that requests to the service carry.

use chrono::NaiveTime;
use operations::access_keys::{AskedKey, KeySheet, NewKey};
use operations::role::Role;
use serde::Deserialize;

use crate::failure::Failure;
use crate::key_arguments::{
    KeyCreateArguments, KeyListArguments, KeyRevokeArguments, KeysArguments, KeysCommand,
};
use crate::output::say;
use crate::quote::read;
use crate::quote_request::day;
use crate::source::Source;
use crate::wrapped_table::{WrappedTable, terminal_width};

/// Does what is asked of keys.
pub(crate) async fn keys(arguments: &KeysArguments) -> Result<(), Failure> {
    match &arguments.command {
        KeysCommand::Create(arguments) => create(arguments).await,
        KeysCommand::List(arguments) => list(arguments).await,
        KeysCommand::Revoke(arguments) => revoke(arguments).await,
    }
}

async fn create(arguments: &KeyCreateArguments) -> Result<(), Failure> {
    let role = Role::from_word(&arguments.role).ok_or_else(|| {
        let words = Role::WORDS.join(", ");
        Failure::command_line(format!("--role: `{}` is not known; write one of {words}", arguments.role))
    })?;
    let end = arguments.expires.as_deref().map(|text| day(text, "--expires")).transpose()?;
    let expires_at = end.map(|day| day.and_time(NaiveTime::MIN).and_utc());
    let asked = AskedKey { name: arguments.name.clone(), role, expires_at };
    let text = Source::open_to_write(&arguments.place).await?.create_key(&asked).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    say(&made(&read(&text)?))
}

/// A key that was just made, with the advice to keep it.
pub fn made(key: &NewKey) -> String {
    format!(
        "{} for the role {}, \"{}\". The key is shown this once and kept nowhere:\n\n{}\n",
        key.sheet.number,
        key.sheet.role.in_words(),
        key.sheet.name,
        key.secret
    )
}

async fn list(arguments: &KeyListArguments) -> Result<(), Failure> {
    let text = Source::open(&arguments.place).await?.keys().await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let listed: Items = read(&text)?;
    let mut table = WrappedTable::new(&["key", "name", "role", "state", "made", "ends", "last used"]);
    let or_none = |day: Option<String>| day.unwrap_or_else(|| "-".to_owned());
    for key in &listed.items {
        table.row([
            key.number.clone(),
            key.name.clone(),
            key.role.in_words().to_owned(),
            key.state.word().to_owned(),
            key.created_at.format("%Y-%m-%d").to_string(),
            or_none(key.expires_at.map(|end| end.format("%Y-%m-%d").to_string())),
            or_none(key.last_used_on.map(|day| day.to_string())),
        ]);
    }
    if table.is_empty() { say("There is no key.\n") } else { say(&table.text(terminal_width())) }
}

/// A piece of a list.
#[derive(Deserialize)]
struct Items {
    items: Vec<KeySheet>,
}

async fn revoke(arguments: &KeyRevokeArguments) -> Result<(), Failure> {
    let text = Source::open(&arguments.place).await?.revoke_key(&arguments.number).await?;
    if arguments.place.json {
        return say(&format!("{text}\n"));
    }
    let key: KeySheet = read(&text)?;
    say(&format!("{} \"{}\" is revoked and opens nothing any more.\n", key.number, key.name))
}
