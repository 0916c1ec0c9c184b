//! A dual simplex on boxed columns, made to be started again from any basis.
//!
//! Minimises `c x` with `A x - s = 0`, all of `x` and the row activities `s` between finite bounds. With every
//! bound finite any basis is dual feasible once the nonbasic columns stand at the right bound, so after a change of
//! bounds, columns or costs the next solve goes on from where the last one ended. The explicit inverse is updated
//! only where pivot column and pivot row are not zero, which in these programs is a small part of it.
//!
//! Floating point never decides anything: the multipliers found here are turned into bounds by exact integer
//! arithmetic elsewhere.

/// How a solve ended.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Status {
    /// All columns stand within their bounds.
    Optimal,
    /// No point lies within all bounds; `ray` holds row multipliers that show it.
    Infeasible,
    /// The value has passed the cutoff.
    Cutoff,
    /// Stopped after many pivots; the multipliers are still of use.
    Stalled,
}

/// Below this an entry counts as zero.
const TINY: f64 = 1e-11;
/// How far a column may stand outside its bounds.
const FEASIBLE: f64 = 1e-8;
/// Least size of a pivot.
const PIVOT: f64 = 1e-7;
/// Pivots between two inversions from scratch.
const REFRESH: usize = 150;

/// The program and the state of its last solve. Columns `0..rows` are the row activities.
#[derive(Debug, Clone)]
pub(super) struct Simplex {
    rows: usize,
    columns: Vec<Vec<(u32, f64)>>,
    by_row: Vec<Vec<(u32, f64)>>,
    lo: Vec<f64>,
    hi: Vec<f64>,
    cost: Vec<f64>,
    reduced: Vec<f64>,
    value: Vec<f64>,
    head: Vec<usize>,
    place: Vec<usize>,
    inverse: Vec<f64>,
    weight: Vec<f64>,
    since_refresh: usize,
    /// Whether the values of the basic columns have to be computed anew.
    stale: bool,
    /// Row multipliers of the last proof of infeasibility.
    ray: Vec<f64>,
    alpha: Vec<f64>,
    touched: Vec<u32>,
    is_touched: Vec<bool>,
    candidates: Vec<(f64, u32)>,
    /// Pivots made so far.
    pub(super) pivots: u64,
}

const NONBASIC: usize = usize::MAX;

impl Simplex {
    /// A program without columns whose rows have these bounds.
    pub(super) fn new(rows: &[(f64, f64)]) -> Self {
        let count = rows.len();
        let mut inverse = vec![0.0; count * count];
        for row in 0..count {
            inverse[row * count + row] = -1.0;
        }
        Self {
            rows: count,
            columns: vec![Vec::new(); count],
            by_row: vec![Vec::new(); count],
            lo: rows.iter().map(|row| row.0).collect(),
            hi: rows.iter().map(|row| row.1).collect(),
            cost: vec![0.0; count],
            reduced: vec![0.0; count],
            value: vec![0.0; count],
            head: (0..count).collect(),
            place: (0..count).collect(),
            inverse,
            weight: vec![1.0; count],
            since_refresh: 0,
            stale: true,
            ray: vec![0.0; count],
            alpha: vec![0.0; count],
            touched: Vec::new(),
            is_touched: vec![false; count],
            candidates: Vec::new(),
            pivots: 0,
        }
    }

    /// Adds a column and returns its number.
    pub(super) fn add_column(&mut self, entries: Vec<(u32, f64)>, cost: f64, lo: f64, hi: f64) -> usize {
        let column = self.columns.len();
        let mut reduced = cost;
        for &(row, entry) in &entries {
            self.by_row[row as usize].push((column as u32, entry));
            reduced -= self.reduced[row as usize] * entry;
        }
        self.columns.push(entries);
        self.lo.push(lo);
        self.hi.push(hi);
        self.cost.push(cost);
        self.reduced.push(reduced);
        self.value.push(lo);
        self.place.push(NONBASIC);
        self.alpha.push(0.0);
        self.is_touched.push(false);
        column
    }

    /// Sets the bounds of a column or row.
    pub(super) fn set_bounds(&mut self, column: usize, lo: f64, hi: f64) {
        self.lo[column] = lo;
        self.hi[column] = hi;
    }

