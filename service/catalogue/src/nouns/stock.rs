//! What lies on the shelf.

use crate::key::{Code, Mark, PartKey};
use crate::money::Money;
use crate::quantity::Quantity;

sheet! {
    /// A count of what lies in a bin. Importing it books the difference to the ledger as adjustments.
    pub struct Stock in "stock", Stock, key(bin, part, mark) {
        /// The bin.
        bin: Code,
        /// The part.
        part: PartKey,
        /// The mark etched on a matched set; empty: none.
        mark: Mark,
        /// How many lie there.
        quantity: Quantity [not_negative],
        /// Carrying value of one piece in the base currency.
        carrying_value: Money [not_negative],
    }
    references { (bin) => bins(bin), (part) => parts(part) }
}
