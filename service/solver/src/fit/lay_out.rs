//! Lays a problem flat, and checks it on the way.

use super::invalid::InvalidProblem;
use super::network::{Binary, Network, Wide};
use super::problem::{Constraint, Problem};

/// Words that are kept ready for each binary constraint, at most.
const ROWS_RESERVED: usize = 64;

/// Which facts of the problem are laid out.
pub(super) enum Facts<'a> {
    /// All of them.
    All,
    /// These constraints, and the restrictions of the variables marked.
    Some { constraints: &'a [usize], restricted: &'a [bool] },
}

impl Network {
    /// Lays out the problem.
    ///
    /// # Errors
    ///
    /// [`InvalidProblem`] where the problem refers to what it does not have.
    pub(super) fn new(problem: &Problem, facts: &Facts<'_>) -> Result<Self, InvalidProblem> {
        let mut network = Self::domains(problem)?;
        network.restrict(problem, facts)?;
        match facts {
            Facts::All => {
                network.reserve(problem);
                for (index, constraint) in problem.constraints.iter().enumerate() {
                    network.add(index, constraint)?;
                }
            }
            Facts::Some { constraints, .. } => {
                for &index in *constraints {
                    network.add(index, &problem.constraints[index])?;
                }
            }
        }
        network.link();
        Ok(network)
    }

    fn domains(problem: &Problem) -> Result<Self, InvalidProblem> {
        let variables = problem.variables.len();
        let mut network = Self {
            domain: Vec::with_capacity(variables),
            value_start: Vec::with_capacity(variables + 1),
            word_start: Vec::with_capacity(variables + 1),
            live: Vec::with_capacity(variables),
            ..Self::default()
        };
        let (mut values_before, mut words_before) = (0_u32, 0_u32);
        for values in &problem.variables {
            let size = u32::try_from(values.len()).map_err(|_| InvalidProblem::TooLarge)?;
            network.domain.push(size);
            network.value_start.push(values_before);
            network.word_start.push(words_before);
            let words = size.div_ceil(64);
            values_before = values_before
                .checked_add(size)
                .filter(|&sum| sum < 1 << 31)
                .ok_or(InvalidProblem::TooLarge)?;
            words_before += words;
            if size % 64 == 0 {
                network.live.extend((0..words).map(|_| u64::MAX));
            } else {
                network.live.extend((1..words).map(|_| u64::MAX));
                network.live.push((1 << (size % 64)) - 1);
            }
        }
        network.value_start.push(values_before);
        network.word_start.push(words_before);
        network.count = network.domain.clone();
        if u32::try_from(variables).is_err() {
            return Err(InvalidProblem::TooLarge);
        }
        Ok(network)
    }

    fn restrict(&mut self, problem: &Problem, facts: &Facts<'_>) -> Result<(), InvalidProblem> {
        if problem.restrictions.is_empty() {
            return Ok(());
        }
        let variables = self.domain.len();
        let mut seen = vec![false; variables];
        for (index, restriction) in problem.restrictions.iter().enumerate() {
            let variable = restriction.variable;
            if variable >= variables {
                return Err(InvalidProblem::RestrictedUnknownVariable {
                    restriction: index,
                    variable,
                    variables,
                });
            }
            if std::mem::replace(&mut seen[variable], true) {
                return Err(InvalidProblem::RepeatedRestriction { restriction: index, variable });
            }
            let words = self.words(variable);
            let mut allowed = vec![0_u64; words.len()];
            for &value in &restriction.allowed {
                let values = self.domain[variable] as usize;
                if value >= values {
                    return Err(InvalidProblem::RestrictedUnknownValue {
                        restriction: index,
                        variable,
                        value,
                        values,
                    });
                }
                allowed[value / 64] |= 1 << (value % 64);
            }
            if matches!(facts, Facts::Some { restricted, .. } if !restricted[variable]) {
                continue;
            }
            let mut count = 0;
            for (word, mask) in self.live[words].iter_mut().zip(allowed) {
                *word &= mask;
                count += word.count_ones();
            }
            self.count[variable] = count;
        }
        Ok(())
    }

    fn reserve(&mut self, problem: &Problem) {
        let size = |variable: usize| self.domain.get(variable).copied().unwrap_or(0) as usize;
        let (mut binaries, mut wides, mut rows, mut scopes, mut values, mut tuples) = (0, 0, 0, 0, 0, 0);
        for constraint in &problem.constraints {
            if let &[x, y] = constraint.scope.as_slice() {
                binaries += 1;
                rows += size(x) * size(y).div_ceil(64) + size(y) * size(x).div_ceil(64);
            } else {
                wides += 1;
                scopes += constraint.scope.len();
                values += constraint.tuples.values().len();
                tuples += constraint.tuples.len();
            }
        }
        self.binaries.reserve(binaries);
        self.binary_source.reserve(binaries);
        // What does not pay as rows is not laid out as such, however large it would be.
        self.rows.reserve(rows.min(binaries * ROWS_RESERVED));
        self.wides.reserve(wides);
        self.wide_source.reserve(wides);
        self.scopes.reserve(scopes);
        self.tuples.reserve(values);
        self.tuple_unverified.reserve(tuples);
    }

