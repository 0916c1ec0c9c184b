//! The HTTP client: one message, one answer, nothing followed.

use std::error::Error;
use std::time::Duration;

use reqwest::redirect::Policy;
use reqwest::{Client, Response};

use crate::address::AddressFault;
use crate::host_check::{AllowedHosts, CheckedResolver, bare_host};

/// How long a connection may take to be made.
const CONNECT: Duration = Duration::from_secs(5);
/// Bytes of an answer that are kept.
const ANSWER_BYTES: usize = 512;
/// Longest wait that a target can ask for.
const RETRY_AFTER_MAX: Duration = Duration::from_secs(24 * 60 * 60);
/// What the client calls itself.
const USER_AGENT: &str = "crownwheel";

/// Posts messages.
#[derive(Debug, Clone)]
pub struct Courier {
    client: Client,
    allowed: AllowedHosts,
}

/// The client could not be set up.
#[derive(Debug, thiserror::Error)]
#[error("the client for webhooks cannot be set up: {0}")]
pub struct CourierError(#[from] reqwest::Error);

/// The answer to a message.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Posted {
    /// Its status.
    pub status: u16,
    /// The first bytes of its body, as text.
    pub answer: String,
    /// How long the target wants to be left alone.
    pub retry_after: Option<Duration>,
}

/// Why there was no answer.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PostFailure {
    /// The address is one that nothing is sent to.
    #[error(transparent)]
    Address(#[from] AddressFault),
    /// No answer came in time.
    #[error("no answer came in time")]
    Timeout,
    /// No connection was made.
    #[error("no connection was made: {0}")]
    Connect(String),
    /// The connection broke.
    #[error("the connection broke: {0}")]
    Broken(String),
}

impl Courier {
    /// A courier that goes to these hosts wherever they are, and else only outside. An answer must come within `patience`.
    pub fn new(allowed: AllowedHosts, patience: Duration) -> Result<Self, CourierError> {
        // The only provider of cryptography that is linked; a second call finds it in place.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = Client::builder()
            .user_agent(USER_AGENT)
            .timeout(patience)
            .connect_timeout(CONNECT.min(patience))
            .redirect(Policy::none())
            // A proxy of the environment would connect to addresses that nobody has looked at.
            .no_proxy()
            // Each message has a connection of its own, to an address that was looked at for it.
            .pool_max_idle_per_host(0)
            .dns_resolver(CheckedResolver(allowed.clone()))
            .build()?;
        Ok(Self { client, allowed })
    }

    /// Refuses an address to which nothing would be sent as things stand. A host that cannot be found now may be later.
    pub async fn check(&self, address: &str) -> Result<(), AddressFault> {
        let url = self.allowed.read(address)?;
        match self.allowed.look_up(bare_host(&url).unwrap_or_default()).await {
            Ok(_) | Err(AddressFault::NotFound(_)) => Ok(()),
            Err(fault) => Err(fault),
        }
    }

    /// Posts a message with its header fields; whatever the target answers is an answer.
    pub async fn post(
        &self,
        address: &str,
        headers: &[(&str, String)],
        body: Vec<u8>,
    ) -> Result<Posted, PostFailure> {
        let url = self.allowed.read(address)?;
        let mut request = self.client.post(url).body(body);
        for (name, value) in headers {
            request = request.header(*name, value);
        }
        let response = request.send().await.map_err(failure)?;
        let status = response.status().as_u16();
        let retry_after = retry_after(&response);
        Ok(Posted { status, answer: first_bytes(response).await, retry_after })
    }
}

fn retry_after(response: &Response) -> Option<Duration> {
    let text = response.headers().get("retry-after")?.to_str().ok()?;
    Some(Duration::from_secs(text.trim().parse().ok()?).min(RETRY_AFTER_MAX))
}

/// What comes first of the body; how much more there is does not matter, nor that it breaks off.
async fn first_bytes(mut response: Response) -> String {
    let mut bytes: Vec<u8> = Vec::new();
    while bytes.len() < ANSWER_BYTES {
        match response.chunk().await {
            Ok(Some(chunk)) => bytes.extend_from_slice(&chunk[..chunk.len().min(ANSWER_BYTES - bytes.len())]),
            Ok(None) | Err(_) => break,
        }
    }
    // A database keeps no text with a zero byte.
    String::from_utf8_lossy(&bytes).replace('\0', "\u{fffd}")
}

