//! What tells one kind of paper from another.

use super::mapping::Mapped;
use super::{Catalogue, DespatchAdvice, Order, OrderResponse, ReceiptAdvice};

/// A kind of paper.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PaperKind {
    /// The document type of UBL, which is the name of its root element.
    pub document: &'static str,
    /// The namespace of the root element.
    pub namespace: &'static str,
    /// The element of a line.
    pub line: &'static str,
    /// The name of its first CSV record, and of its file without `.csv`.
    pub record: &'static str,
    /// What the writer states as `cbc:CustomizationID`: how this service fills UBL.
    pub customization: &'static str,
    /// What the writer states as `cbc:ProfileID`: the conversation the paper belongs to.
    pub profile: &'static str,
}

/// A paper as a whole.
pub trait Paper: Mapped {
    /// Which kind it is.
    const KIND: PaperKind;
    /// How many lines it has.
    fn line_count(&self) -> usize;
}

macro_rules! kinds {
    ($( $name:ident, $document:literal, $line:literal, $record:literal, $profile:literal; )+) => {
        $( impl Paper for $name {
            const KIND: PaperKind = PaperKind {
                document: $document,
                namespace: concat!("urn:oasis:names:specification:ubl:schema:xsd:", $document, "-2"),
                line: $line,
                record: $record,
                customization: concat!("urn:crownwheel:ubl-2.1:", $record, ":1"),
                profile: concat!("urn:crownwheel:conversation:", $profile, ":1"),
            };

            fn line_count(&self) -> usize {
                self.lines.len()
            }
        } )+
    };
}

kinds! {
    Order, "Order", "cac:OrderLine", "order", "ordering";
    OrderResponse, "OrderResponse", "cac:OrderLine", "order_response", "ordering";
    DespatchAdvice, "DespatchAdvice", "cac:DespatchLine", "despatch_advice", "ordering";
    ReceiptAdvice, "ReceiptAdvice", "cac:ReceiptLine", "receipt_advice", "ordering";
    Catalogue, "Catalogue", "cac:CatalogueLine", "catalogue", "catalogue";
}
