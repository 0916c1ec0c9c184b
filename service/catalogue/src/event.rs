//! Events: what has changed of the shop's papers, one kind a line of [`event_kinds!`].
//!
//! A kind names its data, so that an event of a kind cannot be made with the data of another. The kinds, their meaning, the
//! name of their data's schema and an example of each are documented from here (`GET /v1/event-types`, OpenAPI).

mod data;
mod example;

use chrono::{DateTime, Utc};
use serde::{Serialize, Serializer};

pub use data::{
    CatalogueEvent, ClaimEvent, ImportEvent, JobEvent, MovementsEvent, OrderEvent, QuoteEvent, ReceiptEvent,
    ReceivedPaperEvent, ReservationEvent, SettingEvent, SheetChanged, WebhookEvent,
};

/// What every type of event begins with: the reverse of a domain name that is set aside for private use.
pub const TYPE_PREFIX: &str = "internal.crownwheel.";

macro_rules! event_kinds {
    ($( $kind:ident($data:ident) = $word:literal, $meaning:literal; )+) => {
        /// A kind of event.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum EventKind {
            $( #[doc = $meaning] $kind, )+
        }

        impl EventKind {
            /// All kinds, by what they speak of.
            pub const ALL: &'static [Self] = &[$( Self::$kind, )+];

            /// Its word, such as `order.placed`: the type without its prefix.
            pub const fn word(self) -> &'static str {
                match self { $( Self::$kind => $word, )+ }
            }

            /// What has happened, in a sentence.
            pub const fn meaning(self) -> &'static str {
                match self { $( Self::$kind => $meaning, )+ }
            }

            /// The name of the schema of its data.
            pub const fn data_schema(self) -> &'static str {
                match self { $( Self::$kind => stringify!($data), )+ }
            }
        }

        /// An event that is to be written, with the data that its kind has.
        #[derive(Debug, Clone, PartialEq)]
        pub enum Happened {
            $( #[doc = $meaning] $kind(data::$data), )+
        }

        impl Happened {
            /// Its kind.
            pub const fn kind(&self) -> EventKind {
                match self { $( Self::$kind(_) => EventKind::$kind, )+ }
            }

            /// What it speaks of: the paper's path below `/v1/`. Events of one subject keep their order everywhere.
            pub fn subject(&self) -> String {
                match self { $( Self::$kind(data) => data.subject(), )+ }
            }

            /// An event of a kind, for the documentation.
            pub fn example(kind: EventKind) -> Self {
                match kind { $( EventKind::$kind => Self::$kind(example::Example::of_kind(kind)), )+ }
            }
        }

        /// The data alone; the kind stands beside it.
        impl Serialize for Happened {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                match self { $( Self::$kind(data) => data.serialize(serializer), )+ }
            }
        }
    };
}

event_kinds! {
    QuoteStored(QuoteEvent) = "quote.stored", "A quote was stored.";
    JobOpened(JobEvent) = "job.opened", "A job was opened.";
    JobChanged(JobEvent) = "job.changed", "A job took a step; the data name the step and the state after it.";
    OrderDrafted(OrderEvent) = "order.drafted", "An order was drafted.";
    OrderPlaced(OrderEvent) = "order.placed", "An order was sent to its supplier.";
    OrderAcknowledged(OrderEvent) = "order.acknowledged", "The supplier has answered an order.";
    OrderReceived(OrderEvent) = "order.received", "A box was received for an order, all of it or a part.";
    OrderClosed(OrderEvent) = "order.closed", "Nothing more is expected of an order.";
    OrderCancelled(OrderEvent) = "order.cancelled", "An order was called off before anything came.";
    OrderChanged(OrderEvent) = "order.changed", "An order took another step, such as a substitute that was taken.";
    ReceiptBooked(ReceiptEvent) = "receipt.booked", "A box was counted and booked.";
    ReceiptReversed(ReceiptEvent) = "receipt.reversed", "A receipt was taken back; the data name the receipt that does it.";
    ClaimOpened(ClaimEvent) = "claim.opened", "A claim was opened on a supplier.";
    ClaimChanged(ClaimEvent) = "claim.changed", "A claim was sent, accepted, refused, settled or withdrawn.";
    ReceivedPaperTaken(ReceivedPaperEvent) = "received-paper.taken", "A paper of a supplier or of the ordering system was taken in.";
    ReservationMade(ReservationEvent) = "reservation.made", "Pieces on the shelf were reserved for a job.";
    ReservationIssued(ReservationEvent) = "reservation.issued", "Reserved pieces went into their job, all of them or some.";
    ReservationReleased(ReservationEvent) = "reservation.released", "Reserved pieces were given back.";
    ReservationExpired(ReservationEvent) = "reservation.expired", "The time of a reservation was over.";
    StockMoved(MovementsEvent) = "stock.moved", "Movements were booked together.";
    CatalogueChanged(CatalogueEvent) = "catalogue.changed", "A bundle was taken into the catalogue, or a row was edited.";
    SettingChanged(SettingEvent) = "setting.changed", "A setting of the shop has another value.";
    ImportOpened(ImportEvent) = "import.opened", "An import was asked for.";
    ImportDone(ImportEvent) = "import.done", "An import went in, or would as a dry run.";
    ImportRefused(ImportEvent) = "import.refused", "An import has faults; the catalogue is as it was.";
    ImportFailed(ImportEvent) = "import.failed", "An import broke off; the catalogue is as it was.";
    WebhookCreated(WebhookEvent) = "webhook.created", "Somebody wants to be told of events.";
    WebhookChanged(WebhookEvent) = "webhook.changed", "A webhook was changed, paused or taken up by somebody, set back, or has another secret.";
    WebhookPaused(WebhookEvent) = "webhook.paused", "A webhook was paused because it failed for too long or answered that it is gone.";
    WebhookDeleted(WebhookEvent) = "webhook.deleted", "A webhook was deleted.";
    WebhookTest(WebhookEvent) = "webhook.test", "Somebody asked for a test. It goes to one webhook and stands in no feed.";
}