fn failure(error: reqwest::Error) -> PostFailure {
    let mut cause: Option<&(dyn Error + 'static)> = Some(&error);
    let mut innermost = String::new();
    while let Some(inner) = cause {
        if let Some(fault) = inner.downcast_ref::<AddressFault>() {
            return fault.clone().into();
        }
        innermost = inner.to_string();
        cause = inner.source();
    }
    if error.is_timeout() {
        PostFailure::Timeout
    } else if error.is_connect() {
        PostFailure::Connect(innermost)
    } else {
        PostFailure::Broken(innermost)
    }
}

#[cfg(test)]
mod tests {
    use std::io::{Read, Write};
    use std::net::TcpListener;

    use super::*;

    fn courier(allowed: &[&str]) -> Courier {
        Courier::new(AllowedHosts::new(allowed), Duration::from_secs(20)).unwrap()
    }

    /// A server that gives one answer, and what it was sent.
    fn answering(answer: &'static str) -> (u16, std::thread::JoinHandle<String>) {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let port = listener.local_addr().unwrap().port();
        let served = std::thread::spawn(move || {
            let (mut stream, _) = listener.accept().unwrap();
            let mut sent = Vec::new();
            let mut piece = [0; 4096];
            while !sent.ends_with(b"{\"a\":1}") {
                let read = stream.read(&mut piece).unwrap();
                sent.extend_from_slice(&piece[..read]);
            }
            stream.write_all(answer.as_bytes()).unwrap();
            String::from_utf8(sent).unwrap()
        });
        (port, served)
    }

    #[tokio::test]
    async fn a_message_is_posted_and_a_redirect_is_an_answer_like_any_other() {
        let answer = "HTTP/1.1 302 Found\r\nlocation: http://127.0.0.1:1/\r\nretry-after: 7\r\ncontent-length: 4\r\n\r\ngone";
        let (port, served) = answering(answer);
        let headers = [("webhook-id", "id-1".to_owned())];
        let (courier, address) = (courier(&["127.0.0.1"]), format!("http://127.0.0.1:{port}/h"));
        let posted = courier.post(&address, &headers, b"{\"a\":1}".to_vec()).await.unwrap();
        let retry_after = Some(Duration::from_secs(7));
        assert_eq!(posted, Posted { status: 302, answer: "gone".to_owned(), retry_after });
        let sent = served.join().unwrap();
        assert!(sent.starts_with("POST /h HTTP/1.1\r\n") && sent.contains("webhook-id: id-1\r\n"), "{sent}");
    }

    #[tokio::test]
    async fn a_name_that_leads_inside_is_refused_when_the_connection_is_made() {
        let refused = courier(&[]).post("https://localhost:1/", &[], Vec::new()).await.unwrap_err();
        assert!(matches!(refused, PostFailure::Address(AddressFault::NotOutside { .. })), "{refused:?}");
        let fault = courier(&[]).check("https://localhost/").await.unwrap_err();
        assert!(matches!(fault, AddressFault::NotOutside { .. }), "{fault:?}");
        courier(&[]).check("https://nowhere.invalid/").await.unwrap();
        let lost = courier(&[]).post("https://nowhere.invalid/", &[], Vec::new()).await.unwrap_err();
        assert_eq!(lost, PostFailure::Address(AddressFault::NotFound("nowhere.invalid".to_owned())));
    }

    #[tokio::test]
    async fn a_closed_door_is_a_failed_connection() {
        let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port();
        let failed =
            courier(&["127.0.0.1"]).post(&format!("http://127.0.0.1:{port}/"), &[], Vec::new()).await;
        assert!(matches!(failed, Err(PostFailure::Connect(_))), "{failed:?}");
    }

    #[tokio::test]
    async fn whoever_does_not_answer_in_time_is_left() {
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let address = format!("http://{}/", listener.local_addr().unwrap());
        let courier = Courier::new(AllowedHosts::new(["127.0.0.1"]), Duration::from_millis(200)).unwrap();
        assert_eq!(courier.post(&address, &[], Vec::new()).await, Err(PostFailure::Timeout));
    }
}
