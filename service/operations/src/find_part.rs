//! A part by its number, and the numbers that stand for it today.

use std::collections::BTreeMap;

use catalogue::{Code, Interchange, Part, PartKey, Quantity, Supersession, SupersessionShape};
use chrono::{NaiveDate, Utc};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::identify_part::identify_part;
use crate::lookup_error::LookupError;
use crate::shop::Shop;

/// Most ways through the notices that are followed; a catalogue in order has a handful.
const WAYS_MAX: usize = 1_000;

/// What stands for a number on a day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CurrentNumbers {
    /// The number that was asked for.
    pub part: Part,
    /// The day the answer is for.
    pub as_of: NaiveDate,
    /// Whether no notice replaces it by that day.
    pub current: bool,
    /// The numbers at the ends of its chains; none where it is current itself.
    pub successors: Vec<CurrentNumber>,
    /// Numbers that close a circle, where the notices lead back to where they came from; `/v1/catalogue-findings` names
    /// the notices.
    pub circles: Vec<PartKey>,
}

/// A number at the end of a chain of notices.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct CurrentNumber {
    /// The number.
    pub part: PartKey,
    /// What it is called; empty: it is not in the catalogue.
    pub name: String,
    /// How many of it stand for one of the number asked for.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// In which direction the two may serve for each other: the chain's weakest link.
    pub interchange: Interchange,
    /// The notices on the way, the first one first.
    pub way: Vec<PassedNotice>,
}

/// One row of a notice on the way.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
pub struct PassedNotice {
    /// The notice.
    pub notice: Code,
    /// The old number.
    pub old: PartKey,
    /// The new number.
    pub new: PartKey,
    /// How old and new numbers of the notice relate: all of them together, one of them by condition, a merge.
    pub shape: SupersessionShape,
    /// The direction of interchange.
    pub interchange: Interchange,
    /// From when.
    pub effective_from: NaiveDate,
    /// Whether old stock is used first.
    pub use_old_until_gone: bool,
    /// Whether the row holds only in a unit, variant, serial range or build span.
    pub conditional: bool,
}

/// The part of a number as written.
pub async fn find_part(shop: &Shop, written: &str) -> Result<Part, LookupError> {
    identify_part(shop, written).await
}

/// The numbers that stand for a number as written on a day, or today.
pub async fn find_current_numbers(
    shop: &Shop,
    written: &str,
    as_of: Option<NaiveDate>,
) -> Result<CurrentNumbers, LookupError> {
    let part = identify_part(shop, written).await?;
    let as_of = as_of.unwrap_or_else(|| Utc::now().date_naive());
    let notices = shop.store().part_supersessions(&part.part).await?;
    let mut ends = follow(&notices, &part.part, as_of);
    let names = shop.store().names_of_parts(ends.numbers.iter().map(|end| &end.part)).await?;
    for end in &mut ends.numbers {
        end.name = names.get(&end.part).cloned().unwrap_or_default();
    }
    let current = ends.numbers.is_empty() && ends.circles.is_empty();
    Ok(CurrentNumbers { part, as_of, current, successors: ends.numbers, circles: ends.circles })
}

#[derive(Default)]
struct Ends {
    numbers: Vec<CurrentNumber>,
    circles: Vec<PartKey>,
}

/// Follows every way from a number to its ends.
fn follow(notices: &[Supersession], from: &PartKey, as_of: NaiveDate) -> Ends {
    let mut by_old: BTreeMap<&PartKey, Vec<&Supersession>> = BTreeMap::new();
    for notice in notices.iter().filter(|notice| notice.effective_from <= as_of) {
        by_old.entry(&notice.old).or_default().push(notice);
    }
    let mut ends = Ends::default();
    let mut open: Vec<Vec<&Supersession>> = first_steps(&by_old, from);
    let mut followed = 0;
    while let Some(way) = open.pop() {
        followed += 1;
        let Some(last) = way.last().copied() else { continue };
        if followed > WAYS_MAX {
            break;
        }
        let goes_round = last.new == *from || way.iter().any(|step| step.old == last.new);
        let next = by_old.get(&last.new).map_or(&[] as &[_], Vec::as_slice);
        if goes_round {
            ends.circles.push(last.new.clone());
        } else if next.is_empty() {
            ends.numbers.push(end_of(&way));
        } else {
            open.extend(next.iter().rev().map(|step| [way.as_slice(), &[*step]].concat()));
        }
    }
    ends.circles.sort();
    ends.circles.dedup();
    ends
}

