//! The binary serving in a process of its own.

use std::process::{Child, Command, Stdio};
use std::time::Duration;

use tokio::task::spawn_blocking;

use crate::harness::client;

/// A running `crownwheel serve`; it is killed where a test panics.
pub(crate) struct Served {
    child: Option<Child>,
}

/// A port that was free a moment ago.
pub(crate) fn free_port() -> u16 {
    std::net::TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

/// The binary, without what the tester's own environment says.
pub(crate) fn binary() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_crownwheel"));
    for name in [
        "CROWNWHEEL_DATABASE",
        "CROWNWHEEL_LISTEN",
        "CROWNWHEEL_LOG",
        "CROWNWHEEL_KEY",
        "CROWNWHEEL_RATE_LIMIT",
        "CROWNWHEEL_ALLOW_WEBHOOK_HOST",
        "COLUMNS",
        "RUST_LOG",
    ] {
        command.env_remove(name);
    }
    command
}

impl Served {
    /// Starts the binary and waits until the service at this port can work.
    pub(crate) async fn start(command: &mut Command, port: u16, trace: &str) -> Self {
        Self::start_as_it_is(command.stdout(Stdio::null()), port, trace).await
    }

    /// The same, where the command says where its output goes.
    pub(crate) async fn start_as_it_is(command: &mut Command, port: u16, trace: &str) -> Self {
        let child = command.stdin(Stdio::null()).stderr(Stdio::piped()).spawn().unwrap();
        let mut served = Self { child: Some(child) };
        let client = client();
        let ready = format!("http://127.0.0.1:{port}/readyz");
        for _ in 0..1500 {
            if let Ok(reply) = client.get(&ready).header("traceparent", trace).send().await {
                assert_eq!(reply.status().as_u16(), 200);
                return served;
            }
            if let Some(ended) = served.child.as_mut().unwrap().try_wait().unwrap() {
                panic!("the service ended with {ended}: {}", served.stop().await);
            }
            tokio::time::sleep(Duration::from_millis(20)).await;
        }
        panic!("the service does not start");
    }

    /// Kills it on the spot (SIGKILL), as a loss of power would, and waits until it is gone.
    pub(crate) async fn kill(mut self) {
        let mut child = self.child.take().unwrap();
        let ended = spawn_blocking(move || {
            child.kill().unwrap();
            child.wait().unwrap()
        });
        assert!(!ended.await.unwrap().success(), "it was killed");
    }

    /// Kills it on the spot (SIGKILL).
    pub(crate) fn kill_now(&mut self) {
        if let Some(mut child) = self.child.take() {
            child.kill().unwrap();
            child.wait().unwrap();
        }
    }

    /// Tells it to terminate, and gives its log once it has ended well.
    pub(crate) async fn stop(mut self) -> String {
        let child = self.child.take().unwrap();
        let id = child.id().to_string();
        let output = spawn_blocking(move || {
            // A process that has ended by itself has no need of a signal.
            let _signalled = Command::new("kill").args(["-TERM", &id]).status().unwrap();
            child.wait_with_output().unwrap()
        });
        let output = output.await.unwrap();
        let log = String::from_utf8(output.stderr).unwrap();
        assert!(output.status.success(), "{log}");
        log
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        if let Some(mut child) = self.child.take() {
            let _killed = child.kill();
            let _ended = child.wait();
        }
    }
}
