//! The integer program of a cover: rows, columns, and what each adds to the aims.
//!
//! What can be bought is not a column here but a source, whose staircase is relaxed to its lower hull when a linear
//! program is made of it. The columns are what remains: how a demand is split over classes, which value a choice
//! takes, what stock is used.

use std::collections::BTreeMap;

use super::classes::{Demands, Owner};
use super::ledger::{Ledger, Terms, take_common};
use super::links::Links;
use super::source::{Narrowed, Sources};
use super::staircase::Dominance;
use super::supplier_sets::SupplierSets;
use super::{Aim, Invalid, Problem, StockPolicy};

/// At most so many aims are sums: cash, job cost and surplus.
pub(super) const SUMS: usize = 3;
/// A value for each aim that is a sum.
pub(super) type Sum = [i64; SUMS];

/// What the search compares, the most important first.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Level {
    /// The sum at this place of [`Program::sums`].
    Sum(usize),
    /// Suppliers something is bought from.
    Suppliers,
}

/// What a column decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// Whether a choice takes a value: branch, choice, value.
    Value(usize, usize, usize),
    /// Whether a combination of a table holds.
    Combination,
    /// Pieces of a demand served by a class: demand and place among its classes.
    Split(usize, usize),
    /// Pieces of stock used: not decided by itself in a plan, it follows from what is fitted.
    Stock,
    /// Whether what is fitted of a part reaches its stock.
    StockSpent,
    /// The worst branch of an aim.
    Worst,
}

/// A column.
#[derive(Debug, Clone)]
pub(super) struct Column {
    /// What it decides.
    pub(super) kind: Kind,
    /// Row and coefficient.
    pub(super) entries: Vec<(usize, i64)>,
    /// What one unit adds to each sum.
    pub(super) cost: Sum,
    /// Least value.
    pub(super) lo: i64,
    /// Greatest value.
    pub(super) hi: i64,
}

/// Bounds of a row.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row {
    /// Least activity.
    pub(super) lo: Option<i64>,
    /// Greatest activity.
    pub(super) hi: Option<i64>,
}

/// A class that only loose offers bring and of which a constant number is required: it needs no linear program.
#[derive(Debug, Clone)]
pub(super) struct Steady {
    /// The class.
    pub(super) class: usize,
    /// Pieces required; stock of the class may serve some of them under policy *value*.
    pub(super) required: i64,
}

/// How a program is narrowed besides its aims.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scope<'l> {
    /// Only what is here within so many days is bought.
    pub(super) lead_limit: u32,
    /// Whether other plans than the best are asked for: then no step is left out that a larger one at less money makes
    /// useless, as with that a kit beside it might be idle.
    pub(super) alternatives: bool,
    /// What is decided once.
    pub(super) links: &'l Links,
    /// The only branch whose sums count; all have to be served.
    pub(super) counted: Option<usize>,
}

/// What no plan may pass.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Caps {
    /// By sum.
    pub(super) sums: [Option<i64>; SUMS],
    /// Suppliers bought from.
    pub(super) suppliers: Option<u32>,
}

/// The program under a limit of lead time.
#[derive(Debug)]
pub(super) struct Program<'a> {
    /// The problem it was made of.
    pub(super) problem: &'a Problem,
    /// Demands and classes.
    pub(super) demands: &'a Demands,
    /// What can be bought.
    pub(super) sources: Sources,
    /// What the search compares.
    pub(super) levels: Vec<Level>,
    /// The aims that are sums, in the order of the levels.
    pub(super) sums: Vec<Aim>,
    /// The columns.
    pub(super) columns: Vec<Column>,
    /// The rows.
    pub(super) rows: Vec<Row>,
    /// For each source what a unit adds to rows, besides its price.
    pub(super) source_entries: Vec<Vec<(usize, i64)>>,
    /// Constants of the sums.
    pub(super) base: Sum,
    /// Classes outside the linear program.
    pub(super) steady: Vec<Steady>,
    /// Whether a source is outside the linear program.
    pub(super) is_steady: Vec<bool>,
    /// For each branch, choice and value its column.
    pub(super) value_columns: Vec<Vec<Vec<usize>>>,
    /// For each demand the columns of its split, empty if one class serves it.
    pub(super) split_columns: Vec<Vec<usize>>,
    /// Suppliers that cannot be done without.
    pub(super) supplier_sets: SupplierSets,
    /// Each sum is a multiple of this.
    pub(super) grain: Sum,
    /// The only branch whose sums count.
    pub(super) counted: Option<usize>,
    /// What no plan may pass.
    pub(super) caps: Caps,
}

