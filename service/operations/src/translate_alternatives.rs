//! From the conditions that a person writes to those that the resolver knows.

use catalogue::Code;
use resolver::request::UnitRequest;
use resolver::{AlternativesRequest, Condition};

use crate::asked_alternatives::{AskedAlternatives, AskedCondition};
use crate::identify_unit::identify_unit;
use crate::rebuild_error::RebuildError;
use crate::shop::Shop;
use crate::translate_request::{code, limit, part};

/// Most conditions of one request.
const CONDITIONS_MAX: usize = 32;

/// Translates what other answers are asked for beside a request on some units. Faults point below `pointer`.
pub(crate) async fn translate_alternatives(
    shop: &Shop,
    asked: &AskedAlternatives,
    units: &[UnitRequest],
    pointer: &str,
) -> Result<AlternativesRequest, RebuildError> {
    limit(asked.conditions.len(), CONDITIONS_MAX, &format!("{pointer}/conditions"))?;
    let mut conditions = Vec::new();
    for (at, condition) in asked.conditions.iter().enumerate() {
        let pointer = format!("{pointer}/conditions/{at}");
        conditions.push(translate_condition(shop, condition, units, &pointer).await?);
    }
    Ok(AlternativesRequest { next: asked.next, conditions })
}

async fn translate_condition(
    shop: &Shop,
    asked: &AskedCondition,
    units: &[UnitRequest],
    pointer: &str,
) -> Result<Condition, RebuildError> {
    let at = |field: &str| format!("{pointer}/{field}");
    Ok(match asked {
        AskedCondition::WithoutPart { part: written } => {
            Condition::WithoutPart { part: part(shop, written, &at("part")).await? }
        }
        AskedCondition::WithPart { part: written, position, unit } => Condition::WithPart {
            part: part(shop, written, &at("part")).await?,
            position: optional_code(position.as_deref(), "position", &at("position"))?,
            unit: unit_index(shop, unit.as_deref(), units, &at("unit")).await?,
        },
        AskedCondition::WithKit { kit } => Condition::WithKit { kit: part(shop, kit, &at("kit")).await? },
        AskedCondition::WithoutSupplier { supplier } => {
            Condition::WithoutSupplier { supplier: code(supplier, "supplier", &at("supplier"))? }
        }
        AskedCondition::OnlySupplier { supplier } => {
            Condition::OnlySupplier { supplier: code(supplier, "supplier", &at("supplier"))? }
        }
        AskedCondition::OnlyOriginal => Condition::OnlyOriginal,
        AskedCondition::NoUnverifiedJoints => Condition::NoUnverifiedJoints,
    })
}

/// A code that may be left out.
pub(crate) fn optional_code(
    written: Option<&str>,
    what: &'static str,
    pointer: &str,
) -> Result<Option<Code>, RebuildError> {
    written.map(|text| code(text, what, pointer)).transpose()
}

/// Which unit of a request a code means; left out: the only one.
pub(crate) async fn unit_index(
    shop: &Shop,
    written: Option<&str>,
    units: &[UnitRequest],
    pointer: &str,
) -> Result<usize, RebuildError> {
    let known = || units.iter().map(|unit| unit.unit.to_string()).collect::<Vec<_>>();
    let Some(written) = written else {
        if units.len() > 1 {
            return Err(RebuildError::BadRequest {
                pointer: pointer.to_owned(),
                detail: "several units are asked about; name the one that is meant".to_owned(),
                suggestions: known(),
            });
        }
        return Ok(0);
    };
    let unit = identify_unit(shop, written).await.map_err(|error| RebuildError::at(pointer, error))?;
    units.iter().position(|asked| asked.unit == unit.unit).ok_or_else(|| RebuildError::BadRequest {
        pointer: pointer.to_owned(),
        detail: format!("{} is not among the units that are asked about", unit.code),
        suggestions: known(),
    })
}
