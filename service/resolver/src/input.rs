//! Everything one answer follows from.

use catalogue::{PriceBook, Snapshot, StockView, sort_by_key};
use serde::{Deserialize, Serialize};

use crate::request::Request;

/// The frozen input of an answer: the same input gives the same bytes with the same engine.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Input {
    /// What is asked.
    pub request: Request,
    /// What the units can reach.
    pub snapshot: Snapshot,
    /// What things cost.
    pub prices: PriceBook,
    /// What lies on the shelf.
    pub stock: StockView,
}

impl Input {
    /// The same input with its rows in the order that the resolver reads them in, each list by its key. A store's rows stand so
    /// already; those of a file that somebody touched may not.
    #[must_use]
    pub fn in_order(mut self) -> Self {
        // Destructured, so that a new list cannot be forgotten here. Units stand in the order asked for.
        let Snapshot {
            structure_revision: _,
            units: _,
            vehicles,
            engine_points,
            vehicle_units,
            makers,
            parts,
            features,
            variants,
            positions,
            bench_values,
            bench_renewals,
            candidates,
            set_positions,
            joints,
            fit_statements,
            companions,
            kit_lines,
            supersessions,
            supersession_needs,
            operations,
            operation_scope,
            fluids,
            outside_work,
            weak_points,
            cautions,
        } = &mut self.snapshot;
        let PriceBook {
            price_revision: _,
            suppliers,
            prices,
            exchange_rates,
            tax_rates,
            customers,
            price_rules,
            settings,
        } = &mut self.prices;
        macro_rules! sort {
            ($($list:ident),+ $(,)?) => {{ $(sort_by_key($list);)+ }};
        }
        sort!(
            vehicles,
            engine_points,
            vehicle_units,
            makers,
            parts,
            features,
            variants,
            positions,
            bench_values,
            bench_renewals,
            candidates,
            set_positions,
            joints,
            fit_statements,
            companions,
            kit_lines,
            supersessions,
            supersession_needs,
            operations,
            operation_scope,
            fluids,
            outside_work,
            weak_points,
            cautions,
            suppliers,
            prices,
            exchange_rates,
            tax_rates,
            customers,
            price_rules,
            settings,
        );
        self.stock.lots.sort_by(|one, other| {
            (&one.part, &one.bin, &one.mark).cmp(&(&other.part, &other.bin, &other.mark))
        });
        self
    }
}
