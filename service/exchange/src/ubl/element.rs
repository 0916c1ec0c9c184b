//! An element with all that is in it.

use std::collections::VecDeque;

use super::fault::Place;
use super::namespace::Namespace;
use super::pieces::Attribute;
use super::sequences::Sequence;
use super::xml_text::escape;

/// What an element may hold.
#[derive(Debug, Clone, Copy)]
pub(super) enum Content {
    /// Elements in a known order.
    Aggregate(&'static Sequence),
    /// Text.
    Basic,
    /// Anything: it is inside an extension, or UBL does not know it.
    Anything,
}

/// An element of a document.
#[derive(Debug, Clone)]
pub(super) struct Element {
    /// Its namespace by name.
    pub(super) uri: String,
    /// Its local name.
    pub(super) name: String,
    /// Its name in a path, with the number among its like where it may be repeated.
    pub(super) step: String,
    /// Which child of its parent's type it is.
    pub(super) index: usize,
    /// What it may hold.
    pub(super) content: Content,
    /// Its attributes.
    pub(super) attributes: Vec<Attribute>,
    /// Its text.
    pub(super) text: String,
    /// What is inside it.
    pub(super) children: VecDeque<Element>,
    /// Where it begins.
    pub(super) place: Place,
}

/// The name of an element in a path: with the known prefix of its namespace, or with `*` for another.
pub(super) fn name_in_path(uri: &str, name: &str) -> String {
    match Namespace::of(uri) {
        Some(namespace) => format!("{}:{name}", namespace.prefix()),
        None if uri.is_empty() => name.to_owned(),
        None => format!("*:{name}"),
    }
}

impl Element {
    /// The element as XML, on one line where its texts have one; the known prefixes are not declared.
    pub(super) fn to_xml(&self) -> String {
        let mut out = String::new();
        self.write(&mut out);
        out
    }

    fn write(&self, out: &mut String) {
        let known = Namespace::of(&self.uri);
        let name =
            known.map_or(self.name.clone(), |namespace| format!("{}:{}", namespace.prefix(), self.name));
        out.push('<');
        out.push_str(&name);
        if known.is_none() {
            out.push_str(" xmlns=\"");
            escape(&self.uri, true, out);
            out.push('"');
        }
        for (number, attribute) in self.attributes.iter().enumerate() {
            if attribute.namespace.is_empty() {
                out.push_str(&format!(" {}=\"", attribute.name));
            } else {
                out.push_str(&format!(" xmlns:n{number}=\""));
                escape(&attribute.namespace, true, out);
                out.push_str(&format!("\" n{number}:{}=\"", attribute.name));
            }
            escape(&attribute.value, true, out);
            out.push('"');
        }
        if self.text.trim().is_empty() && self.children.is_empty() {
            out.push_str("/>");
            return;
        }
        out.push('>');
        if !self.text.trim().is_empty() {
            escape(&self.text, false, out);
        }
        for child in &self.children {
            child.write(out);
        }
        out.push_str(&format!("</{name}>"));
    }
}