    /// Replaces all costs of the added columns.
    pub(super) fn set_costs(&mut self, costs: impl Iterator<Item = f64>) {
        for (slot, cost) in self.cost[self.rows..].iter_mut().zip(costs) {
            *slot = cost;
        }
        self.price_out();
    }

    /// The value of a column.
    pub(super) fn value(&self, column: usize) -> f64 {
        self.value[column]
    }

    /// The reduced cost of a column; for a row this is its multiplier.
    pub(super) fn reduced(&self, column: usize) -> f64 {
        self.reduced[column]
    }

    /// The multipliers of the last proof of infeasibility.
    pub(super) fn ray(&self) -> &[f64] {
        &self.ray
    }

    /// The least value, unless it passes `cutoff`.
    pub(super) fn solve(&mut self, cutoff: f64) -> Status {
        if self.since_refresh >= REFRESH {
            self.refresh();
        }
        self.settle();
        let limit = 50 * self.rows + 500;
        for pivot in 0..limit {
            if pivot % 4 == 3 && self.objective() > cutoff {
                return Status::Cutoff;
            }
            let Some(row) = self.leaving_row() else {
                return Status::Optimal;
            };
            if let Some(status) = self.pivot(row) {
                return status;
            }
            if self.since_refresh >= 2 * REFRESH {
                self.refresh();
                self.settle();
            }
        }
        Status::Stalled
    }

    /// Goes back to the basis of the rows, where rounding has led the last solves astray.
    pub(super) fn start_anew(&mut self) {
        for column in 0..self.columns.len() {
            self.place[column] = if column < self.rows { column } else { NONBASIC };
        }
        self.head = (0..self.rows).collect();
        self.refresh();
    }

    /// The value of the columns as they stand: a lower bound up to rounding, as the basis is dual feasible.
    pub(super) fn objective(&self) -> f64 {
        self.cost.iter().zip(&self.value).map(|(cost, value)| cost * value).sum()
    }

    /// Recomputes multipliers and reduced costs from the basis.
    fn price_out(&mut self) {
        let rows = self.rows;
        let mut multipliers = vec![0.0; rows];
        for row in 0..rows {
            let cost = self.cost[self.head[row]];
            if cost != 0.0 {
                for (slot, entry) in multipliers.iter_mut().zip(&self.inverse[row * rows..(row + 1) * rows]) {
                    *slot += cost * entry;
                }
            }
        }
        self.reduced[..rows].copy_from_slice(&multipliers);
        for column in rows..self.columns.len() {
            let priced: f64 =
                self.columns[column].iter().map(|&(row, entry)| multipliers[row as usize] * entry).sum();
            self.reduced[column] = self.cost[column] - priced;
        }
        for row in 0..rows {
            self.reduced[self.head[row]] = 0.0;
        }
    }

    /// Puts every nonbasic column at its right bound and brings the basic ones along: all anew after an inversion,
    /// else by what has moved.
    fn settle(&mut self) {
        let rows = self.rows;
        let mut activity = vec![0.0; rows];
        for column in 0..self.columns.len() {
            if self.place[column] != NONBASIC {
                continue;
            }
            let (lo, hi, reduced) = (self.lo[column], self.hi[column], self.reduced[column]);
            let before = self.value[column];
            let at_upper =
                if reduced.abs() > 1e-9 { reduced < 0.0 } else { (before - hi).abs() < (before - lo).abs() };
            let value = if at_upper { hi } else { lo };
            let moved = if self.stale { value } else { value - before };
            self.value[column] = value;
            if moved != 0.0 {
                self.add_to_activity(&mut activity, column, moved);
            }
        }
        let moved: Vec<(usize, f64)> =
            activity.iter().copied().enumerate().filter(|&(_, amount)| amount != 0.0).collect();
        if moved.is_empty() && !self.stale {
            return;
        }
        for row in 0..rows {
            let line = &self.inverse[row * rows..(row + 1) * rows];
            let sum: f64 = moved.iter().map(|&(k, amount)| line[k] * amount).sum();
            let slot = &mut self.value[self.head[row]];
            *slot = if self.stale { -sum } else { *slot - sum };
        }
        self.stale = false;
    }

    fn add_to_activity(&self, activity: &mut [f64], column: usize, amount: f64) {
        if column < self.rows {
            activity[column] -= amount;
        } else {
            for &(row, entry) in &self.columns[column] {
                activity[row as usize] += entry * amount;
            }
        }
    }

