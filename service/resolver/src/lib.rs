//! The rules of the trade: from a unit and its findings to what its rebuild needs and what brings it.
//!
//! A request flows `identify → scope → candidates → fit → source → price`; every step is a pure function of plain data
//! and hands its reasons on to the next. [`resolve`] is the whole of it.
//!
//! **Invariant:** no database, HTTP, clock or randomness. The same [`Input`] gives the same bytes.

#[macro_use(choice)]
extern crate catalogue;

pub mod answer;
pub mod closest;
mod input;
pub mod reason;
pub mod request;
mod request_fault;

pub use answer::Answer;
pub use input::Input;
pub use reason::Reason;
pub use request::Request;
pub use request_fault::{RequestFault, RequestFaultKind};

/// The engine's version; it stands in every answer.
pub const ENGINE: &str = concat!("crownwheel ", env!("CARGO_PKG_VERSION"));

/// Answers a request from its frozen input.
pub fn resolve(input: &Input) -> Result<Answer, RequestFault> {
    let _ = input;
    Err(RequestFault::new(RequestFaultKind::CatalogueFault, "", "the resolver is not yet here"))
}
