//! What joints and features lack.

use catalogue::{Code, FeatureKind, JointKind, PartKey, StatedVerdict, UnitKey};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::finding::Severity;

/// What joints and features lack.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum JointFact {
    /// An original part lacks the face on which a joint rests.
    JointFeatureMissing {
        /// The joint.
        joint: Code,
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The part.
        part: PartKey,
        /// The feature that it lacks.
        feature: Code,
    },
    /// The faces of two original parts are not of the kinds that such a joint joins.
    JointFeatureUnsuited {
        /// The joint.
        joint: Code,
        /// How it joins.
        kind: JointKind,
        /// The face of the first position.
        face_a: FeatureKind,
        /// The face of the second.
        face_b: FeatureKind,
    },
    /// What is calculated of two parts contradicts what a maker states of them.
    CalculationContradictsStatement {
        /// The joint.
        joint: Code,
        /// The part at the first position.
        part_a: PartKey,
        /// The part at the second.
        part_b: PartKey,
        /// Who states.
        maker: Code,
        /// What is stated.
        stated: StatedVerdict,
        /// Where it is stated.
        document: String,
        /// The tests that the calculation fails, in words; none where it fits.
        tests: Vec<String>,
    },
    /// Two original parts do not fit when calculated.
    OriginalsDoNotFit {
        /// The joint.
        joint: Code,
        /// The part at the first position.
        part_a: PartKey,
        /// The part at the second.
        part_b: PartKey,
        /// The tests that fail, in words.
        tests: Vec<String>,
    },
    /// A part stands at positions, and no joint there uses one of its faces.
    OrphanFeature {
        /// The part.
        part: PartKey,
        /// The feature.
        feature: Code,
    },
}

impl JointFact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::JointFeatureMissing { .. } => "joint_feature_missing",
            Self::JointFeatureUnsuited { .. } => "joint_feature_unsuited",
            Self::CalculationContradictsStatement { .. } => "calculation_contradicts_statement",
            Self::OriginalsDoNotFit { .. } => "originals_do_not_fit",
            Self::OrphanFeature { .. } => "orphan_feature",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::JointFeatureMissing { .. }
            | Self::JointFeatureUnsuited { .. }
            | Self::CalculationContradictsStatement { .. }
            | Self::OriginalsDoNotFit { .. } => Severity::Warning,
            Self::OrphanFeature { .. } => Severity::Note,
        }
    }
}
