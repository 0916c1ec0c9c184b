//! Which variant of each unit is on the bench: settled by serial, date and what was seen, or left open.

use std::collections::{BTreeMap, BTreeSet};

use catalogue::{Code, Operation, Unit, Variant};
use chrono::NaiveDate;

use crate::graph::Graph;
use crate::request::{Request, UnitRequest};
use crate::request_fault::{RequestFault, RequestFaultKind};

/// A unit of the request, found in the catalogue.
#[derive(Debug)]
pub(crate) struct KnownUnit<'a> {
    /// Its place in the request.
    pub(crate) index: usize,
    /// What is asked of it.
    pub(crate) request: &'a UnitRequest,
    /// Its row.
    pub(crate) unit: &'a Unit,
    /// The operation.
    pub(crate) operation: &'a Operation,
    /// The digits of the serial number.
    pub(crate) serial: Option<i64>,
    /// For each option group the variants that may hold; one where it is settled.
    pub(crate) options: BTreeMap<&'a str, Vec<&'a Variant>>,
}

impl KnownUnit<'_> {
    /// Whether a serial and date range holds for the unit: `None` where that is not known.
    pub(crate) fn in_range(
        &self,
        serial: (Option<i64>, Option<i64>),
        built: (Option<NaiveDate>, Option<NaiveDate>),
    ) -> Option<bool> {
        both(within(self.serial, serial), within(self.request.built, built))
    }
}

/// Whether a value lies in an inclusive range; `None` where the range says something and the value is not known.
fn within<T: PartialOrd + Copy>(value: Option<T>, (from, to): (Option<T>, Option<T>)) -> Option<bool> {
    if from.is_none() && to.is_none() {
        return Some(true);
    }
    value.map(|value| from.is_none_or(|from| from <= value) && to.is_none_or(|to| value <= to))
}

/// Both hold: no, if either does not; unknown, if either is unknown.
fn both(a: Option<bool>, b: Option<bool>) -> Option<bool> {
    match (a, b) {
        (Some(false), _) | (_, Some(false)) => Some(false),
        (Some(true), Some(true)) => Some(true),
        _ => None,
    }
}

/// Finds the units of a request and settles their variants as far as what is known goes.
pub(crate) fn identify<'a>(
    graph: &Graph<'a>,
    request: &'a Request,
) -> Result<Vec<KnownUnit<'a>>, RequestFault> {
    if request.units.is_empty() {
        return Err(RequestFault::new(RequestFaultKind::BadValue, "/units", "name at least one unit"));
    }
    request.units.iter().enumerate().map(|(index, unit)| identify_unit(graph, index, unit)).collect()
}

fn identify_unit<'a>(
    graph: &Graph<'a>,
    index: usize,
    request: &'a UnitRequest,
) -> Result<KnownUnit<'a>, RequestFault> {
    let snapshot = graph.snapshot;
    let at = |field: &str| format!("/units/{index}/{field}");
    let unit = snapshot.units.iter().find(|unit| unit.unit == request.unit).ok_or_else(|| {
        RequestFault::new(
            RequestFaultKind::UnknownReference,
            at("unit"),
            format!("there is no unit `{}` in the catalogue", request.unit),
        )
    })?;
    let operations = || snapshot.operations.iter().filter(|operation| operation.unit == unit.unit);
    let operation =
        operations().find(|operation| operation.operation == request.operation).ok_or_else(|| {
            RequestFault::unknown(
                at("operation"),
                &format!("operation of {}", unit.code),
                request.operation.as_str(),
                operations().map(|operation| &operation.operation),
            )
        })?;
    let serial = request.serial.as_deref().map(|text| serial_digits(text, &at("serial"))).transpose()?;
    let mut known = KnownUnit { index, request, unit, operation, serial, options: BTreeMap::new() };
    known.options = options(graph, &known)?;
    Ok(known)
}

/// The digits at the end of a serial number.
fn serial_digits(text: &str, pointer: &str) -> Result<i64, RequestFault> {
    serial_number(text).ok_or_else(|| {
        let text = text.trim();
        RequestFault::new(
            RequestFaultKind::BadValue,
            pointer,
            format!("`{text}` does not end in the digits of a serial number, such as 10482"),
        )
    })
}

