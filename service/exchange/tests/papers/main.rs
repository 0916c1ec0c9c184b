//! Papers in and out: UBL against the official schemas and other writers' documents, CSV, and hostile input.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod csv_faults;
mod endless_input;
mod hostile_documents;
mod mutated_documents;
mod not_understood;
mod other_writers;
mod papers_readme;
mod random_paper;
mod round_trips;
mod sample_papers;
mod schema_validator;
mod sequences;
mod snapshots_of_papers;
mod value_faults;
