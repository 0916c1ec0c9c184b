//! The next best assignments from the same tables as the best one.
//!
//! Lawler's partition (from memory): the assignments other than a found one fall into spaces that agree with it down to
//! some place in the order and take another value there. The tables give the least cost of each space at once; only those
//! that tie for the next place are written out and compared.

use super::decode::Decoder;
use super::tables::Tables;
use super::weight::Weight;

/// An assignment of the open variables and its packed cost.
pub(super) type Found<W> = (W, Vec<u32>);

/// The best of a space that has not been given out yet.
struct Candidate<W> {
    cost: W,
    /// The found assignment it agrees with at the places after `position`.
    parent: u32,
    position: u32,
    value: u32,
    /// Written out when it first ties for the next place.
    values: Option<Vec<u32>>,
}

/// The `k` best assignments by cost, then by values; the elimination must be exact.
pub(super) fn best<W: Weight>(tables: &Tables<'_, W>, k: usize) -> Vec<Found<W>> {
    let mut found: Vec<Found<W>> = Vec::new();
    if k == 0 || tables.bound == W::FORBIDDEN {
        return found;
    }
    let count = tables.reduced.len();
    let mut decoder = Decoder::new(tables);
    let mut first = vec![0; count];
    decoder.complete(&mut first, count);
    found.push((tables.bound, first));
    let mut spaces: Vec<Candidate<W>> = Vec::new();
    let mut limit = count;
    while found.len() < k {
        open_spaces(tables, &found, limit, k - found.len(), &mut spaces);
        let Some(next) = least(&mut decoder, &found, &mut spaces) else { break };
        let space = spaces.swap_remove(next);
        limit = space.position as usize;
        found.push((space.cost, space.values.unwrap_or_default()));
    }
    found
}

/// Adds the spaces around the assignment found last that change a place before `limit`; keeps those that `wanted` more
/// assignments can come from.
fn open_spaces<W: Weight>(
    tables: &Tables<'_, W>,
    found: &[Found<W>],
    limit: usize,
    wanted: usize,
    spaces: &mut Vec<Candidate<W>>,
) {
    let parent = found.len() - 1;
    let (total, values) = &found[parent];
    let mut sums = Vec::new();
    for position in 0..limit {
        tables.sums(position, values, &mut sums);
        let taken = values[tables.order.sequence[position] as usize];
        let others = total.minus(sums[taken as usize]);
        for (value, &sum) in sums.iter().enumerate() {
            if value as u32 != taken && sum != W::FORBIDDEN {
                spaces.push(Candidate {
                    cost: others.plus(sum),
                    parent: parent as u32,
                    position: position as u32,
                    value: value as u32,
                    values: None,
                });
            }
        }
    }
    if spaces.len() > wanted {
        let (_, last, _) = spaces.select_nth_unstable_by_key(wanted - 1, |space| space.cost);
        let most = last.cost;
        spaces.retain(|space| space.cost <= most);
    }
}

/// The space whose best assignment comes next.
fn least<W: Weight>(
    decoder: &mut Decoder<'_, '_, W>,
    found: &[Found<W>],
    spaces: &mut [Candidate<W>],
) -> Option<usize> {
    let cost = spaces.iter().map(|space| space.cost).min()?;
    for space in spaces.iter_mut().filter(|space| space.cost == cost && space.values.is_none()) {
        let mut values = found[space.parent as usize].1.clone();
        let variable = decoder.tables.order.sequence[space.position as usize] as usize;
        values[variable] = space.value;
        decoder.complete(&mut values, space.position as usize);
        space.values = Some(values);
    }
    (0..spaces.len())
        .filter(|&at| spaces[at].cost == cost)
        .min_by(|&a, &b| spaces[a].values.cmp(&spaces[b].values))
}
