//! What the events say, one struct a noun.
//!
//! They name the paper, what was done and by whom; whoever needs more reads the paper, whose path is the subject. So an
//! event stays small, and nobody acts on a copy that is old.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;

use crate::{Code, Mark, PartKey, Quantity};

macro_rules! event_data {
    ($(
        $(#[$doc:meta])*
        $name:ident about $($about:literal, $key:ident)? $(only $whole:literal)? {
            $( $(#[$fdoc:meta])* $field:ident: $type:ty, )+
        }
    )+) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, PartialEq, Serialize, Deserialize, ToSchema)]
        pub struct $name {
            $( $(#[$fdoc])* pub $field: $type, )+
        }

        impl $name {
            /// What the event speaks of.
            pub(super) fn subject(&self) -> String {
                $( format!(concat!($about, "/{}"), self.$key) )?
                $( $whole.to_owned() )?
            }
        }
    )+ };
}

event_data! {
    /// Of a quote.
    QuoteEvent about "quotes", quote {
        /// Its number.
        #[schema(example = "Q-000001")]
        quote: String,
        /// Last day on which it holds.
        valid_until: NaiveDate,
    }
    /// Of a job.
    JobEvent about "jobs", job {
        /// Its number.
        #[schema(example = "J-000001")]
        job: String,
        /// The step that it took.
        step: String,
        /// The state after it.
        state: String,
        /// How many steps it has taken.
        revision: i64,
        /// Who took the step.
        by: String,
    }
    /// Of an order.
    OrderEvent about "orders", order {
        /// Its number.
        #[schema(example = "PO-000001")]
        order: String,
        /// The step that it took.
        step: String,
        /// The state after it.
        state: String,
        /// Who took the step.
        by: String,
        /// The particulars of the step; for a receipt its number.
        detail: String,
    }
    /// Of a receipt.
    ReceiptEvent about "receipts", receipt {
        /// Its number.
        #[schema(example = "RC-000001")]
        receipt: String,
        /// The order it was counted against.
        order: Option<String>,
        /// The kit it was counted against, without an order.
        kit: Option<PartKey>,
        /// Who sent it.
        supplier: Option<Code>,
        /// The receipt that takes it back.
        reversed_by: Option<String>,
        /// Who counted it, or took it back.
        by: String,
    }
    /// Of a paper that was taken in.
    ReceivedPaperEvent about "received-papers", received_paper {
        /// Its running number here.
        #[schema(example = "IN-000001")]
        received_paper: String,
        /// Which sort of paper it is.
        sort: String,
        /// The supplier that sent it; empty: the shop's own ordering system.
        supplier: Option<Code>,
        /// The sender's number.
        sent_number: String,
        /// The order that it speaks of.
        order: Option<String>,
        /// Who sent it in.
        by: String,
    }
    /// Of a claim.
    ClaimEvent about "claims", claim {
        /// Its number.
        #[schema(example = "CL-000001")]
        claim: String,
        /// The step that it took.
        step: String,
        /// The state after it.
        state: String,
        /// Who took the step.
        by: String,
        /// The particulars of the step; for an opened claim its receipt.
        detail: String,
    }
    /// Of a reservation.
    ReservationEvent about "reservations", reservation {
        /// Its number.
        #[schema(example = "RS-000001")]
        reservation: String,
        /// The job it is for.
        job: String,
        /// The part.
        part: PartKey,
        /// The bin.
        bin: Code,
        /// The mark etched on a matched set; empty: none.
        mark: Mark,
        /// How many pieces are still reserved.
        #[schema(value_type = String)]
        open: Quantity,
        /// Who did it; empty: nobody, its time was over.
        by: Option<String>,
    }
    /// Of movements that were booked together. They are read behind the number before the first.
    MovementsEvent about only "stock" {
        /// The running number of the first.
        first: i64,
        /// The running number of the last.
        last: i64,
        /// The paper they were booked for.
        paper: Option<String>,
        /// Who booked them.
        by: String,
    }
    /// Of the catalogue.
    CatalogueEvent about only "catalogue" {
        /// Who changed it.
        by: String,
        /// The note of the import.
        note: String,
        /// The structure revision after it.
        structure_revision: i64,
        /// The price revision after it.
        price_revision: i64,
        /// The ledger sequence after it.
        ledger_sequence: i64,
        /// What changed in which sheets.
        sheets: Vec<SheetChanged>,
        /// SHA-256 of the difference, in hexadecimal, as in the audit.
        hash: String,
    }
    /// Of a setting.
    SettingEvent about "settings", setting {
        /// Its name.
        #[schema(example = "LABOUR-RATE")]
        setting: Code,
        /// Its value; empty: it was removed.
        value: Option<String>,
        /// Its value before; empty: there was none.
        previous: Option<String>,
    }
    /// Of an import.
    ImportEvent about "imports", import {
        /// Its id.
        import: String,
        /// How far it is.
        state: String,
    }
    /// Of a webhook.
    WebhookEvent about "webhooks", webhook {
        /// Its id.
        webhook: String,
        /// Whether events are posted.
        state: String,
        /// Why it is paused.
        paused_because: Option<String>,
        /// Who did it; empty: nobody, or it is not known.
        by: Option<String>,
    }
}

/// What changed in a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct SheetChanged {
    /// The sheet.
    pub sheet: String,
    /// Rows that are new.
    pub added: u64,
    /// Rows with another content.
    pub changed: u64,
    /// Rows that are gone.
    pub removed: u64,
    /// Rows that stay for the papers that use them, but are not offered any longer.
    pub retired: u64,
}