    fn add(&mut self, index: usize, constraint: &Constraint) -> Result<(), InvalidProblem> {
        self.check_scope(index, constraint)?;
        let arity = constraint.scope.len();
        if let Some((tuple, found)) = constraint.tuples.of_other_length(arity) {
            return Err(InvalidProblem::TupleLength { constraint: index, tuple, found, expected: arity });
        }
        let most = constraint.tuples.most_unverified();
        self.most_unverified += u64::from(most);
        match arity {
            0 => {
                self.add_constant(index, constraint);
                Ok(())
            }
            1 => self.add_unary(index, constraint),
            2 if self.pays_as_rows(constraint) => self.add_binary(index, constraint, most > 0),
            _ => self.add_wide(index, constraint, most > 0),
        }
    }

    /// Rows of bits pay unless the domains are so large that hardly any bit would be set.
    fn pays_as_rows(&self, constraint: &Constraint) -> bool {
        let size = |side: usize| self.domain[constraint.scope[side]] as usize;
        size(0).saturating_mul(size(1)) <= constraint.tuples.len().saturating_mul(64).saturating_add(1 << 14)
    }

    fn check_scope(&self, index: usize, constraint: &Constraint) -> Result<(), InvalidProblem> {
        let variables = self.domain.len();
        for (at, &variable) in constraint.scope.iter().enumerate() {
            if variable >= variables {
                return Err(InvalidProblem::UnknownVariable { constraint: index, variable, variables });
            }
            if at < 16 && constraint.scope[..at].contains(&variable) {
                return Err(InvalidProblem::RepeatedVariable { constraint: index, variable });
            }
        }
        if constraint.scope.len() > 16 {
            let mut sorted = constraint.scope.clone();
            sorted.sort_unstable();
            if let Some(pair) = sorted.windows(2).find(|pair| pair[0] == pair[1]) {
                return Err(InvalidProblem::RepeatedVariable { constraint: index, variable: pair[0] });
            }
        }
        Ok(())
    }

    /// The first value of a constraint that its variable has not.
    #[cold]
    fn unknown_value(&self, index: usize, constraint: &Constraint) -> InvalidProblem {
        let places = constraint.tuples.iter().enumerate().flat_map(|(tuple, values)| {
            let places = constraint.scope.iter().zip(values.values);
            places.map(move |(&variable, &value)| (tuple, variable, value as usize))
        });
        let mut unknown = places.filter(|&(_, variable, value)| value >= self.domain[variable] as usize);
        let (tuple, variable, value) = unknown.next().unwrap_or_default();
        let values = self.domain[variable] as usize;
        InvalidProblem::UnknownValue { constraint: index, tuple, variable, value, values }
    }

    fn add_constant(&mut self, index: usize, constraint: &Constraint) {
        match constraint.tuples.unverified().iter().min() {
            Some(&least) => self.constant_unverified = self.constant_unverified.saturating_add(least),
            None => self.never = self.never.or(Some(index as u32)),
        }
    }

    /// A unary constraint stays in the list of the wide ones, so that propagation can name it as a reason.
    fn add_unary(&mut self, index: usize, constraint: &Constraint) -> Result<(), InvalidProblem> {
        let variable = constraint.scope[0];
        let mut least = vec![u32::MAX; self.domain[variable] as usize];
        let mut listed = vec![false; least.len()];
        for (&value, &unverified) in constraint.tuples.values().iter().zip(constraint.tuples.unverified()) {
            let Some(entry) = least.get_mut(value as usize) else {
                return Err(self.unknown_value(index, constraint));
            };
            *entry = unverified.min(*entry);
            listed[value as usize] = true;
        }
        let wide = self.open_wide(index, constraint);
        for (value, _) in listed.iter().enumerate().filter(|(_, listed)| **listed) {
            self.tuples.push(value as u32);
            self.tuple_unverified.push(0);
            if least[value] > 0 {
                let values = self.value_start.last().map_or(0, |&end| end as usize);
                self.unary_unverified.resize(values, 0);
                let entry = &mut self.unary_unverified[self.value_start[variable] as usize + value];
                *entry = entry.saturating_add(least[value]);
            }
        }
        self.close_wide(wide, false);
        Ok(())
    }

