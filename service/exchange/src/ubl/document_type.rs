//! Which paper a document is, before it is read as that.

use super::document::Document;
use super::fault::XmlFaultCode;
use crate::papers::{Catalogue, DespatchAdvice, Order, OrderResponse, Paper, PaperKind, ReceiptAdvice};

const KINDS: [PaperKind; 5] =
    [Order::KIND, OrderResponse::KIND, DespatchAdvice::KIND, ReceiptAdvice::KIND, Catalogue::KIND];

/// The kind of paper whose name the root element has. Reading stops at the root's start tag. A text that cannot be read so
/// far is taken for an order, so that reading it as one says why.
pub fn document_type(text: &[u8]) -> Option<PaperKind> {
    for kind in KINDS {
        let Err(faults) = Document::open(&kind, text) else { return Some(kind) };
        let is_other = faults.kept().iter().any(|fault| fault.code == XmlFaultCode::WrongDocument);
        if !is_other {
            return Some(kind);
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kind(text: &str) -> Option<&'static str> {
        document_type(text.as_bytes()).map(|kind| kind.document)
    }

    #[test]
    fn the_root_says_which_paper_it_is() {
        let document =
            |name: &str, namespace: &str| format!("<?xml version=\"1.0\"?><{name} xmlns=\"{namespace}\"/>");
        for each in KINDS {
            assert_eq!(kind(&document(each.document, each.namespace)), Some(each.document));
        }
        assert_eq!(
            kind(&document("Catalogue", "urn:other")),
            Some("Catalogue"),
            "its reading names the namespace"
        );
        assert_eq!(
            kind(&document("Invoice", "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2")),
            None
        );
        assert_eq!(kind("no XML at all"), Some("Order"), "its reading says so");
    }
}
