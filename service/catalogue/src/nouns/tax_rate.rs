//! Taxes.

use chrono::NaiveDate;

use crate::key::Code;
use crate::quantity::Percent;

sheet! {
    /// What a tax takes from a day on.
    pub struct TaxRate in "tax_rates", Price, key(tax, valid_from) {
        /// Code of the tax.
        tax: Code,
        /// First day of the rate.
        valid_from: NaiveDate,
        /// Per cent of the sum of net lines.
        rate: Percent [not_negative],
        /// What it is called.
        name: String,
    }
}
