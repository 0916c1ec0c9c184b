//! What the bench needs at a position.

use crate::key::{Code, UnitKey};
use crate::measure::UnitOfMeasure;

choice! {
    /// What sort of value it is.
    pub enum BenchKind {
        /// A dimension with a wear limit.
        WearLimit = "wear_limit",
        /// A tightening torque.
        Torque = "torque",
        /// Thicknesses of shims to choose from, from the least to the most.
        ShimSeries = "shim_series",
        /// End float of a shaft.
        EndFloat = "end_float",
        /// Preload of bearings, as rotating torque.
        Preload = "preload",
        /// Backlash of a gear pair.
        Backlash = "backlash",
    }
}

sheet! {
    /// A value the bench needs at a position: a limit, a torque, a shim series.
    pub struct BenchValue in "bench_values", Structure, key(unit, position, bench_value) {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// Short code of the value.
        bench_value: Code,
        /// What sort of value it is.
        kind: BenchKind,
        /// What it is called.
        name: String,
        /// Unit of the figures (UN/ECE Rec 20).
        measure: UnitOfMeasure,
        /// Least value when new or after setting up.
        minimum: Option<f64>,
        /// Greatest value when new or after setting up.
        maximum: Option<f64>,
        /// The worn part is renewed beyond this; a value on the limit is still good.
        wear_limit: Option<f64>,
        /// Step between shims of a series.
        step: Option<f64> [positive],
    }
    references { (unit, position) => positions(unit, position) }
}

sheet! {
    /// What is renewed when a bench value is past its wear limit, where that is not its own position alone.
    pub struct BenchRenewal in "bench_renewals", Structure, key(unit, position, bench_value, renews) {
        /// The unit.
        unit: UnitKey,
        /// The position that is measured.
        position: Code,
        /// The value that is measured.
        bench_value: Code,
        /// A position that is renewed.
        renews: Code,
    }
    references {
        (unit, position, bench_value) => bench_values(unit, position, bench_value),
        (unit, renews) => positions(unit, position)
    }
}
