//! Why a counted piece was taken or not: facts; their words are made in [`crate::explain`].

use catalogue::{Code, PartKey, Quantity};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

/// One reason of a receipt's outcome. The `rule` is stable; its facts name what to look up.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
#[serde(tag = "rule", rename_all = "snake_case")]
pub enum ReceiptReason {
    /// It has the number that was ordered.
    SameNumber,
    /// Notices lead from the number that was ordered to it, and let it serve there.
    ProperSuccessor {
        /// The number that was ordered.
        ordered: PartKey,
        /// The notices on the way.
        notices: Vec<Code>,
        /// How many of it stand for one that was ordered.
        #[schema(value_type = String)]
        quantity: Quantity,
    },
    /// A notice splits the number that was ordered into this one and others, all of which came.
    SplitTogether {
        /// The number that was ordered.
        ordered: PartKey,
        /// The notices on the way.
        notices: Vec<Code>,
        /// The numbers that stand for it together.
        together: Vec<PartKey>,
    },
    /// A notice makes one number of several that were ordered.
    MergedInto {
        /// The numbers that were ordered.
        ordered: Vec<PartKey>,
        /// The notice.
        notice: Code,
    },
    /// Either number serves for the other.
    InterchangeableBothWays {
        /// The number that was ordered.
        ordered: PartKey,
        /// How many of it stand for one that was ordered.
        #[schema(value_type = String)]
        quantity: Quantity,
    },
    /// It is an old number: what was ordered may serve for it, not the other way.
    InterchangeIsOneWay {
        /// The number that was ordered.
        ordered: PartKey,
        /// The notices that lead from it to what was ordered.
        notices: Vec<Code>,
    },
    /// A notice ties it to what was ordered and says that neither serves for the other.
    NoInterchange {
        /// The number that was ordered.
        ordered: PartKey,
        /// The notice.
        notice: Code,
    },
    /// Nothing ties it to what was ordered; of what lacks, this number is the closest.
    ClosestNumber {
        /// The number that lacks.
        ordered: PartKey,
        /// How many characters differ.
        distance: u32,
    },
    /// The catalogue does not know the number.
    UnknownNumber {
        /// The closest number that was expected; empty: none is close.
        closest: Option<PartKey>,
    },
    /// Neither the frozen contents nor today's lists hold it.
    NotExpected,
    /// What was ordered does not hold it, today's list of the kit does.
    OnTodaysList {
        /// The kit.
        kit: PartKey,
    },
    /// All that was to come of this number is here already.
    MoreThanExpected,
    /// Pieces of it are damaged.
    Damaged {
        /// How many.
        #[schema(value_type = String)]
        quantity: Quantity,
    },
    /// Pieces lack.
    Short {
        /// How many.
        #[schema(value_type = String)]
        quantity: Quantity,
    },
    /// Today's list of the kit does not hold it any more; it was ordered when the list did.
    GoneFromTodaysList {
        /// The kit.
        kit: PartKey,
    },
}