/// Which steps of a staircase can be left out under these aims.
pub(super) fn dominance(problem: &Problem) -> Dominance {
    let place = |wanted: &[Aim]| problem.aims.iter().position(|aim| wanted.contains(aim));
    if problem.parts.iter().any(|part| part.credit > 0) {
        return Dominance::BeyondNeed;
    }
    match (place(&[Aim::Cash, Aim::JobCost]), place(&[Aim::Surplus])) {
        (_, None) => Dominance::NoDearer,
        (Some(money), Some(surplus)) if money < surplus => Dominance::Cheaper,
        _ => Dominance::BeyondNeed,
    }
}

impl<'a> Program<'a> {
    /// Writes the program for the given levels.
    pub(super) fn write(
        problem: &'a Problem,
        demands: &'a Demands,
        aims: &[Aim],
        scope: Scope<'_>,
    ) -> Result<Self, Invalid> {
        let most = demands.most_fitted(problem.branches.len());
        let first = problem.policy == StockPolicy::First;
        let needed: Vec<i64> = (0..demands.classes.len())
            .map(|class| {
                let free = if first { demands.classes[class].free() } else { 0 };
                most.iter().map(|of_branch| (of_branch[class] - free).max(0)).max().unwrap_or(0)
            })
            .collect();
        let Scope { lead_limit, links, counted, .. } = scope;
        let rule = if scope.alternatives { Dominance::BeyondNeed } else { dominance(problem) };
        let narrowed = Narrowed {
            lead_limit,
            rule,
            count_suppliers: aims.contains(&Aim::Suppliers),
            first_is_money: matches!(aims.first(), None | Some(Aim::Cash | Aim::JobCost)),
        };
        let sources = Sources::gather(problem, demands, &needed, narrowed)?;
        let mut sums: Vec<Aim> = Vec::new();
        let mut levels: Vec<Level> = Vec::new();
        for &aim in aims {
            match aim {
                Aim::Suppliers if !levels.contains(&Level::Suppliers) => levels.push(Level::Suppliers),
                Aim::Cash | Aim::JobCost | Aim::Surplus if !sums.contains(&aim) => {
                    levels.push(Level::Sum(sums.len()));
                    sums.push(aim);
                }
                _ => {}
            }
        }
        if sums.is_empty() {
            // A relaxation needs something to minimise, even if no level asks for it.
            sums.push(Aim::Cash);
        }
        let supplier_sets = SupplierSets::of(problem, demands, &sources);
        let mut program = Self {
            supplier_sets,
            problem,
            demands,
            source_entries: vec![Vec::new(); sources.list.len()],
            is_steady: vec![false; sources.list.len()],
            sources,
            levels,
            sums,
            columns: Vec::new(),
            rows: Vec::new(),
            base: [0; SUMS],
            steady: Vec::new(),
            value_columns: Vec::new(),
            split_columns: vec![Vec::new(); demands.demands.len()],
            grain: [1; SUMS],
            counted,
            caps: Caps::default(),
        };
        program.add_choices(links);
        let mut ledger = Ledger::new(problem.branches.len(), program.sums.clone(), counted);
        program.add_cash_of_choices(&mut ledger);
        program.add_classes(&most, links, &mut ledger);
        program.add_worst_branches(ledger);
        program.drop_redundant_sums();
        program.find_grain();
        Ok(program)
    }

