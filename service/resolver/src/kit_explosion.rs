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

/// Kits one in the other that are opened; more is bad data, and would cost stack.
const DEPTH_MAX: usize = 64;

/// The leaves of a kit, by part; a part on several lines is added up. A kit that holds itself is a fault that names the way.
pub(crate) fn explode(graph: &Graph<'_>, kit: PartIx) -> Result<Vec<Content>, RequestFault> {
    let mut opened = BTreeMap::new();
    open(graph, kit, &mut Vec::new(), &mut opened)?;
    Ok(opened.remove(&kit).unwrap_or_default())
}

/// Opens a kit and all in it, each once however many boxes of it there are.
fn open(
    graph: &Graph<'_>,
    kit: PartIx,
    path: &mut Vec<PartIx>,
    opened: &mut BTreeMap<PartIx, Vec<Content>>,
) -> Result<(), RequestFault> {
    if opened.contains_key(&kit) {
        return Ok(());
    }
    let name = |kit: &PartIx| graph.part(*kit).part.as_str();
    if path.contains(&kit) {
        let names: Vec<&str> = path.iter().chain(std::iter::once(&kit)).map(name).collect();
        return fault(format!("a kit lies in itself: {}; correct it in kit_lines.csv", names.join(" → ")));
    }
    if path.len() == DEPTH_MAX {
        let first = path.first().map_or("", name);
        return fault(format!("more than {DEPTH_MAX} kits lie one in the other in {first}"));
    }
    path.push(kit);
    let mut found: BTreeMap<PartIx, Content> = BTreeMap::new();
    for (part, line) in graph.kit_lines(kit) {
        let nested = graph.part(*part).kind == PartKind::Kit;
        let contents = if nested {
            open(graph, *part, path, opened)?;
            opened.get(part).cloned().unwrap_or_default()
        } else {
            let piece =
                Content { part: *part, quantity: Quantity::ONE, option_group: None, through: Vec::new() };
            vec![piece]
        };
        for mut content in contents {
            let Some(quantity) = content.quantity.times(line.quantity) else {
                return fault(format!("the quantities of kit {} are too large", line.kit));
            };
            if let Some(known) = found.get_mut(&content.part) {
                known.quantity += quantity;
                continue;
            }
            content.quantity = quantity;
            // Of nested groups the inner one tells which sizes stand for each other.
            content.option_group = content.option_group.or_else(|| line.option_group.clone());
            if nested {
                content.through.insert(0, *part);
            }
            found.insert(content.part, content);
        }
    }
    path.pop();
    opened.insert(kit, found.into_values().collect());
    Ok(())
}

fn fault(detail: String) -> Result<(), RequestFault> {
    Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail))
}
