//! What propagation leaves: the variables that are still open, with a dense table for each constraint between them.

use super::network::{Binary, Network, Wide};
use super::weight::{Scale, Weight};

/// Largest dense table made of one constraint regardless of how few tuples it has.
const DENSE_CELLS: usize = 1 << 12;

/// A table over open variables.
#[derive(Debug, Clone, Copy)]
pub(super) struct Factor {
    /// Start in `scopes`.
    pub(super) scope: u32,
    /// How many variables.
    pub(super) arity: u32,
    /// Start in `cells`; the last variable of the scope moves fastest.
    pub(super) cells: usize,
}

/// Marks a variable that stands for the tuples of a constraint too large to be laid out densely.
pub(super) const HIDDEN: u32 = u32::MAX;

/// The open part of a problem.
#[derive(Debug, Clone, Default)]
pub(super) struct Reduced<W> {
    /// The variable of the problem each open variable is, or [`HIDDEN`]; the hidden ones come last.
    pub(super) variables: Vec<u32>,
    /// Start of the values of each open variable; one more entry than variables.
    pub(super) value_start: Vec<u32>,
    /// The value of the problem each value is, rising within a variable.
    pub(super) values: Vec<u32>,
    /// What each value costs by itself.
    pub(super) unary: Vec<W>,
    pub(super) factors: Vec<Factor>,
    pub(super) scopes: Vec<u32>,
    pub(super) cells: Vec<W>,
    /// What the fixed variables and the constraints between them cost.
    pub(super) base: W,
}

impl<W: Weight> Reduced<W> {
    /// How many variables are open.
    pub(super) fn len(&self) -> usize {
        self.variables.len()
    }

    /// How many values an open variable has.
    pub(super) fn size(&self, variable: usize) -> usize {
        (self.value_start[variable + 1] - self.value_start[variable]) as usize
    }

    /// What each value of an open variable costs by itself.
    pub(super) fn unary(&self, variable: usize) -> &[W] {
        &self.unary[self.value_start[variable] as usize..self.value_start[variable + 1] as usize]
    }

    /// The value of the problem that a value of an open variable is.
    pub(super) fn value(&self, variable: usize, local: usize) -> usize {
        self.values[self.value_start[variable] as usize + local] as usize
    }

    /// The variables of a factor.
    pub(super) fn scope(&self, factor: Factor) -> &[u32] {
        &self.scopes[factor.scope as usize..(factor.scope + factor.arity) as usize]
    }

    /// The cells of a factor.
    pub(super) fn table(&self, factor: Factor) -> &[W] {
        let cells: usize = self.scope(factor).iter().map(|&variable| self.size(variable as usize)).product();
        &self.cells[factor.cells..factor.cells + cells]
    }

    /// Takes the open part out of an arc-consistent network whose values cost what `cost` says.
    pub(super) fn new(network: &Network, cost: &[W], scale: &Scale) -> Self {
        let mut builder = Builder {
            network,
            scale,
            reduced: Self::default(),
            index: vec![HIDDEN; network.domain.len()],
            local: vec![0; cost.len()],
        };
        builder.open_variables(cost);
        for &binary in &network.binaries {
            builder.binary(binary);
        }
        for (index, &wide) in network.wides.iter().enumerate() {
            if wide.arity > 1 {
                builder.wide(network.binaries.len() + index, wide);
            }
        }
        let mut reduced = builder.reduced;
        reduced.base = reduced.base.plus(scale.unverified(network.constant_unverified));
        reduced
    }

    /// The sub-problem of some open variables that no factor ties to others, with no base cost.
    pub(super) fn part(&self, variables: &[usize]) -> Self {
        let mut part = Self { value_start: vec![0], ..Self::default() };
        let mut index = vec![HIDDEN; self.len()];
        for (at, &variable) in variables.iter().enumerate() {
            index[variable] = at as u32;
            part.variables.push(self.variables[variable]);
            let range = self.value_start[variable] as usize..self.value_start[variable + 1] as usize;
            part.values.extend_from_slice(&self.values[range.clone()]);
            part.unary.extend_from_slice(&self.unary[range]);
            part.value_start.push(part.values.len() as u32);
        }
        for &factor in &self.factors {
            if index[self.scope(factor)[0] as usize] == HIDDEN {
                continue;
            }
            let scope = part.scopes.len() as u32;
            part.scopes.extend(self.scope(factor).iter().map(|&variable| index[variable as usize]));
            part.factors.push(Factor { scope, arity: factor.arity, cells: part.cells.len() });
            part.cells.extend_from_slice(self.table(factor));
        }
        part
    }
}

