//! Customers.

use crate::key::Code;

sheet! {
    /// Who brings work to the shop.
    pub struct Customer in "customers", Price, key(customer) {
        /// Short code.
        customer: Code,
        /// Full name.
        name: String,
        /// The tax that is put on their quotes; empty: the shop's usual one.
        tax: Option<Code>,
    }
}
