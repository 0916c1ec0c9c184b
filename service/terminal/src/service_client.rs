//! Asks a running service over HTTP.

use std::time::Duration;

use operations::asked::Asked;
use reqwest::header::{AUTHORIZATION, HeaderMap, HeaderValue};
use reqwest::{Client, RequestBuilder, StatusCode};
use serde::{Deserialize, Serialize};

use crate::failure::Failure;

/// How long the service may take to answer.
const PATIENCE: Duration = Duration::from_secs(120);

/// A running service.
pub(crate) struct ServiceClient {
    client: Client,
    base: String,
}

/// What is read of a problem (RFC 9457).
#[derive(Deserialize)]
struct Problem {
    #[serde(default)]
    title: String,
    #[serde(default)]
    detail: String,
    #[serde(default)]
    suggestions: Vec<String>,
    #[serde(default)]
    errors: Vec<FieldError>,
}

#[derive(Deserialize)]
struct FieldError {
    #[serde(default)]
    suggestions: Vec<String>,
}

impl ServiceClient {
    /// The service at an address, asked with a key.
    pub(crate) fn new(url: &str, key: Option<&str>) -> Result<Self, Failure> {
        // The only provider of cryptography that is linked; a second call finds it in place.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let client = Client::builder().timeout(PATIENCE).default_headers(headers_with(key)?).build();
        let client = client.map_err(|error| Failure::service(format!("cannot set up HTTP: {error}")))?;
        if !url.starts_with("http://") && !url.starts_with("https://") {
            return Err(Failure::command_line(format!(
                "`{url}` is no address of a service: write http://HOST:PORT"
            )));
        }
        Ok(Self { client, base: url.trim_end_matches('/').to_owned() })
    }

    /// The text at a path.
    pub(crate) async fn get(&self, path: &str, query: &[(&str, &str)]) -> Result<String, Failure> {
        let mut address = format!("{}{path}", self.base);
        for (at, (name, value)) in query.iter().enumerate() {
            let sign = if at == 0 { '?' } else { '&' };
            address.push_str(&format!("{sign}{name}={}", segment(value)));
        }
        self.text(self.client.get(address)).await
    }

    /// What is at a path, as a media type.
    pub(crate) async fn get_as(&self, path: &str, media_type: &str) -> Result<String, Failure> {
        self.text(self.client.get(format!("{}{path}", self.base)).header("accept", media_type)).await
    }

    /// The answer to a request, not stored.
    pub(crate) async fn requirement(&self, asked: &Asked) -> Result<String, Failure> {
        self.answer("/v1/requirements", asked).await
    }

    /// The answer to what is sent to a path.
    pub(crate) async fn answer<T: Serialize>(&self, path: &str, asked: &T) -> Result<String, Failure> {
        self.text(self.client.post(format!("{}{path}", self.base)).json(asked)).await
    }

    /// The answer to a request, stored as a quote.
    pub(crate) async fn store_quote(&self, asked: &Asked) -> Result<String, Failure> {
        let key = format!("\"{}\"", uuid::Uuid::now_v7());
        let post = self.client.post(format!("{}/v1/quotes", self.base)).header("idempotency-key", key);
        self.text(post.json(asked)).await
    }

    /// The answer to what is posted once, whatever the state of what it speaks of.
    pub(crate) async fn post(&self, path: &str, body: &impl serde::Serialize) -> Result<String, Failure> {
        let key = format!("\"{}\"", uuid::Uuid::now_v7());
        let post = self.client.post(format!("{}{path}", self.base)).header("idempotency-key", key);
        self.text(post.header("if-match", "*").json(body)).await
    }

    /// What is at a path after it was replaced, whatever it was.
    pub(crate) async fn put(&self, path: &str, body: &impl serde::Serialize) -> Result<String, Failure> {
        let put = self.client.put(format!("{}{path}", self.base)).header("if-match", "*");
        self.text(put.json(body)).await
    }

    async fn text(&self, request: RequestBuilder) -> Result<String, Failure> {
        let unreachable = |error: reqwest::Error| {
            let cause = std::error::Error::source(&error).map_or(String::new(), |cause| format!(": {cause}"));
            Failure::service(format!("cannot ask the service at {}{cause}", self.base))
        };
        let response = request.send().await.map_err(unreachable)?;
        let status = response.status();
        let text = response.text().await.map_err(unreachable)?;
        if status.is_success() { Ok(text) } else { Err(self.refused(status, &text)) }
    }

    fn refused(&self, status: StatusCode, text: &str) -> Failure {
        let Ok(problem) = serde_json::from_str::<Problem>(text) else {
            return Failure::service(format!(
                "{} answers {status}, which is no service of this kind",
                self.base
            ));
        };
        let mut message = if problem.detail.is_empty() { problem.title } else { problem.detail };
        let from_fields = problem.errors.into_iter().flat_map(|error| error.suggestions);
        let suggestions: Vec<String> = problem.suggestions.into_iter().chain(from_fields).collect();
        if suggestions.len() > 1 {
            message.push_str(&format!("\nclosest: {}", suggestions.join(", ")));
        }
        if status.is_server_error() { Failure::service(message) } else { Failure::asked(message) }
    }
}

fn headers_with(key: Option<&str>) -> Result<HeaderMap, Failure> {
    let mut headers = HeaderMap::new();
    if let Some(key) = key {
        let value = HeaderValue::from_str(&format!("Bearer {key}"));
        let mut value = value
            .map_err(|_| Failure::command_line("--key: a key has letters and digits only".to_owned()))?;
        value.set_sensitive(true);
        headers.insert(AUTHORIZATION, value);
    }
    Ok(headers)
}

/// A text as one segment of a path or one value of a query (RFC 3986: unreserved characters stay).
pub(crate) fn segment(text: &str) -> String {
    let mut encoded = String::with_capacity(text.len());
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'.' | b'_' | b'~') {
            encoded.push(char::from(byte));
        } else {
            encoded.push_str(&format!("%{byte:02X}"));
        }
    }
    encoded
}