struct Builder<'a, W> {
    network: &'a Network,
    scale: &'a Scale,
    reduced: Reduced<W>,
    /// The open variable that a variable is, or [`HIDDEN`] if it is fixed.
    index: Vec<u32>,
    /// For each live value its place among the live values of its variable.
    local: Vec<u32>,
}

impl<W: Weight> Builder<'_, W> {
    fn open_variables(&mut self, cost: &[W]) {
        let network = self.network;
        self.reduced.value_start.push(0);
        for variable in 0..network.domain.len() {
            let start = network.value_start[variable] as usize;
            let open = network.count[variable] > 1;
            let first = self.reduced.values.len();
            network.for_live(variable, |value| {
                if open {
                    self.local[start + value] = (self.reduced.values.len() - first) as u32;
                    self.reduced.values.push(value as u32);
                    self.reduced.unary.push(cost[start + value]);
                } else {
                    self.reduced.base = self.reduced.base.plus(cost[start + value]);
                }
            });
            if open {
                self.index[variable] = self.reduced.variables.len() as u32;
                self.reduced.variables.push(variable as u32);
                self.reduced.value_start.push(self.reduced.values.len() as u32);
            }
        }
    }

    fn unary_mut(&mut self, variable: usize, value: usize) -> &mut W {
        let open = self.index[variable] as usize;
        let local = self.local[self.network.value_start[variable] as usize + value];
        &mut self.reduced.unary[(self.reduced.value_start[open] + local) as usize]
    }

    /// The cost of a pair of a binary constraint.
    fn pair(&self, binary: Binary, a: usize, b: usize) -> W {
        let [_, y] = binary.scope.map(|variable| variable as usize);
        let words = self.network.words(y).len();
        if self.network.rows[binary.rows[0] as usize + a * words + b / 64] >> (b % 64) & 1 == 0 {
            return W::FORBIDDEN;
        }
        binary.unverified.map_or_else(W::default, |start| {
            let cell = start as usize + a * self.network.domain[y] as usize + b;
            self.scale.unverified(self.network.unverified[cell])
        })
    }

    fn binary(&mut self, binary: Binary) {
        let network = self.network;
        let [x, y] = binary.scope.map(|variable| variable as usize);
        let open = [self.index[x] != HIDDEN, self.index[y] != HIDDEN];
        if binary.unverified.is_none() && !(open[0] && open[1] && self.restricts(binary)) {
            return;
        }
        if open[0] && open[1] {
            let start = self.reduced.cells.len();
            network
                .for_live(x, |a| network.for_live(y, |b| self.reduced.cells.push(self.pair(binary, a, b))));
            self.finish(&[self.index[x], self.index[y]], start);
            return;
        }
        network.for_live(x, |a| {
            network.for_live(y, |b| {
                let cost = self.pair(binary, a, b);
                let cell = match open {
                    [true, _] => self.unary_mut(x, a),
                    [_, true] => self.unary_mut(y, b),
                    _ => &mut self.reduced.base,
                };
                *cell = cell.plus(cost);
            });
        });
    }

    /// Whether a binary constraint forbids any live pair.
    fn restricts(&self, binary: Binary) -> bool {
        let network = self.network;
        let [x, y] = binary.scope.map(|variable| variable as usize);
        let live = &network.live[network.words(y)];
        let mut restricts = false;
        network.for_live(x, |value| {
            let row = &network.rows[binary.rows[0] as usize + value * live.len()..][..live.len()];
            restricts |= row.iter().zip(live).any(|(row, live)| live & !row != 0);
        });
        restricts
    }

    /// Keeps the cells from `start` on as a table, unless they say nothing.
    fn finish(&mut self, scope: &[u32], start: usize) {
        let reduced = &mut self.reduced;
        if reduced.cells[start..].iter().all(|&cell| cell == W::default()) {
            reduced.cells.truncate(start);
            return;
        }
        let first = reduced.scopes.len() as u32;
        reduced.scopes.extend_from_slice(scope);
        reduced.factors.push(Factor { scope: first, arity: scope.len() as u32, cells: start });
    }

    fn wide(&mut self, constraint: usize, wide: Wide) {
        let network = self.network;
        let scope = network.scope(constraint);
        let columns: Vec<usize> =
            (0..scope.len()).filter(|&column| self.index[scope[column] as usize] != HIDDEN).collect();
        let open: Vec<u32> = columns.iter().map(|&column| self.index[scope[column] as usize]).collect();
        if columns.len() < 2 && !wide.has_unverified {
            return;
        }
        let cells = open
            .iter()
            .try_fold(1_usize, |cells, &variable| cells.checked_mul(self.reduced.size(variable as usize)));
        match cells {
            Some(cells) if cells <= DENSE_CELLS.max(8 * wide.len as usize) => {
                let start = self.reduced.cells.len();
                self.reduced.cells.resize(start + cells, W::FORBIDDEN);
                self.fill(scope, &columns, wide, start);
                match columns.as_slice() {
                    [] => {
                        self.reduced.base = self.reduced.base.plus(self.reduced.cells[start]);
                        self.reduced.cells.truncate(start);
                    }
                    [_] => {
                        let first = self.reduced.value_start[open[0] as usize] as usize;
                        for local in 0..cells {
                            let cost = self.reduced.cells[start + local];
                            self.reduced.unary[first + local] = self.reduced.unary[first + local].plus(cost);
                        }
                        self.reduced.cells.truncate(start);
                    }
                    _ => self.finish(&open, start),
                }
            }
            _ => self.hide(scope, &columns, &open, wide),
        }
    }

    /// The values of one live tuple in the given columns, as places among the live values.
    fn tuple<'s>(
        &'s self,
        scope: &'s [u32],
        columns: &'s [usize],
        wide: Wide,
        at: usize,
    ) -> impl Iterator<Item = usize> + 's {
        let start = wide.tuples as usize + at * scope.len();
        columns.iter().map(move |&column| {
            let value = self.network.tuples[start + column];
            self.local[(self.network.value_start[scope[column] as usize] + value) as usize] as usize
        })
    }

    fn tuple_cost(&self, wide: Wide, at: usize) -> W {
        self.scale.unverified(self.network.tuple_unverified[wide.unverified as usize + at])
    }

    fn fill(&mut self, scope: &[u32], columns: &[usize], wide: Wide, start: usize) {
        for at in 0..wide.len as usize {
            let mut cell = 0;
            for (local, &column) in self.tuple(scope, columns, wide, at).zip(columns) {
                cell = cell * self.network.count[scope[column] as usize] as usize + local;
            }
            let cost = self.tuple_cost(wide, at);
            let entry = &mut self.reduced.cells[start + cell];
            *entry = cost.min(*entry);
        }
    }

    /// Adds a variable whose values are the tuples, tied to each column by a table.
    fn hide(&mut self, scope: &[u32], columns: &[usize], open: &[u32], wide: Wide) {
        let mut tuples: Vec<(Vec<usize>, W)> = (0..wide.len as usize)
            .map(|at| (self.tuple(scope, columns, wide, at).collect(), self.tuple_cost(wide, at)))
            .collect();
        tuples.sort_unstable();
        tuples.dedup_by(|next, kept| next.0 == kept.0);
        let hidden = self.reduced.variables.len() as u32;
        self.reduced.variables.push(HIDDEN);
        for (value, (_, cost)) in tuples.iter().enumerate() {
            self.reduced.values.push(value as u32);
            self.reduced.unary.push(*cost);
        }
        self.reduced.value_start.push(self.reduced.values.len() as u32);
        for (column, &variable) in open.iter().enumerate() {
            let start = self.reduced.cells.len();
            for (values, _) in &tuples {
                for local in 0..self.reduced.size(variable as usize) {
                    let goes = values[column] == local;
                    self.reduced.cells.push(if goes { W::default() } else { W::FORBIDDEN });
                }
            }
            self.finish(&[hidden, variable], start);
        }
    }
}