    pub(super) fn column(&mut self, kind: Kind, lo: i64, hi: i64) -> usize {
        self.columns.push(Column { kind, entries: Vec::new(), cost: [0; SUMS], lo, hi });
        self.columns.len() - 1
    }

    pub(super) fn row(&mut self, lo: Option<i64>, hi: Option<i64>) -> usize {
        self.rows.push(Row { lo, hi });
        self.rows.len() - 1
    }

    pub(super) fn entry(&mut self, row: usize, column: usize, factor: i64) {
        let entries = &mut self.columns[column].entries;
        match entries.last_mut() {
            Some(last) if last.0 == row => last.1 += factor,
            _ => entries.push((row, factor)),
        }
    }

    /// Binary columns of the values, and the hull of every table. What is decided once has its columns in an earlier branch.
    fn add_choices(&mut self, links: &Links) {
        for (branch, held) in self.problem.branches.iter().enumerate() {
            let mut of_branch = Vec::new();
            for (choice, open) in held.choices.iter().enumerate() {
                if let Some((first, deciding)) = links.choice(branch, choice) {
                    of_branch.push(self.value_columns[first][deciding].clone());
                    continue;
                }
                let row = self.row(Some(1), Some(1));
                let mut columns = Vec::new();
                for value in 0..open.values.len() {
                    let column = self.column(Kind::Value(branch, choice, value), 0, 1);
                    self.entry(row, column, 1);
                    columns.push(column);
                }
                of_branch.push(columns);
            }
            for table in &held.tables {
                if table.scope.iter().any(|choice| links.choice(branch, *choice).is_some()) {
                    continue;
                }
                if let [choice] = table.scope[..] {
                    for (value, &column) in of_branch[choice].iter().enumerate() {
                        if !table.tuples.iter().any(|tuple| tuple[0] == value) {
                            self.columns[column].hi = 0;
                        }
                    }
                } else if table.tuples.is_empty() {
                    // A table that allows nothing: a row nothing can reach.
                    self.row(Some(1), Some(1));
                } else if !table.scope.is_empty() {
                    self.add_table(&table.scope, &table.tuples, &of_branch);
                }
            }
            self.value_columns.push(of_branch);
        }
    }

    fn add_table(&mut self, scope: &[usize], tuples: &[Vec<usize>], values: &[Vec<usize>]) {
        let combinations: Vec<usize> = tuples.iter().map(|_| self.column(Kind::Combination, 0, 1)).collect();
        for (at, &choice) in scope.iter().enumerate() {
            for (value, &column) in values[choice].iter().enumerate() {
                let row = self.row(Some(0), Some(0));
                self.entry(row, column, -1);
                for (tuple, &combination) in tuples.iter().zip(&combinations) {
                    if tuple[at] == value {
                        self.entry(row, combination, 1);
                    }
                }
            }
        }
    }

    fn add_cash_of_choices(&self, ledger: &mut Ledger) {
        for (branch, choices) in self.value_columns.iter().enumerate() {
            for (choice, columns) in choices.iter().enumerate() {
                for (value, &column) in columns.iter().enumerate() {
                    let cash = self.problem.branches[branch].choices[choice].values[value].cash;
                    ledger.add(branch, Aim::Cash, column, cash);
                    ledger.add(branch, Aim::JobCost, column, cash);
                }
            }
        }
    }

