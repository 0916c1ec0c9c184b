//! What the check reads.

use catalogue::{
    Candidate, Companion, Customer, ExchangeRate, Feature, FitStatement, Fluid, Joint, KitLine, OutsideWork,
    Part, Position, Price, PriceRule, Setting, Stock, Supersession, SupersessionNeed, Supplier, TaxRate,
    Unit, Variant, WeakPoint,
};

/// All rows of the sheets that the check reads, in any order.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct CatalogueRows {
    /// Parts.
    pub parts: Vec<Part>,
    /// Features of parts.
    pub features: Vec<Feature>,
    /// Units.
    pub units: Vec<Unit>,
    /// Variants of units.
    pub variants: Vec<Variant>,
    /// Positions.
    pub positions: Vec<Position>,
    /// Candidates for positions.
    pub candidates: Vec<Candidate>,
    /// Joints.
    pub joints: Vec<Joint>,
    /// Makers' statements.
    pub fit_statements: Vec<FitStatement>,
    /// Companions.
    pub companions: Vec<Companion>,
    /// Contents of kits.
    pub kit_lines: Vec<KitLine>,
    /// Notices.
    pub supersessions: Vec<Supersession>,
    /// What notices need.
    pub supersession_needs: Vec<SupersessionNeed>,
    /// Fluids and sealants of operations.
    pub fluids: Vec<Fluid>,
    /// Outside work.
    pub outside_work: Vec<OutsideWork>,
    /// Weak points.
    pub weak_points: Vec<WeakPoint>,
    /// Suppliers.
    pub suppliers: Vec<Supplier>,
    /// Prices.
    pub prices: Vec<Price>,
    /// Exchange rates.
    pub exchange_rates: Vec<ExchangeRate>,
    /// Tax rates.
    pub tax_rates: Vec<TaxRate>,
    /// Customers.
    pub customers: Vec<Customer>,
    /// Price rules.
    pub price_rules: Vec<PriceRule>,
    /// Settings.
    pub settings: Vec<Setting>,
    /// What lies on the shelf.
    pub stock: Vec<Stock>,
}
