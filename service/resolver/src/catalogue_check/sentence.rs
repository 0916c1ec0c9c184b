//! The only place with the check's words.

use std::fmt::Display;

use super::circle_fact::CircleFact;
use super::finding::{Fact, Finding};
use super::joint_fact::JointFact;
use super::money_fact::MoneyFact;
use super::notice_fact::NoticeFact;
use super::unit_fact::UnitFact;

impl Finding {
    /// The finding as a sentence.
    pub fn sentence(&self) -> String {
        match &self.fact {
            Fact::Circle(fact) => circle(fact),
            Fact::Notice(fact) => notice(fact),
            Fact::Unit(fact) => unit(fact),
            Fact::Joint(fact) => joint(fact),
            Fact::Money(fact) => money(fact),
        }
    }
}

fn list<T: Display>(items: &[T]) -> String {
    items.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// A circle with its start named again at the end.
fn ring<T: Display>(items: &[T]) -> String {
    items.iter().chain(items.first()).map(ToString::to_string).collect::<Vec<_>>().join(" → ")
}

/// That more hang in the circles than the shortest one names.
fn and_others(members: usize, named: usize) -> String {
    match members.saturating_sub(named) {
        0 => String::new(),
        1 => "; one more hangs in circles with these".into(),
        more => format!("; {more} more hang in circles with these"),
    }
}

/// That a part without a price can be had.
fn otherwise(available: bool) -> &'static str {
    if available { "; a kit or the shelf brings it" } else { "" }
}

fn circle(fact: &CircleFact) -> String {
    match fact {
        CircleFact::SupersessionCycle { parts, notices, members } => format!(
            "numbers give way to each other in a circle: {} (by notices {}){}",
            ring(parts),
            list(notices),
            and_others(*members, parts.len())
        ),
        CircleFact::KitCycle { kits, members } => {
            format!("kits lie in each other in a circle: {}{}", ring(kits), and_others(*members, kits.len()))
        }
        CircleFact::CompanionCycle { parts, members } => format!(
            "parts bring each other along in a circle: {}{}",
            ring(parts),
            and_others(*members, parts.len())
        ),
        CircleFact::LikelihoodCycle { unit, weak_points } => {
            format!("likelihoods of unit {unit} rest on each other in a circle: {}", ring(weak_points))
        }
        CircleFact::SupersededByItself { notice, part } => {
            format!("notice {notice} lets {part} give way to itself")
        }
        CircleFact::KitHoldsItself { kit, line } => format!("kit {kit} names itself on line {line}"),
        CircleFact::CompanionOfItself { part } => format!("{part} is its own companion"),
        CircleFact::LikelihoodGivenItself { unit, weak_point } => {
            format!("the likelihood of weak point {weak_point} of unit {unit} rests on itself")
        }
        CircleFact::JointWithItself { joint } => format!("joint {joint} joins a face with itself"),
    }
}

fn notice(fact: &NoticeFact) -> String {
    match fact {
        NoticeFact::MixedNotice { notice, old, shapes } => {
            format!("notice {notice} gives rows of different shapes for {old}: {}", list(shapes))
        }
        NoticeFact::OneToOneWithSeveral { notice, old, new } => {
            format!("notice {notice} is one to one, and gives {} for {old}; say all_of or one_of", list(new))
        }
        NoticeFact::MergeIntoSeveral { notice, new } => {
            format!("notice {notice} merges into {}; a merge has one new number", list(new))
        }
        NoticeFact::CompetingNotices { old, effective_from, notices } => format!(
            "notices {} all speak of {old} from {effective_from} on; the last by code holds",
            list(notices)
        ),
        NoticeFact::NeedOfUnknownNotice { notice } => {
            format!("there is no notice {notice} that would need anything")
        }
        NoticeFact::ContradictingStatements { part_a, part_b, fits, does_not_fit } => format!(
            "{part_a} and {part_b} go together by {}, and do not by {}",
            list(fits),
            list(does_not_fit)
        ),
        NoticeFact::KitLineSuperseded { kit, line, part, by, notices } => format!(
            "line {line} of kit {kit} names {part}, which gave way to {} (by notice {})",
            list(by),
            list(notices)
        ),
        NoticeFact::OriginalSuperseded { unit, position, part, by, notices } => format!(
            "position {position} of unit {unit} names {part}, which gave way to {} (by notice {})",
            list(by),
            list(notices)
        ),
    }
}

