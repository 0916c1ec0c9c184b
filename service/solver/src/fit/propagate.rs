//! Generalised arc consistency: takes away every value that some constraint alone cannot do with.

use super::network::{Binary, Network, Wide};

/// Hears of each value taken away and of the constraint that did it.
pub(super) trait Log {
    /// A value was taken away by a numbered constraint.
    fn removed(&mut self, variable: usize, value: usize, constraint: usize);
}

/// Hears nothing.
pub(super) struct Silent;

impl Log for Silent {
    #[inline]
    fn removed(&mut self, _: usize, _: usize, _: usize) {}
}

/// A variable has no value left.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Wiped {
    /// The variable.
    pub(super) variable: usize,
}

/// The constraints that wait for another look.
#[derive(Debug, Clone, Default)]
pub(super) struct Agenda {
    waiting: Vec<u32>,
    next: usize,
    listed: Vec<bool>,
    support: Vec<u64>,
    /// Variables that lost a value since the caller last emptied the list; may name one more than once.
    pub(super) touched: Vec<u32>,
}

impl Agenda {
    /// All constraints wait.
    pub(super) fn full(network: &Network) -> Self {
        let constraints = network.constraints();
        Self {
            waiting: (0..constraints as u32).collect(),
            next: 0,
            listed: vec![true; constraints],
            support: Vec::new(),
            touched: Vec::new(),
        }
    }

    /// A variable lost a value: its other constraints must be looked at again.
    #[inline]
    pub(super) fn disturb(&mut self, network: &Network, variable: usize, except: usize) {
        self.touched.push(variable as u32);
        for &constraint in network.incident(variable) {
            let listed = &mut self.listed[constraint as usize];
            if !*listed && constraint as usize != except {
                *listed = true;
                self.waiting.push(constraint);
            }
        }
    }

    fn pop(&mut self) -> Option<usize> {
        let Some(&constraint) = self.waiting.get(self.next) else {
            self.waiting.clear();
            self.next = 0;
            return None;
        };
        self.next += 1;
        self.listed[constraint as usize] = false;
        Some(constraint as usize)
    }
}

/// Works the agenda off. On `Err` the network is left in the middle of the work.
pub(super) fn propagate(network: &mut Network, agenda: &mut Agenda, log: &mut impl Log) -> Result<(), Wiped> {
    while let Some(constraint) = agenda.pop() {
        match network.binaries.get(constraint) {
            Some(&binary) => revise_binary(network, agenda, constraint, binary, log)?,
            None => {
                let wide = network.wides[constraint - network.binaries.len()];
                revise_wide(network, agenda, constraint, wide, log)?;
            }
        }
    }
    Ok(())
}

fn revise_binary(
    network: &mut Network,
    agenda: &mut Agenda,
    constraint: usize,
    binary: Binary,
    log: &mut impl Log,
) -> Result<(), Wiped> {
    let [x, y] = binary.scope.map(|variable| variable as usize);
    let (words_x, words_y) = (network.words(x), network.words(y));
    if words_x.len() == 1 && words_y.len() == 1 {
        let (live_x, live_y) = (network.live[words_x.start], network.live[words_y.start]);
        let rows = &network.rows[binary.rows[0] as usize..];
        let (mut keep, mut support) = (0_u64, 0_u64);
        let mut rest = live_x;
        while rest != 0 {
            let value = rest.trailing_zeros();
            let row = rows[value as usize] & live_y;
            support |= row;
            keep |= u64::from(row != 0) << value;
            rest &= rest - 1;
        }
        if keep != live_x {
            narrow(network, agenda, constraint, x, &[keep], log)?;
        }
        if support != live_y {
            narrow(network, agenda, constraint, y, &[support], log)?;
        }
        return Ok(());
    }
    let width = words_y.len();
    let mut keep = network.live[words_x.clone()].to_vec();
    let mut support = vec![0_u64; width];
    network.for_live(x, |value| {
        let row = &network.rows[binary.rows[0] as usize + value * width..][..width];
        let mut any = 0;
        for ((support, &row), &live) in support.iter_mut().zip(row).zip(&network.live[words_y.clone()]) {
            *support |= row & live;
            any |= row & live;
        }
        if any == 0 {
            keep[value / 64] &= !(1 << (value % 64));
        }
    });
    narrow(network, agenda, constraint, x, &keep, log)?;
    narrow(network, agenda, constraint, y, &support, log)
}

/// Leaves a variable only the live values that are in `keep`.
fn narrow(
    network: &mut Network,
    agenda: &mut Agenda,
    constraint: usize,
    variable: usize,
    keep: &[u64],
    log: &mut impl Log,
) -> Result<(), Wiped> {
    let words = network.words(variable);
    let mut changed = false;
    let mut count = 0;
    for (index, &keep) in keep.iter().enumerate() {
        let word = &mut network.live[words.start + index];
        let mut gone = *word & !keep;
        *word &= keep;
        count += word.count_ones();
        changed |= gone != 0;
        while gone != 0 {
            log.removed(variable, index * 64 + gone.trailing_zeros() as usize, constraint);
            gone &= gone - 1;
        }
    }
    network.count[variable] = count;
    if count == 0 {
        return Err(Wiped { variable });
    }
    if changed {
        agenda.disturb(network, variable, constraint);
    }
    Ok(())
}

fn revise_wide(
    network: &mut Network,
    agenda: &mut Agenda,
    constraint: usize,
    wide: Wide,
    log: &mut impl Log,
) -> Result<(), Wiped> {
    let arity = wide.arity as usize;
    let columns = wide.scope as usize..(wide.scope + wide.arity) as usize;
    let words: usize = network.scopes[columns.clone()].iter().map(|&v| network.words(v as usize).len()).sum();
    let mut support = std::mem::take(&mut agenda.support);
    support.clear();
    support.resize(words, 0);

    let mut len = wide.len as usize;
    let mut at = 0;
    while at < len {
        let start = wide.tuples as usize + at * arity;
        let alive = network.scopes[columns.clone()]
            .iter()
            .zip(&network.tuples[start..start + arity])
            .all(|(&variable, &value)| network.is_live(variable as usize, value as usize));
        if alive {
            let mut word = 0;
            for (&variable, &value) in
                network.scopes[columns.clone()].iter().zip(&network.tuples[start..start + arity])
            {
                support[word + value as usize / 64] |= 1 << (value % 64);
                word += network.words(variable as usize).len();
            }
            at += 1;
        } else {
            len -= 1;
            let last = wide.tuples as usize + len * arity;
            for column in 0..arity {
                network.tuples.swap(start + column, last + column);
            }
            network.tuple_unverified.swap(wide.unverified as usize + at, wide.unverified as usize + len);
        }
    }
    let index = constraint - network.binaries.len();
    network.wides[index].len = len as u32;

    let mut word = 0;
    let mut result = Ok(());
    for column in columns {
        let variable = network.scopes[column] as usize;
        let end = word + network.words(variable).len();
        result = narrow(network, agenda, constraint, variable, &support[word..end], log);
        if result.is_err() {
            break;
        }
        word = end;
    }
    agenda.support = support;
    result
}
