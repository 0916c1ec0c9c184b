//! The shop: what every operation works on.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use store::{Caller, HeldKey, Store, StoreError};
use tokio::runtime::Handle;
use tokio::sync::Semaphore;

use crate::import_catalogue::ImportsUnderWay;
use crate::snapshot_cache::{CacheFigures, SnapshotCache};
use crate::webhooks::{Counters, DeliveryFigures};

/// The open database, what is kept in memory of it, and where long work runs. Cloning is cheap.
#[derive(Clone)]
pub struct Shop {
    store: Store,
    inner: Arc<Inner>,
}

struct Inner {
    snapshots: SnapshotCache,
    deliveries: Counters,
    solving: Semaphore,
    imports: ImportsUnderWay,
    runtime: Handle,
}

impl Shop {
    /// Opens the database of an address and brings its tables up to date.
    ///
    /// Long work (solving, imports) runs on the runtime that calls this, so that it outlives the request that asked.
    pub async fn open(url: &str) -> Result<Self, StoreError> {
        Ok(Self::new(Store::open(url).await?))
    }

    /// The shop over an open store; must be called inside a runtime.
    pub fn new(store: Store) -> Self {
        let cores = std::thread::available_parallelism().map_or(2, std::num::NonZero::get);
        Self {
            store,
            inner: Arc::new(Inner {
                snapshots: SnapshotCache::new(),
                deliveries: Counters::default(),
                solving: Semaphore::new(cores),
                imports: ImportsUnderWay::default(),
                runtime: Handle::current(),
            }),
        }
    }

    /// The store.
    pub fn store(&self) -> &Store {
        &self.store
    }

    /// The same shop in the hands of somebody else: what is written down says that they did it.
    #[must_use]
    pub fn acting_as(&self, caller: Caller) -> Self {
        Self { store: self.store.acting_as(caller), inner: self.inner.clone() }
    }

    /// The same shop for a request whose key is held: what it makes is noted at the key.
    #[must_use]
    pub(crate) fn under(&self, key: HeldKey) -> Self {
        Self { store: self.store.under(key), inner: self.inner.clone() }
    }

    /// The imports that this process runs.
    pub(crate) fn imports_under_way(&self) -> &ImportsUnderWay {
        &self.inner.imports
    }

    /// What the snapshot cache has done so far.
    pub fn snapshot_cache_figures(&self) -> CacheFigures {
        self.inner.snapshots.figures()
    }

    /// What the deliveries of webhooks have done so far.
    pub fn delivery_figures(&self) -> DeliveryFigures {
        self.inner.deliveries.figures()
    }

    /// Whether the database answers.
    pub async fn is_ready(&self) -> Result<(), StoreError> {
        self.store.ping().await
    }

    /// Lets the database go: closes all connections, those of the clones too.
    pub async fn close(&self) -> Result<(), StoreError> {
        self.store.clone().close().await
    }

    pub(crate) fn delivery_counters(&self) -> &Counters {
        &self.inner.deliveries
    }

    pub(crate) fn snapshots(&self) -> &SnapshotCache {
        &self.inner.snapshots
    }

    /// The runtime on which work runs that outlives its request.
    pub(crate) fn runtime(&self) -> &Handle {
        &self.inner.runtime
    }

    /// As [`Shop::work`], but the work is told when nobody waits for it any more: the flag it looks at turns true.
    pub(crate) async fn work_while_awaited<T: Send + 'static>(
        &self,
        work: impl FnOnce(&AtomicBool) -> T + Send + 'static,
    ) -> Result<T, WorkLost> {
        let left = Arc::new(AtomicBool::new(false));
        let _told = TellsOnDrop(left.clone());
        self.work(move || work(&left)).await
    }

    /// Runs work that keeps a core busy, at most as many at once as there are cores; the others wait their turn. The
    /// turn ends with the work, even where the one who asked has left.
    pub(crate) async fn work<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, WorkLost> {
        let inner = self.inner.clone();
        let task = async move {
            let _turn = inner.solving.acquire().await.map_err(|_| WorkLost)?;
            let span = tracing::Span::current();
            inner.runtime.spawn_blocking(move || span.in_scope(work)).await.map_err(|_| WorkLost)
        };
        let span = tracing::Span::current();
        let task = tracing::Instrument::instrument(task, span);
        self.inner.runtime.spawn(task).await.map_err(|_| WorkLost)?
    }
}

/// Sets a flag when it goes, as it does with the future that holds it.
struct TellsOnDrop(Arc<AtomicBool>);

impl Drop for TellsOnDrop {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// Work that ended without a result: it panicked, or the service stops.
#[derive(Debug, thiserror::Error)]
#[error("the work was broken off")]
pub struct WorkLost;

#[cfg(test)]
mod tests {
    use std::sync::mpsc;
    use std::time::Duration;

    use super::*;

    #[tokio::test]
    async fn work_that_nobody_waits_for_is_told_to_stop() {
        let shop = Shop::open("sqlite::memory:").await.unwrap();
        let (started, has_started) = mpsc::channel();
        let (ended, has_ended) = mpsc::channel();
        let work = shop.work_while_awaited(move |left| {
            started.send(()).unwrap();
            while !left.load(Ordering::Relaxed) {
                std::thread::sleep(Duration::from_millis(1));
            }
            ended.send(()).unwrap();
        });
        assert!(tokio::time::timeout(Duration::from_millis(50), work).await.is_err());
        let told = tokio::task::spawn_blocking(move || {
            has_started.recv_timeout(Duration::from_secs(60)).is_ok()
                && has_ended.recv_timeout(Duration::from_secs(60)).is_ok()
        });
        assert!(told.await.unwrap());
    }
}
