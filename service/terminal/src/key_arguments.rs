//! What can be asked of keys on the command line.

use clap::{Args, Subcommand};

use crate::arguments::WhereArguments;

/// What to do with keys.
#[derive(Debug, Clone, Args)]
pub struct KeysArguments {
    /// What to do.
    #[command(subcommand)]
    pub command: KeysCommand,
}

/// What to do with keys.
#[derive(Debug, Clone, Subcommand)]
pub enum KeysCommand {
    /// Make a key and print it this once.
    Create(KeyCreateArguments),
    /// List the keys: who carries them, what they open, when they were last used.
    List(KeyListArguments),
    /// Revoke a key, at once and for good.
    Revoke(KeyRevokeArguments),
}

/// A key that is to be made.
#[derive(Debug, Clone, Args)]
pub struct KeyCreateArguments {
    /// What it opens: counter, bench, stores, data_keeper, ordering_system, owner.
    #[arg(long)]
    pub role: String,
    /// Who or what will carry it; papers and the audit name it.
    #[arg(long)]
    pub name: String,
    /// The day from which on it opens nothing any more (UTC); left out: it does not end by itself.
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub expires: Option<String>,
    /// Where it is made.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which keys are listed.
#[derive(Debug, Clone, Args)]
pub struct KeyListArguments {
    /// Where they are kept.
    #[command(flatten)]
    pub place: WhereArguments,
}

/// Which key is revoked.
#[derive(Debug, Clone, Args)]
pub struct KeyRevokeArguments {
    /// The key's number, such as K-000001.
    pub number: String,
    /// Where it is kept.
    #[command(flatten)]
    pub place: WhereArguments,
}
