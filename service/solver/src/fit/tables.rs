//! The tables of an elimination: which variables each is over, where its cells lie, which bucket it is used in.

use std::ops::Range;

use super::order::Order;
use super::reduced::Reduced;
use super::weight::Weight;

/// No table.
pub(super) const NONE: u32 = u32::MAX;

/// A table over variables, sorted by their place in the order; the one eliminated first moves fastest.
#[derive(Debug, Clone, Copy)]
pub(super) struct Table {
    /// Where its cells start.
    pub(super) start: usize,
    /// Where its variables and their strides start.
    dims: u32,
    /// How many variables.
    arity: u32,
    /// The group it came out of, or [`NONE`] for a table of the problem itself.
    pub(super) group: u32,
    /// The next table of the same bucket, or [`NONE`].
    next: u32,
}

/// Tables of one bucket that are added up and rid of the bucket's variable together. An exact elimination has one
/// group in each bucket.
#[derive(Debug, Clone, Copy)]
pub(super) struct Group {
    /// The place in the order of the variable that is eliminated.
    pub(super) position: u32,
    /// Where its tables start in `functions`.
    functions: u32,
    /// How many tables.
    function_count: u32,
    /// Whether the variable's own costs are added in here.
    pub(super) with_unary: bool,
    /// The table that comes out.
    pub(super) out: u32,
}

/// All tables of one elimination.
#[derive(Debug, Clone)]
pub(super) struct Tables<'a, W> {
    pub(super) reduced: &'a Reduced<W>,
    pub(super) order: Order,
    pub(super) cells: Vec<W>,
    pub(super) tables: Vec<Table>,
    /// In the order of the buckets.
    pub(super) groups: Vec<Group>,
    /// The groups of the bucket at each place: from this entry to the next.
    group_start: Vec<u32>,
    functions: Vec<u32>,
    dim_variable: Vec<u32>,
    dim_stride: Vec<usize>,
    /// The first table of each bucket.
    head: Vec<u32>,
    /// The sum of what came out without variables: no assignment costs less; the least cost if the elimination is exact.
    pub(super) bound: W,
    /// Whether each bucket was one group.
    pub(super) exact: bool,
}

impl<'a, W: Weight> Tables<'a, W> {
    /// Lays the factors of the problem out for an order; nothing is eliminated yet.
    pub(super) fn new(reduced: &'a Reduced<W>, order: Order) -> Self {
        let count = reduced.len();
        let mut tables = Self {
            reduced,
            order,
            cells: Vec::new(),
            tables: Vec::with_capacity(reduced.factors.len() + count),
            groups: Vec::with_capacity(count),
            group_start: Vec::with_capacity(count + 1),
            functions: Vec::with_capacity(reduced.factors.len() + count),
            dim_variable: Vec::new(),
            dim_stride: Vec::new(),
            head: vec![NONE; count],
            bound: W::default(),
            exact: true,
        };
        tables
            .cells
            .reserve(reduced.cells.len() + usize::try_from(tables.order.cells).unwrap_or(0).min(1 << 16));
        for &factor in &reduced.factors {
            let scope = reduced.scope(factor);
            let table = tables.open_table(scope, NONE);
            tables
                .cells
                .resize(tables.tables[table as usize].start + reduced.table(factor).len(), W::default());
            tables.spread(table, scope, reduced.table(factor));
            tables.enqueue(table);
        }
        tables
    }

    /// The variables of a table, first eliminated first.
    pub(super) fn scope(&self, table: u32) -> &[u32] {
        &self.dim_variable[self.dims(table)]
    }

    /// The strides of the variables of a table.
    pub(super) fn strides(&self, table: u32) -> &[usize] {
        &self.dim_stride[self.dims(table)]
    }

    fn dims(&self, table: u32) -> Range<usize> {
        let table = &self.tables[table as usize];
        table.dims as usize..(table.dims + table.arity) as usize
    }

    /// The tables of a group.
    pub(super) fn functions(&self, group: Group) -> &[u32] {
        &self.functions[group.functions as usize..(group.functions + group.function_count) as usize]
    }

    /// The groups of the bucket at a place, as indices.
    pub(super) fn groups_at(&self, position: usize) -> Range<usize> {
        self.group_start[position] as usize..self.group_start[position + 1] as usize
    }

    /// Where in `cells` a table's row for an assignment starts, its first variable taken as zero.
    #[inline]
    pub(super) fn row(&self, table: u32, values: &[u32]) -> usize {
        let dims = self.dims(table);
        let mut cell = self.tables[table as usize].start;
        for (&variable, &stride) in self.dim_variable[dims.clone()].iter().zip(&self.dim_stride[dims]).skip(1)
        {
            cell += values[variable as usize] as usize * stride;
        }
        cell
    }

