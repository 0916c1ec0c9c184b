//! What README.md shows is what happens: every command in it is run on a served demo, and prints what stands there.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use tempfile::TempDir;
use tokio::task::spawn_blocking;

use crate::harness::{DatabaseKind, Reply, Service};
use crate::readme_commands::{Shown, commands, holds, with_still_ids, words};
use crate::served::{Served, binary, free_port};

tests![
    the_commands_of_the_readme_print_what_it_shows,
    a_quote_is_the_same_from_the_file_and_from_the_service,
    what_is_not_printed_is_noticed,
];

/// The file of the demo's database, and where the demo is served, as the README has them.
const FILE: &str = "crownwheel-demo.db";
const URL: &str = "http://127.0.0.1:8080";

async fn the_commands_of_the_readme_print_what_it_shows(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let folder = tempfile::tempdir().unwrap();
    let shown = commands(&std::fs::read_to_string(root().join("README.md")).unwrap());
    assert!(shown.len() >= 12, "only {} commands were found in the README", shown.len());
    for shown in &shown {
        let Some(printed) = run(shown, &demo, &folder).await else { continue };
        assert_as_shown("README.md", shown, &printed, &demo);
    }
    demo.stop().await;
}

/// Fails where a command of a text printed another thing than is shown there.
pub(crate) fn assert_as_shown(text: &str, shown: &Shown, printed: &str, demo: &Service) {
    let printed = with_still_ids(&printed.replace(&demo.database, FILE).replace(&demo.url, URL));
    holds(&printed, &with_still_ids(&shown.output)).unwrap_or_else(|why| {
        panic!("{text}: `{}` prints otherwise: {why}\nprinted:\n{printed}", shown.command)
    });
}

/// Runs a command, and gives what it prints; nothing for the one that runs these tests.
async fn run(shown: &Shown, demo: &Service, folder: &TempDir) -> Option<String> {
    let words = words(&shown.command);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["cargo", "test"] => None,
        ["cargo", "run", "--release", "--", "demo"] => Some(load_demo(demo.kind).await),
        ["crownwheel", "serve", "--database", address] if address.starts_with("postgres://") => {
            let port = free_port();
            let listen = format!("127.0.0.1:{port}");
            let mut command = binary();
            command.args(["serve", "--database", &demo.database, "--listen", &listen]);
            Some(Served::start(&mut command, port, TRACE).await.stop().await)
        }
        ["crownwheel", rest @ ..] => Some(crownwheel(rest, demo, folder).await),
        ["curl", rest @ ..] => {
            let keys = Keys::from([("$CROWNWHEEL_KEY".to_owned(), demo.key.clone())]);
            Some(curl(rest, demo, &keys, root()).await)
        }
        _ => panic!("README: `{}` is of no kind that this test can run", shown.command),
    }
}

const TRACE: &str = "00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01";

/// The first command: a database without the demo is filled, and a quote is printed.
async fn load_demo(kind: DatabaseKind) -> String {
    let folder = tempfile::tempdir().unwrap();
    let place = match kind {
        DatabaseKind::Sqlite => FILE.to_owned(),
        DatabaseKind::Postgres => {
            spawn_blocking(|| postgres_server::shared().create_database()).await.unwrap()
        }
    };
    let arguments = ["demo", "--no-serve", "--file", &place];
    output(binary().args(arguments).current_dir(folder.path())).await.replace(&place, FILE)
}

/// Keys by the names under which a text has them.
pub(crate) type Keys = BTreeMap<String, String>;

