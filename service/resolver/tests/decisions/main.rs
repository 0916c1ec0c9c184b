//! Fit checks, alternatives, price ranges, symptoms, reasons and notices, on the demo and on small worlds.

#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

#[path = "../world/mod.rs"]
mod world;

mod alternatives;
mod before_strip_down;
mod budget;
mod fit_checks;
mod joint_optimum;
mod notice_effects;
mod price_ranges;
mod reason_graphs;
mod replay;
mod row_order;
mod small_world;
mod symptoms;
