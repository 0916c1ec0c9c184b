//! Circles of a graph, each with a shortest way round.

use std::collections::{BTreeMap, VecDeque};

use petgraph::algo::kosaraju_scc;
use petgraph::graph::{DiGraph, NodeIndex};

/// Nodes that hang together in circles.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cycle<N> {
    /// A shortest way round from the least node; the last leads to the first.
    pub(super) path: Vec<N>,
    /// How many nodes reach each other.
    pub(super) members: usize,
}

/// The circles of a graph given by its edges, by their least node; edges from a node to itself are left out.
///
/// Strongly connected components by Kosaraju's way, which keeps its own stack: a chain of a million notices must not
/// exhaust the machine's.
pub(super) fn cycles<N: Ord + Copy>(edges: impl Iterator<Item = (N, N)>) -> Vec<Cycle<N>> {
    let mut graph: DiGraph<N, ()> = DiGraph::new();
    let mut index: BTreeMap<N, NodeIndex> = BTreeMap::new();
    for (from, to) in edges.filter(|(from, to)| from != to) {
        let from = *index.entry(from).or_insert_with(|| graph.add_node(from));
        let to = *index.entry(to).or_insert_with(|| graph.add_node(to));
        graph.add_edge(from, to, ());
    }
    let mut found: Vec<Cycle<N>> = kosaraju_scc(&graph)
        .into_iter()
        .filter(|component| component.len() > 1)
        .map(|component| Cycle { path: shortest(&graph, &component), members: component.len() })
        .collect();
    found.sort_by(|a, b| a.path.cmp(&b.path));
    found
}

/// A shortest circle through the least node of a component, breadth first, neighbours in their order.
fn shortest<N: Ord + Copy>(graph: &DiGraph<N, ()>, component: &[NodeIndex]) -> Vec<N> {
    let inside: BTreeMap<N, NodeIndex> = component.iter().map(|node| (graph[*node], *node)).collect();
    let Some((least, start)) = inside.first_key_value() else { return Vec::new() };
    let mut came_from: BTreeMap<N, N> = BTreeMap::new();
    let mut waiting = VecDeque::from([*start]);
    while let Some(node) = waiting.pop_front() {
        let here = graph[node];
        let mut next: Vec<N> = graph.neighbors(node).map(|to| graph[to]).collect();
        next.sort_unstable();
        for to in next {
            if to == *least {
                return way_back(&came_from, *least, here);
            }
            if let Some(to_node) = inside.get(&to)
                && !came_from.contains_key(&to)
            {
                came_from.insert(to, here);
                waiting.push_back(*to_node);
            }
        }
    }
    Vec::new()
}

fn way_back<N: Ord + Copy>(came_from: &BTreeMap<N, N>, start: N, end: N) -> Vec<N> {
    let mut path = vec![end];
    let mut at = end;
    while at != start {
        let Some(before) = came_from.get(&at) else { break };
        at = *before;
        path.push(at);
    }
    path.reverse();
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeSet;

    #[test]
    fn a_circle_is_named_node_by_node_by_the_shortest_way() {
        let edges = [(1, 2), (2, 3), (3, 4), (4, 1), (3, 1), (4, 5), (6, 6), (7, 8), (8, 7)];
        let found = cycles(edges.into_iter());
        assert_eq!(found[0], Cycle { path: vec![1, 2, 3], members: 4 });
        assert_eq!(found[1], Cycle { path: vec![7, 8], members: 2 });
        assert_eq!(found.len(), 2);
    }

    #[test]
    fn a_long_chain_does_not_exhaust_the_stack() {
        let long = 200_000;
        assert!(cycles((0..long).map(|n| (n, n + 1))).is_empty());
        let ring = cycles((0..long).map(|n| (n, (n + 1) % long)));
        assert_eq!((ring.len(), ring[0].path.len()), (1, long));
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn each_path_is_a_circle_and_no_circle_is_missed(
            edges in proptest::collection::btree_set((0_u8..8, 0_u8..8), 0..20)
        ) {
            let found = cycles(edges.iter().copied());
            for cycle in &found {
                for (at, node) in cycle.path.iter().enumerate() {
                    prop_assert!(edges.contains(&(*node, cycle.path[(at + 1) % cycle.path.len()])));
                }
                let distinct: BTreeSet<_> = cycle.path.iter().collect();
                prop_assert_eq!(distinct.len(), cycle.path.len());
            }
            // Own referee: leaves of the graph are taken away until none is left; what stays hangs in or between circles.
            let mut left: BTreeSet<(u8, u8)> = edges.into_iter().filter(|(a, b)| a != b).collect();
            loop {
                let sources: BTreeSet<u8> = left.iter().map(|(a, _)| *a).collect();
                let before = left.len();
                left.retain(|(_, b)| sources.contains(b));
                if left.len() == before { break; }
            }
            prop_assert_eq!(found.is_empty(), left.is_empty());
        }
    }
}
