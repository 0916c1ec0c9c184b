//! Work done outside the shop.

use crate::key::{Code, UnitKey};
use crate::money::{Currency, Money};
use crate::nouns::weak_point::Grade;

sheet! {
    /// Work that goes out of the shop: machining, cleaning, balancing.
    pub struct OutsideWork in "outside_work", Structure, key(unit, work) {
        /// The unit.
        unit: UnitKey,
        /// Short code of the work.
        work: Code,
        /// What it is called.
        name: String,
        /// The operation that calls for it; empty: any.
        operation: Option<Code>,
        /// The position whose finding calls for it; empty: the operation alone does.
        position: Option<Code>,
        /// The finding that calls for it.
        finding: Option<Grade>,
        /// Who does it.
        supplier: Code,
        /// What it costs.
        price: Money [not_negative],
        /// In which currency.
        currency: Currency,
        /// Days until it is back.
        lead_days: i64 [not_negative],
    }
    references {
        (unit) => units(unit),
        (unit, operation) => operations(unit, operation),
        (unit, position) => positions(unit, position),
        (supplier) => suppliers(supplier)
    }
}
