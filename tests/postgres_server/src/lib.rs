//! A real PostgreSQL server for the tests, made from the installed binaries and gone with the test process.
//!
//! ```no_run
//! let server = postgres_server::shared();
//! let url = server.create_database(); // empty, its own
//! ```
//!
//! The server has a data directory and a Unix socket of its own under the system's directory for temporary files, and
//! no TCP port, so any number of test processes run side by side. Its default order of text is that of a language, not
//! of code points, so that a column that forgets its `COLLATE "C"` is found out.
//!
//! A guard process holds the reading end of a pipe. When the test process ends, in whatever way, the pipe closes, and the
//! guard stops the server and removes its directory.

mod binaries;
mod guard;
mod server;

pub use server::{Server, shared};
