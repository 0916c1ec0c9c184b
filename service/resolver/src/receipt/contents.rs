//! What an order line should bring, frozen when it is written.

use catalogue::{Code, PartKey, PartKind, Quantity, Snapshot};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::graph::{Graph, PartIx};
use crate::request_fault::{RequestFault, RequestFaultKind};

/// One line of what one piece of an ordered number brings: itself, or what lies in its box.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FrozenContent {
    /// Its number, from one, in the order of the kit's list.
    pub content: i64,
    /// The part.
    pub part: PartKey,
    /// How many lie in one box.
    #[schema(value_type = String)]
    pub quantity: Quantity,
    /// The option group whose sizes all lie in the box.
    pub option_group: Option<Code>,
    /// The nested kits on the way down to it.
    pub through: Vec<PartKey>,
}

/// Kits one in the other that are opened; more is bad data, and would cost stack.
const DEPTH_MAX: usize = 64;
/// Most lines of one box, nested boxes opened; more is bad data.
const LINES_MAX: usize = 5_000;

/// What one piece of a number brings, by the kit lists of a snapshot: every line of a kit, its options included, in the
/// order of its list, nested kits opened in their place. A part that is no kit, and a kit without a list, brings itself.
///
/// # Errors
/// [`RequestFaultKind::UnknownReference`] where the snapshot does not hold the number; [`RequestFaultKind::CatalogueFault`]
/// where a kit lies in itself or holds too much.
pub fn contents_of(snapshot: &Snapshot, number: &PartKey) -> Result<Vec<FrozenContent>, RequestFault> {
    let graph = Graph::new(snapshot);
    let part = graph.find(number).ok_or_else(|| {
        RequestFault::new(RequestFaultKind::UnknownReference, "", format!("there is no part `{number}`"))
    })?;
    let mut opened = Opened { graph: &graph, path: Vec::new(), found: Vec::new() };
    opened.put(part, Quantity::ONE, None)?;
    Ok(opened.found)
}

struct Opened<'a, 'b> {
    graph: &'b Graph<'a>,
    path: Vec<PartIx>,
    found: Vec<FrozenContent>,
}

impl Opened<'_, '_> {
    fn put(&mut self, part: PartIx, quantity: Quantity, group: Option<&Code>) -> Result<(), RequestFault> {
        let graph = self.graph;
        let lines = graph.kit_lines(part);
        if graph.part(part).kind != PartKind::Kit || lines.is_empty() {
            let through = self.path.iter().skip(1).map(|kit| graph.part(*kit).part.clone()).collect();
            self.found.push(FrozenContent {
                content: i64::try_from(self.found.len()).unwrap_or(i64::MAX) + 1,
                part: graph.part(part).part.clone(),
                quantity,
                option_group: group.cloned(),
                through,
            });
            return if self.found.len() > LINES_MAX { self.fault("holds too many lines") } else { Ok(()) };
        }
        if self.path.contains(&part) {
            return self.fault("lies in itself");
        }
        if self.path.len() == DEPTH_MAX {
            return self.fault("has too many kits one in the other");
        }
        self.path.push(part);
        for (inner, line) in lines {
            let Some(pieces) = quantity.times(line.quantity) else {
                return self.fault("holds quantities that are too large");
            };
            // Of nested groups the inner one tells which sizes stand for each other.
            self.put(*inner, pieces, line.option_group.as_ref().or(group))?;
        }
        self.path.pop();
        Ok(())
    }

    fn fault(&self, what: &str) -> Result<(), RequestFault> {
        let names: Vec<&str> = self.path.iter().map(|kit| self.graph.part(*kit).part.as_str()).collect();
        let detail = format!("kit {} {what}; correct it in kit_lines.csv", names.join(" → "));
        Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", detail))
    }
}
