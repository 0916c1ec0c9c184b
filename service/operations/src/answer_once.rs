//! One answer for one key: what a client sends again is not done again.

use std::time::Duration;

use store::{Claim, StoreError, StoredResponse};

use crate::shop::Shop;

/// How long an answer is kept under its key.
pub const KEPT_FOR: Duration = Duration::from_secs(24 * 60 * 60);

/// An answer as it is kept.
pub type KeptAnswer = StoredResponse;

/// What became of the claim to a key.
#[derive(Debug)]
pub enum Turn {
    /// The request may run.
    Run(Claimed),
    /// It ran before; this is what was answered.
    Replay(KeptAnswer),
    /// It is running.
    Running,
    /// The key was used for another request.
    OtherRequest,
}

/// A claimed key. It is to be completed or given back; a key whose process dies is free again after some minutes.
#[derive(Debug)]
pub struct Claimed {
    key: String,
    route: String,
}

/// Claims a key for a request of a route, known by a hash of what it asks.
pub async fn claim(shop: &Shop, key: &str, route: &str, payload_hash: &str) -> Result<Turn, StoreError> {
    Ok(match shop.store().claim(key, route, payload_hash, KEPT_FOR).await? {
        Claim::Fresh => Turn::Run(Claimed { key: key.to_owned(), route: route.to_owned() }),
        Claim::Replay(answer) => Turn::Replay(answer),
        Claim::Running => Turn::Running,
        Claim::Mismatch => Turn::OtherRequest,
    })
}

impl Claimed {
    /// Keeps the answer.
    pub async fn complete(self, shop: &Shop, answer: &KeptAnswer) -> Result<(), StoreError> {
        shop.store().complete(&self.key, &self.route, answer).await
    }

    /// Gives the key back, so that the request can be sent again.
    pub async fn give_back(self, shop: &Shop) -> Result<(), StoreError> {
        shop.store().abandon(&self.key, &self.route).await
    }
}
