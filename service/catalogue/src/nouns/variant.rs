//! Variants of a unit.

use chrono::NaiveDate;

use crate::key::{Code, UnitKey};

sheet! {
    /// One way in which a unit was built. Exactly one variant of each option group holds for a given unit; serial number
    /// and build date settle it where the variant gives a range, otherwise it must be seen or measured.
    pub struct Variant in "variants", Structure, key(unit, variant) {
        /// The unit.
        unit: UnitKey,
        /// Short code, named by positions and candidates that exist only in this variant.
        variant: Code,
        /// The group of variants of which one holds.
        option_group: Code,
        /// What a person calls it.
        name: String,
        /// First serial number; empty: open.
        serial_from: Option<i64> [not_negative],
        /// Last serial number; empty: open.
        serial_to: Option<i64> [not_negative],
        /// First day built; empty: open.
        built_from: Option<NaiveDate>,
        /// Last day built; empty: open.
        built_to: Option<NaiveDate>,
        /// How to tell on the bench: what to look at or measure.
        how_to_tell: Option<String>,
    }
    references { (unit) => units(unit) }
}
