//! Following notices: which numbers stand today where a number stood.
//!
//! A chain is as strong as its weakest link; interchange *none* stops it. Each row has a quantity factor. Effective dates
//! are held against the day of asking, serial and build conditions against the unit.

use std::collections::BTreeSet;

use catalogue::{Interchange, Quantity, Supersession, SupersessionShape};
use chrono::NaiveDate;

use crate::branch::Branch;
use crate::graph::{Graph, Notice, PartIx};
use crate::identify::KnownUnit;
use crate::request_fault::{RequestFault, RequestFaultKind};

/// Where and when notices are read.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Reading<'a, 'b> {
    /// The rows.
    pub(crate) graph: &'b Graph<'a>,
    /// The day of asking.
    pub(crate) as_of: NaiveDate,
    /// The unit, for conditions; `None` reads only rows without one.
    pub(crate) unit: Option<&'b KnownUnit<'a>>,
    /// What is taken to hold.
    pub(crate) branch: Option<&'b Branch>,
}

/// What stands today in place of one piece of a number.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Successor {
    /// The numbers with their pieces for one old piece; several after a split.
    pub(crate) parts: Vec<(PartIx, Quantity)>,
    /// Rows of the notices on the way.
    pub(crate) rows: Vec<usize>,
    /// The row of the merge that ends the way.
    pub(crate) merge: Option<usize>,
}

impl<'a> Reading<'a, '_> {
    /// Whether a row of a notice holds here and now.
    pub(crate) fn holds(&self, row: usize, notice: &Supersession) -> bool {
        if notice.effective_from > self.as_of {
            return false;
        }
        let conditional = notice.unit.is_some()
            || notice.serial_from.is_some()
            || notice.serial_to.is_some()
            || notice.built_from.is_some()
            || notice.built_to.is_some();
        let (Some(unit), Some(branch)) = (self.unit, self.branch) else {
            return !conditional;
        };
        if notice.unit.as_ref().is_some_and(|key| *key != unit.unit.unit) {
            return false;
        }
        if notice.unit.is_some() && !branch.holds(unit.index, notice.variant.as_ref()) {
            return false;
        }
        unit.in_range((notice.serial_from, notice.serial_to), (notice.built_from, notice.built_to))
            .or_else(|| branch.conditions.get(&(unit.index, row)).copied())
            .unwrap_or(false)
    }

    /// The rows of the notice by which a number gives way now: of several notices the latest.
    pub(crate) fn next(&self, old: PartIx) -> Vec<Notice<'a>> {
        let holding: Vec<Notice<'a>> = self
            .graph
            .notices_from(old)
            .iter()
            .copied()
            .filter(|n| n.new != old && self.holds(n.row, n.notice))
            .collect();
        let latest = holding.iter().map(|n| (n.notice.effective_from, &n.notice.notice)).max();
        holding
            .iter()
            .copied()
            .filter(|n| Some((n.notice.effective_from, &n.notice.notice)) == latest)
            .collect()
    }

    /// What may be fitted today where a number stood; itself where no notice gives a successor that fits. Several where a
    /// notice leaves the choice.
    pub(crate) fn successors(&self, part: PartIx) -> Result<Vec<Successor>, RequestFault> {
        self.follow(part, &mut Vec::new())
    }

    fn follow(&self, part: PartIx, path: &mut Vec<PartIx>) -> Result<Vec<Successor>, RequestFault> {
        if let Some(start) = path.iter().position(|seen| *seen == part) {
            return Err(self.cycle(&path[start..], part));
        }
        let rows: Vec<Notice<'a>> =
            self.next(part).into_iter().filter(|n| n.notice.interchange != Interchange::None).collect();
        let Some(first) = rows.first() else {
            return Ok(vec![Successor { parts: vec![(part, Quantity::ONE)], rows: Vec::new(), merge: None }]);
        };
        path.push(part);
        let found = match first.notice.shape {
            SupersessionShape::Merge => vec![Successor {
                parts: vec![(first.new, first.notice.quantity)],
                rows: vec![first.row],
                merge: Some(first.row),
            }],
            SupersessionShape::AllOf => {
                let mut together = Successor { parts: Vec::new(), rows: Vec::new(), merge: None };
                for row in &rows {
                    // A further choice behind a split would multiply the ways; the first is taken, as the data list it.
                    if let Some(way) = self.step(row, path)?.into_iter().next() {
                        together.parts.extend(way.parts);
                        together.rows.extend(way.rows);
                    }
                }
                vec![together]
            }
            SupersessionShape::OneToOne | SupersessionShape::OneOf => {
                let mut ways = Vec::new();
                for row in &rows {
                    ways.extend(self.step(row, path)?);
                }
                ways
            }
        };
        path.pop();
        Ok(found)
    }

    fn step(&self, row: &Notice<'a>, path: &mut Vec<PartIx>) -> Result<Vec<Successor>, RequestFault> {
        let mut ways = self.follow(row.new, path)?;
        for way in &mut ways {
            way.rows.insert(0, row.row);
            for (_, quantity) in &mut way.parts {
                *quantity = quantity.times(row.notice.quantity).ok_or_else(|| {
                    RequestFault::new(
                        RequestFaultKind::CatalogueFault,
                        "",
                        format!("the quantity factors of notice {} are too large", row.notice.notice),
                    )
                })?;
            }
        }
        Ok(ways)
    }

    fn cycle(&self, path: &[PartIx], back: PartIx) -> RequestFault {
        let names: Vec<&str> = path
            .iter()
            .chain(std::iter::once(&back))
            .map(|part| self.graph.part(*part).part.as_str())
            .collect();
        RequestFault::new(
            RequestFaultKind::CatalogueFault,
            "",
            format!("notices lead in a circle: {}; correct them in supersessions.csv", names.join(" → ")),
        )
    }

    /// Numbers that serve for a number and it for them, one piece for one piece: itself and all that two-way notices tie to
    /// it, by index.
    pub(crate) fn two_way_class(&self, part: PartIx) -> Vec<PartIx> {
        let mut class = BTreeSet::from([part]);
        let mut frontier = vec![part];
        while let Some(at) = frontier.pop() {
            let around = self.graph.notices_from(at).iter().chain(self.graph.notices_to(at));
            for n in around {
                let two_way = n.notice.interchange == Interchange::TwoWay
                    && n.notice.shape == SupersessionShape::OneToOne
                    && n.notice.quantity == Quantity::ONE
                    && self.holds(n.row, n.notice);
                let other = if n.old == at { n.new } else { n.old };
                if two_way && class.insert(other) {
                    frontier.push(other);
                }
            }
        }
        class.into_iter().collect()
    }
}
