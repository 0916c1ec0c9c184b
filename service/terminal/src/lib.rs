//! The terminal edge: translates, decides nothing.

pub mod arguments;
mod ask;
pub mod calculations;
pub mod check;
mod compare;
pub mod demo;
pub mod demo_bundle;
mod ended;
pub mod export;
pub mod failure;
mod findings;
mod fit;
pub mod import;
mod kits;
mod notice;
pub mod output;
mod part;
mod print_alternatives;
mod print_answer;
mod print_cautions;
mod print_gearing;
mod progress;
mod quote;
mod quote_request;
mod range;
mod reasons;
mod replay;
mod service_client;
mod show;
pub mod source;
mod symptoms;
pub mod table;
mod wrapped_table;

pub use ask::ask;
pub use ended::Ended;
