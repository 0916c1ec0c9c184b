//! Suppliers, prices and the shop's rules for customer prices.

use sea_orm_migration::prelude::*;

use crate::dialect::{drop_tables, run};

/// The change.
#[derive(DeriveMigrationName)]
pub(crate) struct Migration;

#[async_trait::async_trait]
impl MigrationTrait for Migration {
    async fn up(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        run(manager, UP).await
    }

    async fn down(&self, manager: &SchemaManager) -> Result<(), DbErr> {
        drop_tables(manager, TABLES).await
    }
}

/// Tables in the order in which they are made.
const TABLES: &[&str] =
    &["suppliers", "prices", "exchange_rates", "tax_rates", "customers", "price_rules", "settings"];

const UP: &[&str] = &[
    "CREATE TABLE suppliers (
        supplier {text} NOT NULL,
        name {text} NOT NULL,
        currency {text} NOT NULL,
        order_cost {whole} NOT NULL CHECK (order_cost >= 0),
        PRIMARY KEY (supplier)
    ) {clustered}",
    "CREATE TABLE prices (
        supplier {text} NOT NULL,
        part {text} NOT NULL,
        quantity_from {whole} NOT NULL CHECK (quantity_from > 0),
        valid_from {date} NOT NULL CHECK (date(valid_from) = valid_from),
        valid_to {date} CHECK (date(valid_to) = valid_to),
        currency {text} NOT NULL,
        price {whole} NOT NULL CHECK (price >= 0),
        pack {whole} NOT NULL CHECK (pack > 0),
        minimum {whole} NOT NULL CHECK (minimum > 0),
        lead_days {whole} NOT NULL CHECK (lead_days >= 0),
        deposit {whole} CHECK (deposit >= 0),
        PRIMARY KEY (supplier, part, quantity_from, valid_from),
        FOREIGN KEY (supplier) REFERENCES suppliers (supplier),
        FOREIGN KEY (part) REFERENCES parts (part)
    ) {clustered}",
    "CREATE INDEX prices_by_part ON prices (part)",
    "CREATE TABLE exchange_rates (
        currency {text} NOT NULL,
        valid_from {date} NOT NULL CHECK (date(valid_from) = valid_from),
        rate {whole} NOT NULL CHECK (rate > 0),
        source {text} NOT NULL,
        PRIMARY KEY (currency, valid_from)
    ) {clustered}",
    "CREATE TABLE tax_rates (
        tax {text} NOT NULL,
        valid_from {date} NOT NULL CHECK (date(valid_from) = valid_from),
        rate {whole} NOT NULL CHECK (rate >= 0),
        name {text} NOT NULL,
        PRIMARY KEY (tax, valid_from)
    ) {clustered}",
    "CREATE TABLE customers (
        customer {text} NOT NULL,
        name {text} NOT NULL,
        tax {text},
        PRIMARY KEY (customer)
    ) {clustered}",
    "CREATE TABLE price_rules (
        rule {text} NOT NULL,
        customer {text},
        price_group {text},
        supplier {text},
        markup {whole} NOT NULL CHECK (markup >= 0),
        PRIMARY KEY (rule),
        FOREIGN KEY (customer) REFERENCES customers (customer),
        FOREIGN KEY (supplier) REFERENCES suppliers (supplier)
    ) {clustered}",
    "CREATE INDEX price_rules_by_customer ON price_rules (customer)",
    "CREATE INDEX price_rules_by_supplier ON price_rules (supplier)",
    "CREATE TABLE settings (
        setting {text} NOT NULL,
        value {text} NOT NULL,
        PRIMARY KEY (setting)
    ) {clustered}",
];
