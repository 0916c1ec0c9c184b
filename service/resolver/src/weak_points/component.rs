//! Weak points that hang together, and how likely each way is in which they turn out.

use catalogue::{UnitKey, WeakPoint};

use super::fault;
use crate::request_fault::RequestFault;

/// For each way in which the points turn out (bit `i`: point `i` is found) how likely it is.
pub(crate) type Ways = Vec<f64>;

/// Weak points of one unit that hang together.
#[derive(Debug)]
pub(crate) struct Component<'a> {
    /// The points, by code.
    pub(crate) points: Vec<&'a WeakPoint>,
    /// For each point the one on which it rests.
    given: Vec<Option<usize>>,
}

impl<'a> Component<'a> {
    /// Fails where the points rest on each other in a circle.
    pub(super) fn new(unit: &UnitKey, points: Vec<&'a WeakPoint>) -> Result<Self, RequestFault> {
        let find = |point: &&WeakPoint| {
            let given = point.given.as_ref()?;
            points.iter().position(|other| other.weak_point == *given)
        };
        let given: Vec<Option<usize>> = points.iter().map(find).collect();
        for start in 0..points.len() {
            let mut at = start;
            for _ in 0..points.len() {
                match given[at] {
                    Some(next) => at = next,
                    None => break,
                }
            }
            if given[at].is_some() {
                return Err(fault(format!(
                    "weak points of {unit} rest on each other in a circle, {} among them; correct `given` in \
                     weak_points.csv",
                    points[start].weak_point
                )));
            }
        }
        Ok(Self { points, given })
    }

    /// How likely each way is, before anything is known.
    pub(crate) fn prior(&self) -> Ways {
        (0..1_usize << self.points.len())
            .map(|way| (0..self.points.len()).map(|at| self.factor(at, way)).product())
            .collect()
    }

    /// How likely it is that a point is as a way says, given the point it rests on.
    fn factor(&self, at: usize, way: usize) -> f64 {
        let found = |point: usize| way >> point & 1 == 1;
        let point = self.points[at];
        let likely = match self.given[at] {
            Some(other) if !found(other) => point.likelihood_otherwise.unwrap_or(0.0),
            _ => point.likelihood,
        };
        if found(at) { likely } else { 1.0 - likely }
    }

    /// How likely each way is once some points are known to be found or not. What the catalogue thinks impossible and was
    /// seen all the same stands, and the rest is as likely as it makes it.
    pub(crate) fn knowing(&self, observed: &[Option<bool>]) -> Ways {
        let fits = |way: usize| {
            observed.iter().enumerate().all(|(at, seen)| seen.is_none_or(|seen| (way >> at & 1 == 1) == seen))
        };
        let held = |ways: Ways| -> Ways {
            ways.into_iter().enumerate().map(|(way, p)| if fits(way) { p } else { 0.0 }).collect()
        };
        let mut ways = held(self.prior());
        let mut mass: f64 = ways.iter().sum();
        if mass <= 0.0 {
            let unseen = |way: usize| {
                (0..self.points.len()).filter(|at| observed[*at].is_none()).map(move |at| (at, way))
            };
            ways = held(
                (0..1_usize << self.points.len())
                    .map(|way| unseen(way).map(|(at, way)| self.factor(at, way)).product())
                    .collect(),
            );
            mass = ways.iter().sum();
        }
        if mass > 0.0 {
            ways.iter_mut().for_each(|p| *p /= mass);
        }
        ways
    }

    /// How likely a point is to be found.
    pub(crate) fn likelihood(&self, ways: &Ways, at: usize) -> f64 {
        ways.iter().enumerate().filter(|(way, _)| way >> at & 1 == 1).map(|(_, p)| p).sum()
    }
}