    /// What is fitted of each class in each branch, as columns.
    fn fitted(&mut self, links: &Links) -> Vec<Vec<Terms>> {
        let branches = self.problem.branches.len();
        let mut by_owner: BTreeMap<(usize, Owner), usize> = BTreeMap::new();
        let mut fitted = vec![vec![Terms::default(); self.demands.classes.len()]; branches];
        for (at, demand) in self.demands.demands.iter().enumerate() {
            let value = match demand.owner {
                Owner::Always(_) => None,
                Owner::If { choice, value, .. } => Some(self.value_columns[demand.branch][choice][value]),
            };
            if let [class] = demand.classes[..] {
                let terms = &mut fitted[demand.branch][class];
                match value {
                    None => terms.constant += demand.quantity,
                    Some(column) => terms.add(column, demand.quantity),
                }
                continue;
            }
            by_owner.insert((demand.branch, demand.owner), at);
            let deciding = links.owner(demand.branch, demand.owner);
            if let Some(first) = deciding.and_then(|owner| by_owner.get(&owner)) {
                self.split_columns[at] = self.split_columns[*first].clone();
                for (place, &class) in demand.classes.iter().enumerate() {
                    fitted[demand.branch][class].add(self.split_columns[at][place], 1);
                }
                continue;
            }
            let (lo, hi) = match value {
                None => (Some(demand.quantity), Some(demand.quantity)),
                Some(_) => (Some(0), Some(0)),
            };
            let row = self.row(lo, hi);
            if let Some(column) = value {
                self.entry(row, column, -demand.quantity);
            }
            for (place, &class) in demand.classes.iter().enumerate() {
                let column = self.column(Kind::Split(at, place), 0, demand.quantity);
                self.entry(row, column, 1);
                fitted[demand.branch][class].add(column, 1);
                self.split_columns[at].push(column);
            }
        }
        fitted
    }

    fn add_classes(&mut self, most: &[Vec<i64>], links: &Links, ledger: &mut Ledger) {
        let fitted = self.fitted(links);
        let mut outside: Vec<bool> = vec![false; self.demands.classes.len()];
        for class in 0..self.demands.classes.len() {
            let alone = self.sources.list.iter().enumerate().all(|(at, source)| {
                Some(at) == self.sources.pool_of[class]
                    || source.brings.iter().all(|&(other, _)| other != class)
            });
            let constant = fitted.iter().all(|of_branch| of_branch[class].terms.is_empty());
            let shelf =
                self.problem.policy == StockPolicy::Value && !self.demands.classes[class].lots.is_empty();
            let one = self.problem.branches.len() == 1;
            let credit = self.demands.classes[class].credit;
            outside[class] = alone && constant && (one || !shelf) && credit == 0;
            for (branch, of_branch) in fitted.iter().enumerate() {
                self.count_surplus(branch, class, &of_branch[class], ledger);
            }
            if outside[class] {
                self.add_steady(class, &fitted, ledger);
            } else {
                self.add_requirements(class, &fitted, most, ledger);
            }
        }
        for (at, source) in self.sources.list.iter().enumerate() {
            self.is_steady[at] = self.sources.is_pool(at) && outside[source.brings[0].0];
        }
    }

    /// Whatever is fitted lowers surplus, and the credit for it.
    fn count_surplus(&self, branch: usize, class: usize, fitted: &Terms, ledger: &mut Ledger) {
        let credit = self.demands.classes[class].credit;
        for (aim, factor) in [(Aim::Surplus, -1), (Aim::Cash, credit), (Aim::JobCost, credit)] {
            ledger.constant(branch, aim, factor * fitted.constant);
            for &(column, pieces) in &fitted.terms {
                ledger.add(branch, aim, column, factor * pieces);
            }
        }
    }

    fn add_steady(&mut self, class: usize, fitted: &[Vec<Terms>], ledger: &mut Ledger) {
        let first = self.problem.policy == StockPolicy::First;
        let mut required = 0;
        for (branch, of_branch) in fitted.iter().enumerate() {
            let pieces = of_branch[class].constant;
            let used = if first { pieces.min(self.demands.classes[class].free()) } else { 0 };
            if let Some(lot) = self.demands.classes[class].lots.first().filter(|_| used > 0) {
                for (aim, factor) in self.stock_factors(class, lot.carrying_value) {
                    ledger.constant(branch, aim, factor * used);
                }
            }
            required = required.max(pieces - used);
        }
        if required > 0 {
            self.steady.push(Steady { class, required });
        }
    }

