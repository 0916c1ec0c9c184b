//! What can go wrong when something is looked up by what a person wrote.

use catalogue::key::KeyFault;
use store::StoreError;

/// Why a code or number as written leads nowhere.
#[derive(Debug, thiserror::Error)]
pub enum LookupError {
    /// The text can be no code.
    #[error("`{written}` is no {what}: it {fault}")]
    Malformed {
        /// What it should be.
        what: &'static str,
        /// The text.
        written: String,
        /// What is wrong with it.
        fault: KeyFault,
    },
    /// There is no such unit.
    #[error("there is no unit `{written}`{}", did_you_mean(closest))]
    Unit {
        /// The code as written.
        written: String,
        /// The closest codes.
        closest: Vec<String>,
    },
    /// There is no such vehicle.
    #[error("there is no vehicle `{written}`{}", did_you_mean(closest))]
    Vehicle {
        /// The code as written.
        written: String,
        /// The closest codes.
        closest: Vec<String>,
    },
    /// There is no such part.
    #[error("there is no part `{written}`{}", did_you_mean(closest))]
    Part {
        /// The number as written.
        written: String,
        /// The closest numbers, with their makers.
        closest: Vec<String>,
    },
    /// Several makers use the number.
    #[error("several makers use the number `{written}`: write one of {}", makers.join(", "))]
    PartOfSeveral {
        /// The number as written.
        written: String,
        /// The parts that have it, with their makers.
        makers: Vec<String>,
    },
    /// The store failed.
    #[error(transparent)]
    Store(#[from] StoreError),
}

impl LookupError {
    /// What may have been meant.
    pub fn suggestions(&self) -> Vec<String> {
        match self {
            Self::Unit { closest, .. } | Self::Vehicle { closest, .. } | Self::Part { closest, .. } => {
                closest.clone()
            }
            Self::PartOfSeveral { makers, .. } => makers.clone(),
            Self::Malformed { .. } | Self::Store(_) => Vec::new(),
        }
    }
}

/// The end of a sentence that names the nearest thing, if there is one.
pub(crate) fn did_you_mean(closest: &[String]) -> String {
    closest.first().map_or(String::new(), |first| format!("; did you mean `{first}`?"))
}
