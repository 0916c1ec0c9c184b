//! Shelf minimums, and the orders that they propose.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::Service;
use crate::jobs::Job;
use crate::orders::step;

tests![
    what_is_available_and_on_order_counts,
    what_is_ordered_for_a_job_is_spoken_for,
    many_at_once_reorder_once,
    minimums_go_in_and_out_as_csv,
    a_wrong_reorder_is_told_with_its_place,
];

const MINIMUMS: &str = "part,bin,minimum,order_up_to\n\
    VESSICK/S-1,,2,5\n\
    VESSICK/OIL-1,A-1,10,\n\
    VESSICK/B1A,,1,2\n\
    BRANNOCH/SH-200,,1,\n";

async fn load(service: &Service) {
    let import = service.import(json!({ "files": { "minimums.csv": MINIMUMS } })).await;
    assert_eq!(import["state"], "done", "{import}");
}

/// What is below its minimum, as `part available+on order lacking from supplier`.
async fn below(service: &Service) -> Vec<String> {
    let list = service.get("/v1/reorders").await.expect(200).json();
    let row = |row: &Value| {
        let field = |of: &Value, name: &str| of[name].as_str().unwrap_or("-").to_owned();
        let (available, on_order) = (field(row, "available"), field(row, "on_order"));
        let (quantity, supplier) = (field(&row["reorder"], "quantity"), field(&row["reorder"], "supplier"));
        format!("{} {available}+{on_order} {quantity} from {supplier}", field(row, "part"))
    };
    list["items"].as_array().unwrap().iter().map(row).collect()
}

async fn post(service: &Service, path: &str, body: Value) -> Value {
    service.post_once(path, &uuid::Uuid::now_v7().to_string(), &body).await.expect(201).json()
}

