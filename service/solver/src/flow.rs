//! A flow of quantities from supplies to demands at least cost, costs being compared aim by aim.
//!
//! Successive shortest paths on the residual network (Busacker and Gowen 1961; Ahuja, Magnanti, Orlin, *Network Flows*,
//! 1993, §9.7). Costs are vectors that are compared entry by entry, the first that differs decides; such vectors are an
//! ordered group, so shortest paths and the optimality of the method hold for them as for numbers.

use std::collections::VecDeque;

/// What flows may be moved, and what each unit of them costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Transport<const AIMS: usize> {
    /// What each supply has; not below zero.
    pub supplies: Vec<i64>,
    /// What each demand takes at most; not below zero.
    pub demands: Vec<i64>,
    /// The ways from supplies to demands.
    pub arcs: Vec<Arc<AIMS>>,
}

/// A way from a supply to a demand.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Arc<const AIMS: usize> {
    /// Index of the supply.
    pub supply: usize,
    /// Index of the demand.
    pub demand: usize,
    /// What one unit on it costs, the first aim first; below zero: it is worth something. The sizes of all costs together
    /// must stay in the range of an `i64`.
    pub cost: [i64; AIMS],
}

/// How much flows on each arc in a flow of least total cost, aim by aim. Where nothing is gained by it, nothing flows. Of
/// several such flows the same one comes out every time.
pub fn least_cost<const AIMS: usize>(transport: &Transport<AIMS>) -> Vec<i64> {
    let mut network = Network::new(transport);
    while let Some(path) = network.cheapest_path() {
        network.send_along(&path);
    }
    (0..transport.arcs.len()).map(|arc| network.edges[2 * arc + 1].room).collect()
}

/// Half of an arc: forward edges are even, each with its backward edge behind it.
struct Edge<const AIMS: usize> {
    to: usize,
    room: i64,
    cost: [i64; AIMS],
}

struct Network<const AIMS: usize> {
    edges: Vec<Edge<AIMS>>,
    leaving: Vec<Vec<usize>>,
    source: usize,
    sink: usize,
}

impl<const AIMS: usize> Network<AIMS> {
    fn new(transport: &Transport<AIMS>) -> Self {
        let (supplies, demands) = (transport.supplies.len(), transport.demands.len());
        let (source, sink) = (supplies + demands, supplies + demands + 1);
        let mut network = Self { edges: Vec::new(), leaving: vec![Vec::new(); sink + 1], source, sink };
        for arc in &transport.arcs {
            let room = transport.supplies[arc.supply].min(transport.demands[arc.demand]);
            network.join(arc.supply, supplies + arc.demand, room, arc.cost);
        }
        for (at, room) in transport.supplies.iter().enumerate() {
            network.join(source, at, *room, [0; AIMS]);
        }
        for (at, room) in transport.demands.iter().enumerate() {
            network.join(supplies + at, sink, *room, [0; AIMS]);
        }
        network
    }

    fn join(&mut self, from: usize, to: usize, room: i64, cost: [i64; AIMS]) {
        self.leaving[from].push(self.edges.len());
        self.edges.push(Edge { to, room, cost });
        self.leaving[to].push(self.edges.len());
        self.edges.push(Edge { to: from, room: 0, cost: cost.map(|cost| -cost) });
    }

    /// The edges of a path from source to sink on which a unit costs least, if that is worth something.
    fn cheapest_path(&self) -> Option<Vec<usize>> {
        let mut cost: Vec<Option<[i64; AIMS]>> = vec![None; self.leaving.len()];
        let mut came_by: Vec<usize> = vec![usize::MAX; self.leaving.len()];
        let mut waits = vec![false; self.leaving.len()];
        let mut queue = VecDeque::from([self.source]);
        cost[self.source] = Some([0; AIMS]);
        while let Some(at) = queue.pop_front() {
            waits[at] = false;
            let Some(so_far) = cost[at] else { continue };
            for edge in self.leaving[at].iter().copied() {
                let Edge { to, room, cost: step } = &self.edges[edge];
                let there = sum(&so_far, step);
                if *room > 0 && cost[*to].is_none_or(|known| there < known) {
                    cost[*to] = Some(there);
                    came_by[*to] = edge;
                    if !waits[*to] {
                        waits[*to] = true;
                        queue.push_back(*to);
                    }
                }
            }
        }
        if cost[self.sink].is_none_or(|cost| cost >= [0; AIMS]) {
            return None;
        }
        let (mut path, mut at) = (Vec::new(), self.sink);
        while at != self.source {
            path.push(came_by[at]);
            at = self.edges[came_by[at] ^ 1].to;
        }
        Some(path)
    }

