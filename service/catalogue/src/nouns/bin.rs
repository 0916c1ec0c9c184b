//! Bins.

use crate::key::Code;

sheet! {
    /// A place on the shelf.
    pub struct Bin in "bins", Stock, key(bin) {
        /// Short code.
        bin: Code,
        /// Where it is.
        name: String,
    }
}
