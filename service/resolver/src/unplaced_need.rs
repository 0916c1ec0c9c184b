//! What a part without a position comes to today: companions, and what an operation uses.

use std::collections::BTreeMap;

use catalogue::{PartKind, Quantity};

use crate::branch::Branch;
use crate::context::Context;
use crate::fit::Fit;
use crate::graph::PartIx;
use crate::need::{For, Need};
use crate::reason::Reason;
use crate::request_fault::RequestFault;
use crate::supersession::{Reading, Successor};

/// Follows notices for needs without a position, counting off old stock that is to be used until it is gone.
pub(crate) struct UnplacedNeeds<'c, 'a> {
    context: &'c Context<'a>,
    branch: &'c Branch,
    /// Free stock of each part that no position may take.
    left: BTreeMap<PartIx, Quantity>,
}

impl<'c, 'a> UnplacedNeeds<'c, 'a> {
    /// Starts with the free stock that the positions of a fit leave in any case.
    pub(crate) fn beside(context: &'c Context<'a>, branch: &'c Branch, fit: &Fit<'_>) -> Self {
        let mut left = context.free.clone();
        for values in &fit.values {
            let mut most: BTreeMap<PartIx, Quantity> = BTreeMap::new();
            for (part, quantity) in values.iter().flat_map(|value| &value.fitted) {
                let known = most.entry(*part).or_default();
                *known = (*known).max(*quantity);
            }
            for (part, quantity) in most {
                if let Some(free) = left.get_mut(&part) {
                    *free = *free - quantity.min(*free);
                }
            }
        }
        Self { context, branch, left }
    }

    /// The needs of so many of a part in a unit: the old number off the shelf where it is to be used until it is gone and there
    /// is enough of it; else each number that it gives way to, times its factor.
    pub(crate) fn of(
        &mut self,
        unit: usize,
        part: PartIx,
        quantity: Quantity,
        reason: Reason,
    ) -> Result<Vec<Need>, RequestFault> {
        let context = self.context;
        let reading = Reading {
            graph: context.graph,
            as_of: context.input.request.as_of,
            unit: Some(&context.units[unit]),
            branch: Some(self.branch),
        };
        let ways = reading.successors(part)?;
        let had = |way: &&Successor| {
            way.parts.iter().all(|(part, _)| context.can_be_bought(*part) && !context.ruled_out(*part))
        };
        let Some(way) = ways.iter().find(had).or_else(|| ways.first()) else { return Ok(Vec::new()) };
        if let Some(need) = self.old_stock(&reading, (unit, part, quantity), way, &reason) {
            return Ok(vec![need]);
        }
        let mut reasons = vec![reason];
        reasons.extend(
            way.rows.iter().map(|row| Reason::superseded(&context.graph.snapshot.supersessions[*row])),
        );
        let need = |(part, factor): &(PartIx, Quantity)| Need {
            line: For::Unit(unit, reasons.clone().into()),
            quantity: factor.times(quantity).unwrap_or(quantity),
            accepts: accepts(context, &reading, *part),
        };
        Ok(way.parts.iter().map(need).collect())
    }

    fn old_stock(
        &mut self,
        reading: &Reading<'a, '_>,
        (unit, part, quantity): (usize, PartIx, Quantity),
        way: &Successor,
        reason: &Reason,
    ) -> Option<Need> {
        for (at, (old, factor, row)) in reading.stops(part, way).into_iter().enumerate() {
            let rows = &self.context.graph.snapshot.supersessions;
            let pieces = factor.times(quantity).filter(|_| rows[row].use_old_until_gone);
            let (Some(pieces), Some(left)) = (pieces, self.left.get_mut(&old)) else { continue };
            if *left < pieces || self.context.ruled_out(old) {
                continue;
            }
            *left = *left - pieces;
            let mut reasons = vec![reason.clone()];
            reasons.extend(way.rows[..at].iter().map(|row| Reason::superseded(&rows[*row])));
            let (notice, old_key) = (rows[row].notice.clone(), rows[row].old.clone());
            reasons.push(Reason::OldStockFirst { notice, old: old_key });
            let line = For::Unit(unit, reasons.into());
            return Some(Need { line, quantity: pieces, accepts: vec![old] });
        }
        None
    }
}

/// A number, then those tied to it both ways.
fn accepts(context: &Context<'_>, reading: &Reading<'_, '_>, main: PartIx) -> Vec<PartIx> {
    let others = reading.two_way_class(main).into_iter().filter(|other| *other != main);
    let usable = |part: &PartIx| context.graph.part(*part).kind != PartKind::Kit && !context.ruled_out(*part);
    let accepts: Vec<PartIx> = std::iter::once(main).chain(others).filter(usable).collect();
    if accepts.is_empty() { vec![main] } else { accepts }
}