    fn add_binary(
        &mut self,
        index: usize,
        constraint: &Constraint,
        priced: bool,
    ) -> Result<(), InvalidProblem> {
        let (x, y) = (constraint.scope[0], constraint.scope[1]);
        let sizes = [self.domain[x] as usize, self.domain[y] as usize];
        let words = [sizes[0].div_ceil(64), sizes[1].div_ceil(64)];
        let rows_x = self.rows.len();
        let rows_y = rows_x + sizes[0] * words[1];
        self.rows.resize(rows_y + sizes[1] * words[0], 0);
        let (of_x, of_y) = self.rows[rows_x..].split_at_mut(rows_y - rows_x);
        let (pairs, _) = constraint.tuples.values().as_chunks::<2>();
        let known = if words == [1, 1] {
            set_in_words(of_x, of_y, pairs)
        } else {
            set_in_rows(of_x, of_y, sizes, pairs)
        };
        if !known {
            return Err(self.unknown_value(index, constraint));
        }
        let start = self.unverified.len();
        if priced {
            self.unverified.resize(start + sizes[0] * sizes[1], u32::MAX);
            for (&[a, b], &unverified) in pairs.iter().zip(constraint.tuples.unverified()) {
                let entry = &mut self.unverified[start + a as usize * sizes[1] + b as usize];
                *entry = unverified.min(*entry);
            }
        }
        self.binaries.push(Binary {
            scope: [x as u32, y as u32],
            rows: [rows_x as u32, rows_y as u32],
            unverified: priced.then_some(start as u32),
        });
        self.binary_source.push(index as u32);
        Ok(())
    }

    fn add_wide(
        &mut self,
        index: usize,
        constraint: &Constraint,
        priced: bool,
    ) -> Result<(), InvalidProblem> {
        let wide = self.open_wide(index, constraint);
        let is_known = |(&value, &variable): (&u32, &usize)| value < self.domain[variable];
        let mut tuples = constraint.tuples.values().chunks_exact(constraint.scope.len());
        if !tuples.all(|tuple| tuple.iter().zip(&constraint.scope).all(is_known)) {
            return Err(self.unknown_value(index, constraint));
        }
        self.tuples.extend_from_slice(constraint.tuples.values());
        self.tuple_unverified.extend_from_slice(constraint.tuples.unverified());
        self.close_wide(wide, priced);
        Ok(())
    }

    fn open_wide(&mut self, index: usize, constraint: &Constraint) -> Wide {
        let scope = self.scopes.len() as u32;
        self.scopes.extend(constraint.scope.iter().map(|&variable| variable as u32));
        self.wide_source.push(index as u32);
        Wide {
            scope,
            arity: constraint.scope.len() as u32,
            tuples: self.tuples.len() as u32,
            unverified: self.tuple_unverified.len() as u32,
            len: 0,
            has_unverified: false,
        }
    }

    fn close_wide(&mut self, mut wide: Wide, has_unverified: bool) {
        wide.len = self.tuple_unverified.len() as u32 - wide.unverified;
        wide.has_unverified = has_unverified;
        self.wides.push(wide);
    }

    fn link(&mut self) {
        let variables = self.domain.len();
        let mut start = vec![0_u32; variables + 2];
        for constraint in 0..self.constraints() {
            for &variable in self.scope(constraint) {
                start[variable as usize + 2] += 1;
            }
        }
        for at in 2..start.len() {
            start[at] += start[at - 1];
        }
        let mut incident = vec![0_u32; start.last().map_or(0, |&end| end as usize)];
        for constraint in 0..self.constraints() {
            for &variable in self.scope(constraint) {
                let slot = &mut start[variable as usize + 1];
                incident[*slot as usize] = constraint as u32;
                *slot += 1;
            }
        }
        start.pop();
        self.incident_start = start;
        self.incident = incident;
    }
}

/// Sets the bits of the pairs where every row is one word, for both sides; false where a value is none of its variable's.
fn set_in_words(of_x: &mut [u64], of_y: &mut [u64], pairs: &[[u32; 2]]) -> bool {
    // The pairs of one value mostly follow each other: its row is put together before it is stored.
    let (mut row, mut bits) = (0, 0);
    for &[a, b] in pairs {
        let Some(word) = of_y.get_mut(b as usize) else { return false };
        *word |= 1 << (a % 64);
        if a != row {
            let Some(word) = of_x.get_mut(row as usize) else { return false };
            *word |= bits;
            (row, bits) = (a, 0);
        }
        bits |= 1 << (b % 64);
    }
    match of_x.get_mut(row as usize) {
        Some(word) => *word |= bits,
        None => return pairs.is_empty(),
    }
    true
}

/// The same where a row may be several words.
fn set_in_rows(of_x: &mut [u64], of_y: &mut [u64], sizes: [usize; 2], pairs: &[[u32; 2]]) -> bool {
    let words = sizes.map(|size| size.div_ceil(64));
    for pair in pairs {
        let [a, b] = pair.map(|value| value as usize);
        if a >= sizes[0] || b >= sizes[1] {
            return false;
        }
        of_x[a * words[1] + b / 64] |= 1 << (b % 64);
        of_y[b * words[0] + a / 64] |= 1 << (a % 64);
    }
    true
}
