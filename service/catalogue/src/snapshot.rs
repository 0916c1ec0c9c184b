//! What one answer is made from: immutable rows, as a store hands them over and as a stored quote freezes them.

use serde::{Deserialize, Serialize};

use crate::key::{Code, Mark, PartKey};
use crate::money::Money;
use crate::nouns::*;
use crate::quantity::Quantity;

/// Everything that one or more units can reach, each list sorted by its key.
///
/// Reached are the units' own rows; the parts that may stand at a position, all their ancestors and successors,
/// companions, the kits that hold any of them and all that lies in those kits; and the features and statements of the
/// parts so reached.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Snapshot {
    /// The structure revision the rows were read at.
    pub structure_revision: i64,
    /// The units, in the order asked for.
    pub units: Vec<Unit>,
    /// Vehicles that carry any of the units.
    pub vehicles: Vec<Vehicle>,
    /// Engine curves of the vehicles.
    pub engine_points: Vec<EnginePoint>,
    /// Which unit does what in the vehicles.
    pub vehicle_units: Vec<VehicleUnit>,
    /// Makers of the parts.
    pub makers: Vec<Maker>,
    /// Parts reached.
    pub parts: Vec<Part>,
    /// Features of the parts.
    pub features: Vec<Feature>,
    /// Variants of the units.
    pub variants: Vec<Variant>,
    /// Positions of the units.
    pub positions: Vec<Position>,
    /// Bench values of the units.
    pub bench_values: Vec<BenchValue>,
    /// What bench values past their limit renew.
    pub bench_renewals: Vec<BenchRenewal>,
    /// Candidates of the positions.
    pub candidates: Vec<Candidate>,
    /// Positions that sets fill together.
    pub set_positions: Vec<SetPosition>,
    /// Joints in and between the units; a joint into a unit that was not asked for is left out.
    pub joints: Vec<Joint>,
    /// Statements on the parts.
    pub fit_statements: Vec<FitStatement>,
    /// Companions of the parts.
    pub companions: Vec<Companion>,
    /// Lines of the kits.
    pub kit_lines: Vec<KitLine>,
    /// Notices on the parts.
    pub supersessions: Vec<Supersession>,
    /// What the notices need, in the units asked for.
    pub supersession_needs: Vec<SupersessionNeed>,
    /// Operations of the units.
    pub operations: Vec<Operation>,
    /// What they do to positions.
    pub operation_scope: Vec<OperationScope>,
    /// Fluids of the operations.
    pub fluids: Vec<Fluid>,
    /// Outside work on the units.
    pub outside_work: Vec<OutsideWork>,
    /// Weak points of the units.
    pub weak_points: Vec<WeakPoint>,
    /// Cautions that speak of the units or of all.
    pub cautions: Vec<Caution>,
}

/// What things cost: the prices of the parts of a snapshot, and the shop's rules.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct PriceBook {
    /// The price revision the rows were read at.
    pub price_revision: i64,
    /// All suppliers.
    pub suppliers: Vec<Supplier>,
    /// Prices of the parts, expired ones among them.
    pub prices: Vec<Price>,
    /// All exchange rates.
    pub exchange_rates: Vec<ExchangeRate>,
    /// All tax rates.
    pub tax_rates: Vec<TaxRate>,
    /// The customer asked for.
    pub customers: Vec<Customer>,
    /// All price rules for that customer or for any.
    pub price_rules: Vec<PriceRule>,
    /// The shop's settings.
    pub settings: Vec<Setting>,
}

/// What lies on the shelf and is not spoken for.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct StockView {
    /// The ledger sequence the balances were read at.
    pub ledger_sequence: i64,
    /// Lots of the parts of a snapshot, by part, bin and mark.
    pub lots: Vec<StockLot>,
}

/// Pieces of one part in one bin.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StockLot {
    /// The part.
    pub part: PartKey,
    /// The bin.
    pub bin: Code,
    /// The mark etched on a matched set.
    pub mark: Mark,
    /// What lies there.
    pub quantity: Quantity,
    /// What of it is reserved for jobs.
    pub reserved: Quantity,
    /// Carrying value of one piece in the base currency.
    pub carrying_value: Money,
}
