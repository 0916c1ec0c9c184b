//! Shelf minimums.

use crate::key::{Code, PartKey};
use crate::quantity::Quantity;

sheet! {
    /// The least of a part that the shelf should hold. Where what is available and what is on order for the shelf fall
    /// below it, a reorder is proposed.
    pub struct Minimum in "minimums", Price, key(part) {
        /// The part.
        part: PartKey,
        /// The bin that is counted; empty: all bins together.
        bin: Option<Code>,
        /// The least that should be there.
        minimum: Quantity [positive],
        /// How many should be there after a reorder; empty: the minimum.
        order_up_to: Option<Quantity> [positive],
    }
    references { (part) => parts(part), (bin) => bins(bin) }
}
