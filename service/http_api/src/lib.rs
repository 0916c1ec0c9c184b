//! The HTTP edge: translates, decides nothing.
//!
//! **Invariant:** no rule of the trade and no query stands here; a handler reads the request, calls one operation, and
//! writes what comes of it.

mod calculations;
mod catalogue_findings;
mod endpoint;
mod etag;
mod examples;
mod exports;
mod failure;
mod health;
mod idempotency;
mod imports;
mod json_body;
mod kits;
mod metrics;
mod openapi;
mod paging;
mod part_features;
mod parts;
mod problem;
mod problem_kind;
mod problem_pages;
mod problem_responses;
mod quotes;
mod reference;
mod requirements;
mod reservations;
mod routes;
mod sent;
mod server;
mod settings;
mod stock;
mod trace_context;
mod units;
mod vehicles;
mod watch;

pub use openapi::openapi_json;
pub use server::{ServeError, Server, ServerOptions};