    /// Turns the ledger into costs; where branches differ in columns, the worst becomes a column of its own.
    fn add_worst_branches(&mut self, ledger: Ledger) {
        for (at, mut of_aim) in ledger.by_aim.into_iter().enumerate() {
            for (column, factor) in take_common(&mut of_aim) {
                self.columns[column].cost[at] += factor;
            }
            let varies = of_aim.iter().any(|terms| !terms.terms.is_empty());
            let worst = of_aim.iter().map(|terms| terms.constant).max().unwrap_or(0);
            if !varies {
                self.base[at] += worst;
                continue;
            }
            let range = |terms: &Terms, top: bool| {
                let end = |&(column, factor): &(usize, i64)| {
                    let (lo, hi) = (self.columns[column].lo, self.columns[column].hi);
                    if top { (factor * lo).max(factor * hi) } else { (factor * lo).min(factor * hi) }
                };
                terms.constant + terms.terms.iter().map(end).sum::<i64>()
            };
            let lo = of_aim.iter().map(|terms| range(terms, false)).max().unwrap_or(0);
            let hi = of_aim.iter().map(|terms| range(terms, true)).max().unwrap_or(0);
            let column = self.column(Kind::Worst, lo, hi.max(lo));
            self.columns[column].cost[at] = 1;
            let mut told: Vec<Terms> = Vec::new();
            for terms in of_aim {
                if told.contains(&terms) {
                    continue;
                }
                told.push(terms.clone());
                let row = self.row(Some(terms.constant), None);
                self.entry(row, column, 1);
                for (other, factor) in terms.terms {
                    self.entry(row, other, -factor);
                }
            }
        }
    }

    /// Job cost and cash differ by a constant where the stock used does not vary: the later of the two says nothing.
    fn drop_redundant_sums(&mut self) {
        let place = |wanted: Aim| self.sums.iter().position(|&aim| aim == wanted);
        let (Some(cash), Some(job)) = (place(Aim::Cash), place(Aim::JobCost)) else { return };
        let same = self.columns.iter().all(|column| column.cost[cash] == column.cost[job]);
        let shelf = |steady: &Steady| {
            self.problem.policy == StockPolicy::Value && !self.demands.classes[steady.class].lots.is_empty()
        };
        let one_worst = self.columns.iter().all(|column| column.kind != Kind::Worst);
        if same && one_worst && !self.steady.iter().any(shelf) {
            let later = cash.max(job);
            self.levels.retain(|&level| level != Level::Sum(later));
        }
    }

    /// The greatest common divisor of all amounts in each sum: bounds can be rounded up to it.
    fn find_grain(&mut self) {
        let offers = &self.problem.offers;
        let prices = offers.iter().flat_map(|offer| offer.tiers.iter().map(|tier| tier.price));
        let fixed = self.problem.suppliers.iter().map(|supplier| supplier.fixed_cost);
        let parts = self.problem.parts.iter().flat_map(|part| [part.carrying_value, part.credit]);
        let branches = self.problem.branches.iter();
        let choices = branches.flat_map(|branch| &branch.choices).flat_map(|choice| &choice.values);
        let amounts = prices.chain(fixed).chain(parts).chain(choices.map(|value| value.cash));
        let money = amounts.fold(0, greatest_common_divisor).max(1);
        for (at, &aim) in self.sums.iter().enumerate() {
            self.grain[at] = if aim == Aim::Surplus { 1 } else { money };
        }
    }

    /// What a unit of a source adds to each sum besides its price.
    pub(super) fn source_cost(&self, source: usize) -> Sum {
        let held = &self.sources.list[source];
        let mut cost = [0; SUMS];
        for (at, aim) in self.sums.iter().enumerate() {
            cost[at] = if *aim == Aim::Surplus { held.pieces } else { -held.credit };
        }
        cost
    }
}

/// The greatest common divisor.
pub(super) fn greatest_common_divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { greatest_common_divisor(b, a % b) }
}
