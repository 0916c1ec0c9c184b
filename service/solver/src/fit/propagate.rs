//! Generalised arc consistency: takes away every value that some constraint alone cannot do with.

use super::network::{Binary, Network, Wide};

/// Variables of a wide constraint up to which their words lie at hand.
const SMALL: usize = 8;

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
        // Most wait a second time after something near them has changed.
        let mut waiting = Vec::with_capacity(2 * constraints);
        waiting.extend(0..constraints as u32);
        Self {
            waiting,
            next: 0,
            listed: vec![true; constraints],
            support: Vec::new(),
            touched: Vec::with_capacity(network.domain.len()),
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

    let len = if words == arity && arity <= SMALL {
        keep_alive_in_words(network, wide, &mut support)
    } else {
        keep_alive(network, wide, &mut support)
    };
    let index = constraint - network.binaries.len();
    network.wides[index].len = len;

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

/// Takes out the dead tuples of a wide constraint and gathers the values of the others; how many are alive.
fn keep_alive(network: &mut Network, wide: Wide, support: &mut [u64]) -> u32 {
    let arity = wide.arity as usize;
    let columns = wide.scope as usize..wide.scope as usize + arity;
    let (mut at, mut len) = (0, wide.len as usize);
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
            bury(network, wide, at, len);
        }
    }
    len as u32
}

/// The same where each of at most [`SMALL`] variables has one word, by far the most frequent.
fn keep_alive_in_words(network: &mut Network, wide: Wide, support: &mut [u64]) -> u32 {
    let arity = wide.arity as usize;
    let mut live = [0_u64; SMALL];
    for (word, &variable) in live.iter_mut().zip(&network.scopes[wide.scope as usize..][..arity]) {
        *word = network.live[network.word_start[variable as usize] as usize];
    }
    let (mut at, mut len) = (0, wide.len as usize);
    while at < len {
        let tuple = &network.tuples[wide.tuples as usize + at * arity..][..arity];
        let alive = tuple.iter().zip(live).fold(1, |alive, (&value, word)| alive & word >> (value % 64));
        if alive & 1 == 1 {
            for (&value, support) in tuple.iter().zip(&mut *support) {
                *support |= 1 << (value % 64);
            }
            at += 1;
        } else {
            len -= 1;
            bury(network, wide, at, len);
        }
    }
    len as u32
}

/// Puts the last living tuple of a wide constraint in the place of a dead one, of which nothing is kept.
fn bury(network: &mut Network, wide: Wide, dead: usize, last: usize) {
    if dead == last {
        return;
    }
    let arity = wide.arity as usize;
    let (head, tail) = network.tuples.split_at_mut(wide.tuples as usize + last * arity);
    let place = &mut head[wide.tuples as usize + dead * arity..][..arity];
    for (place, &value) in place.iter_mut().zip(&*tail) {
        *place = value;
    }
    let unverified = wide.unverified as usize;
    network.tuple_unverified[unverified + dead] = network.tuple_unverified[unverified + last];
}