/// A command of the binary on the demo; a folder that is read is that of the demo's files.
pub(crate) async fn crownwheel(arguments: &[&str], demo: &Service, folder: &TempDir) -> String {
    let (read, written) = (root().join("seed-data"), folder.path().join("written"));
    let place = |word: &str| match (word, arguments[0]) {
        ("DIR", "export") => written.to_str().unwrap().to_owned(),
        ("DIR", _) => read.to_str().unwrap().to_owned(),
        (word, _) if word.starts_with("postgres://") => demo.database.clone(),
        (FILE, _) => demo.database.clone(),
        (URL, _) => demo.url.clone(),
        (word, _) => word.to_owned(),
    };
    let mut command = binary();
    command.env("CROWNWHEEL_KEY", &demo.key);
    command.args(arguments.iter().map(|word| place(word))).current_dir(folder.path());
    if !arguments.contains(&"--url") && !arguments.contains(&"--database") {
        command.env("CROWNWHEEL_DATABASE", &demo.database);
    }
    output(&mut command).await
}

async fn output(command: &mut std::process::Command) -> String {
    let child = command.stdin(std::process::Stdio::null()).stdout(std::process::Stdio::piped());
    let child = child.stderr(std::process::Stdio::piped()).spawn().unwrap();
    let output = spawn_blocking(move || child.wait_with_output().unwrap()).await.unwrap();
    assert!(output.status.success(), "{command:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// A request as `curl -s` sends it: `-H` is a header field, `-d` a body that makes it a POST, `--data-binary @FILE` one that
/// lies in a file of a folder.
pub(crate) async fn curl(arguments: &[&str], demo: &Service, keys: &Keys, folder: &Path) -> String {
    let (mut method, mut headers, mut body, mut url) = ("GET", Vec::new(), None, None);
    let mut words = arguments.iter();
    while let Some(word) = words.next() {
        match *word {
            "-s" => {}
            "-X" => method = words.next().unwrap(),
            "-H" => headers.push(words.next().unwrap().split_once(": ").unwrap()),
            "-d" => body = words.next().map(|body| (*body).to_owned()),
            "--data-binary" => {
                let file = words.next().unwrap().strip_prefix('@').unwrap();
                body = Some(std::fs::read_to_string(folder.join(file)).unwrap());
            }
            word if word.starts_with(URL) => url = word.strip_prefix(URL),
            word => panic!("README: curl with `{word}`, which this test does not know"),
        }
    }
    if body.is_some() && method == "GET" {
        method = "POST";
    }
    let mut request = demo.request_with(None, method, url.unwrap());
    for (name, value) in headers {
        let value = keys.iter().fold(value.to_owned(), |value, (name, key)| value.replace(name, key));
        request = request.header(name, value);
    }
    if let Some(body) = body {
        request = request.body(body);
    }
    Reply::of(request).await.text()
}

async fn a_quote_is_the_same_from_the_file_and_from_the_service(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    for unit in ["BN-552", "BN-640"] {
        let quote = ["quote", unit, "--as-of", "2026-11-25"];
        let here = output(binary().args(quote).args(["--database", &demo.database])).await;
        let there = output(binary().args(quote).args(["--url", &demo.url, "--key", &demo.key])).await;
        assert!(here.contains(unit) && here.contains("TO PAY"), "{here}");
        assert_eq!(here, there, "{unit}");
    }
    demo.stop().await;
}

async fn what_is_not_printed_is_noticed(_: Arc<Service>) {
    let text = "```console\n$ one 'a b' \\\n    -d \"{'x': 1}\"  # remark\nfirst\n...\nlast\n$ two\n```\n";
    let shown = commands(text);
    assert_eq!((shown.len(), shown[1].command.as_str()), (2, "two"));
    assert_eq!(words(&shown[0].command), ["one", "a b", "-d", "{'x': 1}"]);
    let expected = &shown[0].output;
    for printed in ["first\nlast\n", "first\nmiddle\nlast\n"] {
        assert_eq!(holds(printed, expected), Ok(()), "{printed}");
    }
    for printed in ["first\n", "last\n", "other\nfirst\nlast\n", "first\nlast\nmore\n", "last\nfirst\n"] {
        assert!(holds(printed, expected).is_err(), "{printed}");
    }
    assert!(holds("whole\nand more\n", "whole\n").is_err());
}

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}