impl EventKind {
    /// The kind of a word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.word() == word)
    }

    /// The type as it stands in an envelope.
    pub fn type_name(self) -> String {
        format!("{TYPE_PREFIX}{}", self.word())
    }

    /// The kind of a step of an order.
    pub fn of_order_step(what: &str) -> Self {
        match what {
            "draft" => Self::OrderDrafted,
            "place" => Self::OrderPlaced,
            "acknowledge" => Self::OrderAcknowledged,
            "receive" => Self::OrderReceived,
            "close" => Self::OrderClosed,
            "cancel" => Self::OrderCancelled,
            _ => Self::OrderChanged,
        }
    }
}

impl Happened {
    /// A step of an order.
    pub fn to_order(data: OrderEvent) -> Self {
        match EventKind::of_order_step(&data.step) {
            EventKind::OrderDrafted => Self::OrderDrafted(data),
            EventKind::OrderPlaced => Self::OrderPlaced(data),
            EventKind::OrderAcknowledged => Self::OrderAcknowledged(data),
            EventKind::OrderReceived => Self::OrderReceived(data),
            EventKind::OrderClosed => Self::OrderClosed(data),
            EventKind::OrderCancelled => Self::OrderCancelled(data),
            _ => Self::OrderChanged(data),
        }
    }
}

/// An event that is to be written.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEvent {
    /// When it happened.
    pub at: DateTime<Utc>,
    /// What happened.
    pub happened: Happened,
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_kind_has_its_own_word_which_leads_back_to_it() {
        let words: BTreeSet<&str> = EventKind::ALL.iter().map(|kind| kind.word()).collect();
        assert_eq!(words.len(), EventKind::ALL.len());
        for kind in EventKind::ALL {
            assert_eq!(EventKind::from_word(kind.word()), Some(*kind));
            assert!(kind.meaning().ends_with('.'), "{kind:?}");
            assert_eq!(Happened::example(*kind).kind(), *kind);
        }
        assert_eq!(EventKind::from_word("order"), None);
    }

    #[test]
    fn the_word_of_a_kind_begins_with_what_its_subject_speaks_of() {
        for kind in EventKind::ALL {
            let noun = kind.word().split('.').next().unwrap();
            let subject = Happened::example(*kind).subject();
            assert!(subject.starts_with(noun), "{} speaks of {subject}", kind.word());
        }
    }

    #[test]
    fn a_step_of_an_order_has_its_kind() {
        for what in ["draft", "place", "acknowledge", "receive", "close", "cancel", "take_substitute"] {
            let Happened::OrderPlaced(data) = Happened::example(EventKind::OrderPlaced) else { panic!() };
            let event = Happened::to_order(OrderEvent { step: what.to_owned(), ..data });
            assert_eq!(event.kind(), EventKind::of_order_step(what));
        }
    }
}
