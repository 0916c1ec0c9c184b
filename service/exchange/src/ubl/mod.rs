//! Papers as documents of OASIS UBL 2.1, in and out.
//!
//! [`read`] takes any [`Paper`](crate::papers::Paper) from a document, [`write()`] makes the document of one:
//!
//! ```
//! use exchange::papers::{Order, Unit};
//!
//! let mut order = Order { number: "PO-000017".into(), ..Order::default() };
//! order.lines.push(Default::default());
//! order.lines[0].number = "1".into();
//! order.lines[0].quantity.unit = Unit::parse("H87").expect("H87 is in the list");
//! let document = exchange::ubl::write(&order).expect("nothing in the order is too long");
//! let received = exchange::ubl::read::<Order>(document.as_bytes()).expect("what is written can be read");
//! assert_eq!(received.paper, order);
//! assert!(received.not_understood.is_empty());
//! ```
//!
//! The way in: `placed_input.rs` counts and limits bytes, `pieces.rs` and `markup.rs` give tags and texts and refuse what is hostile
//! or no XML, `document.rs` gives the elements inside the root and checks each against `sequences.txt`, `reader.rs`
//! answers the paper's questions for its fields. What stands in no field is a [`NotUnderstood`] with its path. A fault
//! of the markup ends reading; faults of structure and value are told together.
//!
//! **Invariant:** nothing here knows what a paper holds; that is said once, in [`crate::papers`].

mod child_rules;
mod document;
mod document_type;
mod element;
mod fault;
pub mod limits;
mod markup;
mod namespace;
mod not_understood;
mod pieces;
mod placed_input;
mod reader;
mod sequences;
mod writer;
mod xml_text;

pub use document_type::document_type;
pub use fault::{Place, XmlFault, XmlFaultCode, XmlFaults};
pub use not_understood::{NotUnderstood, Remainder};
pub use reader::{Received, read};
pub use writer::write;
