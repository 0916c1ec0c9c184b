//! The changes of the database, in order.
//!
//! A migration that has been released is never edited; the next change is a new file. Each goes up and down.

mod append_only;
mod dialect;
mod m0001_vehicles_and_makers;
mod m0002_parts;
mod m0003_units;
mod m0004_candidates_and_joints;
mod m0005_bench;
mod m0006_kits;
mod m0007_supersession;
mod m0008_suppliers_and_prices;
mod m0009_operations;
mod m0010_stock;
mod m0011_running_numbers;
mod m0012_movements;
mod m0013_quotes;
mod m0014_idempotency_keys;
mod m0015_imports_and_audit;
mod m0017_bookings;
mod m0018_reservations;
mod m0019_jobs;
mod m0021_orders;
mod m0022_receipts;
mod m0023_access_keys;
mod m0025_events;
mod m0026_webhooks;
mod m0027_minimums;
mod m0028_content_values;
mod m0029_received_papers;
mod m0030_order_shares;
mod m0031_audit_of_changes;
mod m0032_parts_without_index_of_makers;
mod m0033_imports_seen;
mod quick_checks;

use sea_orm_migration::prelude::*;

pub use sea_orm_migration::MigratorTrait;

/// All changes, the oldest first.
pub struct Migrator;

#[async_trait::async_trait]
impl MigratorTrait for Migrator {
    fn migrations() -> Vec<Box<dyn MigrationTrait>> {
        vec![
            Box::new(m0001_vehicles_and_makers::Migration),
            Box::new(m0002_parts::Migration),
            Box::new(m0003_units::Migration),
            Box::new(m0004_candidates_and_joints::Migration),
            Box::new(m0005_bench::Migration),
            Box::new(m0006_kits::Migration),
            Box::new(m0007_supersession::Migration),
            Box::new(m0008_suppliers_and_prices::Migration),
            Box::new(m0009_operations::Migration),
            Box::new(m0010_stock::Migration),
            Box::new(m0011_running_numbers::Migration),
            Box::new(m0012_movements::Migration),
            Box::new(m0013_quotes::Migration),
            Box::new(m0014_idempotency_keys::Migration),
            Box::new(m0015_imports_and_audit::Migration),
            Box::new(m0017_bookings::Migration),
            Box::new(m0018_reservations::Migration),
            Box::new(m0019_jobs::Migration),
            Box::new(m0021_orders::Migration),
            Box::new(m0022_receipts::Migration),
            Box::new(m0023_access_keys::Migration),
            Box::new(m0025_events::Migration),
            Box::new(m0026_webhooks::Migration),
            Box::new(m0027_minimums::Migration),
            Box::new(m0028_content_values::Migration),
            Box::new(m0029_received_papers::Migration),
            Box::new(m0030_order_shares::Migration),
            Box::new(m0031_audit_of_changes::Migration),
            Box::new(m0032_parts_without_index_of_makers::Migration),
            Box::new(m0033_imports_seen::Migration),
        ]
    }
}
