//! Counts of the shelf, while it goes on moving.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};

tests![
    the_whole_shelf_is_counted_and_its_differences_booked,
    what_moved_since_the_sheet_was_printed_is_not_lost,
    one_count_is_booked_once,
    a_wrong_count_is_told_with_its_places_and_nothing_is_booked,
    a_sheet_of_csv_goes_out_and_comes_back,
];

async fn post(service: &Service, path: &str, body: &Value) -> Reply {
    service.post_once(path, &uuid::Uuid::now_v7().to_string(), body).await
}

async fn receive(service: &Service, part: &str, quantity: &str, value: &str) {
    let posting = json!({ "part": part, "bin": "A-1", "kind": "receive", "quantity": quantity, "carrying_value": value });
    post(service, "/v1/stock/movements", &json!({ "by": "Ruth", "postings": [posting] })).await.expect(201);
}

async fn sheet(service: &Service) -> Value {
    service.get("/v1/stock/count-sheet").await.expect(200).json()
}

fn counted(sheet: &Value, lines: &[(&str, &str)]) -> Value {
    let lines: Vec<Value> = lines
        .iter()
        .map(|(part, counted)| json!({ "bin": "A-1", "part": part, "counted": counted }))
        .collect();
    json!({ "by": "Olaf", "ledger_sequence": sheet["ledger_sequence"], "lines": lines })
}

async fn balances(service: &Service) -> Vec<String> {
    let stock = service.get("/v1/stock").await.expect(200).json();
    let lot = |lot: &Value| {
        format!("{} {} {}", lot["part"], lot["balance"], lot["carrying_value"]).replace('"', "")
    };
    stock["items"].as_array().unwrap().iter().map(lot).collect()
}

async fn the_whole_shelf_is_counted_and_its_differences_booked(service: Arc<Service>) {
    receive(&service, "VESSICK/S-1", "3", "7").await;
    receive(&service, "VESSICK/B1A", "2", "30").await;
    let sheet = sheet(&service).await;
    let lines: Vec<String> = sheet["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| {
            format!("{} {} {} {}", line["bin"], line["part"], line["booked"], line["name"]).replace('"', "")
        })
        .collect();
    assert_eq!(
        lines,
        [
            "A-1 VESSICK/B1A 2 Ball bearing with steel cage",
            "A-1 VESSICK/OIL1 10 Gear oil",
            "A-1 VESSICK/S1 3 Shaft seal"
        ]
    );
    assert_eq!(sheet["ledger_sequence"], 3);
    // One seal is gone, a bearing that nobody knew of lies there, the oil is right, and one seal of the drop box is found.
    let count = counted(&sheet, &[("S-1", "2"), ("B1A", "3"), ("OIL-1", "10"), ("S-2", "1")]);
    let count = {
        let mut count = count;
        count["lines"][0]["part"] = json!("VESSICK/S-1");
        count
    };
    let reply = post(&service, "/v1/stock/counts", &count).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/stock/movements?after=3");
    let result = reply.json();
    assert_eq!(
        (&result["counted"], &result["right"], &result["moved_since"]),
        (&json!(4), &json!(1), &json!([]))
    );
    let booked: Vec<String> = result["adjustments"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| format!("{} {} {}", one["part"], one["quantity"], one["reason"]).replace('"', ""))
        .collect();
    assert_eq!(
        booked,
        [
            "VESSICK/B1A 1 count against the sheet at 3",
            "VESSICK/S1 -1 count against the sheet at 3",
            "VESSICK/S2 1 count against the sheet at 3",
        ]
    );
    assert_eq!(
        balances(&service).await,
        ["VESSICK/B1A 3 30.00", "VESSICK/OIL1 10 5.00", "VESSICK/S1 2 7.00", "VESSICK/S2 1 0.00"]
    );
}