fn unit(fact: &UnitFact) -> String {
    match fact {
        UnitFact::OverlappingEffectivity { unit, option_group, variants } => format!(
            "of option group {option_group} of unit {unit}, {} hold for the same units",
            list(variants)
        ),
        UnitFact::SerialGap { unit, option_group, from, to } => format!(
            "no variant of option group {option_group} of unit {unit} holds for serial numbers {from} to {to}"
        ),
        UnitFact::BuildDateGap { unit, option_group, from, to } => format!(
            "no variant of option group {option_group} of unit {unit} holds for units built from {from} to {to}"
        ),
        UnitFact::PositionWithoutCandidate { unit, position, upgrades: 0 } => {
            format!("no part may stand at position {position} of unit {unit}")
        }
        UnitFact::PositionWithoutCandidate { unit, position, upgrades } => format!(
            "no part but {upgrades} to be chosen as upgrade may stand at position {position} of unit {unit}"
        ),
        UnitFact::PositionWithoutSupply { unit, position, candidates } => format!(
            "for position {position} of unit {unit} neither {} nor a successor has a price, a piece on the shelf or \
             a kit that brings it",
            list(candidates)
        ),
        UnitFact::VariantWithoutCandidate { unit, position, variant } => {
            format!("no part may stand at position {position} of unit {unit} in variant {variant}")
        }
        UnitFact::OnlyWithNeverFitted { unit, position, part } => format!(
            "position {position} of unit {unit} exists only with {part}, which may stand nowhere in that unit"
        ),
        UnitFact::PositionsNoKitCovers { unit, positions, always_renewed } => format!(
            "no kit covers {} of {always_renewed} positions of unit {unit} that every overhaul renews: {}",
            positions.len(),
            list(positions)
        ),
        UnitFact::KitWithoutLines { kit } => format!("kit {kit} has no list of what it holds"),
        UnitFact::LinesOfNoKit { part } => format!("{part} has a list of contents and is no kit"),
    }
}

fn joint(fact: &JointFact) -> String {
    match fact {
        JointFact::JointFeatureMissing { joint, unit, position, part, feature } => format!(
            "joint {joint} rests on face {feature} at position {position} of unit {unit}, and {part} does not \
             describe that face"
        ),
        JointFact::JointFeatureUnsuited { joint, kind, face_a, face_b } => {
            format!("joint {joint} is a {kind}, and its faces are {face_a} and {face_b}")
        }
        JointFact::CalculationContradictsStatement {
            joint,
            part_a,
            part_b,
            maker,
            stated,
            document,
            tests,
        } => {
            let calculated = if tests.is_empty() { "it fits".to_owned() } else { tests.join(", ") };
            let stated = stated.word().replace('_', " ");
            format!(
                "joint {joint}: {maker} states that {part_a} with {part_b} {stated} ({document}); calculated: {calculated}"
            )
        }
        JointFact::OriginalsDoNotFit { joint, part_a, part_b, tests } => {
            format!(
                "joint {joint}: the originals {part_a} and {part_b} do not fit when calculated: {}",
                tests.join(", ")
            )
        }
        JointFact::OrphanFeature { part, feature } => {
            format!("no joint uses face {feature} of {part} at any position where it may stand")
        }
    }
}

fn money(fact: &MoneyFact) -> String {
    match fact {
        MoneyFact::PriceMissing { part, available } => {
            format!("{part} is needed, and nobody sells it{}", otherwise(*available))
        }
        MoneyFact::PriceExpired { part, last_day, available } => {
            format!("{part} is needed, and its last price ran out on {last_day}{}", otherwise(*available))
        }
        MoneyFact::PriceNotYetValid { part, first_day } => {
            format!("{part} is needed, and its first price begins on {first_day}")
        }
        MoneyFact::ExchangeRateMissing { currency, base, rows } => {
            let rows = if *rows == 1 { "1 row is".to_owned() } else { format!("{rows} rows are") };
            format!("{rows} in {currency}, for which there is no rate to {base}")
        }
        MoneyFact::BaseCurrencyMissing {} => "the setting BASE-CURRENCY is missing".into(),
        MoneyFact::TaxUnknown { tax } => format!("there is no rate of tax {tax} on that day"),
        MoneyFact::PriceGroupUnknown { price_group } => format!("no part has the price group {price_group}"),
        MoneyFact::SettingUnknown { setting } => format!("the service knows no setting {setting}"),
    }
}
