//! Checks of the repository itself.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod architecture;
mod calculations;
mod examples;
mod licences;
mod openapi;