    /// The cell of a table for an assignment.
    #[inline]
    pub(super) fn cell(&self, table: u32, values: &[u32]) -> usize {
        let first = self.scope(table).first().map_or(0, |&variable| values[variable as usize] as usize);
        self.row(table, values) + first
    }

    /// Starts a table over `scope`, in any order, with its cells to come.
    fn open_table(&mut self, scope: &[u32], group: u32) -> u32 {
        let dims = self.dim_variable.len();
        self.dim_variable.extend_from_slice(scope);
        let position = &self.order.position;
        self.dim_variable[dims..].sort_unstable_by_key(|&variable| position[variable as usize]);
        let mut stride = 1_usize;
        for at in dims..self.dim_variable.len() {
            self.dim_stride.push(stride);
            stride = stride.saturating_mul(self.reduced.size(self.dim_variable[at] as usize));
        }
        self.tables.push(Table {
            start: self.cells.len(),
            dims: dims as u32,
            arity: scope.len() as u32,
            group,
            next: NONE,
        });
        (self.tables.len() - 1) as u32
    }

    /// Puts a table into the bucket of its first variable; a table without variables adds to the bound.
    fn enqueue(&mut self, table: u32) {
        match self.scope(table).first() {
            Some(&first) => {
                let bucket = self.order.position[first as usize] as usize;
                self.tables[table as usize].next = self.head[bucket];
                self.head[bucket] = table;
            }
            None => self.bound = self.bound.plus(self.cells[self.tables[table as usize].start]),
        }
    }

    /// Copies a row-major table over `scope` into the laid-out one.
    fn spread(&mut self, table: u32, scope: &[u32], source: &[W]) {
        let start = self.tables[table as usize].start;
        let stride_of = |variable: u32| {
            let place = self.scope(table).iter().position(|&other| other == variable);
            place.map_or(0, |place| self.strides(table)[place])
        };
        let mut strides = [0_usize; 8];
        if scope.len() > strides.len() {
            let strides: Vec<usize> = scope.iter().map(|&variable| stride_of(variable)).collect();
            self.spread_by(start, scope, &strides, source);
            return;
        }
        for (stride, &variable) in strides.iter_mut().zip(scope) {
            *stride = stride_of(variable);
        }
        self.spread_by(start, scope, &strides[..scope.len()], source);
    }

    fn spread_by(&mut self, start: usize, scope: &[u32], strides: &[usize], source: &[W]) {
        let last = scope.len() - 1;
        let (last_size, last_stride) = (self.reduced.size(scope[last] as usize), strides[last]);
        let mut values = vec![0_usize; last];
        let mut target = start;
        for row in source.chunks_exact(last_size) {
            for (value, &cost) in row.iter().enumerate() {
                self.cells[target + value * last_stride] = cost;
            }
            for at in (0..last).rev() {
                values[at] += 1;
                target += strides[at];
                if values[at] < self.reduced.size(scope[at] as usize) {
                    break;
                }
                target -= values[at] * strides[at];
                values[at] = 0;
            }
        }
    }

    /// The tables of the bucket at a place, in the order they were made.
    pub(super) fn bucket(&self, position: usize) -> Vec<u32> {
        let mut list = Vec::new();
        let mut table = self.head[position];
        while table != NONE {
            list.push(table);
            table = self.tables[table as usize].next;
        }
        list.reverse();
        list
    }

    /// Begins the groups of the next bucket.
    pub(super) fn begin_bucket(&mut self) {
        self.group_start.push(self.groups.len() as u32);
    }

    /// Ends the groups of the last bucket.
    pub(super) fn end_buckets(&mut self) {
        self.group_start.push(self.groups.len() as u32);
    }

    /// Adds a group of tables and starts the table that comes out, over `separator`.
    pub(super) fn open_group(
        &mut self,
        position: usize,
        functions: &[u32],
        separator: &[u32],
        with_unary: bool,
    ) -> Group {
        let out = self.open_table(separator, self.groups.len() as u32);
        let group = Group {
            position: position as u32,
            functions: self.functions.len() as u32,
            function_count: functions.len() as u32,
            with_unary,
            out,
        };
        self.functions.extend_from_slice(functions);
        self.groups.push(group);
        group
    }

    /// The cells of the group's table are there: hands it on.
    pub(super) fn close_group(&mut self, group: Group) {
        self.enqueue(group.out);
    }
}
