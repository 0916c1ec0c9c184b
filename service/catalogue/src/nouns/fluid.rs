//! Fluids and sealants.

use crate::key::{Code, PartKey, UnitKey};
use crate::quantity::Quantity;

sheet! {
    /// A fluid or sealant that an operation uses, by grade and quantity.
    pub struct Fluid in "fluids", Structure, key(unit, operation, part) {
        /// The unit.
        unit: UnitKey,
        /// The operation.
        operation: Code,
        /// The product.
        part: PartKey,
        /// How much, in the product's unit of measure.
        quantity: Quantity [positive],
        /// The grade that the unit's maker asks for.
        grade: String,
        /// What it is for.
        purpose: String,
    }
    references { (unit, operation) => operations(unit, operation), (part) => parts(part) }
}
