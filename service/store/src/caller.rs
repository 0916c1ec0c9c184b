//! In whose hands the store is.

/// Who works with the store, as papers and the audit name them.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caller {
    /// The number of the key that was shown; `None`: somebody at the database itself, who needs no key.
    pub key: Option<String>,
    /// The name of that key, or of the place at which somebody sits.
    pub name: String,
}

impl Caller {
    /// Somebody at the terminal of the machine that the database is open on.
    pub fn at_the_terminal() -> Self {
        Self { key: None, name: "terminal".to_owned() }
    }
}
