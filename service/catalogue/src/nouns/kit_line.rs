//! Contents of kits.

use crate::key::{Code, PartKey};
use crate::quantity::Quantity;

sheet! {
    /// One line of a kit's list: a part, or another kit.
    pub struct KitLine in "kit_lines", Structure, key(kit, line) {
        /// The kit.
        kit: PartKey,
        /// Number of the line.
        line: i64 [positive],
        /// What lies in the box.
        part: PartKey,
        /// How many.
        quantity: Quantity [positive],
        /// Lines of one group are sizes of which a job uses one; all of them lie in the box. Empty: no option.
        option_group: Option<Code>,
    }
    references { (kit) => parts(part), (part) => parts(part) }
}