    fn send_along(&mut self, path: &[usize]) {
        let amount = path.iter().map(|edge| self.edges[*edge].room).min().unwrap_or(0);
        for edge in path {
            self.edges[*edge].room -= amount;
            self.edges[edge ^ 1].room += amount;
        }
    }
}

fn sum<const AIMS: usize>(a: &[i64; AIMS], b: &[i64; AIMS]) -> [i64; AIMS] {
    std::array::from_fn(|at| a[at] + b[at])
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn total<const AIMS: usize>(transport: &Transport<AIMS>, flow: &[i64]) -> [i64; AIMS] {
        let each = transport.arcs.iter().zip(flow).map(|(arc, amount)| arc.cost.map(|cost| cost * amount));
        each.fold([0; AIMS], |so_far, cost| sum(&so_far, &cost))
    }

    /// Tries every flow in whole units.
    fn exhaustive(transport: &Transport<2>) -> [i64; 2] {
        fn try_from(transport: &Transport<2>, at: usize, left: &mut (Vec<i64>, Vec<i64>)) -> [i64; 2] {
            let Some(arc) = transport.arcs.get(at) else { return [0; 2] };
            let most = left.0[arc.supply].min(left.1[arc.demand]);
            let mut best = [i64::MAX; 2];
            for amount in 0..=most {
                left.0[arc.supply] -= amount;
                left.1[arc.demand] -= amount;
                let rest = try_from(transport, at + 1, left);
                best = best.min(sum(&rest, &arc.cost.map(|cost| cost * amount)));
                left.0[arc.supply] += amount;
                left.1[arc.demand] += amount;
            }
            best
        }
        try_from(transport, 0, &mut (transport.supplies.clone(), transport.demands.clone()))
    }

    #[test]
    fn the_first_aim_goes_before_any_amount_of_the_second() {
        let arc = |supply, demand, cost| Arc { supply, demand, cost };
        let transport = Transport {
            supplies: vec![1, 1],
            demands: vec![1, 1],
            arcs: vec![arc(0, 0, [-1, 0]), arc(0, 1, [-1, 90]), arc(1, 0, [-1, 90]), arc(1, 1, [0, -5])],
        };
        assert_eq!(least_cost(&transport), [0, 1, 1, 0]);
    }

    fn transports() -> impl Strategy<Value = Transport<2>> {
        let arc = ((0_usize..3), (0_usize..3), (-2_i64..2), (-3_i64..4));
        let amounts = || prop::collection::vec(0_i64..3, 3);
        (amounts(), amounts(), prop::collection::vec(arc, 0..6)).prop_map(|(supplies, demands, arcs)| {
            let arcs = arcs.into_iter();
            let arcs = arcs.map(|(supply, demand, one, other)| Arc { supply, demand, cost: [one, other] });
            Transport { supplies, demands, arcs: arcs.collect() }
        })
    }

    proptest! {
        #[test]
        fn no_flow_costs_less(transport in transports()) {
            let flow = least_cost(&transport);
            prop_assert_eq!(total(&transport, &flow), exhaustive(&transport));
            for (at, supply) in transport.supplies.iter().enumerate() {
                let used: i64 = transport.arcs.iter().zip(&flow).filter(|(arc, _)| arc.supply == at).map(|(_, f)| f).sum();
                prop_assert!(used <= *supply);
            }
            for (at, demand) in transport.demands.iter().enumerate() {
                let used: i64 = transport.arcs.iter().zip(&flow).filter(|(arc, _)| arc.demand == at).map(|(_, f)| f).sum();
                prop_assert!(used <= *demand);
            }
        }
    }
}
