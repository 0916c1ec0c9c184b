//! One exchange with the demo as it is kept for the OpenAPI document: a request that a person wrote, and the answer.

use std::collections::BTreeMap;
use std::path::PathBuf;
use std::time::Duration;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::harness::{Reply, Service};
use crate::steady::Steady;

/// An exchange. All but the answer is written by hand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Exchange {
    /// What the example shows.
    pub(crate) summary: String,
    /// Operations whose examples are sent before, so that there is something to ask for.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) after: Vec<String>,
    /// Requests that are sent after those and before this one, and of which nothing is shown.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub(crate) prepare: Vec<Prepared>,
    /// What is sent.
    pub(crate) request: Request,
    /// Lists of the answer, by JSON pointer, of which only the items from the one up to before the other are shown.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(crate) cut: BTreeMap<String, (usize, usize)>,
    /// What came back.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) response: Option<Response>,
}

/// A request that prepares another one.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Prepared {
    /// The operation.
    pub(crate) operation: String,
    /// What is sent.
    pub(crate) request: Request,
}

impl Prepared {
    /// The same as an exchange of its own.
    pub(crate) fn exchange(&self) -> Exchange {
        Exchange {
            summary: String::new(),
            after: Vec::new(),
            prepare: Vec::new(),
            request: self.request.clone(),
            cut: BTreeMap::new(),
            response: None,
        }
    }
}

/// What is sent.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Request {
    /// What stands in the path, as it is before it is encoded.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(crate) path: BTreeMap<String, String>,
    /// What stands in the query.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(crate) query: BTreeMap<String, Value>,
    /// Header fields.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(crate) headers: BTreeMap<String, String>,
    /// The body.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub(crate) body: Option<Value>,
}

/// What came back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Response {
    /// The status.
    pub(crate) status: u16,
    /// The body: JSON, or a text where it is none.
    pub(crate) body: Value,
}

/// Where an operation is asked.
#[derive(Debug, Clone)]
pub(crate) struct Place {
    /// The method.
    pub(crate) method: String,
    /// The path with its parameters in braces.
    pub(crate) path: String,
}

/// The file of an operation's example.
pub(crate) fn file_of(operation: &str) -> PathBuf {
    folder().join(format!("{operation}.json"))
}

/// Where the examples are kept.
pub(crate) fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("service/http_api/examples")
}

/// The places of all operations, from the document.
pub(crate) fn places() -> BTreeMap<String, Place> {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    let mut places = BTreeMap::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let place = Place { method: method.to_uppercase(), path: path.clone() };
            places.insert(operation["operationId"].as_str().unwrap().to_owned(), place);
        }
    }
    places
}

impl Exchange {
    /// Reads the example of an operation.
    pub(crate) fn read(operation: &str) -> Self {
        let file = file_of(operation);
        let text =
            std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()));
        serde_json::from_str(&text).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
    }

    /// Whether it leaves the service as it was, and needs nothing in it but the demo.
    pub(crate) fn only_reads(&self, place: &Place) -> bool {
        place.method == "GET" && self.after.is_empty() && self.prepare.is_empty()
    }

    /// Sends it, and gives the answer made steady and cut.
    pub(crate) async fn send(&self, service: &Service, place: &Place, steady: &mut Steady) -> Response {
        let reply = Reply::of(self.built(service, place, steady)).await;
        if reply.status == 202 {
            wait_for_the_end(service, reply.header("location")).await;
        }
        let is_json = reply.header("content-type").starts_with("application/json");
        let mut body = if is_json { reply.json() } else { Value::String(reply.text()) };
        for (pointer, (from, to)) in &self.cut {
            let list = body.pointer_mut(pointer).and_then(Value::as_array_mut);
            let list = list.unwrap_or_else(|| panic!("`cut` names {pointer}, where the answer has no list"));
            assert!(from < to && *to < list.len(), "`cut` leaves nothing of {pointer}, or all of it");
            list.truncate(*to);
            list.drain(..from);
        }
        steady.value(&mut body);
        Response { status: reply.status, body }
    }

    fn built(&self, service: &Service, place: &Place, steady: &Steady) -> reqwest::RequestBuilder {
        let mut path = place.path.clone();
        for (name, value) in &self.request.path {
            let named = format!("{{{name}}}");
            assert!(path.contains(&named), "{} has no {named}", place.path);
            path = path.replace(&named, &encoded(&steady.real(value)));
        }
        let query: Vec<String> = self
            .request
            .query
            .iter()
            .map(|(name, value)| format!("{name}={}", encoded(&word(value))))
            .collect();
        if !query.is_empty() {
            path = format!("{path}?{}", query.join("&"));
        }
        let mut request = service.request(&place.method, &path);
        for (name, value) in &self.request.headers {
            request = request.header(name, value);
        }
        match &self.request.body {
            Some(body) => {
                match body {
                    // A paper in its own media type.
                    Value::String(text) => request.body(steady.real(text)),
                    body => {
                        let body: Value = serde_json::from_str(&steady.real(&body.to_string())).unwrap();
                        request.json(&body)
                    }
                }
            }
            None => request,
        }
    }
}

/// Waits until what a long-running request began has ended.
async fn wait_for_the_end(service: &Service, location: &str) {
    for _ in 0..1200 {
        let state = service.get(location).await.expect(200).json()["state"].clone();
        if state != "waiting" && state != "running" {
            return;
        }
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
    panic!("what is at {location} does not end");
}

fn word(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

fn encoded(text: &str) -> String {
    let encode = |byte: u8| match byte {
        b'A'..=b'Z' | b'a'..=b'z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' => char::from(byte).to_string(),
        byte => format!("%{byte:02X}"),
    };
    text.bytes().map(encode).collect()
}
