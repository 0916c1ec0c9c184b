//! The server and its databases.

use std::collections::BTreeSet;
use std::path::PathBuf;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Mutex, OnceLock, PoisonError};

use crate::binaries::{as_owner, folder, must_run, program};
use crate::guard::stand_guard;

/// What makes a server quick that need not outlive a crash.
const SETTINGS: &str = "-c listen_addresses='' -c fsync=off -c synchronous_commit=off -c full_page_writes=off \
     -c max_connections=200 -c shared_buffers=64MB -c autovacuum=off -c max_wal_size=1GB -c jit=off";

/// A running server. It stops, and its files go, when this value or the process goes.
#[derive(Debug)]
pub struct Server {
    binaries: PathBuf,
    home: PathBuf,
    guard: Child,
    made: AtomicU32,
    templates: Mutex<BTreeSet<String>>,
}

/// The server of this test process, started at the first call.
pub fn shared() -> &'static Server {
    static SERVER: OnceLock<Server> = OnceLock::new();
    SERVER.get_or_init(Server::start)
}

impl Server {
    /// Starts a server with a fresh data directory.
    ///
    /// # Panics
    /// Where PostgreSQL is not installed or does not start.
    pub fn start() -> Self {
        let binaries = folder();
        let home = must_run(as_owner("mktemp").args(["-d", "-t", "crownwheel-pg-XXXXXXXX"]));
        let home = PathBuf::from(home);
        let guard = stand_guard(&binaries, &home);
        must_run(
            as_owner(program(&binaries, "initdb"))
                .args(["--username=postgres", "--auth=trust", "--encoding=UTF8", "--no-sync"])
                .args(["--locale=C.UTF-8", "--locale-provider=icu", "--icu-locale=en"])
                .arg("--pgdata")
                .arg(home.join("data")),
        );
        // The server inherits the output of whoever starts it, and would hold a pipe of the test runner open.
        let started = as_owner(program(&binaries, "pg_ctl"))
            .args(["start", "--wait", "--silent", "--timeout=60", "--log"])
            .arg(home.join("log"))
            .arg("--pgdata")
            .arg(home.join("data"))
            .arg("--options")
            .arg(format!("{SETTINGS} -c unix_socket_directories='{}'", home.display()))
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .status()
            .expect("`pg_ctl` runs");
        let log = || std::fs::read_to_string(home.join("log")).unwrap_or_default();
        assert!(started.success(), "the server did not start:\n{}", log());
        Self { binaries, home, guard, made: AtomicU32::new(0), templates: Mutex::default() }
    }

    /// The address of a database of this server.
    pub fn url(&self, database: &str) -> String {
        format!("postgres://postgres@localhost/{database}?host={}", self.home.display())
    }

    /// Makes an empty database and gives its address.
    pub fn create_database(&self) -> String {
        self.clone_of("template1")
    }

    /// Makes a copy of a template database and gives its address. The first call for a name makes the template: an
    /// empty database that `prepare` gets the address of, and must leave without open connections.
    ///
    /// # Panics
    /// Where PostgreSQL refuses, as it does while someone is connected to the template.
    pub fn create_database_like(&self, template: &str, prepare: impl FnOnce(&str)) -> String {
        {
            let mut templates = self.templates.lock().unwrap_or_else(PoisonError::into_inner);
            if !templates.contains(template) {
                self.create(template, "template1");
                prepare(&self.url(template));
                templates.insert(template.to_owned());
            }
        }
        self.clone_of(template)
    }

    /// Runs a statement in a database by PostgreSQL's own client and gives what it prints, without decoration.
    pub fn query(&self, database: &str, sql: &str) -> String {
        must_run(
            self.client("psql")
                .args(["--no-psqlrc", "--tuples-only", "--no-align", "--set=ON_ERROR_STOP=1", "--dbname"])
                .args([database, "--command", sql]),
        )
    }

    fn clone_of(&self, template: &str) -> String {
        let name = format!("{template}_{}", self.made.fetch_add(1, Ordering::Relaxed));
        self.create(&name, template);
        self.url(&name)
    }

    fn create(&self, name: &str, template: &str) {
        must_run(self.client("createdb").args(["--template", template, name]));
    }

    fn client(&self, name: &str) -> Command {
        let mut command = Command::new(program(&self.binaries, name));
        command.env_clear().current_dir("/").stdin(Stdio::null());
        command.arg("--host").arg(&self.home).args(["--username", "postgres"]);
        command
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Closing the guard's input makes it act; waiting means that the files are gone when the value is.
        drop(self.guard.stdin.take());
        let _ended = self.guard.wait();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_server_serves_databases_of_their_own_and_leaves_nothing_behind() {
        let server = Server::start();
        let home = server.home.clone();
        let prepared = AtomicU32::new(0);
        let like = || {
            server.create_database_like("told", |url| {
                assert_eq!(url, server.url("told"));
                prepared.fetch_add(1, Ordering::Relaxed);
                server.query(
                    "told",
                    "CREATE TABLE notes (note text); INSERT INTO notes VALUES ('b'), ('B'), ('a')",
                );
            })
        };
        assert_ne!(like(), like());
        server.query("told_0", "DELETE FROM notes WHERE note = 'b'");
        assert_eq!(server.query("told_1", "SELECT count(*) FROM notes"), "3");
        assert_eq!(prepared.into_inner(), 1);
        // The order of a language, which no code should lean on.
        let order = "SELECT string_agg(note, ' ' ORDER BY note) FROM notes";
        assert_eq!(server.query("told_1", order), "a b B");
        drop(server);
        assert!(!home.exists(), "{}", home.display());
    }
}
