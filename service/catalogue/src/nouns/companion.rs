//! Companions.

use crate::key::PartKey;
use crate::quantity::Quantity;

sheet! {
    /// What must come along with each piece of a part that is newly fitted.
    pub struct Companion in "companions", Structure, key(part, companion) {
        /// The part.
        part: PartKey,
        /// What comes along.
        companion: PartKey,
        /// How many for each piece of the part.
        quantity: Quantity [positive],
    }
    references { (part) => parts(part), (companion) => parts(part) }
}
