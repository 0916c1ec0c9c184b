//! What joints and features lack.

use catalogue::{Code, FeatureKind, JointKind, PartKey, UnitKey};
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
            Self::OrphanFeature { .. } => "orphan_feature",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::JointFeatureMissing { .. } | Self::JointFeatureUnsuited { .. } => Severity::Warning,
            Self::OrphanFeature { .. } => Severity::Note,
        }
    }
}