async fn what_moved_since_the_sheet_was_printed_is_not_lost(service: Arc<Service>) {
    receive(&service, "VESSICK/B1A", "5", "30").await;
    let sheet = sheet(&service).await;
    // Between printing and booking two more come in; the count of the five that were there finds four.
    receive(&service, "VESSICK/B1A", "2", "30").await;
    let result = post(&service, "/v1/stock/counts", &counted(&sheet, &[("B1A", "4"), ("OIL-1", "10")])).await;
    let result = result.expect(201).json();
    assert_eq!(result["adjustments"][0]["quantity"], "-1");
    assert_eq!(result["moved_since"], json!([{ "bin": "A-1", "part": "VESSICK/B1A", "mark": "" }]));
    assert_eq!(balances(&service).await, ["VESSICK/B1A 6 30.00", "VESSICK/OIL1 10 5.00"]);
    // A count cannot take what was reserved meanwhile.
    let sheet = self::sheet(&service).await;
    let job = crate::jobs::Job::open(&service, json!({ "unit": "T-100" })).await;
    let reserve = json!({ "job": job.number(), "by": "Ruth", "lines": [{ "part": "B1A", "quantity": "6" }] });
    post(&service, "/v1/reservations", &reserve).await.expect(201);
    let refused = post(&service, "/v1/stock/counts", &counted(&sheet, &[("B1A", "5")])).await;
    let problem = refused.problem(409, "not-available");
    assert!(problem["detail"].as_str().unwrap().contains("6 of them reserved"), "{problem}");
}

async fn one_count_is_booked_once(service: Arc<Service>) {
    let sheet = sheet(&service).await;
    let count = counted(&sheet, &[("OIL-1", "8")]);
    let all = (0..6).map(|_| {
        let (service, count) = (service.clone(), count.clone());
        tokio::spawn(async move { post(&service, "/v1/stock/counts", &count).await })
    });
    let mut booked = 0;
    for one in all.collect::<Vec<_>>() {
        let reply = one.await.unwrap();
        if reply.status == 201 {
            booked += 1;
            continue;
        }
        let problem = reply.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], "/lines/0");
        assert!(problem["detail"].as_str().unwrap().contains("print a new sheet"), "{problem}");
    }
    assert_eq!(booked, 1);
    assert_eq!(balances(&service).await, ["VESSICK/OIL1 8 5.00"]);
}

async fn a_wrong_count_is_told_with_its_places_and_nothing_is_booked(service: Arc<Service>) {
    let sheet = sheet(&service).await;
    let count = counted(&sheet, &[("OIL-1", "-1"), ("NONE-9", "1"), ("OIL-1", "3"), ("OIL-1", "4")]);
    let problem = post(&service, "/v1/stock/counts", &count).await.problem(422, "bad-value");
    let pointers: Vec<&str> = problem["errors"]
        .as_array()
        .unwrap()
        .iter()
        .map(|error| error["pointer"].as_str().unwrap())
        .collect();
    assert_eq!(pointers, ["/lines/0/counted", "/lines/1/part", "/lines/3"]);
    let mut later = counted(&sheet, &[("OIL-1", "3")]);
    later["ledger_sequence"] = json!(99);
    let problem = post(&service, "/v1/stock/counts", &later).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/ledger_sequence");
    let mut nowhere = counted(&sheet, &[("B1A", "3")]);
    nowhere["lines"][0]["bin"] = json!("Z-9");
    post(&service, "/v1/stock/counts", &nowhere).await.problem(422, "unknown-reference");
    post(&service, "/v1/stock/counts", &counted(&sheet, &[])).await.problem(422, "bad-value");
    service.get("/v1/stock/count-sheet?bin=Z-9").await.problem(400, "invalid-query");
    assert_eq!(balances(&service).await, ["VESSICK/OIL1 10 5.00"]);
}

async fn a_sheet_of_csv_goes_out_and_comes_back(service: Arc<Service>) {
    let reply = service.get("/v1/stock/count-sheet.csv?bin=a-1").await.expect(200);
    assert_eq!(reply.header("ledger-sequence"), "1");
    assert!(reply.header("content-type").starts_with("text/csv"));
    let text = reply.text();
    assert_eq!(text, "bin,part,mark,counted,booked,measure,name\r\nA-1,VESSICK/OIL1,,,10,l,Gear oil\r\n");
    let filled = text.replace("OIL1,,,", "OIL1,,9.5,");
    let count = json!({ "by": "Olaf", "ledger_sequence": 1, "csv": filled });
    post(&service, "/v1/stock/counts", &count).await.expect(201);
    assert_eq!(balances(&service).await, ["VESSICK/OIL1 9.5 5.00"]);
    let wrong = json!({ "by": "Olaf", "ledger_sequence": 2, "csv": "bin,part,counted\nA-1,OIL-1,many\n" });
    let problem = post(&service, "/v1/stock/counts", &wrong).await.problem(422, "bad-value");
    assert_eq!(
        problem["errors"][0]["detail"],
        "row 2, column counted: `many` is no quantity; write a decimal such as 2, not below 0"
    );
}
