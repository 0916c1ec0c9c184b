//! A target of webhooks: it keeps what it was sent, and answers as it is told.

use std::sync::{Arc, Mutex};
use std::time::Duration;

use serde_json::Value;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::net::{TcpListener, TcpStream};

/// A message as it came.
#[derive(Debug, Clone)]
pub(crate) struct Message {
    /// The first line of the request.
    pub(crate) line: String,
    /// The header fields, names in lower case.
    pub(crate) headers: Vec<(String, String)>,
    /// The body.
    pub(crate) body: String,
}

impl Message {
    /// A header field; empty where it is not there.
    pub(crate) fn header(&self, name: &str) -> &str {
        self.headers.iter().find(|(known, _)| known == name).map_or("", |(_, value)| value)
    }

    /// The event that it is.
    pub(crate) fn event(&self) -> Value {
        serde_json::from_str(&self.body).unwrap()
    }

    /// What the event speaks of.
    pub(crate) fn subject(&self) -> String {
        self.event()["subject"].as_str().unwrap().to_owned()
    }

    /// The place of the event among all.
    pub(crate) fn sequence(&self) -> i64 {
        self.event()["sequence"].as_str().unwrap().parse().unwrap()
    }
}

/// How a message is answered.
#[derive(Debug, Clone)]
pub(crate) enum Answer {
    /// With a status, more header fields, and a body.
    Status(u16, &'static str, &'static str),
    /// With 200 after a while.
    Slowly(Duration),
    /// Not at all: the connection is closed.
    Nothing,
}

/// The usual answer.
pub(crate) const OK: Answer = Answer::Status(200, "", "taken");

type Decide = Arc<dyn Fn(&Message, usize) -> Answer + Send + Sync>;

/// A target under way; it ends with the test.
pub(crate) struct Receiver {
    /// Its address.
    pub(crate) url: String,
    kept: Arc<Mutex<Vec<(Message, bool)>>>,
    task: tokio::task::JoinHandle<()>,
}

impl Receiver {
    /// A target that answers as a function says of a message and how many came before it.
    pub(crate) async fn start(decide: impl Fn(&Message, usize) -> Answer + Send + Sync + 'static) -> Self {
        let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
        let url = format!("http://{}/hook", listener.local_addr().unwrap());
        let kept: Arc<Mutex<Vec<(Message, bool)>>> = Arc::default();
        let (decide, all): (Decide, _) = (Arc::new(decide), kept.clone());
        let task = tokio::spawn(async move {
            loop {
                let (stream, _) = listener.accept().await.unwrap();
                let (decide, all) = (decide.clone(), all.clone());
                tokio::spawn(async move { serve(stream, &decide, &all).await });
            }
        });
        Self { url, kept, task }
    }

    /// All messages, in the order in which they came.
    pub(crate) fn all(&self) -> Vec<Message> {
        self.kept.lock().unwrap().iter().map(|(message, _)| message.clone()).collect()
    }

    /// Those that were taken, in the order in which they came.
    pub(crate) fn taken(&self) -> Vec<Message> {
        self.kept
            .lock()
            .unwrap()
            .iter()
            .filter(|(_, taken)| *taken)
            .map(|(message, _)| message.clone())
            .collect()
    }

    /// Waits until what was sent is enough.
    #[track_caller]
    pub(crate) fn until(&self, enough: impl Fn(&Self) -> bool + Send) -> impl Future<Output = ()> {
        let place = std::panic::Location::caller();
        async move {
            for _ in 0..2_400 {
                if enough(self) {
                    return;
                }
                tokio::time::sleep(Duration::from_millis(50)).await;
            }
            panic!("what {place} waits for does not come; {} messages did", self.all().len());
        }
    }
}

impl Drop for Receiver {
    fn drop(&mut self) {
        self.task.abort();
    }
}

async fn serve(mut stream: TcpStream, decide: &Decide, all: &Mutex<Vec<(Message, bool)>>) {
    let Some(message) = read(&mut stream).await else { return };
    let answer = {
        let mut all = all.lock().unwrap();
        let answer = decide(&message, all.len());
        let taken = matches!(answer, Answer::Status(200..300, ..) | Answer::Slowly(_));
        all.push((message, taken));
        answer
    };
    let (status, fields, body) = match answer {
        Answer::Status(status, fields, body) => (status, fields, body),
        Answer::Slowly(wait) => {
            tokio::time::sleep(wait).await;
            (200, "", "")
        }
        Answer::Nothing => return,
    };
    let text = format!(
        "HTTP/1.1 {status} .\r\n{fields}content-length: {}\r\nconnection: close\r\n\r\n{body}",
        body.len()
    );
    // Whoever has gone does not want the answer.
    let _ = stream.write_all(text.as_bytes()).await;
}

async fn read(stream: &mut TcpStream) -> Option<Message> {
    let mut bytes = Vec::new();
    let head = loop {
        if stream.read_buf(&mut bytes).await.ok()? == 0 {
            return None;
        }
        if let Some(end) = bytes.windows(4).position(|four| four == b"\r\n\r\n") {
            break end;
        }
    };
    let text = String::from_utf8(bytes[..head].to_vec()).unwrap();
    let mut lines = text.split("\r\n");
    let line = lines.next().unwrap().to_owned();
    let field = |line: &str| {
        let (name, value) = line.split_once(':').unwrap();
        (name.to_ascii_lowercase(), value.trim().to_owned())
    };
    let headers: Vec<(String, String)> = lines.map(field).collect();
    let length =
        headers.iter().find(|(name, _)| name == "content-length").unwrap().1.parse::<usize>().unwrap();
    while bytes.len() < head + 4 + length {
        if stream.read_buf(&mut bytes).await.ok()? == 0 {
            return None;
        }
    }
    let body = String::from_utf8(bytes[head + 4..].to_vec()).unwrap();
    Some(Message { line, headers, body })
}
