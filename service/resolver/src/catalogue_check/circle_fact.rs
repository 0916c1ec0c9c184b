//! Circles and rows that speak of themselves.

use catalogue::{Code, PartKey, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::finding::Severity;

/// Circles and rows that speak of themselves.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum CircleFact {
    /// Numbers give way to each other in a circle.
    SupersessionCycle {
        /// The numbers of the shortest circle; the last gives way to the first.
        parts: Vec<PartKey>,
        /// The notice of each step.
        notices: Vec<Code>,
        /// How many numbers hang together in circles here.
        members: usize,
    },
    /// Kits lie in each other in a circle.
    KitCycle {
        /// The kits of the shortest circle; the last holds the first.
        kits: Vec<PartKey>,
        /// How many kits hang together in circles here.
        members: usize,
    },
    /// Parts bring each other along in a circle.
    CompanionCycle {
        /// The parts of the shortest circle; the last brings the first.
        parts: Vec<PartKey>,
        /// How many parts hang together in circles here.
        members: usize,
    },
    /// Likelihoods rest on each other in a circle.
    LikelihoodCycle {
        /// The unit.
        unit: UnitKey,
        /// The weak points; the last rests on the first.
        weak_points: Vec<Code>,
    },
    /// A number gives way to itself.
    SupersededByItself {
        /// The notice.
        notice: Code,
        /// The number.
        part: PartKey,
    },
    /// A kit lies in itself.
    KitHoldsItself {
        /// The kit.
        kit: PartKey,
        /// The line.
        line: i64,
    },
    /// A part brings itself along.
    CompanionOfItself {
        /// The part.
        part: PartKey,
    },
    /// A likelihood rests on itself.
    LikelihoodGivenItself {
        /// The unit.
        unit: UnitKey,
        /// The weak point.
        weak_point: Code,
    },
    /// Both sides of a joint are the same face.
    JointWithItself {
        /// The joint.
        joint: Code,
    },
}

impl CircleFact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::SupersessionCycle { .. } => "supersession_cycle",
            Self::KitCycle { .. } => "kit_cycle",
            Self::CompanionCycle { .. } => "companion_cycle",
            Self::LikelihoodCycle { .. } => "likelihood_cycle",
            Self::SupersededByItself { .. } => "superseded_by_itself",
            Self::KitHoldsItself { .. } => "kit_holds_itself",
            Self::CompanionOfItself { .. } => "companion_of_itself",
            Self::LikelihoodGivenItself { .. } => "likelihood_given_itself",
            Self::JointWithItself { .. } => "joint_with_itself",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::SupersessionCycle { .. }
            | Self::KitCycle { .. }
            | Self::CompanionCycle { .. }
            | Self::LikelihoodCycle { .. }
            | Self::SupersededByItself { .. }
            | Self::KitHoldsItself { .. }
            | Self::CompanionOfItself { .. }
            | Self::LikelihoodGivenItself { .. }
            | Self::JointWithItself { .. } => Severity::Error,
        }
    }
}
