//! From the codes that a person writes to the keys that the resolver knows.

use catalogue::{Code, Mark, PartKey, UnitKey};
use chrono::NaiveDate;
use resolver::Request;
use resolver::request::{Chosen, Finding, Inside, UnitRequest};

use crate::asked::{Asked, AskedUnit};
use crate::identify_part::identify_part;
use crate::identify_unit::{identify_unit, identify_units_of_vehicle};
use crate::lookup_error::LookupError;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::translate_alternatives::translate_alternatives;

/// Most units of one request.
const UNITS_MAX: usize = 8;
/// Most findings, and most parts known to be inside, of one unit.
const FINDINGS_MAX: usize = 1_000;
/// Most things asked for, variants, and things ruled out.
const CHOICES_MAX: usize = 100;
/// Most parts of which one is wanted.
const ANY_OF_MAX: usize = 20;
/// The operation when none is named.
const OVERHAUL: &str = "OVERHAUL";

/// A request in keys, and for each of its units where it stands in what was asked.
pub(crate) struct Translated {
    /// The request.
    pub(crate) request: Request,
    /// For each unit of the request the index of the asked unit that it came from.
    pub(crate) origins: Vec<usize>,
}

impl Translated {
    /// A pointer into the request as a pointer into what was asked.
    pub(crate) fn asked_pointer(&self, pointer: &str) -> String {
        let Some(rest) = pointer.strip_prefix("/units/") else { return pointer.to_owned() };
        let (index, tail) = rest.split_once('/').map_or((rest, ""), |(index, tail)| (index, tail));
        let origin = index.parse::<usize>().ok().and_then(|index| self.origins.get(index));
        match (origin, tail) {
            (None, _) => pointer.to_owned(),
            (Some(origin), "") => format!("/units/{origin}"),
            (Some(origin), tail) => format!("/units/{origin}/{tail}"),
        }
    }
}

/// Translates what was asked.
#[tracing::instrument(name = "identify", skip_all, fields(units))]
pub(crate) async fn translate(
    shop: &Shop,
    asked: &Asked,
    today: NaiveDate,
) -> Result<Translated, RebuildError> {
    if asked.units.is_empty() {
        return Err(RebuildError::bad("/units", "no unit is named; name at least one"));
    }
    let mut units = Vec::new();
    let mut origins = Vec::new();
    for (at, unit) in asked.units.iter().enumerate() {
        let pointer = format!("/units/{at}");
        for key in keys_of(shop, unit, &pointer).await? {
            if units.len() == UNITS_MAX {
                return Err(RebuildError::bad("/units", format!("more than {UNITS_MAX} units are named")));
            }
            units.push(translate_unit(shop, unit, key, &pointer).await?);
            origins.push(at);
        }
    }
    tracing::Span::current().record("units", units.len());
    let customer = asked.customer.as_deref().map(|text| code(text, "customer", "/customer")).transpose()?;
    limit(asked.without_parts.len(), CHOICES_MAX, "/without_parts")?;
    limit(asked.without_suppliers.len(), CHOICES_MAX, "/without_suppliers")?;
    let mut without_parts = Vec::new();
    for (at, text) in asked.without_parts.iter().enumerate() {
        without_parts.push(part(shop, text, &format!("/without_parts/{at}")).await?);
    }
    let without_suppliers = codes(&asked.without_suppliers, "supplier", "/without_suppliers")?;
    let alternatives = match &asked.alternatives {
        Some(others) => Some(translate_alternatives(shop, others, &units, "/alternatives").await?),
        None => None,
    };
    let request = Request {
        units,
        as_of: asked.as_of.unwrap_or(today),
        customer,
        aim: asked.aim,
        stock: asked.stock,
        unknowns: asked.unknowns,
        without_parts,
        without_suppliers,
        alternatives,
        search_steps: asked.search_steps,
    };
    Ok(Translated { request, origins })
}

async fn keys_of(shop: &Shop, asked: &AskedUnit, pointer: &str) -> Result<Vec<UnitKey>, RebuildError> {
    match (&asked.unit, &asked.vehicle, asked.role) {
        (Some(_), Some(_), _) => {
            Err(RebuildError::bad(pointer, "both a unit and a vehicle are named; name one of the two"))
        }
        (Some(_), None, Some(_)) => Err(RebuildError::bad(
            format!("{pointer}/role"),
            "a role goes with a vehicle, not with a unit code",
        )),
        (Some(written), None, None) => {
            let unit = identify_unit(shop, written).await;
            Ok(vec![unit.map_err(|error| RebuildError::at(format!("{pointer}/unit"), error))?.unit])
        }
        (None, Some(written), role) => {
            let carried = identify_units_of_vehicle(shop, written, role).await;
            let carried = carried.map_err(|error| RebuildError::at(format!("{pointer}/vehicle"), error))?;
            match role {
                _ if carried.is_empty() => {
                    Err(RebuildError::bad(pointer, format!("the vehicle `{written}` carries no such unit")))
                }
                // Two units in one role are ways in which the vehicle was built, not two units of one vehicle.
                Some(role) if carried.len() > 1 => Err(RebuildError::BadRequest {
                    pointer: format!("{pointer}/role"),
                    detail: format!(
                        "the vehicle `{written}` was built with several units as {role}; name the unit"
                    ),
                    suggestions: carried.iter().map(|unit| unit.unit.to_string()).collect(),
                }),
                _ => Ok(carried.into_iter().map(|unit| unit.unit).collect()),
            }
        }
        (None, None, _) => {
            Err(RebuildError::bad(pointer, "neither a unit nor a vehicle is named; name one of the two"))
        }
    }
}

