//! What is to be covered, from what, and in which order the aims count.

/// What is needed, what can be bought, and the order of the aims.
///
/// Money is in 1/10,000 of the base currency, quantities are pieces, lead times whole days. Everything refers to
/// everything else by its index in these lists.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// The parts that needs accept and offers bring.
    pub parts: Vec<Part>,
    /// Who sells.
    pub suppliers: Vec<Supplier>,
    /// What can be bought: loose parts and kits.
    pub offers: Vec<Offer>,
    /// At least one. One purchase serves every branch; choices, fitting and stock used may differ by branch.
    pub branches: Vec<Branch>,
    /// How free stock is used.
    pub policy: StockPolicy,
    /// What counts, the most important first. Each aim is made least, then kept while the next is made least.
    pub aims: Vec<Aim>,
}

/// A part number.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Part {
    /// Pieces on the shelf that nothing else has reserved.
    pub free_stock: i64,
    /// What one piece from the shelf is carried at.
    pub carrying_value: i64,
    /// What one surplus piece is credited at; normally 0.
    pub credit: i64,
}

/// A supplier.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Supplier {
    /// What falls once if anything is bought there.
    pub fixed_cost: i64,
}

/// A loose part or a kit as one supplier sells it.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Offer {
    /// Index of the supplier.
    pub supplier: usize,
    /// What one unit brings: part and pieces, at least one pair. A loose part is one pair with one piece.
    pub contents: Vec<(usize, i64)>,
    /// Units are sold in multiples of this, at least 1.
    pub pack: i64,
    /// The least number of units that is sold, 0 for none.
    pub minimum: i64,
    /// Prices by quantity, rising in `from`, the first from 0 or 1. The tier a quantity reaches prices all units.
    pub tiers: Vec<Tier>,
    /// The most units that can be had, `None` for no limit.
    pub available: Option<i64>,
    /// Days until it is here.
    pub lead_days: u32,
    /// Whether this is a kit: alternatives differ by the kits bought, not by loose purchases.
    pub is_kit: bool,
}

/// A price from a quantity on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tier {
    /// The units from which the price holds.
    pub from: i64,
    /// The price of each unit.
    pub price: i64,
}

/// One way the unknowns may turn out.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Branch {
    /// What is needed whatever is chosen.
    pub needs: Vec<Need>,
    /// Open choices, exactly one value of each holds.
    pub choices: Vec<Choice>,
    /// Which values of the choices go together.
    pub tables: Vec<Table>,
}

/// A quantity of pieces and the parts that serve.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Need {
    /// Pieces needed.
    pub quantity: i64,
    /// The parts that serve; the quantity may be split over them.
    pub accepts: Vec<usize>,
}

/// An open choice.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Choice {
    /// The values, at least one.
    pub values: Vec<ChoiceValue>,
}

/// One value of a choice.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ChoiceValue {
    /// What is needed if this value holds.
    pub needs: Vec<Need>,
    /// Cash it costs besides what is bought, such as outside work.
    pub cash: i64,
}

/// The allowed combinations of some choices.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Table {
    /// Indices of the choices of the branch.
    pub scope: Vec<usize>,
    /// Allowed combinations: one value index for each choice of the scope.
    pub tuples: Vec<Vec<usize>>,
}

/// How free stock is used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum StockPolicy {
    /// Of each part fitted, free stock is used before anything bought, even where a kit brings the part anyway.
    #[default]
    First,
    /// Stock competes with purchases; which comes cheaper is for the aims to say.
    Value,
    /// Stock is left alone.
    None,
}

/// One aim. All are made as small as possible; what may differ by branch counts at its worst branch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Aim {
    /// Prices, suppliers' fixed costs and the cash of choices, less the credit for surplus.
    Cash,
    /// Cash and the carrying value of the stock used.
    JobCost,
    /// Pieces bought that are not fitted.
    Surplus,
    /// The longest lead time of what is bought; 0 if nothing is.
    Days,
    /// The number of suppliers something is bought from.
    Suppliers,
}