    /// The row whose basic column stands farthest outside, by steepest edge.
    fn leaving_row(&self) -> Option<usize> {
        let mut best = 0.0;
        let mut found = None;
        for row in 0..self.rows {
            let column = self.head[row];
            let value = self.value[column];
            let outside = (self.lo[column] - value).max(value - self.hi[column]);
            if outside > FEASIBLE * (1.0 + value.abs() * 1e-3) {
                let score = outside * outside / self.weight[row];
                if score > best {
                    best = score;
                    found = Some(row);
                }
            }
        }
        found
    }

    /// One exchange of basis; a status if there is none to make.
    fn pivot(&mut self, row: usize) -> Option<Status> {
        let rows = self.rows;
        let leaving = self.head[row];
        let too_low = self.value[leaving] < self.lo[leaving];
        let bound = if too_low { self.lo[leaving] } else { self.hi[leaving] };
        let support: Vec<(u32, f64)> = (0..rows)
            .filter_map(|k| {
                let entry = self.inverse[row * rows + k];
                (entry.abs() > TINY).then_some((k as u32, entry))
            })
            .collect();
        self.pivot_row(&support);
        let sign = if too_low { 1.0 } else { -1.0 };
        let Some((entering, flips)) = self.ratio_test(sign, (bound - self.value[leaving]).abs()) else {
            self.ray.fill(0.0);
            for &(k, entry) in &support {
                self.ray[k as usize] = -entry * sign;
            }
            self.clear_alpha();
            return Some(Status::Infeasible);
        };
        self.flip(&flips);
        let column = self.basis_column(entering);
        let pivot = column[row];
        let step = (self.value[leaving] - bound) / pivot;
        for (k, &entry) in column.iter().enumerate() {
            if entry != 0.0 {
                self.value[self.head[k]] -= entry * step;
            }
        }
        self.value[entering] += step;
        self.value[leaving] = bound;
        let dual_step = self.reduced[entering] / self.alpha[entering];
        if dual_step != 0.0 {
            for &k in &self.touched {
                self.reduced[k as usize] -= dual_step * self.alpha[k as usize];
            }
        }
        self.reduced[leaving] = -dual_step;
        self.reduced[entering] = 0.0;
        self.clear_alpha();
        self.exchange(row, entering, &column, &support);
        None
    }

    /// The pivot row over the nonbasic columns that can move.
    fn pivot_row(&mut self, support: &[(u32, f64)]) {
        for &(k, entry) in support {
            let logical = k as usize;
            if self.place[logical] == NONBASIC {
                self.alpha[logical] = -entry;
                self.touched.push(k);
            }
            for &(column, amount) in &self.by_row[logical] {
                // A sum may pass through zero, so its value cannot tell whether the column is listed.
                if !self.is_touched[column as usize] {
                    self.is_touched[column as usize] = true;
                    self.touched.push(column);
                }
                self.alpha[column as usize] += entry * amount;
            }
        }
        let place = &self.place;
        let alpha = &mut self.alpha;
        let is_touched = &mut self.is_touched;
        self.touched.retain(|&column| {
            is_touched[column as usize] = false;
            let keep = place[column as usize] == NONBASIC && alpha[column as usize].abs() > TINY;
            if !keep {
                alpha[column as usize] = 0.0;
            }
            keep
        });
    }

    fn clear_alpha(&mut self) {
        for &column in &self.touched {
            self.alpha[column as usize] = 0.0;
        }
        self.touched.clear();
    }

