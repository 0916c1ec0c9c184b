//! The guide in `openapi/README.md` is what happens: every request in it is sent to a served demo, in its order, and answers
//! what stands there.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use tempfile::TempDir;

use crate::harness::Service;
use crate::readme::{Keys, assert_as_shown, crownwheel, curl};
use crate::readme_commands::{commands, words};

tests![the_requests_of_the_guide_are_answered_as_shown];

async fn the_requests_of_the_guide_are_answered_as_shown(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let folder = tempfile::tempdir().unwrap();
    let shown = commands(&std::fs::read_to_string(guide().join("README.md")).unwrap());
    assert!(shown.len() >= 15, "only {} commands were found in the guide", shown.len());
    let mut keys = Keys::default();
    for shown in &shown {
        let printed = run(&shown.command, &demo, &folder, &mut keys).await;
        assert_as_shown("openapi/README.md", shown, &printed, &demo);
    }
    demo.stop().await;
}

async fn run(command: &str, demo: &Service, folder: &TempDir, keys: &mut Keys) -> String {
    let words = words(command);
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["crownwheel", "keys", "create", "--role", role, ..] => {
            let printed = crownwheel(&words[1..], demo, folder).await;
            let key = printed.split_whitespace().find(|word| word.starts_with("cw_")).unwrap();
            // The guide calls each key by the first word of its role.
            let name = role.split('_').next().unwrap().to_uppercase();
            keys.insert(format!("${name}_KEY"), key.to_owned());
            printed
        }
        ["curl", rest @ ..] => curl(rest, demo, keys, &guide()).await,
        _ => panic!("openapi/README.md: `{command}` is of no kind that this test can run"),
    }
}

fn guide() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("openapi")
}
