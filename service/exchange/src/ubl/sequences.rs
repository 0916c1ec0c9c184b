//! Which elements UBL 2.1 has inside which, in which order and how often.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::namespace::Namespace;

/// The content models of the five documents and of all that can stand in them, one a line, taken from the schemas of
/// OASIS UBL 2.1: `Type = ID UUID? Note* cac:Party? cac:BuyerParty:Party+`. A name without a prefix is a basic component;
/// behind an aggregate's name stands its type where the two differ. A test holds the list against the schemas.
const SEQUENCES: &str = include_str!("sequences.txt");

/// A child that a type of element may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Child {
    /// Its namespace.
    pub(super) namespace: Namespace,
    /// Its local name.
    pub(super) name: &'static str,
    /// The name of its type; that of a basic component is empty.
    pub(super) of: &'static str,
    /// Whether it must be there.
    pub(super) required: bool,
    /// Whether it may be repeated.
    pub(super) many: bool,
}

/// The children of a type of element, in their order.
#[derive(Debug, Default)]
pub(super) struct Sequence {
    children: Vec<Child>,
    places: BTreeMap<(Namespace, &'static str), usize>,
}

impl Sequence {
    /// Which child it is in the order.
    pub(super) fn index_of(&self, namespace: Namespace, name: &str) -> Option<usize> {
        self.places.get(&(namespace, name)).copied()
    }

    /// All children in order.
    pub(super) fn children(&self) -> &[Child] {
        &self.children
    }

    /// Which namespace has a child of this local name.
    pub(super) fn namespace_of(&self, name: &str) -> Option<Namespace> {
        self.children.iter().find(|child| child.name == name).map(|child| child.namespace)
    }
}

fn child_of(token: &'static str) -> Child {
    let (token, required, many) = match token.split_at(token.len() - 1) {
        (name, "?") => (name, false, false),
        (name, "*") => (name, false, true),
        (name, "+") => (name, true, true),
        _ => (token, true, false),
    };
    let (namespace, name) = match token.split_once(':') {
        Some(("cac", name)) => (Namespace::Aggregate, name),
        Some(("ext", name)) => (Namespace::Extension, name),
        _ => (Namespace::Basic, token),
    };
    let (name, of) = name.split_once(':').unwrap_or((name, name));
    let of = if namespace == Namespace::Aggregate { of } else { "" };
    Child { namespace, name, of, required, many }
}

static TYPES: LazyLock<BTreeMap<&'static str, Sequence>> = LazyLock::new(|| {
    let types = SEQUENCES.lines().filter_map(|line| line.split_once(" = "));
    types
        .map(|(name, tokens)| {
            let children: Vec<Child> = tokens.split(' ').map(child_of).collect();
            let places = children.iter().enumerate().map(|(at, child)| ((child.namespace, child.name), at));
            (name, Sequence { places: places.collect(), children })
        })
        .collect()
});

/// The children of a type.
pub(super) fn sequence(of: &str) -> Option<&'static Sequence> {
    TYPES.get(of)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_type_that_is_named_is_there() {
        for (name, sequence) in TYPES.iter() {
            assert_eq!(sequence.places.len(), sequence.children.len(), "{name} names a child twice");
            for child in &sequence.children {
                assert!(child.of.is_empty() || TYPES.contains_key(child.of), "{name}: {child:?}");
            }
        }
    }

    #[test]
    fn a_child_knows_its_type_and_how_often_it_stands() {
        let line = sequence("ReceiptLine").unwrap();
        let child = |name| line.children[line.index_of(Namespace::Aggregate, name).unwrap()];
        let despatch = child("DespatchLineReference");
        assert_eq!((despatch.of, despatch.required, despatch.many), ("LineReference", false, true));
        assert!(!child("OrderLineReference").many);
        assert!(line.children[line.index_of(Namespace::Basic, "ID").unwrap()].required);
        assert_eq!(line.namespace_of("Item"), Some(Namespace::Aggregate));
    }
}
