//! Writes to the terminal.

use std::io::{ErrorKind, Write};
use std::path::Path;

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

/// Writes a text into a file.
pub(crate) fn write_file(file: &Path, text: &str) -> Result<(), Failure> {
    std::fs::write(file, text)
        .map_err(|error| Failure::asked(format!("{} cannot be written: {error}", file.display())))
}

/// Writes a text to the standard error.
pub fn complain(text: &str) {
    // Where even that cannot be written, there is nobody left to tell.
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}