async fn what_is_available_and_on_order_counts(service: Arc<Service>) {
    load(&service).await;
    // Ten litres lie there: as much as there should be. Nobody sells the shaft of the drop box.
    let all =
        ["BRANNOCH/SH200 0+0 1 from -", "VESSICK/B1A 0+0 2 from OSTREL", "VESSICK/S1 0+0 5 from PELLWORTH"];
    assert_eq!(below(&service).await, all);
    let job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let reserve =
        json!({ "job": job.number(), "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "0.5" }] });
    post(&service, "/v1/reservations", reserve).await;
    assert!(below(&service).await.contains(&"VESSICK/OIL1 9.5+0 0.5 from OSTREL".to_owned()));

    let drafted = post(&service, "/v1/reorders", json!({ "by": "M. Brandl", "note": "For the shelf" })).await;
    let lines: Vec<String> = drafted["items"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|order| {
            let supplier = order["supplier"].as_str().unwrap().to_owned();
            let lines = order["lines"].as_array().unwrap().iter();
            lines.map(move |line| {
                format!("{supplier} {} {} {}", line["part"], line["quantity"], line["job"]).replace('"', "")
            })
        })
        .collect();
    assert_eq!(
        lines,
        ["OSTREL VESSICK/B1A 2 null", "OSTREL VESSICK/OIL1 1 null", "PELLWORTH VESSICK/S1 5 null"]
    );
    assert_eq!(drafted["items"][0]["note"], "For the shelf");
    // What is drafted is on order: only what nobody sells is left.
    assert_eq!(below(&service).await, ["BRANNOCH/SH200 0+0 1 from -"]);
    let again = service.post_once("/v1/reorders", "again", &json!({ "by": "M" })).await;
    again.problem(422, "bad-value");

    // Three of five seals come, two are called off: what came counts once, what is called off does not.
    let order = drafted["items"][1]["number"].as_str().unwrap();
    step(&service, order, json!({ "step": "place", "by": "M" })).await.expect(201);
    let counted = json!([{ "part": "VESSICK/S-1", "quantity": "1" }]);
    let body = json!({ "order": order, "counted": counted, "bin": "A-1", "by": "R", "more_to_come": true });
    post(&service, "/v1/receipts", body).await;
    assert_eq!(below(&service).await, ["BRANNOCH/SH200 0+0 1 from -"]);
    step(&service, order, json!({ "step": "close", "by": "M" })).await.expect(201);
    assert_eq!(below(&service).await, ["BRANNOCH/SH200 0+0 1 from -", "VESSICK/S1 1+0 4 from PELLWORTH"]);
    let page = service.get("/v1/reorders?limit=1").await.expect(200);
    assert_eq!(page.header("link"), "</v1/reorders?after=BRANNOCH%2FSH200&limit=1>; rel=\"next\"");
    let rest = service.get("/v1/reorders?after=BRANNOCH%2FSH200").await.expect(200).json();
    assert_eq!(rest["items"].as_array().unwrap().len(), 1);
}

async fn what_is_ordered_for_a_job_is_spoken_for(service: Arc<Service>) {
    load(&service).await;
    let job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let lines = json!([{ "part": "VESSICK/B1A", "quantity": "2" }]);
    post(&service, "/v1/orders", json!({ "job": job.number(), "lines": lines, "by": "M" })).await;
    assert!(below(&service).await.contains(&"VESSICK/B1A 0+0 2 from OSTREL".to_owned()));
    // A kit on order for the shelf brings its parts.
    post(&service, "/v1/orders", json!({ "lines": [{ "part": "K-100", "quantity": "1" }], "by": "M" })).await;
    assert_eq!(below(&service).await, ["BRANNOCH/SH200 0+0 1 from -", "VESSICK/S1 0+1 4 from PELLWORTH"]);
}

async fn many_at_once_reorder_once(service: Arc<Service>) {
    load(&service).await;
    let asked = json!({ "by": "M. Brandl" });
    let all = (0..8).map(|one| {
        let (service, asked) = (service.clone(), asked.clone());
        tokio::spawn(async move { service.post_once("/v1/reorders", &one.to_string(), &asked).await.status })
    });
    let mut statuses = Vec::new();
    for one in all.collect::<Vec<_>>() {
        statuses.push(one.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [201, 422, 422, 422, 422, 422, 422, 422]);
    let orders = service.get("/v1/orders").await.expect(200).json();
    assert_eq!(orders["items"].as_array().unwrap().len(), 2, "{orders}");
}

async fn minimums_go_in_and_out_as_csv(service: Arc<Service>) {
    load(&service).await;
    let text = service.get("/v1/exports/minimums.csv").await.expect(200).text();
    let rows: Vec<&str> = text.lines().collect();
    assert_eq!(
        rows,
        [
            "part,bin,minimum,order_up_to",
            "BRANNOCH/SH200,,1,",
            "VESSICK/B1A,,1,2",
            "VESSICK/OIL1,A-1,10,",
            "VESSICK/S1,,2,5",
        ]
    );
    for (row, column) in [
        ("VESSICK/S-1,,0,", "minimum"),
        ("VESSICK/S-1,,5,2", "order_up_to"),
        ("VESSICK/S-1,Z-9,5,", "bin"),
        ("VESSICK/NONE,,5,", "part"),
    ] {
        let wrong = format!("part,bin,minimum,order_up_to\n{row}\n");
        let import = service.import(json!({ "files": { "minimums.csv": wrong } })).await;
        assert_eq!(import["state"], "refused", "{import}");
        assert_eq!(import["result"]["faults"][0]["column"], column, "{import}");
    }
}

async fn a_wrong_reorder_is_told_with_its_place(service: Arc<Service>) {
    load(&service).await;
    let send = |body: Value| {
        let service = service.clone();
        async move { service.post_once("/v1/reorders", &uuid::Uuid::now_v7().to_string(), &body).await }
    };
    let problem = send(json!({ "by": "M", "parts": ["B1A", "OIL-1"] })).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/parts/1");
    let problem = send(json!({ "by": "M", "parts": ["NONE-1"] })).await.problem(422, "unknown-reference");
    assert_eq!(problem["errors"][0]["pointer"], "/parts/0");
    send(json!({ "by": " " })).await.problem(422, "bad-value");
    let unsold = send(json!({ "by": "M", "parts": ["SH-200"] })).await.problem(422, "bad-value");
    assert!(unsold["detail"].as_str().unwrap().contains("nobody sells"), "{unsold}");
    assert_eq!(service.get("/v1/orders").await.expect(200).json()["items"], json!([]));
    let one = send(json!({ "by": "M", "parts": ["VESSICK/S-1"] })).await.expect(201).json();
    assert_eq!(one["items"].as_array().unwrap().len(), 1);
}
