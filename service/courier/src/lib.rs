//! Posts signed messages to addresses outside, and to no others.
//!
//! **Invariant:** nothing here knows the shop, its papers or its database: it is given bytes and an address.

mod address;
mod courier;
mod host_check;
mod secret;
mod signature;

pub use address::{AddressFault, is_public};
pub use courier::{Courier, CourierError, PostFailure, Posted};
pub use host_check::AllowedHosts;
pub use secret::{Secret, SecretFault};
pub use signature::{signature_header, signed};
