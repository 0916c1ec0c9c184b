//! Prices.

use chrono::NaiveDate;

use crate::key::{Code, PartKey};
use crate::money::{Currency, Money};
use crate::quantity::Quantity;

sheet! {
    /// What a supplier asks for a part or kit from a quantity on.
    pub struct Price in "prices", Price, key(supplier, part, quantity_from, valid_from) {
        /// The supplier.
        supplier: Code,
        /// The part or kit.
        part: PartKey,
        /// The quantity from which this price holds for all pieces.
        quantity_from: Quantity [positive],
        /// First day of validity.
        valid_from: NaiveDate,
        /// Last day of validity; empty: open.
        valid_to: Option<NaiveDate>,
        /// The currency.
        currency: Currency,
        /// Price of one, in the part's unit of measure.
        price: Money [not_negative],
        /// Sold in multiples of this quantity.
        pack: Quantity [positive],
        /// Least quantity of an order.
        minimum: Quantity [positive],
        /// Days until it is here.
        lead_days: i64 [not_negative],
        /// Deposit on each piece, given back for the old part; empty: none.
        deposit: Option<Money> [not_negative],
    }
    references { (supplier) => suppliers(supplier), (part) => parts(part) }
}
