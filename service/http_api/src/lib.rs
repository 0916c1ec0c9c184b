//! The HTTP edge: translates, decides nothing.
//!
//! **Invariant:** no rule of the trade and no query stands here; a handler reads the request, calls one operation, and
//! writes what comes of it.

mod alternatives;
mod calculations;
mod cases;
mod catalogue_findings;
mod claims;
mod endpoint;
mod etag;
mod events;
mod examples;
mod exports;
mod failure;
mod fit_checks;
mod health;
mod idempotency;
mod imports;
mod jobs;
mod json_body;
mod kits;
mod metrics;
mod notice_effects;
mod openapi;
mod orders;
mod paging;
mod part_features;
mod parts;
mod price_ranges;
mod problem;
mod problem_kind;
mod problem_pages;
mod problem_responses;
mod quotes;
mod reasons;
mod receipts;
mod reference;
mod requirements;
mod reservations;
mod routes;
mod sent;
mod serials;
mod server;
mod settings;
mod stock;
mod symptoms;
mod trace_context;
mod units;
mod vehicles;
mod watch;
mod webhooks;

pub use openapi::openapi_json;
pub use server::{ServeError, Server, ServerOptions};
