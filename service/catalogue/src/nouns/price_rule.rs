//! Price rules.

use crate::key::Code;
use crate::quantity::Percent;

sheet! {
    /// What is put on the cost to make a customer's price. Of the rules that match a line, the one with the most
    /// conditions holds; of those the first by code.
    pub struct PriceRule in "price_rules", Price, key(rule) {
        /// Code of the rule.
        rule: Code,
        /// The customer it is for; empty: all.
        customer: Option<Code>,
        /// The price group it is for; empty: all.
        price_group: Option<Code>,
        /// The supplier whose parts it is for; empty: all.
        supplier: Option<Code>,
        /// Per cent put on the cost.
        markup: Percent [not_negative],
    }
    references { (customer) => customers(customer), (supplier) => suppliers(supplier) }
}
