//! The rules of the trade, each on a small world made for it, and the causes of the demo's lines.

#![expect(clippy::unwrap_used, reason = "a test may end where its world is wrong")]

#[path = "../world/mod.rs"]
mod world;

mod as_built;
mod demo_causes;
mod gearing;
mod notice_follower;
mod order_rounds;
mod price_terms;
mod random_shop;
mod request_checks;
mod scope;
mod small_world;
mod sourcing;
mod supersession;
mod trade_facts;
mod unknowns;
mod whole_notices;