async fn translate_unit(
    shop: &Shop,
    asked: &AskedUnit,
    unit: UnitKey,
    pointer: &str,
) -> Result<UnitRequest, RebuildError> {
    limit(asked.variants.len(), CHOICES_MAX, &format!("{pointer}/variants"))?;
    limit(asked.findings.len(), FINDINGS_MAX, &format!("{pointer}/findings"))?;
    limit(asked.inside.len(), FINDINGS_MAX, &format!("{pointer}/inside"))?;
    limit(asked.chosen.len(), CHOICES_MAX, &format!("{pointer}/chosen"))?;
    let operation = asked.operation.as_deref().unwrap_or(OVERHAUL);
    let mut findings = Vec::new();
    for (at, finding) in asked.findings.iter().enumerate() {
        let pointer = format!("{pointer}/findings/{at}");
        let bench_value = finding.bench_value.as_deref();
        findings.push(Finding {
            position: code(&finding.position, "position", &format!("{pointer}/position"))?,
            grade: finding.grade,
            bench_value: bench_value
                .map(|text| code(text, "bench value", &format!("{pointer}/bench_value")))
                .transpose()?,
            measured: finding.measured,
        });
    }
    let mut inside = Vec::new();
    for (at, known) in asked.inside.iter().enumerate() {
        let pointer = format!("{pointer}/inside/{at}");
        inside.push(Inside {
            position: code(&known.position, "position", &format!("{pointer}/position"))?,
            part: part(shop, &known.part, &format!("{pointer}/part")).await?,
            mark: known.mark.clone().map(Mark),
            recorded_by: None,
        });
    }
    contradicting(&inside, pointer)?;
    let mut chosen = Vec::new();
    for (at, choice) in asked.chosen.iter().enumerate() {
        let pointer = format!("{pointer}/chosen/{at}");
        limit(choice.any_of.len(), ANY_OF_MAX, &format!("{pointer}/any_of"))?;
        let mut any_of = Vec::new();
        for (at, text) in choice.any_of.iter().enumerate() {
            any_of.push(part(shop, text, &format!("{pointer}/any_of/{at}")).await?);
        }
        let position = choice.position.as_deref();
        let position =
            position.map(|text| code(text, "position", &format!("{pointer}/position"))).transpose()?;
        chosen.push(Chosen { any_of, position });
    }
    Ok(UnitRequest {
        unit,
        operation: code(operation, "operation", &format!("{pointer}/operation"))?,
        serial: asked.serial.clone(),
        built: asked.built,
        variants: codes(&asked.variants, "variant", &format!("{pointer}/variants"))?,
        findings,
        inside,
        chosen,
        record_differences: Vec::new(),
    })
}

/// Two parts cannot be inside at one position.
fn contradicting(inside: &[Inside], pointer: &str) -> Result<(), RebuildError> {
    for (at, one) in inside.iter().enumerate() {
        let other =
            inside[..at].iter().find(|other| other.position == one.position && other.part != one.part);
        if let Some(other) = other {
            let detail =
                format!("{} is said to be inside at {} too; name the one that is", other.part, one.position);
            return Err(RebuildError::bad(format!("{pointer}/inside/{at}/part"), detail));
        }
    }
    Ok(())
}

/// The part that is written at a place of the request.
pub(crate) async fn part(shop: &Shop, written: &str, pointer: &str) -> Result<PartKey, RebuildError> {
    let part = identify_part(shop, written).await.map_err(|error| RebuildError::at(pointer, error))?;
    Ok(part.part)
}

/// The code that is written at a place of the request.
pub(crate) fn code(text: &str, what: &'static str, pointer: &str) -> Result<Code, RebuildError> {
    Code::parse(text).map_err(|fault| {
        RebuildError::at(pointer, LookupError::Malformed { what, written: text.to_owned(), fault })
    })
}

fn codes(texts: &[String], what: &'static str, pointer: &str) -> Result<Vec<Code>, RebuildError> {
    let each = texts.iter().enumerate();
    each.map(|(at, text)| code(text, what, &format!("{pointer}/{at}"))).collect()
}

/// Refuses more of something than is taken.
pub(crate) fn limit(count: usize, max: usize, pointer: &str) -> Result<(), RebuildError> {
    if count > max {
        Err(RebuildError::bad(pointer, format!("{count} are given; at most {max} are taken")))
    } else {
        Ok(())
    }
}
