//! Suppliers.

use crate::key::Code;
use crate::money::{Currency, Money};

sheet! {
    /// Who sells parts to the shop, or does work outside it.
    pub struct Supplier in "suppliers", Price, key(supplier) {
        /// Short code.
        supplier: Code,
        /// Full name.
        name: String,
        /// Currency of the order cost.
        currency: Currency,
        /// Fixed cost of one order (freight, handling), whatever it holds.
        order_cost: Money [not_negative],
    }
}
