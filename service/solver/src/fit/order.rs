//! The order in which variables are eliminated: greedily the one whose table would be smallest.

use std::cmp::Reverse;
use std::collections::BinaryHeap;

use super::problem::Budget;
use super::reduced::Reduced;
use super::weight::Weight;

/// Tables beyond this many cells make it worth to try a second rule for the order.
const WORTH_A_SECOND_TRY: u64 = 1 << 13;

/// An order and what it costs.
#[derive(Debug, Clone)]
pub(super) struct Order {
    /// The variables, first eliminated first.
    pub(super) sequence: Vec<u32>,
    /// The place of each variable in `sequence`.
    pub(super) position: Vec<u32>,
    /// How many cells all tables have together.
    pub(super) cells: u64,
}

/// What the greedy choice looks at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Rule {
    /// The size of the table over the neighbours.
    Table,
    /// How many pairs of neighbours are not yet neighbours, then the size of the table.
    Fill,
}

impl Order {
    /// The better of the orders that the rules give.
    pub(super) fn of<W: Weight>(reduced: &Reduced<W>) -> Self {
        let graph = neighbours(reduced);
        let sizes: Vec<u64> = (0..reduced.len()).map(|variable| reduced.size(variable) as u64).collect();
        let first = greedy(graph.clone(), &sizes, Rule::Table);
        if first.cells <= WORTH_A_SECOND_TRY {
            return first;
        }
        let second = greedy(graph, &sizes, Rule::Fill);
        if second.cells < first.cells { second } else { first }
    }
}

impl Order {
    /// Whether its tables stay within the budget.
    pub(super) fn fits(&self, budget: &Budget<'_>) -> bool {
        usize::try_from(self.cells).is_ok_and(|cells| cells <= budget.max_cells)
    }
}

/// The variables tied to each variable, rising.
pub(super) fn neighbours<W: Weight>(reduced: &Reduced<W>) -> Vec<Vec<u32>> {
    let mut graph = vec![Vec::new(); reduced.len()];
    for &factor in &reduced.factors {
        let scope = reduced.scope(factor);
        for (at, &x) in scope.iter().enumerate() {
            for &y in &scope[at + 1..] {
                graph[x as usize].push(y);
                graph[y as usize].push(x);
            }
        }
    }
    for list in &mut graph {
        list.sort_unstable();
        list.dedup();
    }
    graph
}

/// Not yet in the order.
const OPEN: u32 = u32::MAX;

/// What a variable is chosen by; the least goes first, then the smaller index.
type Key = (u64, u64);

struct Greedy<'a> {
    graph: Vec<Vec<u32>>,
    sizes: &'a [u64],
    rule: Rule,
    key: Vec<Key>,
    /// Entries whose key is no longer that of their variable are passed over.
    waiting: BinaryHeap<Reverse<(Key, u32)>>,
}

fn greedy(graph: Vec<Vec<u32>>, sizes: &[u64], rule: Rule) -> Order {
    let count = graph.len();
    let key: Vec<Key> = (0..count).map(|variable| rank(&graph, sizes, variable, rule)).collect();
    let waiting = key.iter().zip(0..).map(|(&key, variable)| Reverse((key, variable))).collect();
    let mut greedy = Greedy { graph, sizes, rule, key, waiting };
    let mut order = Order { sequence: Vec::with_capacity(count), position: vec![OPEN; count], cells: 0 };
    while let Some(Reverse((key, variable))) = greedy.waiting.pop() {
        let at = variable as usize;
        if order.position[at] != OPEN || greedy.key[at] != key {
            continue;
        }
        order.position[at] = order.sequence.len() as u32;
        order.sequence.push(variable);
        order.cells = order.cells.saturating_add(table(&greedy.graph, sizes, at));
        greedy.eliminate(variable);
    }
    order
}

impl Greedy<'_> {
    /// Ties the neighbours of a variable to each other and takes the variable out.
    fn eliminate(&mut self, variable: u32) {
        let around = std::mem::take(&mut self.graph[variable as usize]);
        for &neighbour in &around {
            join(&mut self.graph[neighbour as usize], &around, neighbour, variable);
        }
        match self.rule {
            Rule::Table => around.iter().for_each(|&neighbour| self.update(neighbour)),
            Rule::Fill => {
                // Filling in around a variable changes what its neighbours' neighbours lack.
                let mut changed = around.clone();
                for &neighbour in &around {
                    changed.extend_from_slice(&self.graph[neighbour as usize]);
                }
                changed.sort_unstable();
                changed.dedup();
                changed.iter().for_each(|&neighbour| self.update(neighbour));
            }
        }
    }

    fn update(&mut self, variable: u32) {
        let key = rank(&self.graph, self.sizes, variable as usize, self.rule);
        if std::mem::replace(&mut self.key[variable as usize], key) != key {
            self.waiting.push(Reverse((key, variable)));
        }
    }
}

/// Puts `around` into the neighbours of `owner`, without `owner` itself and without `gone`.
fn join(list: &mut Vec<u32>, around: &[u32], owner: u32, gone: u32) {
    if let Ok(at) = list.binary_search(&gone) {
        list.remove(at);
    }
    for &neighbour in around {
        if neighbour != owner
            && let Err(at) = list.binary_search(&neighbour)
        {
            list.insert(at, neighbour);
        }
    }
}

fn table(graph: &[Vec<u32>], sizes: &[u64], variable: usize) -> u64 {
    graph[variable].iter().fold(1, |cells, &neighbour| cells.saturating_mul(sizes[neighbour as usize]))
}

fn rank(graph: &[Vec<u32>], sizes: &[u64], variable: usize, rule: Rule) -> Key {
    let cells = table(graph, sizes, variable);
    match rule {
        Rule::Table => (cells, 0),
        Rule::Fill => {
            let around = &graph[variable];
            let lacking = around
                .iter()
                .enumerate()
                .flat_map(|(at, &x)| around[at + 1..].iter().map(move |&y| (x, y)))
                .filter(|&(x, y)| graph[x as usize].binary_search(&y).is_err())
                .count();
            (lacking as u64, cells)
        }
    }
}