fn first_steps<'a>(
    by_old: &BTreeMap<&PartKey, Vec<&'a Supersession>>,
    from: &PartKey,
) -> Vec<Vec<&'a Supersession>> {
    by_old.get(from).map_or(Vec::new(), |steps| steps.iter().rev().map(|step| vec![*step]).collect())
}

fn end_of(way: &[&Supersession]) -> CurrentNumber {
    let weakest = way.iter().map(|step| step.interchange).max_by_key(|interchange| match interchange {
        Interchange::TwoWay => 0,
        Interchange::NewForOld => 1,
        Interchange::None => 2,
    });
    let quantity = way.iter().fold(Quantity::ONE, |quantity, step| {
        quantity.times(step.quantity).unwrap_or(Quantity::from_raw(i64::MAX))
    });
    let passed = |step: &&Supersession| PassedNotice {
        notice: step.notice.clone(),
        old: step.old.clone(),
        new: step.new.clone(),
        shape: step.shape,
        interchange: step.interchange,
        effective_from: step.effective_from,
        use_old_until_gone: step.use_old_until_gone,
        conditional: step.unit.is_some()
            || step.variant.is_some()
            || step.serial_from.is_some()
            || step.serial_to.is_some()
            || step.built_from.is_some()
            || step.built_to.is_some(),
    };
    CurrentNumber {
        part: way.last().map_or_else(|| PartKey::from_stored(""), |step| step.new.clone()),
        name: String::new(),
        quantity,
        interchange: weakest.unwrap_or(Interchange::TwoWay),
        way: way.iter().map(passed).collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    fn step(old: &str, new: &str, interchange: Interchange, quantity: i64, from: &str) -> Supersession {
        Supersession {
            notice: Code::from_stored(format!("{old}-{new}")),
            old: PartKey::from_stored(old),
            new: PartKey::from_stored(new),
            quantity: Quantity::whole(quantity),
            shape: SupersessionShape::OneToOne,
            interchange,
            effective_from: day(from),
            use_old_until_gone: false,
            unit: None,
            variant: None,
            serial_from: None,
            serial_to: None,
            built_from: None,
            built_to: None,
        }
    }

    fn ends(notices: &[Supersession], as_of: &str) -> Vec<(String, String, Interchange)> {
        let ends = follow(notices, &PartKey::from_stored("M/A"), day(as_of));
        ends.numbers
            .iter()
            .map(|end| (end.part.to_string(), end.quantity.to_string(), end.interchange))
            .collect()
    }

    #[test]
    fn a_chain_is_as_strong_as_its_weakest_link_and_multiplies_its_quantities() {
        let notices = [
            step("M/A", "M/B", Interchange::TwoWay, 2, "2020-01-01"),
            step("M/B", "M/C", Interchange::NewForOld, 3, "2021-01-01"),
            step("M/C", "M/D", Interchange::TwoWay, 1, "2030-01-01"),
        ];
        assert_eq!(ends(&notices, "2026-01-01"), [("M/C".into(), "6".into(), Interchange::NewForOld)]);
        assert_eq!(ends(&notices, "2020-01-01"), [("M/B".into(), "2".into(), Interchange::TwoWay)]);
        assert_eq!(ends(&notices, "2019-12-31"), []);
    }

    #[test]
    fn a_circle_is_named_and_followed_once() {
        let notices = [
            step("M/A", "M/B", Interchange::TwoWay, 1, "2020-01-01"),
            step("M/B", "M/A", Interchange::TwoWay, 1, "2020-01-01"),
            step("M/A", "M/C", Interchange::TwoWay, 1, "2020-01-01"),
        ];
        let found = follow(&notices, &PartKey::from_stored("M/A"), day("2026-01-01"));
        assert_eq!(found.circles, [PartKey::from_stored("M/A")]);
        assert_eq!(found.numbers.len(), 1);
    }
}
