//! What the customer pays, line by line.

use catalogue::{Code, Currency, Money, PartKey, Percent, Quantity};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// What the customer pays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CustomerPrice {
    /// The currency of all amounts.
    pub currency: Currency,
    /// The lines.
    pub lines: Vec<PriceLine>,
    /// Sum of the net lines, deposits apart.
    #[schema(value_type = String)]
    pub net: Money,
    /// The taxes.
    pub taxes: Vec<TaxLine>,
    /// Deposits, given back for the old parts; not taxed.
    #[schema(value_type = String)]
    pub deposits: Money,
    /// What is to be paid.
    #[schema(value_type = String)]
    pub total: Money,
    /// Last day on which the price holds.
    pub valid_until: NaiveDate,
}

choice! {
    /// What a price line is for.
    pub enum PriceLineKind {
        /// A kit.
        Kit = "kit",
        /// A part bought loose.
        Part = "part",
        /// A part off the shelf.
        Stock = "stock",
        /// Surplus that the shop does not keep.
        Surplus = "surplus",
        /// Work outside.
        OutsideWork = "outside_work",
        /// Labour in the shop.
        Labour = "labour",
        /// Freight and handling of the orders.
        Freight = "freight",
    }
}

/// One line of the customer's price.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PriceLine {
    /// What it is for.
    pub kind: PriceLineKind,
    /// In words.
    pub text: String,
    /// The part or kit.
    pub part: Option<PartKey>,
    /// How many, in the part's unit, or hours.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// What it costs the shop, in the base currency.
    #[schema(value_type = String)]
    pub cost: Money,
    /// Per cent put on it.
    #[schema(value_type = String)]
    pub markup: Percent,
    /// The rule that says so; empty: none matches.
    pub rule: Option<Code>,
    /// What the customer pays before tax.
    #[schema(value_type = String)]
    pub net: Money,
}

/// One tax.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct TaxLine {
    /// The tax.
    pub tax: Code,
    /// Its rate.
    #[schema(value_type = String)]
    pub rate: Percent,
    /// On what.
    #[schema(value_type = String)]
    pub net: Money,
    /// How much, rounded once.
    #[schema(value_type = String)]
    pub amount: Money,
}
