//! Before every handler: who asks, whether they may, and how often.

use std::rc::Rc;
use std::sync::Arc;
use std::time::{Duration, Instant};

use actix_web::body::MessageBody;
use actix_web::dev::{Extensions, ServiceRequest, ServiceResponse};
use actix_web::http::header::{HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::web;
use operations::access_keys::{Carrier, Refused, note_use, recognise};
use operations::shop::Shop;

use crate::access::AccessMap;
use crate::bearer::{challenged, key_missing, sent_key};
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::rate_limit::RateLimiter;
use crate::role_table::Access;

/// How long a request may wait until the day of its key's use is noted. Where a large import holds the database for longer,
/// a later request notes it.
const NOTE_WAIT: Duration = Duration::from_secs(1);

/// What a proxy adds; a request that has one of them comes from elsewhere, though its connection be local.
const OF_PROXIES: [&str; 3] = ["forwarded", "x-forwarded-for", "via"];

/// What the guard goes by.
pub(crate) struct Guard {
    /// Who may do what.
    pub(crate) access: AccessMap,
    /// How often; `None`: as often as they like.
    pub(crate) limiter: Option<RateLimiter>,
}

/// Lets a request through to its handler, with the shop in the hands of whoever carries the key.
pub(crate) async fn guard<B: MessageBody + 'static>(
    guard: Arc<Guard>,
    mut request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, actix_web::Error> {
    let access = guard.access.of_request(request.method().as_str(), request.match_pattern().as_deref());
    // What is not there, or cannot be done with it, is said to everybody: the document says it too.
    let Some(access) = access else { return next.call(request).await };
    let is_local = request.peer_addr().is_some_and(|peer| peer.ip().is_loopback())
        && !OF_PROXIES.iter().any(|name| request.headers().contains_key(*name));
    if access == Access::Open || (access == Access::Local && is_local) {
        return next.call(request).await;
    }
    let Some(shop) = request.app_data::<web::Data<Shop>>().cloned() else {
        return Err(Problem::new(ProblemKind::Internal, ProblemKind::Internal.facts().meaning).into());
    };
    let carrier = carrier_of(&shop, request.headers(), access).await?;
    tracing::Span::current().record("key", carrier.number.as_str());
    let headers = match &guard.limiter {
        Some(limiter) => counted(limiter, &carrier)?.to_vec(),
        None => Vec::new(),
    };
    if !access.allows(carrier.role) {
        return Err(not_allowed(&carrier, access).into());
    }
    match tokio::time::timeout(NOTE_WAIT, note_use(&shop, &carrier)).await {
        Ok(Ok(())) => {}
        Ok(Err(error)) => tracing::warn!(%error, "the use of a key is not noted"),
        Err(_) => tracing::warn!("the use of a key is not noted: the database is held"),
    }
    let mut theirs = Extensions::new();
    theirs.insert(web::Data::new(shop.acting_as(carrier.caller())));
    request.add_data_container(Rc::new(theirs));
    let mut response = next.call(request).await?;
    for (name, value) in headers {
        if let Ok(value) = HeaderValue::from_str(&value) {
            response.headers_mut().insert(HeaderName::from_static(name), value);
        }
    }
    Ok(response)
}

/// Who carries the key of a request.
async fn carrier_of(shop: &Shop, headers: &HeaderMap, access: Access) -> Result<Carrier, Problem> {
    let Some(key) = sent_key(headers)? else {
        return Err(key_missing(format!(
            "send a key with the request, as the header `Authorization: Bearer KEY`. {}",
            access.in_words()
        )));
    };
    let refused = match recognise(shop, key).await? {
        Ok(carrier) => return Ok(carrier),
        Err(refused) => refused,
    };
    let (kind, detail) = match refused {
        Refused::Unknown => (
            ProblemKind::KeyUnknown,
            "no key like the one that was sent was ever made here; look whether all of it was copied"
                .to_owned(),
        ),
        Refused::Revoked(number) => {
            (ProblemKind::KeyRevoked, format!("the key {number} was revoked; ask the owner for another one"))
        }
        Refused::Expired(number, end) => (
            ProblemKind::KeyExpired,
            format!("the key {number} expired at {}; ask the owner for another one", end.to_rfc3339()),
        ),
    };
    Err(challenged(kind, detail, "invalid_token"))
}

/// Counts a request of a key, or refuses it.
fn counted(limiter: &RateLimiter, carrier: &Carrier) -> Result<[(&'static str, String); 2], Problem> {
    let standing = limiter.take(&carrier.number, Instant::now());
    let headers = limiter.headers(standing);
    if standing.allowed {
        return Ok(headers);
    }
    let detail = format!(
        "the key {} has sent as many requests as it may; one more may be sent in {} s",
        carrier.number, standing.next_in_s
    );
    let mut problem = Problem::new(ProblemKind::TooManyRequests, detail);
    problem.retry_after_s = Some(u32::try_from(standing.next_in_s).unwrap_or(u32::MAX));
    problem.more_headers = headers.to_vec();
    Err(problem)
}

fn not_allowed(carrier: &Carrier, access: Access) -> Problem {
    let detail = format!(
        "the key {} has the role {}, which may not do this. {}",
        carrier.number,
        carrier.role.in_words(),
        access.in_words()
    );
    challenged(ProblemKind::RoleNotAllowed, detail, "insufficient_scope")
}
