//! What is wrong with notices and statements, and who still uses old numbers.

use catalogue::{Code, PartKey, SupersessionShape, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::finding::Severity;

/// What is wrong with notices and statements, and who still uses old numbers.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum NoticeFact {
    /// Rows of one notice for one old number have different shapes.
    MixedNotice {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The shapes.
        shapes: Vec<SupersessionShape>,
    },
    /// A notice calls itself one to one and gives several new numbers for one old.
    OneToOneWithSeveral {
        /// The notice.
        notice: Code,
        /// The old number.
        old: PartKey,
        /// The new numbers.
        new: Vec<PartKey>,
    },
    /// A merge gives several new numbers.
    MergeIntoSeveral {
        /// The notice.
        notice: Code,
        /// The new numbers.
        new: Vec<PartKey>,
    },
    /// Several notices of one day speak of the same old number under conditions that can hold together.
    CompetingNotices {
        /// The old number.
        old: PartKey,
        /// The day.
        effective_from: NaiveDate,
        /// The notices.
        notices: Vec<Code>,
    },
    /// A need speaks of a notice that is not there.
    NeedOfUnknownNotice {
        /// The notice.
        notice: Code,
    },
    /// Makers say of two parts that they fit and that they do not.
    ContradictingStatements {
        /// One part.
        part_a: PartKey,
        /// The other.
        part_b: PartKey,
        /// Who says that they fit.
        fits: Vec<Code>,
        /// Who says that they do not.
        does_not_fit: Vec<Code>,
    },
    /// A kit's list names a number that has given way.
    KitLineSuperseded {
        /// The kit.
        kit: PartKey,
        /// The line.
        line: i64,
        /// The old number.
        part: PartKey,
        /// What it gave way to.
        by: Vec<PartKey>,
        /// The notices.
        notices: Vec<Code>,
    },
    /// A unit's list names an original number that has given way.
    OriginalSuperseded {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The old number.
        part: PartKey,
        /// What it gave way to.
        by: Vec<PartKey>,
        /// The notices.
        notices: Vec<Code>,
    },
}

impl NoticeFact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::MixedNotice { .. } => "mixed_notice",
            Self::OneToOneWithSeveral { .. } => "one_to_one_with_several",
            Self::MergeIntoSeveral { .. } => "merge_into_several",
            Self::CompetingNotices { .. } => "competing_notices",
            Self::NeedOfUnknownNotice { .. } => "need_of_unknown_notice",
            Self::ContradictingStatements { .. } => "contradicting_statements",
            Self::KitLineSuperseded { .. } => "kit_line_superseded",
            Self::OriginalSuperseded { .. } => "original_superseded",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::MixedNotice { .. } | Self::OneToOneWithSeveral { .. } | Self::MergeIntoSeveral { .. } => {
                Severity::Error
            }
            Self::CompetingNotices { .. }
            | Self::NeedOfUnknownNotice { .. }
            | Self::ContradictingStatements { .. } => Severity::Warning,
            Self::KitLineSuperseded { .. } | Self::OriginalSuperseded { .. } => Severity::Note,
        }
    }
}
