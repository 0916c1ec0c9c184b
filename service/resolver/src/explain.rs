//! The one place where facts become sentences.

use catalogue::{Interchange, UnitKey};
use mechanics::{FaultKind, Side, Value, Warning, WarningKind};

use crate::gearing::RoadGapKind;
use crate::reason::{Acceptance, Reason};
use crate::receipt::ReceiptReason;
use crate::verdict::{JointVerdict, Source};

/// A figure as a person reads it: no more than four decimals.
fn number(value: f64) -> String {
    let text = format!("{value:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What lacks for road speeds.
pub(crate) fn road_gap_sentence(lacks: RoadGapKind, unit: Option<&UnitKey>) -> String {
    let named = |what: &str| unit.map_or_else(|| what.to_owned(), |unit| format!("{what} {unit}"));
    match lacks {
        RoadGapKind::Vehicle => {
            "no road speed: not one vehicle of the catalogue alone carries what was asked for".to_owned()
        }
        RoadGapKind::Tyre => "no road speed: the vehicle has no tyre size that can be read".to_owned(),
        RoadGapKind::DropBox => {
            format!("no road speed: {} is not in this request; ask for it too", named("the drop box"))
        }
        RoadGapKind::Axle if unit.is_none() => {
            "no road speed: the catalogue knows no driven axle of the vehicle".to_owned()
        }
        RoadGapKind::Axle => {
            format!("no road speed: {} is not in this request; ask for it too", named("the driven axle"))
        }
        RoadGapKind::Ratio => {
            format!("no road speed: the tooth counts of {} tell no single ratio", named("the unit"))
        }
    }
}

/// The sentence of a reason.
pub fn sentence(reason: &Reason) -> String {
    match reason {
        Reason::AlwaysAtOverhaul { part: None } => "always renewed at an overhaul".into(),
        Reason::AlwaysAtOverhaul { part: Some(part) } => format!("{part} is always renewed at an overhaul"),
        Reason::SingleUseDisturbed { part, operation, by_custom } => {
            let what = part.as_ref().map_or("used once".to_owned(), |part| format!("{part} is used once"));
            let custom = if *by_custom { " by custom" } else { "" };
            format!("{what}{custom}, and {operation} disturbs it")
        }
        Reason::OperationRenews { operation } => format!("{operation} renews it"),
        Reason::Finding { grade } => format!("inspection found it {}", grade.word().replace('_', " ")),
        Reason::PastLimit { position, bench_value, measured, limit } => {
            format!(
                "{bench_value} at {position} measures {}, past its limit of {}",
                number(*measured),
                number(*limit)
            )
        }
        Reason::Asked { part } => format!("{part} was asked for"),
        Reason::MatchedSet { set, because } => {
            format!("one matched set {set} with {}, which is renewed", because.position)
        }
        Reason::NoMateFits { joint, because, fitted } => {
            format!("what is inside does not go with {fitted} at {} (joint {joint})", because.position)
        }
        Reason::AxleRatio { because, fitted } => {
            format!(
                "{fitted} changes the ratio of the other driven axle {}, and both must match",
                because.unit
            )
        }
        Reason::Companion { of, because: Some(place) } => {
            format!("comes with {of}, newly fitted at {}", place.position)
        }
        Reason::Companion { of, because: None } => format!("comes with {of}, newly fitted"),
        Reason::OnlyWith { part } => format!("belongs to {part}, which is fitted"),
        Reason::Merge { notice, because } => {
            format!("notice {notice} makes it one number with {}, which is renewed", because.position)
        }
        Reason::NoticeNeeds { notice } => {
            format!("notice {notice} lets the new number in only if this changes too")
        }
        Reason::UsedByOperation { operation, purpose, grade } => {
            format!("{operation} uses it: {purpose} ({grade})")
        }
        Reason::OperationCallsForWork { operation, purpose } => {
            format!("{operation} calls for it: {purpose}")
        }
        Reason::Superseded { notice, old, new, interchange, effective_from } => {
            let direction = match interchange {
                Interchange::TwoWay => "either serves for the other",
                Interchange::NewForOld => "the new serves for the old",
                Interchange::None => "neither serves for the other",
            };
            format!("{old} gave way to {new} by notice {notice} of {effective_from}: {direction}")
        }
        Reason::OldStockFirst { notice, old } => format!("notice {notice}: {old} is used until it is gone"),
        Reason::AcceptedInstead { listed, how } => match how {
            Acceptance::Successor => format!("it follows {listed}"),
            Acceptance::Interchangeable => format!("interchangeable with {listed} both ways"),
            Acceptance::Alternative => format!("an accepted alternative to {listed}"),
            Acceptance::NothingElseFits => "nothing else goes with what was chosen".into(),
        },
        Reason::InVariant { variants } => {
            let names: Vec<&str> = variants.iter().map(catalogue::Code::as_str).collect();
            format!("only in {}", names.join(" with "))
        }
        Reason::NothingAsks => "nothing asks for it to be renewed".into(),
    }
}

/// The sentence of a reason of a receipt.
pub fn receipt_sentence(reason: &ReceiptReason) -> String {
    let list = |names: &[catalogue::PartKey]| {
        names.iter().map(catalogue::PartKey::as_str).collect::<Vec<_>>().join(" and ")
    };
    let by = |notices: &[catalogue::Code]| {
        let names: Vec<&str> = notices.iter().map(catalogue::Code::as_str).collect();
        match names.as_slice() {
            [one] => format!("notice {one}"),
            several => format!("notices {}", several.join(", ")),
        }
    };
    let for_one = |quantity: &catalogue::Quantity| match *quantity {
        catalogue::Quantity::ONE => String::new(),
        several => format!("; {several} of it stand for one"),
    };
    match reason {
        ReceiptReason::SameNumber => "the number that was ordered".into(),
        ReceiptReason::ProperSuccessor { ordered, notices, quantity } => {
            format!("it follows {ordered} by {} and serves for it{}", by(notices), for_one(quantity))
        }
        ReceiptReason::SplitTogether { ordered, notices, together } => {
            format!("{} together follow {ordered} by {}", list(together), by(notices))
        }
        ReceiptReason::MergedInto { ordered, notice } => {
            format!("notice {notice} makes it one number of {}", list(ordered))
        }
        ReceiptReason::InterchangeableBothWays { ordered, quantity } => {
            format!("interchangeable with {ordered} both ways{}", for_one(quantity))
        }
        ReceiptReason::InterchangeIsOneWay { ordered, notices } => format!(
            "an old number: {ordered} serves for it, but it does not serve for {ordered} ({})",
            by(notices)
        ),
        ReceiptReason::NoInterchange { ordered, notice } => {
            format!("notice {notice} says that it and {ordered} do not serve for each other")
        }
        ReceiptReason::ClosestNumber { ordered, distance } => {
            format!(
                "it lies perhaps in the place of {ordered}, from whose number {distance} characters differ"
            )
        }
        ReceiptReason::UnknownNumber { closest: Some(closest) } => {
            format!("the catalogue does not know this number; was it {closest}?")
        }
        ReceiptReason::UnknownNumber { closest: None } => {
            "the catalogue does not know this number, and nothing that was to come is like it".into()
        }
        ReceiptReason::NotExpected => "it was not ordered".into(),
        ReceiptReason::OnTodaysList { kit } => {
            format!("it was not on the list of {kit} when that was ordered; it is on today's")
        }
        ReceiptReason::MoreThanExpected => "more than was to come".into(),
        ReceiptReason::Damaged { quantity } => format!("{quantity} damaged"),
        ReceiptReason::Short { quantity } => format!("{quantity} short"),
        ReceiptReason::GoneFromTodaysList { kit } => {
            format!("today's list of {kit} does not hold it any more; when it was ordered, it did")
        }
    }
}

/// Why a joint does not fit, or is not verified, in a few words with the figures.
pub(crate) fn why_not(verdict: &JointVerdict<'_>) -> String {
    let mut said: Vec<String> = Vec::new();
    if let Some(judgement) = &verdict.judgement {
        for fault in &judgement.faults {
            said.push(fault_words(fault));
        }
        if said.is_empty() {
            for missing in &judgement.missing {
                let side = match missing.side {
                    Side::A => "the first part's",
                    Side::B => "the second part's",
                    Side::Joint => "the unit's",
                };
                said.push(format!("{side} {} would settle it", missing.figure.replace('_', " ")));
            }
        }
    } else {
        said.push("no figures of the faces that meet".into());
    }
    for statement in &verdict.stated {
        said.push(format!(
            "{} says {} ({})",
            statement.maker,
            statement.verdict.word().replace('_', " "),
            statement.document
        ));
    }
    if verdict.by_notice {
        said.push("notices lead from what the unit's maker fitted".into());
    }
    if verdict.source == Source::OriginalEquipment {
        said.push("the unit's maker fitted both".into());
    }
    said.join(", ")
}

/// One failed test in words.
pub(crate) fn fault_words(fault: &mechanics::Fault) -> String {
    let name = fault.kind.code().replace('_', " ");
    let unit = fault.unit;
    let word = |value: Value| match value {
        Value::Number(number_) => Some(format!("{} {unit}", number(number_)).trim_end().to_owned()),
        Value::Word(word) => Some(word.to_owned()),
        Value::None => None,
    };
    let limit = fault.limit.map(|limit| format!(", limit {} {unit}", number(limit))).unwrap_or_default();
    match (word(fault.a), word(fault.b), fault.kind) {
        (_, _, FaultKind::WrongFeature { .. }) => "the faces are of different kinds".to_owned(),
        (Some(a), Some(b), _) => format!("{name} {a} against {b}"),
        (Some(a), None, _) | (None, Some(a), _) => format!("{name} {a}{limit}"),
        (None, None, _) => name,
    }
}

/// One thing the bench must know, in words.
pub(crate) fn warning_words(warning: &Warning) -> String {
    let whose = match warning.side {
        Side::A => "the first part: ",
        Side::B => "the second part: ",
        Side::Joint => "",
    };
    let (value, advised, unit) = (number(warning.value), number(warning.advised), warning.unit);
    let sized = |words: &str| format!("{words} {value} {unit}, {advised} {unit} is usual");
    let words = match warning.kind {
        WarningKind::ModulesDiffer => {
            format!("modules differ ({advised} and {value} {unit}) though base pitches agree")
        }
        WarningKind::LowContactRatio => format!("contact ratio {value}, {advised} is advised for spur gears"),
        WarningKind::LowTipClearance => sized("tip clearance"),
        WarningKind::LargeBacklash => sized("backlash"),
        WarningKind::Undercut => format!("profile shift {value}, below {advised} a rack undercuts the tooth"),
        WarningKind::ThinTip => format!("tooth tip {value} {unit} thick, {advised} {unit} is advised"),
        WarningKind::TipDiameterAssumed => {
            format!("tip diameter not given, taken as {value} {unit} from the basic rack")
        }
        WarningKind::RootDiameterAssumed => {
            format!("root diameter not given, taken as {value} {unit} from the basic rack")
        }
        WarningKind::ThicknessAllowanceAssumed => {
            "tooth thickness allowance not given, taken as nought".to_owned()
        }
        WarningKind::MeasuredFigure => format!("measured, uncertain by ±{value} {unit}"),
        WarningKind::PartialSpline => format!("only {value} of {advised} teeth carry"),
        WarningKind::DiametersNotCompared => {
            format!("only {value} of {advised} diameters are known: crests and roots are not compared")
        }
        WarningKind::SealNarrow => {
            format!("{value} {unit} wide in a seat of {advised} {unit}: see that it cannot move")
        }
        WarningKind::TransitionFit => {
            "a transition fit: it may turn out with clearance or with interference".to_owned()
        }
        WarningKind::BearingClassAssumed => "bearing tolerance class taken as Normal".to_owned(),
        WarningKind::CoarsePitchAssumed => {
            format!("pitch not given, taken as the coarse pitch {value} {unit}")
        }
    };
    format!("{whose}{words}")
}
