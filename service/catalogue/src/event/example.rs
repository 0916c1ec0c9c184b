//! An example of each event's data, for the documentation; the names are the demo's.

use chrono::NaiveDate;

use super::EventKind;
use super::data::{
    CatalogueEvent, ClaimEvent, ImportEvent, JobEvent, MovementsEvent, OrderEvent, QuoteEvent, ReceiptEvent,
    ReceivedPaperEvent, ReservationEvent, SettingEvent, SheetChanged, WebhookEvent,
};
use crate::{Code, Mark, PartKey, Quantity};

/// Data with an example.
pub(super) trait Example {
    /// The example for a kind.
    fn of_kind(kind: EventKind) -> Self;
}

const BY: &str = "M. Brandl";

impl Example for QuoteEvent {
    fn of_kind(_: EventKind) -> Self {
        let valid_until = NaiveDate::from_ymd_opt(2026, 12, 25).unwrap_or_default();
        Self { quote: "Q-000001".to_owned(), valid_until }
    }
}

impl Example for JobEvent {
    fn of_kind(kind: EventKind) -> Self {
        let (step, state, revision) =
            if kind == EventKind::JobOpened { ("open", "enquiry", 1) } else { ("strip", "inspection", 2) };
        Self {
            job: "J-000001".to_owned(),
            step: step.to_owned(),
            state: state.to_owned(),
            revision,
            by: BY.to_owned(),
        }
    }
}

impl Example for OrderEvent {
    fn of_kind(kind: EventKind) -> Self {
        let (step, state, detail) = match kind {
            EventKind::OrderDrafted => ("draft", "draft", ""),
            EventKind::OrderPlaced => ("place", "placed", ""),
            EventKind::OrderAcknowledged => ("acknowledge", "acknowledged", "line 1: 2 for 2026-12-04"),
            EventKind::OrderReceived => ("receive", "part_received", "RC-000001"),
            EventKind::OrderClosed => ("close", "closed", ""),
            EventKind::OrderCancelled => ("cancel", "cancelled", ""),
            _ => ("take_substitute", "acknowledged", "line 1"),
        };
        Self {
            order: "PO-000001".to_owned(),
            step: step.to_owned(),
            state: state.to_owned(),
            by: BY.to_owned(),
            detail: detail.to_owned(),
        }
    }
}

impl Example for ReceiptEvent {
    fn of_kind(kind: EventKind) -> Self {
        Self {
            receipt: "RC-000001".to_owned(),
            order: Some("PO-000001".to_owned()),
            kit: None,
            supplier: Some(Code::from_stored("OSTREL")),
            reversed_by: (kind == EventKind::ReceiptReversed).then(|| "RC-000002".to_owned()),
            by: BY.to_owned(),
        }
    }
}

impl Example for ReceivedPaperEvent {
    fn of_kind(_: EventKind) -> Self {
        Self {
            received_paper: "IN-000001".to_owned(),
            sort: "order_response".to_owned(),
            supplier: Some(Code::from_stored("OSTREL")),
            sent_number: "OR-551".to_owned(),
            order: Some("PO-000001".to_owned()),
            by: BY.to_owned(),
        }
    }
}

impl Example for ClaimEvent {
    fn of_kind(kind: EventKind) -> Self {
        let (step, state, detail) =
            if kind == EventKind::ClaimOpened { ("open", "open", "RC-000001") } else { ("send", "sent", "") };
        Self {
            claim: "CL-000001".to_owned(),
            step: step.to_owned(),
            state: state.to_owned(),
            by: BY.to_owned(),
            detail: detail.to_owned(),
        }
    }
}

impl Example for ReservationEvent {
    fn of_kind(kind: EventKind) -> Self {
        let open = if kind == EventKind::ReservationMade { 2_000 } else { 0 };
        Self {
            reservation: "RS-000001".to_owned(),
            job: "J-000001".to_owned(),
            part: PartKey::from_stored("VESSICK/VK640118"),
            bin: Code::from_stored("A1"),
            mark: Mark::default(),
            open: Quantity::from_raw(open),
            by: (kind != EventKind::ReservationExpired).then(|| BY.to_owned()),
        }
    }
}

impl Example for MovementsEvent {
    fn of_kind(_: EventKind) -> Self {
        Self { first: 218, last: 220, paper: Some("RC-000001".to_owned()), by: BY.to_owned() }
    }
}

impl Example for CatalogueEvent {
    fn of_kind(_: EventKind) -> Self {
        let sheet =
            SheetChanged { sheet: "prices".to_owned(), added: 3, changed: 41, removed: 0, retired: 0 };
        Self {
            by: BY.to_owned(),
            note: "price list of December".to_owned(),
            structure_revision: 1,
            price_revision: 2,
            ledger_sequence: 217,
            sheets: vec![sheet],
            hash: "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855".to_owned(),
        }
    }
}

impl Example for SettingEvent {
    fn of_kind(_: EventKind) -> Self {
        Self {
            setting: Code::from_stored("LABOUR-RATE"),
            value: Some("62.50".to_owned()),
            previous: Some("60".to_owned()),
        }
    }
}

impl Example for ImportEvent {
    fn of_kind(kind: EventKind) -> Self {
        let state = match kind {
            EventKind::ImportOpened => "waiting",
            EventKind::ImportDone => "done",
            EventKind::ImportRefused => "refused",
            _ => "failed",
        };
        Self { import: "01941f29-7c00-7000-8000-000000000001".to_owned(), state: state.to_owned() }
    }
}

impl Example for WebhookEvent {
    fn of_kind(kind: EventKind) -> Self {
        let paused = kind == EventKind::WebhookPaused;
        let nobody = paused || kind == EventKind::WebhookDeleted;
        Self {
            webhook: "01941f29-7c00-7000-8000-000000000001".to_owned(),
            state: if paused { "paused" } else { "active" }.to_owned(),
            paused_because: paused.then(|| "failing".to_owned()),
            by: (!nobody).then(|| BY.to_owned()),
        }
    }
}
