//! The combinations that a constraint allows, laid one behind the other: they are read far more often than made.

/// One allowed combination of a constraint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Tuple<'a> {
    /// The value of each variable of the scope, in the order of the scope.
    pub values: &'a [u32],
    /// Unverified joints this combination counts for.
    pub unverified: u32,
}

impl Tuple<'_> {
    /// Whether an assignment of all variables has this combination at the variables of a scope.
    pub fn is_part_of(&self, assignment: &[usize], scope: &[usize]) -> bool {
        scope.iter().zip(self.values).all(|(&variable, &value)| assignment[variable] == value as usize)
    }
}

/// The allowed combinations of a constraint, in the order in which they were added. Where one is listed twice, the lower
/// count of unverified joints holds.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tuples {
    width: usize,
    values: Vec<u32>,
    unverified: Vec<u32>,
    /// The first tuple whose length is not that of those before it, and its length.
    odd: Option<(usize, usize)>,
}

impl Tuples {
    /// None yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Combinations without unverified joints.
    pub fn of(tuples: impl IntoIterator<Item = impl AsRef<[usize]>>) -> Self {
        tuples.into_iter().map(|values| (values, 0)).collect()
    }

    /// Adds a combination and the unverified joints it counts for. One that is longer or shorter than those before it makes
    /// the problem invalid, as does a value that no variable has.
    pub fn push(&mut self, values: &[usize], unverified: u32) {
        if self.unverified.is_empty() {
            self.width = values.len();
        } else if self.width != values.len() {
            self.odd = self.odd.or(Some((self.unverified.len(), values.len())));
            return;
        }
        // No variable has as many values as that, so it stays a value that no variable has.
        self.values.extend(values.iter().map(|&value| u32::try_from(value).unwrap_or(u32::MAX)));
        self.unverified.push(unverified);
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.unverified.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.unverified.is_empty()
    }

    /// Each, in order.
    pub fn iter(&self) -> impl ExactSizeIterator<Item = Tuple<'_>> + Clone {
        self.unverified.iter().enumerate().map(|(at, &unverified)| Tuple {
            values: &self.values[at * self.width..][..self.width],
            unverified,
        })
    }

    /// The first tuple that has not so many values, and how many it has.
    pub(super) fn of_other_length(&self, expected: usize) -> Option<(usize, usize)> {
        if !self.is_empty() && self.width != expected { Some((0, self.width)) } else { self.odd }
    }

    /// The values of all, one behind the other.
    pub(super) fn values(&self) -> &[u32] {
        &self.values
    }

    /// The most unverified joints of any.
    pub(super) fn most_unverified(&self) -> u32 {
        self.unverified.iter().copied().max().unwrap_or(0)
    }

    /// The unverified joints of all.
    pub(super) fn unverified(&self) -> &[u32] {
        &self.unverified
    }
}

impl<V: AsRef<[usize]>> FromIterator<(V, u32)> for Tuples {
    fn from_iter<I: IntoIterator<Item = (V, u32)>>(tuples: I) -> Self {
        let mut all = Self::new();
        for (values, unverified) in tuples {
            all.push(values.as_ref(), unverified);
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_went_in_comes_out_in_order() {
        let tuples: Tuples = [([3, 1], 0), ([0, 2], 7)].into_iter().collect();
        let out: Vec<(Vec<u32>, u32)> =
            tuples.iter().map(|tuple| (tuple.values.to_vec(), tuple.unverified)).collect();
        assert_eq!(out, [(vec![3, 1], 0), (vec![0, 2], 7)]);
        assert_eq!((tuples.len(), tuples.of_other_length(2)), (2, None));
        assert_eq!(tuples.of_other_length(3), Some((0, 2)));
    }

    #[test]
    fn tuples_without_values_are_counted_too() {
        let tuples = Tuples::of([[], []]);
        assert_eq!(tuples.iter().map(|tuple| tuple.values.len()).collect::<Vec<_>>(), [0, 0]);
    }

    #[test]
    fn one_of_another_length_is_told_and_a_value_beyond_the_range_is_none_of_a_variable() {
        let mut tuples = Tuples::new();
        tuples.push(&[usize::MAX, 0], 0);
        tuples.push(&[0], 0);
        tuples.push(&[0, 0, 0], 0);
        assert_eq!(tuples.of_other_length(2), Some((1, 1)));
        assert_eq!(tuples.iter().next().map(|tuple| tuple.values[0]), Some(u32::MAX));
    }
}
