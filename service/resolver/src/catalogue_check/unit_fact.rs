//! What a unit or kit lacks.

use catalogue::{Code, PartKey, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::finding::Severity;

/// What a unit or kit lacks.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum UnitFact {
    /// Two variants of an option group hold for the same units.
    OverlappingEffectivity {
        /// The unit.
        unit: UnitKey,
        /// The option group.
        option_group: Code,
        /// The two variants.
        variants: Vec<Code>,
    },
    /// No variant of an option group holds for some serial numbers between others.
    SerialGap {
        /// The unit.
        unit: UnitKey,
        /// The option group.
        option_group: Code,
        /// First serial number without a variant.
        from: i64,
        /// Last serial number without a variant.
        to: i64,
    },
    /// No variant of an option group holds for some build days between others.
    BuildDateGap {
        /// The unit.
        unit: UnitKey,
        /// The option group.
        option_group: Code,
        /// First day without a variant.
        from: NaiveDate,
        /// Last day without a variant.
        to: NaiveDate,
    },
    /// Nothing may stand at a position unless an upgrade is chosen.
    PositionWithoutCandidate {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// How many upgrades there are.
        upgrades: usize,
    },
    /// Nothing that may stand at a position, nor what replaces it, has a price, a piece on the shelf or a kit that brings it.
    PositionWithoutSupply {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// What may stand there.
        candidates: Vec<PartKey>,
    },
    /// Nothing may stand at a position in one variant of an option group that decides there.
    VariantWithoutCandidate {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The variant.
        variant: Code,
    },
    /// A position exists only with a part that is no candidate anywhere in its unit.
    OnlyWithNeverFitted {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The part.
        part: PartKey,
    },
    /// No kit brings what a unit always needs at an overhaul.
    PositionsNoKitCovers {
        /// The unit.
        unit: UnitKey,
        /// Positions that are always renewed and in no kit.
        positions: Vec<Code>,
        /// How many positions are always renewed.
        always_renewed: usize,
    },
    /// A kit has no list of what it holds.
    KitWithoutLines {
        /// The kit.
        kit: PartKey,
    },
    /// A list of contents belongs to a part that is no kit.
    LinesOfNoKit {
        /// The part.
        part: PartKey,
    },
}

impl UnitFact {
    /// The stable word of the fact.
    pub fn code(&self) -> &'static str {
        match self {
            Self::OverlappingEffectivity { .. } => "overlapping_effectivity",
            Self::SerialGap { .. } => "serial_gap",
            Self::BuildDateGap { .. } => "build_date_gap",
            Self::PositionWithoutCandidate { .. } => "position_without_candidate",
            Self::PositionWithoutSupply { .. } => "position_without_supply",
            Self::VariantWithoutCandidate { .. } => "variant_without_candidate",
            Self::OnlyWithNeverFitted { .. } => "only_with_never_fitted",
            Self::PositionsNoKitCovers { .. } => "positions_no_kit_covers",
            Self::KitWithoutLines { .. } => "kit_without_lines",
            Self::LinesOfNoKit { .. } => "lines_of_no_kit",
        }
    }

    pub(super) fn severity(&self) -> Severity {
        match self {
            Self::OverlappingEffectivity { .. }
            | Self::SerialGap { .. }
            | Self::BuildDateGap { .. }
            | Self::PositionWithoutSupply { .. }
            | Self::VariantWithoutCandidate { .. }
            | Self::OnlyWithNeverFitted { .. }
            | Self::KitWithoutLines { .. }
            | Self::LinesOfNoKit { .. } => Severity::Warning,
            Self::PositionWithoutCandidate { .. } => Severity::Error,
            Self::PositionsNoKitCovers { .. } => Severity::Note,
        }
    }
}
