//! What a document says that no paper has a place for.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use super::fault::Place;
use super::limits::{NOT_UNDERSTOOD_BYTES_MAX, NOT_UNDERSTOOD_MAX};

/// Something a document says that was not understood: an element, an attribute or an instruction.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct NotUnderstood {
    /// The element or attribute, with those around it.
    pub path: String,
    /// Where it is in the text.
    pub place: Place,
    /// What it says: an element as XML with the prefixes `cac`, `cbc` and `ext`, an attribute as its value.
    pub content: String,
}

/// All that was not understood of a document.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct Remainder {
    /// One by one, in the order of the text.
    pub kept: Vec<NotUnderstood>,
    /// What was too much to keep: how many by their path without numbers.
    pub more: BTreeMap<String, u64>,
}

impl Remainder {
    /// Whether all was understood.
    pub fn is_empty(&self) -> bool {
        self.kept.is_empty() && self.more.is_empty()
    }

    /// How many things there are.
    pub fn total(&self) -> u64 {
        self.kept.len() as u64 + self.more.values().sum::<u64>()
    }

    pub(super) fn sort(&mut self) {
        self.kept.sort_by_key(|one| one.place);
    }
}

/// Gathers what was not understood, within its limits.
#[derive(Debug, Default)]
pub(super) struct Gathering {
    remainder: Remainder,
    bytes: usize,
}

impl Gathering {
    pub(super) fn add(&mut self, path: String, place: Place, content: String) {
        let bytes = self.bytes + path.len() + content.len();
        if self.remainder.kept.len() < NOT_UNDERSTOOD_MAX && bytes <= NOT_UNDERSTOOD_BYTES_MAX {
            self.bytes = bytes;
            self.remainder.kept.push(NotUnderstood { path, place, content });
        } else {
            *self.remainder.more.entry(without_numbers(&path)).or_default() += 1;
        }
    }

    pub(super) fn finish(self) -> Remainder {
        let mut remainder = self.remainder;
        remainder.sort();
        remainder
    }
}

/// A path without the numbers of repeated elements: there are only so many of these.
fn without_numbers(path: &str) -> String {
    let mut inside = false;
    path.chars()
        .filter(|character| {
            let was_inside = inside;
            inside = match character {
                '[' => true,
                ']' => false,
                _ => inside,
            };
            !was_inside && !inside
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_much_is_counted_by_its_path() {
        let mut gathering = Gathering::default();
        for number in 0..NOT_UNDERSTOOD_MAX + 5 {
            gathering.add(
                format!("/Order/cac:OrderLine[{number}]/cac:X"),
                Place::default(),
                "<cac:X/>".into(),
            );
        }
        let remainder = gathering.finish();
        assert_eq!(remainder.kept.len(), NOT_UNDERSTOOD_MAX);
        assert_eq!(remainder.more, BTreeMap::from([("/Order/cac:OrderLine/cac:X".to_owned(), 5)]));
        assert_eq!(remainder.total(), NOT_UNDERSTOOD_MAX as u64 + 5);
    }
}
