//! Webhooks: who wants to be told of events, what waits to be delivered, and what came of the last attempts.

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

const TABLES: &[&str] = &["webhooks", "webhook_secrets", "webhook_waiting", "webhook_attempts"];

// All events up to `position` have been looked at: those that the target wants and has not got wait in `webhook_waiting`.
// A secret must be kept as it is, since it signs; who reads the database can sign.
const UP: &[&str] = &[
    "CREATE TABLE webhooks (
        id {text} NOT NULL PRIMARY KEY,
        version {whole} NOT NULL CHECK (version > 0),
        url {text} NOT NULL,
        types {text} NOT NULL,
        description {text} NOT NULL,
        state {text} NOT NULL CHECK (state IN ('active', 'paused')),
        paused_because {text} CHECK (paused_because IN ('asked', 'failing', 'gone')),
        position {whole} NOT NULL CHECK (position >= 0),
        created_at {instant} NOT NULL,
        created_by {text} NOT NULL,
        lease_owner {text},
        lease_until {instant},
        CHECK ((state = 'paused') = (paused_because IS NOT NULL)),
        CHECK ((lease_owner IS NULL) = (lease_until IS NULL))
    ) {plain}",
    "CREATE TABLE webhook_secrets (
        webhook {text} NOT NULL REFERENCES webhooks (id) ON DELETE CASCADE,
        secret {text} NOT NULL,
        made_at {instant} NOT NULL,
        valid_until {instant},
        PRIMARY KEY (webhook, secret)
    ) {clustered}",
    "CREATE TABLE webhook_waiting (
        webhook {text} NOT NULL REFERENCES webhooks (id) ON DELETE CASCADE,
        seq {whole} NOT NULL REFERENCES events (seq),
        subject {text} NOT NULL,
        tries {whole} NOT NULL CHECK (tries >= 0),
        next_at {instant} NOT NULL,
        failing_since {instant},
        PRIMARY KEY (webhook, seq)
    ) {clustered}",
    "CREATE INDEX webhook_waiting_by_event ON webhook_waiting (seq)",
    "CREATE INDEX webhook_waiting_by_subject ON webhook_waiting (webhook, subject, seq)",
    "CREATE INDEX webhook_waiting_by_time ON webhook_waiting (webhook, next_at)",
    "CREATE TABLE webhook_attempts (
        webhook {text} NOT NULL REFERENCES webhooks (id) ON DELETE CASCADE,
        id {text} NOT NULL,
        event {text} NOT NULL,
        kind {text} NOT NULL,
        subject {text} NOT NULL,
        tries {whole} NOT NULL CHECK (tries > 0),
        at {instant} NOT NULL,
        took_ms {whole} NOT NULL CHECK (took_ms >= 0),
        delivered {flag} NOT NULL,
        status {whole},
        answer {text} NOT NULL,
        PRIMARY KEY (webhook, id)
    ) {clustered}",
];
