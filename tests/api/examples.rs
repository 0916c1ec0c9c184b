//! The examples of the OpenAPI document are what the service answers from the demo, on both databases.
//!
//! Each is a file `service/http_api/examples/<operation id>.json`. Where a request was changed or written anew, the
//! answers are written into the files by
//!
//! ```text
//! CROWNWHEEL_RENEW_EXAMPLES=1 cargo test --test api -- examples
//! ```

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::exchange::{Exchange, Place, file_of, folder, places};
use crate::harness::{DatabaseKind, Service};
use crate::steady::Steady;

tests![the_examples_of_the_document_are_what_the_demo_answers];

const RENEW: &str = "CROWNWHEEL_RENEW_EXAMPLES";

async fn the_examples_of_the_document_are_what_the_demo_answers(service: Arc<Service>) {
    let places = places();
    let mut wrong = Vec::new();
    let reader = Service::start_demo(service.kind).await;
    for operation in written() {
        let place = places.get(&operation).unwrap_or_else(|| panic!("no operation is called `{operation}`"));
        let kept = Exchange::read(&operation);
        let response = if kept.only_reads(place) {
            kept.send(&reader, place, &mut Steady::default()).await
        } else {
            let own = Service::start_demo(service.kind).await;
            let mut steady = Steady::default();
            send_those_before(&kept, &own, &places, &mut steady).await;
            let response = kept.send(&own, place, &mut steady).await;
            own.stop().await;
            response
        };
        let sent = Exchange { response: Some(response), ..kept.clone() };
        if std::env::var_os(RENEW).is_some() && service.kind == DatabaseKind::Sqlite {
            let text = serde_json::to_string_pretty(&sent).unwrap();
            std::fs::write(file_of(&operation), format!("{text}\n")).unwrap();
        } else if std::env::var_os(RENEW).is_none() && sent != kept {
            wrong.push(format!("{operation} is answered with\n{:#?}", sent.response));
        }
    }
    reader.stop().await;
    assert!(
        wrong.is_empty(),
        "examples are old; renew them with\n    {RENEW}=1 cargo test --test api -- examples\n    cargo run -q -- \
         openapi > openapi/openapi.json\n{}",
        wrong.join("\n")
    );
}

/// The operations whose files are there.
fn written() -> Vec<String> {
    let files = std::fs::read_dir(folder()).unwrap().map(|entry| entry.unwrap().path());
    let mut operations: Vec<String> = files
        .filter(|file| file.extension().is_some_and(|extension| extension == "json"))
        .map(|file| file.file_stem().unwrap().to_str().unwrap().to_owned())
        .collect();
    operations.sort();
    assert!(!operations.is_empty());
    operations
}

/// Sends the examples that come before one, each after those before it, and then what prepares it.
pub(crate) async fn send_those_before(
    exchange: &Exchange,
    service: &Service,
    places: &BTreeMap<String, Place>,
    steady: &mut Steady,
) {
    for operation in &exchange.after {
        let before = Exchange::read(operation);
        Box::pin(send_those_before(&before, service, places, steady)).await;
        let response = before.send(service, &places[operation], steady).await;
        assert!(response.status < 300, "{operation}: {:?}", response.body);
    }
    for prepared in &exchange.prepare {
        let operation = &prepared.operation;
        let response = prepared.exchange().send(service, &places[operation], steady).await;
        assert!(response.status < 300, "{operation}: {:?}", response.body);
    }
}
