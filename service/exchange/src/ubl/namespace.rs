//! The namespaces of UBL and the prefixes they are known by.

/// A namespace that elements of a document stand in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Namespace {
    /// Common basic components: elements with text.
    Basic,
    /// Common aggregate components: elements with elements.
    Aggregate,
    /// Common extension components.
    Extension,
}

pub(super) const BASIC: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2";
pub(super) const AGGREGATE: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2";
pub(super) const EXTENSION: &str = "urn:oasis:names:specification:ubl:schema:xsd:CommonExtensionComponents-2";
/// The namespace of `xsi:schemaLocation`.
pub(super) const INSTANCE: &str = "http://www.w3.org/2001/XMLSchema-instance";

impl Namespace {
    /// The namespace of a name.
    pub(super) fn of(uri: &str) -> Option<Self> {
        match uri {
            BASIC => Some(Self::Basic),
            AGGREGATE => Some(Self::Aggregate),
            EXTENSION => Some(Self::Extension),
            _ => None,
        }
    }

    /// The prefix by which people know it.
    pub(super) fn prefix(self) -> &'static str {
        match self {
            Self::Basic => "cbc",
            Self::Aggregate => "cac",
            Self::Extension => "ext",
        }
    }

    /// Its name.
    pub(super) fn uri(self) -> &'static str {
        match self {
            Self::Basic => BASIC,
            Self::Aggregate => AGGREGATE,
            Self::Extension => EXTENSION,
        }
    }

    /// The namespace and local name of a name with a known prefix.
    pub(super) fn split(name: &str) -> Option<(Self, &str)> {
        let (prefix, local) = name.split_once(':')?;
        let namespace = match prefix {
            "cbc" => Self::Basic,
            "cac" => Self::Aggregate,
            "ext" => Self::Extension,
            _ => return None,
        };
        Some((namespace, local))
    }
}
