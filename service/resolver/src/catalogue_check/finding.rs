//! What the check finds, as data.

use catalogue::{Code, Currency, FeatureKind, JointKind, PartKey, SupersessionShape, UnitKey};
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

catalogue::choice! {
    /// How much a finding matters.
    pub enum Severity {
        /// An answer that meets it is refused or wrong.
        Error = "error",
        /// An answer that meets it lacks something.
        Warning = "warning",
        /// Worth knowing.
        Note = "note",
    }
}

/// The row that a finding speaks of.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct Subject {
    /// The sheet.
    pub sheet: String,
    /// The values of the sheet's key columns; fewer where the finding speaks of several rows.
    pub key: Vec<String>,
}

impl Subject {
    /// The row of a sheet with a key.
    pub fn new(sheet: &str, key: &[&str]) -> Self {
        Self { sheet: sheet.to_owned(), key: key.iter().map(|value| (*value).to_owned()).collect() }
    }
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// What was found.
    pub fact: Fact,
    /// The row it speaks of.
    pub subject: Subject,
}

/// What was found, with its facts. The codes are stable, the sentences may be reworded.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, ToSchema)]
#[serde(tag = "code", rename_all = "snake_case")]
pub enum Fact {
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
    /// No kit brings what a unit always needs at an overhaul.
    PositionsNoKitCovers {
        /// The unit.
        unit: UnitKey,
        /// Positions that are always renewed and in no kit.
        positions: Vec<Code>,
        /// How many positions are always renewed.
        always_renewed: usize,
    },
    /// A part that is needed has no price.
    PriceMissing {
        /// The part.
        part: PartKey,
    },
    /// All prices of a part that is needed have run out.
    PriceExpired {
        /// The part.
        part: PartKey,
        /// The last day of the last price.
        last_day: NaiveDate,
    },
    /// The first price of a part that is needed lies ahead.
    PriceNotYetValid {
        /// The part.
        part: PartKey,
        /// Its first day.
        first_day: NaiveDate,
    },
    /// A currency has no exchange rate.
    ExchangeRateMissing {
        /// The currency.
        currency: Currency,
        /// The base currency.
        base: Currency,
        /// Rows that use the currency.
        rows: usize,
    },
    /// Money is spoken of, and the setting BASE-CURRENCY is missing.
    BaseCurrencyMissing {},
    /// A tax is named that no rate speaks of yet.
    TaxUnknown {
        /// The tax.
        tax: Code,
    },
    /// A price rule speaks of a price group that no part has.
    PriceGroupUnknown {
        /// The group.
        price_group: Code,
    },
    /// A setting is set that the service does not know.
    SettingUnknown {
        /// The setting.
        setting: Code,
    },
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
    /// A position exists only with a part that is no candidate anywhere in its unit.
    OnlyWithNeverFitted {
        /// The unit.
        unit: UnitKey,
        /// The position.
        position: Code,
        /// The part.
        part: PartKey,
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
