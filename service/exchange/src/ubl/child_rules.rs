//! Which children an element has had so far, and which may follow.

use super::sequences::{Child, Sequence};

/// The children of one element, as they come.
#[derive(Debug)]
pub(super) struct ChildRules {
    sequence: &'static Sequence,
    counts: Vec<usize>,
    last: usize,
}

impl ChildRules {
    pub(super) fn of(sequence: &'static Sequence) -> Self {
        Self { sequence, counts: vec![0; sequence.children().len()], last: 0 }
    }

    pub(super) fn sequence(&self) -> &'static Sequence {
        self.sequence
    }

    /// The number among its like of the child that comes now.
    pub(super) fn count(&self, index: usize) -> usize {
        self.counts[index] + 1
    }

    /// The child behind which this one stands though it should precede it.
    pub(super) fn stands_behind(&self, index: usize) -> Option<&'static Child> {
        (index < self.last).then(|| &self.sequence.children()[self.last])
    }

    /// Notes a child.
    pub(super) fn admit(&mut self, index: usize) {
        self.counts[index] += 1;
        self.last = self.last.max(index);
    }

    /// The children that must be there and are not.
    pub(super) fn missing(&self) -> impl Iterator<Item = &'static Child> {
        let children = self.sequence.children().iter().zip(&self.counts);
        children.filter(|(child, count)| child.required && **count == 0).map(|(child, _)| child)
    }
}