    /// The entering column, passing over columns that can flip to their other bound at a gain.
    fn ratio_test(&mut self, sign: f64, infeasibility: f64) -> Option<(usize, Vec<usize>)> {
        self.candidates.clear();
        for &k in &self.touched {
            let column = k as usize;
            let width = self.hi[column] - self.lo[column];
            let alpha = sign * self.alpha[column];
            if width <= 0.0 || alpha.abs() < PIVOT {
                continue;
            }
            let at_upper = self.value[column] > self.lo[column] + 0.5 * width;
            if (alpha < 0.0) != at_upper {
                self.candidates.push((self.reduced[column].abs() / alpha.abs(), k));
            }
        }
        self.candidates.sort_unstable_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mut slope = infeasibility;
        let mut end = self.candidates.len();
        for (at, &(_, k)) in self.candidates.iter().enumerate() {
            let column = k as usize;
            slope -= self.alpha[column].abs() * (self.hi[column] - self.lo[column]);
            if slope <= FEASIBLE * 0.1 {
                end = at;
                break;
            }
        }
        if end == self.candidates.len() {
            return None;
        }
        // Of the columns at almost the same ratio take the largest pivot.
        let limit = self.candidates[end].0 + 1e-9;
        let mut entering = end;
        for at in end..self.candidates.len() {
            if self.candidates[at].0 > limit {
                break;
            }
            let (now, best) = (self.candidates[at].1 as usize, self.candidates[entering].1 as usize);
            if self.alpha[now].abs() > self.alpha[best].abs() {
                entering = at;
            }
        }
        let flips = self.candidates[..end].iter().map(|&(_, k)| k as usize).collect();
        Some((self.candidates[entering].1 as usize, flips))
    }

    fn flip(&mut self, columns: &[usize]) {
        if columns.is_empty() {
            return;
        }
        let rows = self.rows;
        let mut activity = vec![0.0; rows];
        for &column in columns {
            let target = if self.value[column] > 0.5 * (self.lo[column] + self.hi[column]) {
                self.lo[column]
            } else {
                self.hi[column]
            };
            let change = target - self.value[column];
            self.value[column] = target;
            self.add_to_activity(&mut activity, column, change);
        }
        let moved: Vec<(usize, f64)> =
            activity.iter().copied().enumerate().filter(|&(_, amount)| amount != 0.0).collect();
        for row in 0..rows {
            let line = &self.inverse[row * rows..(row + 1) * rows];
            let sum: f64 = moved.iter().map(|&(k, amount)| line[k] * amount).sum();
            self.value[self.head[row]] -= sum;
        }
    }

    fn basis_column(&self, column: usize) -> Vec<f64> {
        let rows = self.rows;
        (0..rows)
            .map(|row| {
                let line = &self.inverse[row * rows..(row + 1) * rows];
                let entry = if column < rows {
                    -line[column]
                } else {
                    self.columns[column].iter().map(|&(k, amount)| line[k as usize] * amount).sum()
                };
                if entry.abs() > TINY { entry } else { 0.0 }
            })
            .collect()
    }

    /// Brings `entering` into the basis at `row` and updates inverse and norms.
    fn exchange(&mut self, row: usize, entering: usize, column: &[f64], support: &[(u32, f64)]) {
        let rows = self.rows;
        let pivot = column[row];
        let norm: f64 = support.iter().map(|&(_, entry)| entry * entry).sum();
        for (other, &entry) in column.iter().enumerate() {
            if entry == 0.0 || other == row {
                continue;
            }
            let factor = entry / pivot;
            let line = &mut self.inverse[other * rows..(other + 1) * rows];
            let mut product = 0.0;
            for &(k, amount) in support {
                let slot = &mut line[k as usize];
                product += *slot * amount;
                *slot -= factor * amount;
            }
            let weight = self.weight[other] - 2.0 * factor * product + factor * factor * norm;
            self.weight[other] = weight.max(1e-6);
        }
        let line = &mut self.inverse[row * rows..(row + 1) * rows];
        for &(k, amount) in support {
            line[k as usize] = amount / pivot;
        }
        self.weight[row] = (norm / (pivot * pivot)).max(1e-6);
        let leaving = self.head[row];
        self.place[leaving] = NONBASIC;
        self.place[entering] = row;
        self.head[row] = entering;
        self.since_refresh += 1;
        self.pivots += 1;
    }

