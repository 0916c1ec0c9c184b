//! The process that clears up behind the tests.

use std::path::Path;
use std::process::{Child, Command, Stdio};

use crate::binaries::runs_as_root;

/// Waits for the end of its input, that is of this process, then stops the server and removes its files.
const SCRIPT: &str = r#"
read -r _
if [ "$3" = root ]; then
    runuser -u postgres -- "$1/pg_ctl" stop -D "$2/data" -m immediate -t 20
else
    "$1/pg_ctl" stop -D "$2/data" -m immediate -t 20
fi
rm -rf "$2"
"#;

/// Starts the guard of a server that lives in `home`. The guard acts when the child's input is closed.
pub(crate) fn stand_guard(binaries: &Path, home: &Path) -> Child {
    let owner = if runs_as_root() { "root" } else { "self" };
    // A session of its own: an interrupt from the keyboard ends the tests, not the guard.
    Command::new("setsid")
        .args(["sh", "-c", SCRIPT, "guard"])
        .arg(binaries)
        .arg(home)
        .arg(owner)
        .current_dir("/")
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .expect("`setsid` and `sh` run")
}
