//! Writes to the terminal.

use std::io::{ErrorKind, Write};

use crate::failure::Failure;

/// Writes a text to the standard output. That nobody reads on (a pager that was left) is no failure.
pub fn say(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::service(format!("cannot write: {error}")))
        }
        _ => Ok(()),
    }
}

/// Writes a text to the standard error.
pub fn complain(text: &str) {
    // Where even that cannot be written, there is nobody left to tell.
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}