    /// Inverts the basis from scratch. A basic column without a sound pivot left gives way to a row.
    fn refresh(&mut self) {
        let rows = self.rows;
        let mut wanted: Vec<usize> = self.head.iter().copied().filter(|&column| column >= rows).collect();
        wanted.sort_by_key(|&column| (self.columns[column].len(), column));
        let mut free: Vec<bool> = (0..rows).map(|row| self.place[row] == NONBASIC).collect();
        self.inverse.fill(0.0);
        for row in 0..rows {
            self.inverse[row * rows + row] = -1.0;
            self.head[row] = row;
        }
        self.place.fill(NONBASIC);
        for row in 0..rows {
            self.place[row] = row;
        }
        self.weight.fill(1.0);
        for column in wanted {
            let entries = self.basis_column(column);
            let best = (0..rows)
                .filter(|&row| free[row])
                .max_by(|&a, &b| entries[a].abs().total_cmp(&entries[b].abs()).then(b.cmp(&a)));
            if let Some(row) = best.filter(|&row| entries[row].abs() > PIVOT) {
                let support: Vec<(u32, f64)> = (0..rows)
                    .filter_map(|k| {
                        let entry = self.inverse[row * rows + k];
                        (entry.abs() > TINY).then_some((k as u32, entry))
                    })
                    .collect();
                self.exchange(row, column, &entries, &support);
                self.pivots -= 1;
                free[row] = false;
            }
        }
        self.since_refresh = 0;
        self.stale = true;
        self.price_out();
    }
}

#[cfg(test)]
mod tests {
    use proptest::collection::vec;
    use proptest::prelude::*;

    use super::*;

    /// Whether the values keep all bounds and the multipliers prove them best: no point within the bounds is below
    /// what every column and row at its cheaper end comes to.
    fn is_proven(lp: &Simplex) -> bool {
        let within = (0..lp.columns.len())
            .all(|at| lp.value[at] >= lp.lo[at] - 1e-6 && lp.value[at] <= lp.hi[at] + 1e-6);
        let mut activity = vec![0.0; lp.rows];
        for column in 0..lp.columns.len() {
            lp.add_to_activity(&mut activity, column, lp.value[column]);
        }
        let priced = |column: usize| -> f64 {
            lp.columns[column].iter().map(|&(row, entry)| lp.reduced[row as usize] * entry).sum()
        };
        let bound: f64 = (0..lp.columns.len())
            .map(|at| if at < lp.rows { lp.reduced[at] } else { lp.cost[at] - priced(at) })
            .zip(lp.lo.iter().zip(&lp.hi))
            .map(|(reduced, (lo, hi))| reduced * if reduced > 0.0 { lo } else { hi })
            .sum();
        within && activity.iter().all(|rest| rest.abs() < 1e-6) && (lp.objective() - bound).abs() < 1e-5
    }

    /// Whether the ray shows that no point keeps all bounds.
    fn is_refuted(lp: &Simplex) -> bool {
        let reduced = |at: usize| {
            if at < lp.rows {
                lp.ray[at]
            } else {
                -lp.columns[at].iter().map(|&(row, entry)| lp.ray[row as usize] * entry).sum::<f64>()
            }
        };
        let least: f64 = (0..lp.columns.len())
            .map(|at| (reduced(at), lp.lo[at], lp.hi[at]))
            .map(|(reduced, lo, hi)| reduced * if reduced > 0.0 { lo } else { hi })
            .sum();
        least > 0.0
    }

    fn check(lp: &mut Simplex) {
        match lp.solve(f64::INFINITY) {
            Status::Optimal => assert!(is_proven(lp)),
            Status::Infeasible => assert!(is_refuted(lp)),
            other => panic!("{other:?}"),
        }
    }

    proptest! {
        #[test]
        fn every_end_is_certified_from_any_start(
            rows in vec((-6_i32..6, 0_i32..8), 1..6),
            columns in vec((vec(-3_i32..4, 6), -5_i32..9, 0_i32..4), 1..9),
            moves in vec((any::<prop::sample::Index>(), -2_i32..3, 0_i32..4), 0..8),
        ) {
            let bounds: Vec<(f64, f64)> =
                rows.iter().map(|&(lo, width)| (f64::from(lo), f64::from(lo + width))).collect();
            let mut lp = Simplex::new(&bounds);
            for (entries, cost, hi) in &columns {
                let entries = entries.iter().take(rows.len()).enumerate().filter(|(_, entry)| **entry != 0);
                let entries = entries.map(|(row, &entry)| (row as u32, f64::from(entry))).collect();
                lp.add_column(entries, f64::from(*cost), 0.0, f64::from(*hi));
            }
            check(&mut lp);
            for (at, lo, width) in moves {
                let column = rows.len() + at.index(columns.len());
                lp.set_bounds(column, f64::from(lo), f64::from(lo + width));
                check(&mut lp);
            }
            lp.set_costs(columns.iter().rev().map(|column| f64::from(column.1)));
            check(&mut lp);
            lp.refresh();
            check(&mut lp);
        }
    }
}
