//! What lies in a kit's box, through nested kits.

use std::collections::BTreeMap;

use catalogue::{Code, PartKind, Quantity};

use crate::graph::{Graph, PartIx};
use crate::request_fault::{RequestFault, RequestFaultKind};

/// One part of an exploded kit.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Content {
    /// The part.
    pub(crate) part: PartIx,
    /// How many lie in one box.
    pub(crate) quantity: Quantity,
    /// The option group of the line, or of the nested kit's line.
    pub(crate) option_group: Option<Code>,
    /// The nested kits on the way to it.
    pub(crate) through: Vec<PartIx>,
}

/// The leaves of a kit, by part; a part on several lines is added up. A kit that holds itself is a fault that names the way.
pub(crate) fn explode(graph: &Graph<'_>, kit: PartIx) -> Result<Vec<Content>, RequestFault> {
    let mut found: BTreeMap<PartIx, Content> = BTreeMap::new();
    let mut path = vec![kit];
    walk(graph, kit, Quantity::ONE, None, &mut path, &mut found)?;
    Ok(found.into_values().collect())
}

fn walk(
    graph: &Graph<'_>,
    kit: PartIx,
    count: Quantity,
    group: Option<&Code>,
    path: &mut Vec<PartIx>,
    found: &mut BTreeMap<PartIx, Content>,
) -> Result<(), RequestFault> {
    for (part, line) in graph.kit_lines(kit) {
        let fault = |detail: String| Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail));
        let Some(quantity) = count.times(line.quantity) else {
            return fault(format!("the quantities of kit {} are too large", line.kit));
        };
        let group = line.option_group.as_ref().or(group);
        if graph.part(*part).kind != PartKind::Kit {
            let content = found.entry(*part).or_insert_with(|| Content {
                part: *part,
                quantity: Quantity::ZERO,
                option_group: group.cloned(),
                through: path[1..].to_vec(),
            });
            content.quantity += quantity;
            continue;
        }
        if path.contains(part) {
            let names: Vec<&str> =
                path.iter().chain(std::iter::once(part)).map(|kit| graph.part(*kit).part.as_str()).collect();
            return fault(format!(
                "a kit lies in itself: {}; correct it in kit_lines.csv",
                names.join(" → ")
            ));
        }
        path.push(*part);
        walk(graph, *part, quantity, group, path, found)?;
        path.pop();
    }
    Ok(())
}
