//! One answer for one key: what a client sends again is not done again.

use std::future::Future;
use std::time::Duration;

use store::{Claim, StoreError, StoredResponse};
use tracing::Instrument;

use crate::shop::{Shop, WorkLost};

/// How long an answer is kept under its key.
pub const KEPT_FOR: Duration = Duration::from_secs(24 * 60 * 60);

/// An answer as it is kept.
pub type KeptAnswer = StoredResponse;

/// What became of a request with a key.
#[derive(Debug)]
pub enum Once<E> {
    /// It was done, and its answer is kept.
    Answered(KeptAnswer),
    /// It was done before; this is what was answered.
    Replayed(KeptAnswer),
    /// It was done before, but its answer was lost with the process that did it. What it made stands at these paths below
    /// `/v1/`.
    Made(Vec<String>),
    /// It failed, and may be sent again with the same key.
    Failed(E),
    /// It is being done.
    Running,
    /// The key was used for another request.
    OtherRequest,
    /// The work was broken off; the key is free again after some minutes.
    Lost(WorkLost),
}

/// Does something once for a key and route; the request is known by a hash of what it asks. `act` gets the shop whose
/// transactions note what they make at the key, and must do its work with that.
///
/// The work goes on where the one who asked has left, so that the answer is there when they ask again.
pub async fn answer_once<E, F>(
    shop: &Shop,
    key: &str,
    route: &str,
    payload_hash: &str,
    act: impl FnOnce(Shop) -> F,
) -> Result<Once<E>, StoreError>
where
    F: Future<Output = Result<KeptAnswer, E>> + Send + 'static,
    E: Send + 'static,
{
    let held = match shop.store().claim(key, route, payload_hash, KEPT_FOR).await? {
        Claim::Fresh(held) => held,
        Claim::Replay(answer) => return Ok(Once::Replayed(answer)),
        Claim::Made(papers) => return Ok(Once::Made(papers)),
        Claim::Running => return Ok(Once::Running),
        Claim::Mismatch => return Ok(Once::OtherRequest),
    };
    let store = shop.store().clone();
    let act = act(shop.under(held.clone()));
    let work = async move {
        match act.await {
            Ok(answer) => {
                store.complete(&held, &answer).await?;
                Ok(Once::Answered(answer))
            }
            // A key that is not given back has another holder by now, or its work was kept before it failed.
            Err(error) => {
                let given_back = store.abandon(&held).await?;
                Ok(if given_back { Once::Failed(error) } else { Once::Running })
            }
        }
    };
    let done = shop.runtime().spawn(work.instrument(tracing::Span::current())).await;
    done.unwrap_or(Ok(Once::Lost(WorkLost)))
}
