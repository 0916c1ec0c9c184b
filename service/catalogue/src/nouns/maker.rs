//! Makers.

use crate::key::Code;

sheet! {
    /// Who makes parts, units or vehicles.
    pub struct Maker in "makers", Structure, key(maker) {
        /// Short code, the first half of every part reference.
        maker: Code,
        /// Full name.
        name: String,
    }
}