/// The number of a serial as it stands on a plate: the digits at its end. `None` where there are none, or too many.
pub fn serial_number(text: &str) -> Option<i64> {
    let text = text.trim();
    let digits = text.len() - text.bytes().rev().take_while(u8::is_ascii_digit).count();
    text[digits..].parse().ok()
}

/// The variants of each option group that may hold.
fn options<'a>(
    graph: &Graph<'a>,
    unit: &KnownUnit<'a>,
) -> Result<BTreeMap<&'a str, Vec<&'a Variant>>, RequestFault> {
    let variants = || graph.snapshot.variants.iter().filter(|variant| variant.unit == unit.unit.unit);
    for (at, code) in unit.request.variants.iter().enumerate() {
        if !variants().any(|variant| variant.variant == *code) {
            return Err(RequestFault::unknown(
                format!("/units/{}/variants/{at}", unit.index),
                &format!("variant of {}", unit.unit.code),
                code.as_str(),
                variants().map(|variant| &variant.variant),
            ));
        }
    }
    let mut groups: BTreeMap<&str, Vec<&Variant>> = BTreeMap::new();
    for variant in variants() {
        groups.entry(variant.option_group.as_str()).or_default().push(variant);
    }
    for (group, members) in &mut groups {
        settle(unit, group, members)?;
    }
    Ok(groups)
}

fn settle(unit: &KnownUnit<'_>, group: &str, members: &mut Vec<&Variant>) -> Result<(), RequestFault> {
    let names = |list: &[&Variant]| list.iter().map(|v| v.variant.as_str()).collect::<Vec<_>>().join(", ");
    let all = names(members);
    let contradiction = |field: &str, detail: String| {
        Err(RequestFault::new(
            RequestFaultKind::Contradiction,
            format!("/units/{}/{field}", unit.index),
            detail,
        ))
    };
    let by_serial: BTreeSet<&Code> = members
        .iter()
        .filter(|v| within(unit.serial, (v.serial_from, v.serial_to)) != Some(false))
        .map(|v| &v.variant)
        .collect();
    let by_date: BTreeSet<&Code> = members
        .iter()
        .filter(|v| within(unit.request.built, (v.built_from, v.built_to)) != Some(false))
        .map(|v| &v.variant)
        .collect();
    if by_serial.is_empty() {
        return contradiction(
            "serial",
            format!("the serial number lies in none of the variants {all} of {group}"),
        );
    }
    if by_date.is_empty() {
        return contradiction(
            "built",
            format!("the build date lies in none of the variants {all} of {group}"),
        );
    }
    members.retain(|v| by_serial.contains(&v.variant) && by_date.contains(&v.variant));
    if members.is_empty() {
        return contradiction(
            "built",
            format!("serial number and build date contradict each other on {group} ({all})"),
        );
    }
    let seen: Vec<&Code> = unit
        .request
        .variants
        .iter()
        .filter(|code| all.split(", ").any(|name| name == code.as_str()))
        .collect();
    if seen.is_empty() {
        return Ok(());
    }
    let possible = names(members);
    members.retain(|v| seen.iter().all(|code| **code == v.variant));
    if members.is_empty() {
        let seen = seen.iter().map(|code| code.as_str()).collect::<Vec<_>>().join(", ");
        return contradiction(
            "variants",
            format!(
                "of {group} exactly one holds; `{seen}` was stated, {possible} is possible by serial and date"
            ),
        );
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_range_is_inclusive_and_open_at_a_missing_end() {
        assert_eq!(within(Some(5), (Some(5), Some(5))), Some(true));
        assert_eq!(within(Some(5), (Some(6), None)), Some(false));
        assert_eq!(within(None, (Some(6), None)), None);
        assert_eq!(within::<i64>(None, (None, None)), Some(true));
    }

    #[test]
    fn no_beats_unknown() {
        assert_eq!(both(None, Some(false)), Some(false));
        assert_eq!(both(None, Some(true)), None);
    }

    #[test]
    fn a_serial_number_ends_in_digits() {
        assert_eq!(serial_digits("BN 640-10482", "").ok(), Some(10_482));
        assert!(serial_digits("10482-X", "").is_err());
    }
}
