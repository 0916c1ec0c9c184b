//! The HTTP edge: translates, decides nothing.
//!
//! **Invariant:** no rule of the trade and no query stands here; a handler reads the request, calls one operation, and
//! writes what comes of it.

mod access;
mod access_described;
mod access_keys;
mod alternatives;
mod bearer;
mod calculations;
mod cases;
mod catalogue_findings;
mod claims;
mod deliveries;
mod endpoint;
mod etag;
mod events;
mod examples;
mod exports;
mod failure;
mod fit_checks;
mod guard;
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
mod paper_body;
mod part_features;
mod parts;
mod price_ranges;
mod problem;
mod problem_kind;
mod problem_pages;
mod problem_responses;
mod quotes;
mod rate_limit;
mod reasons;
mod receipts;
mod received_papers;
mod reference;
mod reorders;
mod requirements;
mod reservations;
mod role_table;
mod routes;
mod sent;
mod serials;
mod server;
mod settings;
mod shelf_counts;
mod stock;
mod symptoms;
mod trace_context;
mod units;
mod vehicles;
mod watch;
mod webhooks;

pub use openapi::openapi_json;
pub use rate_limit::RateLimit;
pub use server::{ServeError, Server, ServerOptions};
