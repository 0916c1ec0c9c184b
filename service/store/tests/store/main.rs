//! The store on both databases: every case runs on a SQLite file and on a PostgreSQL server that the tests start.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

#[macro_use]
mod databases;
mod sheets;

mod any_catalogue;
mod counts;
mod events;
mod faults;
mod imports;
mod jobs;
mod ledger;
mod ledger_machine;
mod lookups;
mod migrations;
mod papers;
mod round_trip;
mod schema;
mod snapshots;
