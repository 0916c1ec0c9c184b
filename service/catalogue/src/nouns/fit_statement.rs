//! Makers' statements on fit.

use chrono::NaiveDate;

use crate::key::{Code, PartKey};

choice! {
    /// What a maker says.
    pub enum StatedVerdict {
        /// The two go together.
        Fits = "fits",
        /// The two do not go together.
        DoesNotFit = "does_not_fit",
    }
}

sheet! {
    /// What a maker says of two parts together.
    pub struct FitStatement in "fit_statements", Structure, key(maker, part_a, part_b) {
        /// Who says it.
        maker: Code,
        /// One part.
        part_a: PartKey,
        /// The other part.
        part_b: PartKey,
        /// What is said.
        verdict: StatedVerdict,
        /// Where it is said.
        document: String,
        /// When it was said.
        stated_on: NaiveDate,
    }
    references { (maker) => makers(maker), (part_a) => parts(part), (part_b) => parts(part) }
}
