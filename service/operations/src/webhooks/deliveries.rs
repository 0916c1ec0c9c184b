//! The task that delivers: it looks for targets with something to do, holds a lease on each it works for, and posts.
//!
//! Each target has a worker of its own, so that a slow or dead one holds up no other, and a request never waits for any. Of
//! each subject only the first event that waits is posted; the next follows when that one was taken. A worker goes on only
//! while its lease holds: no message is begun that could outlast it.

mod standing;
mod worker;

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use chrono::{DateTime, TimeDelta, Utc};
use courier::Courier;
use store::{StoreError, WebhookAtWork};
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinHandle;
use uuid::Uuid;

use super::PATIENCE;
use super::backoff::Backoff;
use crate::shop::Shop;
use standing::Standings;

/// How often giving the leases back is tried.
const RELEASE_TRIES: usize = 10;

/// How events are delivered.
#[derive(Debug, Clone)]
pub struct DeliveryPolicy {
    /// How attempts follow each other.
    pub backoff: Backoff,
    /// How long a lease holds: so long nobody delivers to the targets of an instance that has died.
    pub lease: Duration,
    /// How often is looked for something to do.
    pub look_every: Duration,
    /// Messages that are under way to one target at the same time.
    pub at_once_to_one: usize,
    /// Messages that are under way at the same time.
    pub at_once: usize,
}

impl Default for DeliveryPolicy {
    fn default() -> Self {
        Self {
            backoff: Backoff::default(),
            lease: PATIENCE * 3,
            look_every: Duration::from_millis(250),
            at_once_to_one: 4,
            at_once: 32,
        }
    }
}

/// What delivers, while it runs.
#[derive(Debug)]
pub struct Deliveries {
    stop: watch::Sender<bool>,
    task: JoinHandle<()>,
}

/// What all workers share.
struct Deliverer {
    shop: Shop,
    courier: Courier,
    policy: DeliveryPolicy,
    /// Who this process is to the others.
    owner: String,
    turns: Semaphore,
    standings: Standings,
}

impl Deliveries {
    /// Begins to deliver, on the runtime of the shop.
    pub fn start(shop: &Shop, courier: Courier, policy: DeliveryPolicy) -> Self {
        let (stop, stopped) = watch::channel(false);
        let deliverer = Arc::new(Deliverer {
            shop: shop.clone(),
            courier,
            owner: Uuid::now_v7().to_string(),
            turns: Semaphore::new(policy.at_once),
            standings: Standings::default(),
            policy,
        });
        let task = shop.runtime().spawn(run(deliverer, stopped));
        Self { stop, task }
    }

    /// Stops: begins no message any more, waits for those under way, and gives the leases back.
    pub async fn stop(self) {
        let _ = self.stop.send(true);
        if let Err(error) = self.task.await {
            tracing::error!(%error, "the deliverer of webhooks ended badly");
        }
    }
}

async fn run(deliverer: Arc<Deliverer>, mut stopped: watch::Receiver<bool>) {
    let mut workers: BTreeMap<String, JoinHandle<()>> = BTreeMap::new();
    while !*stopped.borrow() {
        workers.retain(|_, worker| !worker.is_finished());
        match deliverer.with_work().await {
            Ok(targets) => {
                for id in targets {
                    let begin = || tokio::spawn(worker::work(deliverer.clone(), id.clone(), stopped.clone()));
                    workers.entry(id.clone()).or_insert_with(begin);
                }
            }
            Err(error) => tracing::warn!(%error, "no work for webhooks could be looked for"),
        }
        tokio::select! {
            () = tokio::time::sleep(deliverer.policy.look_every) => {}
            changed = stopped.changed() => if changed.is_err() { break },
        }
    }
    for worker in workers.into_values() {
        let _ = worker.await;
    }
    deliverer.give_leases_back().await;
}

impl Deliverer {
    /// The targets that have something to do and are nobody else's.
    async fn with_work(&self) -> Result<Vec<String>, StoreError> {
        let store = self.shop.store();
        let targets = store.webhooks_at_work().await?;
        if targets.is_empty() {
            return Ok(Vec::new());
        }
        let (last, now) = (store.last_event().await?, Utc::now());
        let ours =
            targets.into_iter().filter(|target| self.may_have(target, now) && has_work(target, last, now));
        Ok(ours.map(|target| target.webhook.id).collect())
    }

    /// Gives all leases back, so that another instance can go on at once.
    async fn give_leases_back(&self) {
        // A connection that a worker of the server had opened may have died with it; each try takes another one.
        for _ in 0..RELEASE_TRIES {
            match self.shop.store().release_webhooks(&self.owner).await {
                Ok(()) => return,
                Err(error) => tracing::debug!(%error, "the leases of webhooks were not given back yet"),
            }
        }
        tracing::warn!("the leases of webhooks could not be given back; they run out by themselves");
    }

    fn may_have(&self, target: &WebhookAtWork, now: DateTime<Utc>) -> bool {
        target.lease.as_ref().is_none_or(|(owner, until)| *owner == self.owner || *until <= now)
    }

    /// Whether the lease of a target outlasts a message that is begun now; it is taken where it is free, and renewed when
    /// half of it is over.
    async fn holds_lease(&self, id: &str) -> Result<bool, StoreError> {
        let now = Utc::now();
        if self.standings.of(id).lease_until.is_some_and(|until| until - now > delta(self.policy.lease / 2)) {
            return Ok(true);
        }
        let until = now + delta(self.policy.lease);
        let taken = self.shop.store().lease_webhook(id, &self.owner, now, until).await?;
        self.standings.change(id, |standing| standing.lease_until = taken.then_some(until));
        Ok(taken && until - Utc::now() > delta(PATIENCE))
    }
}

fn delta(duration: Duration) -> TimeDelta {
    TimeDelta::from_std(duration).unwrap_or(TimeDelta::MAX)
}

fn has_work(target: &WebhookAtWork, last: i64, now: DateTime<Utc>) -> bool {
    target.webhook.position < last || target.next_at.is_some_and(|at| at <= now)
}
