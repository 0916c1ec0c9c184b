//! Works for one target until nothing is to be done for it.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use store::{Due, PauseReason, StoreError, Webhook};
use tokio::sync::watch;
use tokio::task::JoinSet;
use tokio::time::Instant;

use super::super::message::{Outcome, post};
use super::standing::Standing;
use super::{Deliverer, delta};
use crate::events::{cloud_event, kinds_of};

/// Events that are taken up at once.
const TAKEN_UP: u64 = 200;

/// What a worker knows while it works.
struct Work {
    deliverer: Arc<Deliverer>,
    id: String,
    /// Subjects of which a message is under way.
    busy: BTreeSet<String>,
    /// Whether no message is begun any more.
    leaving: bool,
}

/// How a delivery ended.
struct Ended {
    subject: String,
    delivered: bool,
    /// Whether the worker shall go: the target is paused, or the database fails.
    leave: bool,
}

/// Works for a target until nothing is to be done, or somebody else works for it.
pub(super) async fn work(deliverer: Arc<Deliverer>, id: String, stopped: watch::Receiver<bool>) {
    let look_every = deliverer.policy.look_every;
    let mut work = Work { deliverer, id, busy: BTreeSet::new(), leaving: false };
    // Tasks of their own: they must go on while this one asks the database, since they hold rows of it.
    let mut under_way = JoinSet::new();
    loop {
        work.leaving |= *stopped.borrow();
        let begun = if work.leaving { Ok(Vec::new()) } else { work.begin().await };
        // Messages under way are waited for whatever happens, so that what came of them is noted.
        let begun = begun.unwrap_or_else(|error| {
            tracing::warn!(webhook = work.id, %error, "nothing more can be delivered to a webhook for now");
            work.leaving = true;
            Vec::new()
        });
        for (webhook, due) in begun {
            work.busy.insert(due.event.subject.clone());
            under_way.spawn(deliver(work.deliverer.clone(), webhook, due));
        }
        if under_way.is_empty() {
            return;
        }
        tokio::select! {
            Some(ended) = under_way.join_next() => match ended {
                Ok(ended) => work.note(&ended),
                Err(error) => {
                    tracing::error!(webhook = work.id, %error, "a delivery ended badly");
                    work.leaving = true;
                }
            },
            () = tokio::time::sleep(look_every) => {}
        }
    }
}

impl Work {
    fn note(&mut self, ended: &Ended) {
        self.busy.remove(&ended.subject);
        self.leaving |= ended.leave;
        let pause = self.deliverer.policy.backoff.first;
        let note = |standing: &mut Standing| standing.note(ended.delivered, Instant::now(), pause);
        self.deliverer.standings.change(&self.id, note);
    }

    /// What is to be delivered now, as much of it as there is room for.
    async fn begin(&mut self) -> Result<Vec<(Arc<Webhook>, Due)>, StoreError> {
        if !self.deliverer.holds_lease(&self.id).await? {
            self.leaving = true;
            return Ok(Vec::new());
        }
        let store = self.deliverer.shop.store();
        // Read anew each time: it may have been changed or paused meanwhile.
        let Some(webhook) = store.webhook(&self.id).await?.filter(|webhook| webhook.paused.is_none()) else {
            self.leaving = true;
            return Ok(Vec::new());
        };
        let now = Utc::now();
        if webhook.position < store.last_event().await? {
            let kinds = kinds_of(&webhook.types);
            store.take_up_events(&self.id, &self.deliverer.owner, &kinds, now, TAKEN_UP).await?;
        }
        let standing = self.deliverer.standings.of(&self.id);
        let most = if standing.is_doubtful() { 1 } else { self.deliverer.policy.at_once_to_one };
        let room = most.saturating_sub(self.busy.len());
        if room == 0 {
            return Ok(Vec::new());
        }
        // Those under way still wait in the table, and are found too.
        let limit = u64::try_from(room + self.busy.len()).unwrap_or(u64::MAX);
        let due = store.due_events(&self.id, now, limit).await?;
        let may_retry = standing.may_retry(Instant::now());
        let free = due
            .into_iter()
            .filter(|due| !self.busy.contains(&due.event.subject) && (may_retry || due.tries == 0));
        let webhook = Arc::new(webhook);
        Ok(free.take(room).map(|due| (webhook.clone(), due)).collect())
    }
}

/// Posts an event, and notes what came of it.
async fn deliver(deliverer: Arc<Deliverer>, webhook: Arc<Webhook>, due: Due) -> Ended {
    let (subject, sequence) = (due.event.subject.clone(), due.event.sequence);
    let counters = deliverer.shop.delivery_counters();
    // The semaphore is never closed.
    let _turn = deliverer.turns.acquire().await;
    counters.begin();
    let event = cloud_event(due.event);
    let target = (webhook.id.as_str(), webhook.url.as_str());
    let outcome = post(&deliverer.shop, &deliverer.courier, target, &event, due.tries + 1).await;
    let delivered = outcome.as_ref().is_ok_and(|outcome| outcome.attempt.delivered);
    counters.end(delivered);
    let noted = match outcome {
        Ok(outcome) if delivered => {
            let noted = deliverer.shop.store().note_delivered(&outcome.attempt, sequence).await;
            noted.map(|()| false)
        }
        Ok(outcome) => note_failed(&deliverer, &outcome, sequence, due.failing_since).await,
        Err(error) => Err(error),
    };
    let leave = noted.unwrap_or_else(|error| {
        tracing::warn!(webhook = webhook.id, %error, "what came of a delivery could not be noted");
        true
    });
    Ended { subject, delivered, leave }
}

/// Notes a failure: when the event is tried again, or that the target is paused. Whether it is.
async fn note_failed(
    deliverer: &Deliverer,
    outcome: &Outcome,
    sequence: i64,
    failing_since: Option<DateTime<Utc>>,
) -> Result<bool, StoreError> {
    let backoff = deliverer.policy.backoff;
    let now = Utc::now();
    let give_up = delta(backoff.give_up_after);
    let pause = if outcome.gone {
        Some(PauseReason::Gone)
    } else if failing_since.is_some_and(|since| now - since >= give_up) {
        Some(PauseReason::Failing)
    } else {
        None
    };
    let tries = u32::try_from(outcome.attempt.tries).unwrap_or(u32::MAX);
    // Without chance to be had, the longest wait will do.
    let chance = getrandom::u32().unwrap_or(u32::MAX);
    let wait = delta(backoff.next(tries, chance, outcome.retry_after));
    let attempt = &outcome.attempt;
    let paused = deliverer.shop.store().note_failed(attempt, sequence, now + wait, pause).await?;
    let id = attempt.webhook.as_str();
    tracing::info!(
        webhook = id,
        event = attempt.event,
        tries,
        answer = attempt.answer,
        "an event was not delivered"
    );
    if paused {
        deliverer.shop.delivery_counters().pause();
        tracing::warn!(webhook = id, reason = pause.map_or("", PauseReason::word), "a webhook was paused");
    }
    Ok(pause.is_some())
}
