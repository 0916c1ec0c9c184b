//! Starts and stops the service.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use actix_web::dev::ServerHandle;
use actix_web::middleware::{Compress, from_fn};
use actix_web::{App, HttpServer, web};
use operations::shop::Shop;
use operations::webhooks::deliveries::{Deliveries, DeliveryPolicy};
use operations::webhooks::{CourierError, courier};

use crate::access::AccessMap;
use crate::guard::{Guard, guard};
use crate::metrics::Metrics;
use crate::problem::Problem;
use crate::problem_kind::ProblemKind;
use crate::rate_limit::{RateLimit, RateLimiter};
use crate::watch::{Deadline, watch};
use crate::{openapi, reference, routes};

/// How long open requests may go on after the sign to stop.
const STOP_S: u64 = 30;
/// How long a client may take to send the head of its request.
const HEAD_ARRIVAL: Duration = Duration::from_secs(10);
/// How long an open connection may be idle.
const KEEP_ALIVE: Duration = Duration::from_secs(75);

/// How the service is run.
#[derive(Debug, Clone)]
pub struct ServerOptions {
    /// Where it listens, as `HOST:PORT`; port 0 takes any free one.
    pub listen: String,
    /// Threads that read and write requests; `None`: one for each core.
    pub workers: Option<usize>,
    /// How long a request may take before its client is told to come back.
    pub deadline: Duration,
    /// How many requests a key may send; `None`: as many as it likes.
    pub rate_limit: Option<RateLimit>,
    /// Hosts that webhooks may go to wherever they are, and without encryption, by name.
    pub allow_webhook_hosts: Vec<String>,
    /// How events are delivered.
    pub deliveries: DeliveryPolicy,
    /// Whether the process's signals (interrupt, terminate) stop the service.
    pub signals: bool,
}

impl Default for ServerOptions {
    fn default() -> Self {
        Self {
            listen: "127.0.0.1:8080".to_owned(),
            workers: None,
            deadline: Duration::from_secs(60),
            rate_limit: Some(RateLimit::default()),
            allow_webhook_hosts: Vec::new(),
            deliveries: DeliveryPolicy::default(),
            signals: true,
        }
    }
}

/// Why the service did not start or ended badly.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// The address cannot be listened on.
    #[error("cannot listen on {listen}: {source}")]
    Listen {
        /// The address.
        listen: String,
        /// Why not.
        source: std::io::Error,
    },
    /// The figures for the monitor cannot be set up.
    #[error("the metrics cannot be set up")]
    Metrics(#[from] prometheus::Error),
    /// The client for webhooks cannot be set up.
    #[error(transparent)]
    Courier(#[from] CourierError),
    /// An example of the OpenAPI document cannot be read.
    #[error("the OpenAPI document cannot be made")]
    Document(#[from] serde_json::Error),
    /// An operation has no line in the role table, so that nobody could say who may do it.
    #[error("no role is written down for the operation `{0}`")]
    RoleMissing(String),
    /// It ended badly.
    #[error("the server failed")]
    Failed(#[source] std::io::Error),
}

/// A service that listens.
pub struct Server {
    server: actix_web::dev::Server,
    deliveries: Deliveries,
    addresses: Vec<SocketAddr>,
}

impl Server {
    /// Begins to listen; requests are answered once [`Server::run`] is awaited.
    pub fn start(shop: Shop, options: &ServerOptions) -> Result<Self, ServeError> {
        let courier = courier(&options.allow_webhook_hosts)?;
        let (for_deliveries, messenger) = (shop.clone(), courier.clone());
        let courier = web::Data::new(courier);
        let shop = web::Data::new(shop);
        let metrics = web::Data::new(Metrics::new()?);
        let deadline = web::Data::new(Deadline(options.deadline));
        let document = openapi::document()?;
        let access = AccessMap::of(&document).map_err(ServeError::RoleMissing)?;
        let limiter = options.rate_limit.map(RateLimiter::new);
        let guarding = Arc::new(Guard { access, limiter });
        let document = web::Data::new(document);
        let reference = web::Data::from(reference::config());
        let server = HttpServer::new(move || {
            let guarding = guarding.clone();
            App::new()
                .app_data(shop.clone())
                .app_data(metrics.clone())
                .app_data(courier.clone())
                .app_data(deadline.clone())
                .app_data(document.clone())
                .app_data(reference.clone())
                .wrap(from_fn(move |request, next| guard(guarding.clone(), request, next)))
                .wrap(Compress::default())
                .wrap(from_fn(watch))
                .configure(routes::configure)
                .default_service(web::to(|| async {
                    let detail = "no resource has this path; /reference/ lists them all";
                    Err::<actix_web::HttpResponse, Problem>(Problem::new(ProblemKind::NotFound, detail))
                }))
        })
        .client_request_timeout(HEAD_ARRIVAL)
        .keep_alive(KEEP_ALIVE)
        .shutdown_timeout(STOP_S);
        let server = match options.workers {
            Some(workers) => server.workers(workers),
            None => server,
        };
        let server = if options.signals { server } else { server.disable_signals() };
        let bound = server
            .bind(&options.listen)
            .map_err(|source| ServeError::Listen { listen: options.listen.clone(), source })?;
        let addresses = bound.addrs();
        let deliveries = Deliveries::start(&for_deliveries, messenger, options.deliveries.clone());
        Ok(Self { server: bound.run(), deliveries, addresses })
    }

    /// Where it listens.
    pub fn addresses(&self) -> &[SocketAddr] {
        &self.addresses
    }

    /// Stops it from elsewhere.
    pub fn handle(&self) -> ServerHandle {
        self.server.handle()
    }

    /// Answers requests and delivers events until it is stopped; what is under way is finished.
    pub async fn run(self) -> Result<(), ServeError> {
        let ended = self.server.await.map_err(ServeError::Failed);
        self.deliveries.stop().await;
        ended
    }
}
