//! How a command ended.

use std::process::ExitCode;

/// How a command ended that did what it was there for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ended {
    /// All is well.
    Well,
    /// What was asked was refused, or something is wrong with what was looked at; it was told why.
    Badly,
}

impl From<Ended> for ExitCode {
    fn from(ended: Ended) -> Self {
        match ended {
            Ended::Well => Self::SUCCESS,
            Ended::Badly => Self::FAILURE,
        }
    }
}
