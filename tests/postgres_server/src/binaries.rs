//! Finding and running the installed programs of PostgreSQL.

use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// Where Debian puts the programs, by version.
const DEBIAN_ROOT: &str = "/usr/lib/postgresql";

/// The folder of the newest installed server programs.
///
/// # Panics
/// Where none is installed: the tests cannot do without.
pub(crate) fn folder() -> PathBuf {
    let mut versions: Vec<(u32, PathBuf)> = std::fs::read_dir(DEBIAN_ROOT)
        .into_iter()
        .flatten()
        .flatten()
        .filter_map(|entry| {
            let version = entry.file_name().to_str()?.parse().ok()?;
            let bin = entry.path().join("bin");
            bin.join("initdb").is_file().then_some((version, bin))
        })
        .collect();
    versions.sort();
    if let Some((_, newest)) = versions.pop() {
        return newest;
    }
    let on_path = std::env::var_os("PATH")
        .and_then(|path| std::env::split_paths(&path).find(|folder| folder.join("initdb").is_file()));
    on_path.expect("PostgreSQL's server programs are installed (Debian: apt-get install postgresql)")
}

/// Whether this process may not run the server itself: it refuses to run as root.
pub(crate) fn runs_as_root() -> bool {
    let id = Command::new("id").arg("-u").output().expect("`id` runs");
    String::from_utf8_lossy(&id.stdout).trim() == "0"
}

/// A command that runs as the user that owns the server's files.
pub(crate) fn as_owner(program: impl AsRef<OsStr>) -> Command {
    let mut command = if runs_as_root() {
        let mut command = Command::new("runuser");
        command.args(["-u", "postgres", "--"]).arg(program);
        command
    } else {
        Command::new(program)
    };
    // The owner may not be allowed into the folder that the tests run in.
    command.current_dir("/").stdin(Stdio::null());
    command
}

/// Runs a command to its end.
///
/// # Panics
/// Where it fails, with what it said.
pub(crate) fn must_run(command: &mut Command) -> String {
    let Output { status, stdout, stderr } =
        command.output().unwrap_or_else(|error| panic!("{command:?} does not start: {error}"));
    let (stdout, stderr) = (String::from_utf8_lossy(&stdout), String::from_utf8_lossy(&stderr));
    assert!(status.success(), "{command:?} failed ({status}):\n{stdout}\n{stderr}");
    stdout.trim().to_owned()
}

/// A program of the folder.
pub(crate) fn program(folder: &Path, name: &str) -> PathBuf {
    folder.join(name)
}
