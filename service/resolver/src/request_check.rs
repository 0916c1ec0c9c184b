//! What a request says must be something that the catalogue knows, and that can be true of the unit.

use crate::branch::Branch;
use crate::context::Context;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// What is said to be inside must be a part that the catalogue ties to the unit.
pub(crate) fn check_inside(context: &Context<'_>) -> Result<(), RequestFault> {
    for unit in &context.units {
        let positions = context.graph.positions(&unit.unit.unit);
        for (at, inside) in unit.request.inside.iter().enumerate() {
            let pointer = |field: &str| format!("/units/{}/inside/{at}/{field}", unit.index);
            if !positions.iter().any(|position| position.position == inside.position) {
                let known = positions.iter().map(|position| &position.position);
                let what = format!("position of {}", unit.unit.code);
                return Err(RequestFault::unknown(
                    pointer("position"),
                    &what,
                    inside.position.as_str(),
                    known,
                ));
            }
            if context.graph.find(&inside.part).is_none() {
                return Err(RequestFault::new(
                    RequestFaultKind::UnknownReference,
                    pointer("part"),
                    format!("{} is no part that the catalogue ties to {}", inside.part, unit.unit.code),
                ));
            }
        }
    }
    Ok(())
}

/// Nothing is bought from suppliers that the request rules out: those must exist, or a slip of the pen would buy from them.
pub(crate) fn check_suppliers(context: &Context<'_>) -> Result<(), RequestFault> {
    let known = || context.input.prices.suppliers.iter().map(|row| &row.supplier);
    for (at, supplier) in context.input.request.without_suppliers.iter().enumerate() {
        if !known().any(|row| row == supplier) {
            let pointer = format!("/without_suppliers/{at}");
            return Err(RequestFault::unknown(pointer, "supplier", supplier.as_str(), known()));
        }
    }
    Ok(())
}

/// Nothing can be found at a position that the unit does not have, as its variants are known.
pub(crate) fn check_findings(context: &Context<'_>, branches: &[Branch]) -> Result<(), RequestFault> {
    for unit in &context.units {
        let positions = context.graph.positions(&unit.unit.unit);
        for (at, finding) in unit.request.findings.iter().enumerate() {
            let position = positions.iter().find(|row| row.position == finding.position);
            let Some(variant) = position.and_then(|row| row.variant.as_ref()) else { continue };
            if !branches.iter().any(|branch| branch.holds(unit.index, Some(variant))) {
                return Err(RequestFault::new(
                    RequestFaultKind::Contradiction,
                    format!("/units/{}/findings/{at}/position", unit.index),
                    format!(
                        "{} exists only in variant {variant}, which this unit is not; name the position that was found, or \
                         another variant",
                        finding.position
                    ),
                ));
            }
        }
    }
    Ok(())
}
