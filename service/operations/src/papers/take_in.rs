//! Takes a paper in: reads it, does what it says, and keeps it as it was sent.

use chrono::{DateTime, Utc};
use exchange::ubl::Remainder;
use store::{NewReceivedPaper, ReceivedPaper, StoreError};

use super::error::PaperError;
use super::outcome::PaperOutcome;
use super::received::{ReceivedPaperSheet, sheet};
use super::sent_paper::{PaperSort, ReadPaper, SentPaper};
use super::{catalogue_in, despatch_in, order_in, receipt_in, response_in};
use crate::order_error::OrderError;
use crate::receipt_error::ReceiptError;
use crate::shop::Shop;

/// How often a paper is looked at again when its order changes underneath it.
const TRIES_MAX: usize = 8;

/// What became of a paper.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenIn {
    /// The paper as it is kept.
    pub paper: ReceivedPaperSheet,
    /// Whether it had been taken in before: nothing was done again.
    pub repeated: bool,
}

/// A paper on its way in.
pub(super) struct Incoming<'a> {
    sent: &'a SentPaper,
    digest: String,
    not_understood: &'a Remainder,
    pub(super) at: DateTime<Utc>,
}

impl Incoming<'_> {
    /// Who sends it in.
    pub(super) fn by(&self) -> &str {
        &self.sent.by
    }

    /// The bin into which what it counts goes.
    pub(super) fn bin(&self) -> Option<String> {
        self.sent.bin.clone()
    }

    /// The paper as it is to be kept, if that number of its sender is new.
    ///
    /// # Errors
    /// [`Stop::Known`] where it was taken in already.
    pub(super) async fn kept(
        &self,
        shop: &Shop,
        sort: PaperSort,
        sender: &str,
        sent_number: &str,
    ) -> Result<NewReceivedPaper, Stop> {
        if let Some(known) = shop.store().received_paper_of(sort.word(), sender, sent_number).await? {
            return Err(self.known(known));
        }
        Ok(NewReceivedPaper {
            kind: sort.word().to_owned(),
            sender: sender.to_owned(),
            sent_number: sent_number.to_owned(),
            digest: self.digest.clone(),
            media_type: self.sent.format.media_type().to_owned(),
            body: self.sent.text.clone(),
            not_understood: json(self.not_understood)?,
            outcome: "null".to_owned(),
            order: None,
            received_at: self.at,
            who: self.sent.by.clone(),
        })
    }

    fn known(&self, known: ReceivedPaper) -> Stop {
        if known.paper.digest == self.digest {
            return Stop::Known(Box::new(known));
        }
        let sender = if known.paper.sender.is_empty() { "the shop" } else { known.paper.sender.as_str() };
        Stop::Error(PaperError::OtherContent {
            kind: known.paper.kind.replace('_', " "),
            sender: sender.to_owned(),
            sent_number: known.paper.sent_number,
            number: known.number,
        })
    }
}

/// What came of a paper, as it is kept.
pub(super) fn json(value: &impl serde::Serialize) -> Result<String, PaperError> {
    let unwritable = |_| StoreError::BadRow { table: "received_papers", column: "outcome".to_owned() };
    Ok(serde_json::to_string(value).map_err(unwritable)?)
}

/// Why a paper was not taken in now.
pub(super) enum Stop {
    /// It was taken in before.
    Known(Box<ReceivedPaper>),
    /// Its order, or another paper of the same number, came in between.
    Again,
    /// It cannot be.
    Error(PaperError),
}

impl<E: Into<PaperError>> From<E> for Stop {
    fn from(error: E) -> Self {
        match error.into() {
            PaperError::Store(StoreError::PaperReceived(_))
            | PaperError::Order(OrderError::Stale(_) | OrderError::Store(StoreError::PaperReceived(_)))
            | PaperError::Receipt(ReceiptError::Order(OrderError::Store(StoreError::PaperReceived(_)))) => {
                Self::Again
            }
            error => Self::Error(error),
        }
    }
}

/// Takes a paper in. The same paper sent again finds the first.
#[tracing::instrument(skip_all, fields(sort, repeated))]
pub async fn take_in(shop: &Shop, sent: &SentPaper) -> Result<TakenIn, PaperError> {
    let (paper, not_understood) = sent.read()?;
    let incoming = Incoming { sent, digest: sent.digest(), not_understood: &not_understood, at: Utc::now() };
    for _ in 0..TRIES_MAX {
        let taken = match &paper {
            ReadPaper::Order(paper) => order_in::take(shop, paper, &incoming).await,
            ReadPaper::OrderResponse(paper) => response_in::take(shop, paper, &incoming).await,
            ReadPaper::DespatchAdvice(paper) => despatch_in::take(shop, paper, &incoming).await,
            ReadPaper::ReceiptAdvice(paper) => receipt_in::take(shop, paper, &incoming).await,
            ReadPaper::Catalogue(paper) => catalogue_in::take(shop, paper, &incoming).await,
        };
        match taken {
            Ok((sort, sender, number)) => {
                let kept = shop.store().received_paper_of(sort.word(), &sender, &number).await?;
                let kept = kept.ok_or(PaperError::NotFound(number))?;
                return Ok(TakenIn { paper: sheet(kept)?, repeated: false });
            }
            Err(Stop::Known(known)) => return Ok(TakenIn { paper: sheet(*known)?, repeated: true }),
            Err(Stop::Again) => {}
            Err(Stop::Error(error)) => return Err(error),
        }
    }
    Err(PaperError::Order(OrderError::Stale(String::new())))
}

/// The sort, sender and number under which a paper was kept.
pub(super) type Kept = (PaperSort, String, String);

/// The outcome of a paper whose making is known only by the numbers that were made.
pub(super) fn outcome_of(kept: &ReceivedPaper) -> Result<PaperOutcome, PaperError> {
    let bad = |_| StoreError::BadRow { table: "received_papers", column: "outcome".to_owned() };
    let mut outcome: PaperOutcome = serde_json::from_str(&kept.paper.outcome).map_err(bad)?;
    match &mut outcome {
        PaperOutcome::DraftedOrders(drafted) => drafted.orders.clone_from(&kept.made),
        PaperOutcome::CountedBox(counted) => {
            counted.receipt = kept.made.first().cloned().unwrap_or_default();
        }
        PaperOutcome::AnsweredOrder(_) | PaperOutcome::AnnouncedBox(_) | PaperOutcome::TookCatalogue(_) => {}
    }
    Ok(outcome)
}
