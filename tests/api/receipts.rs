//! Receipts: boxes counted against orders and kits, taken back, and claimed for.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};
use crate::orders::{placed, step};

tests![
    a_full_box_is_booked_and_its_order_received,
    what_is_wrong_with_a_box_is_claimed_proposed_and_warned_of,
    a_proper_successor_is_taken_for_what_was_ordered,
    several_boxes_fill_an_order,
    what_was_claimed_is_not_claimed_again,
    more_than_was_ordered_is_set_aside_or_kept,
    a_gtin_is_scanned_and_its_check_digit_held,
    a_count_comes_as_csv_and_its_sheet_goes_out,
    a_wrong_count_is_told_with_its_places_and_nothing_is_stored,
    a_receipt_is_taken_back_and_only_once,
    what_has_left_the_shelf_is_not_taken_back,
    one_key_receives_once_and_two_boxes_at_once_fill_an_order_once,
    a_kit_is_counted_without_an_order,
    a_claim_goes_through_its_steps,
    claims_are_counted_by_supplier_and_month,
    receipts_are_listed_and_narrowed,
    a_box_is_received_on_the_command_line,
];

fn piece(part: &str, quantity: &str) -> Value {
    json!({ "part": part, "quantity": quantity })
}

fn against(order: &str, counted: Value) -> Value {
    json!({ "order": order, "counted": counted, "bin": "A-1", "by": "R. Haller" })
}

async fn receive(service: &Service, body: &Value) -> Reply {
    service.post_once("/v1/receipts", &uuid::Uuid::now_v7().to_string(), body).await
}

async fn state(service: &Service, order: &str) -> String {
    let order = service.get(&format!("/v1/orders/{order}")).await.expect(200).json();
    order["state"].as_str().unwrap().to_owned()
}

/// The balance of a part and what each piece is carried at.
async fn shelf(service: &Service, part: &str) -> (String, String) {
    let part = part.replace('/', "%2F");
    let stock = service.get(&format!("/v1/stock?part={part}")).await.expect(200).json();
    let text = |field: &str| stock["items"][0][field].as_str().unwrap_or("-").to_owned();
    (text("balance"), text("carrying_value"))
}

/// What became of the counted pieces, as `number verdict quantity`.
fn verdicts(receipt: &Value) -> Vec<String> {
    let mut told = Vec::new();
    for line in receipt["result"]["outcome"]["counted"].as_array().unwrap() {
        for pieces in line["pieces"].as_array().unwrap() {
            told.push(
                format!("{} {} {}", line["written"], pieces["verdict"], pieces["quantity"]).replace('"', ""),
            );
        }
    }
    told
}

fn claim_lines(claim: &Value) -> Vec<String> {
    let lines = claim["lines"].as_array().unwrap().iter();
    lines
        .map(|line| {
            format!("{} {} {} {}", line["kind"], line["written"], line["quantity"], line["amount"])
                .replace('"', "")
        })
        .collect()
}

async fn a_full_box_is_booked_and_its_order_received(service: Arc<Service>) {
    let order = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "1")]).await;
    let counted = json!([piece("B 1A", "2"), piece("vessick/s-1", "1"), piece("VESSICK/S-2", "1")]);
    let reply = receive(&service, &against(&order, counted)).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/receipts/RC-000001");
    let receipt = reply.json();
    assert_eq!(verdicts(&receipt), ["B 1A right 2", "vessick/s-1 right 1", "VESSICK/S-2 right 1"]);
    assert_eq!((&receipt["claim"], &receipt["supplier"]), (&Value::Null, &json!("PELLWORTH")));
    for list in ["set_aside", "to_order", "waiting"] {
        assert_eq!(receipt["result"][list], json!([]), "{list}");
    }
    // The price of the box, 55.00, is spread by what its pieces cost loose: 30.00, 7.00 and 9.00.
    assert_eq!(shelf(&service, "VESSICK/B1A").await, ("2".into(), "21.7105".into()));
    assert_eq!(state(&service, &order).await, "received");
    assert_eq!(service.get("/v1/receipts/rc-000001").await.expect(200).json(), receipt);
    let movements = service.get("/v1/stock/movements?paper=RC-000001").await.expect(200).json();
    assert_eq!(movements["items"].as_array().unwrap().len(), 3);
    let steps = service.get(&format!("/v1/orders/{order}")).await.expect(200).json()["steps"].clone();
    assert_eq!((&steps[2]["what"], &steps[2]["detail"]), (&json!("receive"), &json!("RC-000001")));
    let closed = step(&service, &order, json!({ "step": "close", "by": "M" })).await.expect(201).json();
    assert_eq!(closed["state"], "closed");
    let late = against(&order, json!([piece("VESSICK/S-2", "1")]));
    receive(&service, &late).await.problem(409, "wrong-state");
}

async fn what_is_wrong_with_a_box_is_claimed_proposed_and_warned_of(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let asked = json!({ "quote": "Q-000001", "by": "M. Brandl" });
    let drafted = service.post_once("/v1/orders", "one", &asked).await.expect(201).json();
    let kit =
        drafted["items"].as_array().unwrap().iter().find(|order| order["supplier"] == "PELLWORTH").unwrap();
    let order = kit["number"].as_str().unwrap();
    step(&service, order, json!({ "step": "place", "by": "M" })).await.expect(201);
    let counted = json!([
        piece("VESSICK/B1", "1"),
        { "part": "VESSICK/B1A", "quantity": "1", "damaged": "1" },
        piece("VESSICK/S-1", "1"),
        piece("XZ-99", "1"),
    ]);
    let receipt = receive(&service, &against(order, counted)).await.expect(201).json();
    assert_eq!(
        verdicts(&receipt),
        [
            "VESSICK/B1 old_number_refused 1",
            "VESSICK/B1A right 1",
            "VESSICK/S-1 right 1",
            "XZ-99 wrong_part 1"
        ]
    );
    let sentence = &receipt["result"]["outcome"]["counted"][0]["pieces"][0]["reasons"][0]["sentence"];
    assert!(sentence.as_str().unwrap().starts_with("an old number: VESSICK/B1A serves for it"), "{sentence}");
    let claim = service.get("/v1/claims/cl-000001").await.expect(200).json();
    assert_eq!(
        claim_lines(&claim),
        [
            "short VESSICK/B1A 1 21.71",
            "short VESSICK/S2 1 6.51",
            "wrong VESSICK/B1 1 0.00",
            "damaged VESSICK/B1A 1 21.71",
            "wrong XZ-99 1 0.00",
        ]
    );
    assert_eq!(
        (&claim["amount"], &claim["state"], &claim["supplier"]),
        (&json!("49.93"), &json!("open"), &json!("PELLWORTH"))
    );
    let told = |list: &str, fields: [&str; 3]| -> Vec<String> {
        let items = receipt["result"][list].as_array().unwrap().iter();
        items.map(|item| fields.map(|field| item[field].as_str().unwrap_or("-")).join(" ")).collect()
    };
    assert_eq!(
        told("to_order", ["part", "buy", "supplier"]),
        ["VESSICK/B1A 2 OSTREL", "VESSICK/S2 1 OSTREL"]
    );
    assert_eq!(
        told("waiting", ["part", "quantity", "quote"]),
        ["VESSICK/B1A 2 Q-000001", "VESSICK/S2 1 Q-000001"]
    );
    assert_eq!(told("booked", ["part", "quantity", "bin"]), ["VESSICK/S1 1 A-1"]);
    assert_eq!(told("set_aside", ["written", "quantity", "verdict"]).len(), 3);
    assert_eq!(shelf(&service, "VESSICK/B1A").await.0, "-");
    assert_eq!(state(&service, order).await, "part_received");
}

async fn a_proper_successor_is_taken_for_what_was_ordered(service: Arc<Service>) {
    let order = placed(&service, "PELLWORTH", &[("VESSICK/S-1", "2")]).await;
    let notice = "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone\n\
                  N-2,VESSICK/S-1,VESSICK/S-2,1,one_to_one,new_for_old,2021-01-01,no\n";
    let import = service.import(json!({ "files": { "supersessions.csv": notice } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let receipt = receive(&service, &against(&order, json!([piece("S-2", "2")]))).await.expect(201).json();
    assert_eq!(verdicts(&receipt), ["S-2 proper_successor 2"]);
    let told = &receipt["result"]["outcome"]["counted"][0]["pieces"][0]["reasons"][0];
    assert_eq!((&told["rule"], &told["notices"]), (&json!("proper_successor"), &json!(["N-2"])));
    assert!(receipt["result"]["deferral"].as_str().unwrap().contains("maker's manual"));
    assert_eq!(shelf(&service, "VESSICK/S2").await, ("2".into(), "7.00".into()));
    assert_eq!(state(&service, &order).await, "received");
}

async fn several_boxes_fill_an_order(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/B1A", "3"), ("VESSICK/S-2", "1")]).await;
    let mut first = against(&order, json!([piece("VESSICK/B1A", "2")]));
    first["more_to_come"] = json!(true);
    let receipt = receive(&service, &first).await.expect(201).json();
    assert_eq!((&receipt["claim"], state(&service, &order).await.as_str()), (&Value::Null, "part_received"));
    let sheet = service.get(&format!("/v1/orders/{order}/count-sheet")).await.expect(200).json();
    let still: Vec<String> = sheet["lines"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| format!("{} {} {}", line["part"], line["expected"], line["bin"]).replace('"', ""))
        .collect();
    assert_eq!(still, ["VESSICK/B1A 1 A-1", "VESSICK/S2 1 null"]);
    let mut second = against(&order, json!([piece("VESSICK/B1A", "1")]));
    second["lines"] = json!([1]);
    receive(&service, &second).await.expect(201);
    assert_eq!(state(&service, &order).await, "part_received");
    let last =
        receive(&service, &against(&order, json!([piece("VESSICK/S-2", "1")]))).await.expect(201).json();
    assert_eq!((verdicts(&last), &last["claim"]), (vec!["VESSICK/S-2 right 1".to_owned()], &Value::Null));
    assert_eq!(state(&service, &order).await, "received");
}

async fn what_was_claimed_is_not_claimed_again(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/B1A", "3")]).await;
    let one = against(&order, json!([piece("VESSICK/B1A", "1")]));
    let first = receive(&service, &one).await.expect(201).json();
    assert_eq!(first["claim"], "CL-000001");
    let second = receive(&service, &one).await.expect(201).json();
    assert_eq!(second["claim"], Value::Null, "one lacks still, and two are claimed");
    let claim = service.get("/v1/claims/CL-000001").await.expect(200).json();
    assert_eq!(claim_lines(&claim), ["short VESSICK/B1A 2 60.00"]);
}

async fn more_than_was_ordered_is_set_aside_or_kept(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    let receipt =
        receive(&service, &against(&order, json!([piece("VESSICK/S-2", "3")]))).await.expect(201).json();
    assert_eq!(verdicts(&receipt), ["VESSICK/S-2 right 1", "VESSICK/S-2 over 2"]);
    assert_eq!(shelf(&service, "VESSICK/S2").await, ("1".into(), "9.00".into()));
    let claim = service.get("/v1/claims/CL-000001").await.expect(200).json();
    assert_eq!(claim_lines(&claim), ["over VESSICK/S-2 2 0.00"]);
    let mut kept = against(&order, json!([piece("VESSICK/S-2", "2")]));
    kept["keep_over"] = json!(true);
    let receipt = receive(&service, &kept).await.expect(201).json();
    assert_eq!(
        (verdicts(&receipt), &receipt["claim"]),
        (vec!["VESSICK/S-2 over 2".to_owned()], &Value::Null)
    );
    assert_eq!(shelf(&service, "VESSICK/S2").await, ("3".into(), "3.00".into()));
}

async fn a_gtin_is_scanned_and_its_check_digit_held(service: Arc<Service>) {
    let parts = "maker,number,name,kind,class,price_group,measure,gtin,retired\n\
                 VESSICK,S-2,Shaft seal of the drop box,consumable,seal,WEAR,H87,6291041500213,no\n";
    let import = service.import(json!({ "files": { "parts.csv": parts } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let order = placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    let slip = against(&order, json!([piece("6291041500214", "1")]));
    let problem = receive(&service, &slip).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/counted/0/part");
    assert!(
        problem["errors"][0]["detail"]
            .as_str()
            .unwrap()
            .contains("check digit 4, the other digits ask for 3")
    );
    let receipt = receive(&service, &against(&order, json!([piece("6291041500213", "1")]))).await.expect(201);
    assert_eq!(receipt.json()["result"]["outcome"]["counted"][0]["part"], "VESSICK/S2");
}

async fn a_count_comes_as_csv_and_its_sheet_goes_out(service: Arc<Service>) {
    let order = placed(&service, "PELLWORTH", &[("VESSICK/K-100", "1")]).await;
    let sheet = service.get(&format!("/v1/orders/{order}/count-sheet.csv")).await.expect(200);
    assert_eq!(sheet.header("content-type"), "text/csv; charset=utf-8");
    let text = sheet.text();
    assert!(text.starts_with("part,quantity,damaged,expected,name,bin\r\nVESSICK/B1A,,,2,"), "{text}");
    let filled = text
        .replace("VESSICK/B1A,,", "VESSICK/B1A,2,0")
        .replace("VESSICK/S1,,", "VESSICK/S1,1,")
        .replace("VESSICK/S2,,", "VESSICK/S2,1,");
    let body = json!({ "order": order, "csv": filled, "bin": "A-1", "by": "R. Haller" });
    let receipt = receive(&service, &body).await.expect(201).json();
    assert_eq!(verdicts(&receipt), ["VESSICK/B1A right 2", "VESSICK/S1 right 1", "VESSICK/S2 right 1"]);
    let empty = service.get(&format!("/v1/orders/{order}/count-sheet.csv")).await.expect(200).text();
    assert_eq!(empty, "part,quantity,damaged,expected,name,bin\r\n");
    let wrong = json!({ "order": order, "csv": "part,quantity\nVESSICK/S2,two\n,1\n", "by": "R" });
    let problem = receive(&service, &wrong).await.problem(422, "bad-value");
    let told: Vec<&str> =
        problem["errors"].as_array().unwrap().iter().map(|error| error["detail"].as_str().unwrap()).collect();
    assert!(told[0].starts_with("row 2, column quantity: `two` is no quantity"), "{told:?}");
    assert_eq!(told[1], "row 3, column part: the number lacks");
}

async fn a_wrong_count_is_told_with_its_places_and_nothing_is_stored(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/S-2", "1")]).await;
    let good = json!([piece("VESSICK/S-2", "1")]);
    let damaged = json!([{ "part": "VESSICK/S-2", "quantity": "1", "damaged": "2" }]);
    for (body, pointer) in [
        (json!({ "counted": good, "by": "R" }), "/order"),
        (json!({ "order": "PO-9", "counted": good, "by": "R" }), "/order"),
        (json!({ "order": order, "kit": "VESSICK/K-100", "counted": good, "by": "R" }), "/kit"),
        (json!({ "order": order, "counted": [], "by": "R" }), "/counted"),
        (json!({ "order": order, "counted": good, "csv": "part,quantity\n", "by": "R" }), "/csv"),
        (json!({ "order": order, "counted": damaged, "bin": "A-1", "by": "R" }), "/counted/0/damaged"),
        (json!({ "order": order, "counted": good, "bin": "Z-9", "by": "R" }), "/counted/0/bin"),
        (json!({ "order": order, "counted": good, "by": "R" }), "/counted/0/bin"),
        (json!({ "order": order, "lines": [7], "counted": good, "by": "R" }), "/lines/0"),
        (json!({ "order": order, "counted": good, "bin": "A-1", "by": "" }), "/by"),
        (json!({ "kit": "VESSICK/S-2", "counted": good, "by": "R" }), "/kit"),
    ] {
        let problem = receive(&service, &body).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    // A number of several makers means the one that was ordered; where neither was, it asks.
    let one = against(&order, json!([piece("S-1", "1")]));
    let problem = receive(&service, &one).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["suggestions"], json!(["NORRWALD/S1", "VESSICK/S1"]));
    let draft = json!({ "lines": [{ "part": "VESSICK/S-2", "quantity": "1" }], "by": "M" });
    let draft = service.post_once("/v1/orders", "draft", &draft).await.expect(201).json();
    let draft = draft["items"][0]["number"].as_str().unwrap();
    receive(&service, &against(draft, good)).await.problem(409, "wrong-state");
    service.post("/v1/receipts", &json!({ "by": "R" })).await.problem(400, "idempotency-key-missing");
    assert_eq!(service.get("/v1/receipts").await.expect(200).json()["items"], json!([]));
    assert_eq!(shelf(&service, "VESSICK/S2").await.0, "-");
    assert_eq!(state(&service, &order).await, "placed");
    service.get("/v1/receipts/RC-9").await.problem(404, "receipt-not-found");
    service.get("/v1/orders/PO-9/count-sheet").await.problem(404, "order-not-found");
}

async fn take_back(service: &Service, receipt: &str) -> Reply {
    let body = json!({ "note": "counted twice", "by": "R. Haller" });
    service
        .post_once(&format!("/v1/receipts/{receipt}/reversal"), &uuid::Uuid::now_v7().to_string(), &body)
        .await
}

async fn a_receipt_is_taken_back_and_only_once(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/B1A", "3")]).await;
    let body = against(&order, json!([piece("VESSICK/B1A", "2")]));
    receive(&service, &body).await.expect(201);
    let reversal = take_back(&service, "rc-000001").await.expect(201).json();
    assert_eq!((&reversal["number"], &reversal["reverses"]), (&json!("RC-000002"), &json!("RC-000001")));
    assert_eq!((&reversal["note"], &reversal["result"]), (&json!("counted twice"), &Value::Null));
    let first = service.get("/v1/receipts/RC-000001").await.expect(200).json();
    assert_eq!(first["reversed_by"], "RC-000002");
    assert_eq!(shelf(&service, "VESSICK/B1A").await.0, "-");
    assert_eq!(state(&service, &order).await, "placed");
    let claim = service.get("/v1/claims/CL-000001").await.expect(200).json();
    assert_eq!((&claim["state"], &claim["steps"][1]["detail"]), (&json!("withdrawn"), &json!("RC-000002")));
    for number in ["RC-000001", "RC-000002"] {
        take_back(&service, number).await.problem(409, "receipt-reversed");
    }
    take_back(&service, "RC-000009").await.problem(404, "receipt-not-found");
    let nameless = json!({ "note": " ", "by": "R" });
    let path = "/v1/receipts/RC-000001/reversal";
    let problem = service.post_once(path, "nameless", &nameless).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/note");
    // What came is still to come: the same count is right again.
    let again = receive(&service, &body).await.expect(201).json();
    assert_eq!(
        (verdicts(&again), &again["claim"]),
        (vec!["VESSICK/B1A right 2".to_owned()], &json!("CL-000002"))
    );
    assert_eq!(shelf(&service, "VESSICK/B1A").await.0, "2");
}

async fn what_has_left_the_shelf_is_not_taken_back(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/B1A", "1")]).await;
    receive(&service, &against(&order, json!([piece("VESSICK/B1A", "1")]))).await.expect(201);
    let posting =
        json!({ "part": "VESSICK/B1A", "bin": "A-1", "kind": "scrap", "quantity": "1", "reason": "dropped" });
    let body = json!({ "by": "R", "postings": [posting] });
    service.post_once("/v1/stock/movements", "scrap", &body).await.expect(201);
    take_back(&service, "RC-000001").await.problem(409, "not-available");
    assert_eq!(state(&service, &order).await, "received");
    assert_eq!(service.get("/v1/receipts/RC-000001").await.expect(200).json()["reversed_by"], Value::Null);
}

async fn one_key_receives_once_and_two_boxes_at_once_fill_an_order_once(service: Arc<Service>) {
    let order = placed(&service, "OSTREL", &[("VESSICK/B1A", "4")]).await;
    let mut body = against(&order, json!([piece("VESSICK/B1A", "1")]));
    body["more_to_come"] = json!(true);
    let tasks: Vec<_> = (0..8)
        .map(|at| {
            let (service, body) = (service.clone(), body.clone());
            // Each key is sent twice at once.
            tokio::spawn(
                async move { service.post_once("/v1/receipts", &format!("box-{}", at / 2), &body).await },
            )
        })
        .collect();
    for task in tasks {
        let reply = task.await.unwrap();
        assert!(reply.status == 201 || reply.status == 409, "{}", reply.text());
    }
    assert_eq!(shelf(&service, "VESSICK/B1A").await.0, "4");
    assert_eq!(state(&service, &order).await, "received");
    let receipts = service.get("/v1/receipts").await.expect(200).json();
    let numbers: Vec<&str> = receipts["items"]
        .as_array()
        .unwrap()
        .iter()
        .map(|receipt| receipt["number"].as_str().unwrap())
        .collect();
    assert_eq!(numbers, ["RC-000001", "RC-000002", "RC-000003", "RC-000004"]);
}

async fn a_kit_is_counted_without_an_order(service: Arc<Service>) {
    let counted = json!([piece("VESSICK/B1A", "2"), piece("VESSICK/S-1", "1")]);
    let mut body = json!({ "kit": "K-100", "counted": counted, "bin": "A-1", "by": "R. Haller" });
    let receipt = receive(&service, &body).await.expect(201).json();
    assert_eq!(
        (&receipt["kit"], &receipt["order"], &receipt["claim"]),
        (&json!("VESSICK/K100"), &Value::Null, &Value::Null)
    );
    assert_eq!(receipt["result"]["outcome"]["expected"][2]["verdict"], "short");
    assert_eq!(shelf(&service, "VESSICK/B1A").await, ("2".into(), "21.7105".into()));
    body["supplier"] = json!("pellworth");
    let receipt = receive(&service, &body).await.expect(201).json();
    assert_eq!(receipt["claim"], "CL-000001");
    let claim = service.get("/v1/claims/CL-000001").await.expect(200).json();
    assert_eq!(claim_lines(&claim), ["short VESSICK/S2 1 6.51"]);
    take_back(&service, "RC-000002").await.expect(201);
    assert_eq!(shelf(&service, "VESSICK/B1A").await.0, "2");
}

async fn claimed(service: &Service) -> String {
    let order = placed(service, "OSTREL", &[("VESSICK/B1A", "2")]).await;
    let receipt =
        receive(service, &against(&order, json!([piece("VESSICK/B1A", "1")]))).await.expect(201).json();
    receipt["claim"].as_str().unwrap().to_owned()
}

async fn claim_step(service: &Service, number: &str, action: &str, tag: Option<&str>) -> Reply {
    let request = service.request("POST", &format!("/v1/claims/{number}/steps"));
    let request = request.header("idempotency-key", format!("\"{}\"", uuid::Uuid::now_v7()));
    let request = tag.map_or(request.try_clone().unwrap(), |tag| request.header("if-match", tag.to_owned()));
    Reply::of(request.json(&json!({ "step": action, "by": "M. Brandl", "note": "by letter" }))).await
}

async fn a_claim_goes_through_its_steps(service: Arc<Service>) {
    let number = claimed(&service).await;
    let path = format!("/v1/claims/{number}");
    let read = service.get(&path).await.expect(200);
    claim_step(&service, &number, "send", None).await.problem(428, "precondition-required");
    claim_step(&service, &number, "send", Some("\"other\"")).await.problem(412, "precondition-failed");
    claim_step(&service, &number, "accept", Some("*")).await.problem(409, "wrong-state");
    let sent = claim_step(&service, &number, "send", Some(read.header("etag"))).await.expect(201);
    assert_eq!((sent.header("location"), &sent.json()["state"]), (path.as_str(), &json!("sent")));
    claim_step(&service, &number, "accept", Some("*")).await.expect(201);
    take_back(&service, "RC-000001").await.problem(409, "claim-decided");
    let settled = claim_step(&service, &number, "settle", Some("*")).await.expect(201).json();
    let steps: Vec<&str> =
        settled["steps"].as_array().unwrap().iter().map(|step| step["state"].as_str().unwrap()).collect();
    assert_eq!(steps, ["open", "sent", "accepted", "settled"]);
    assert_eq!(
        (&settled["steps"][1]["by"], &settled["steps"][1]["detail"]),
        (&json!("M. Brandl"), &json!("by letter"))
    );
    claim_step(&service, "CL-9", "send", Some("*")).await.problem(404, "claim-not-found");
    service.get("/v1/claims/CL-9").await.problem(404, "claim-not-found");
}

async fn claims_are_counted_by_supplier_and_month(service: Arc<Service>) {
    claimed(&service).await;
    claimed(&service).await;
    let faults = service.get("/v1/suppliers/ostrel/faults").await.expect(200).json();
    let found = &faults["faults"][0];
    assert_eq!(faults["faults"].as_array().unwrap().len(), 1);
    let told = ["kind", "part", "quantity", "amount"].map(|field| found[field].as_str().unwrap());
    assert_eq!(told, ["short", "VESSICK/B1A", "2", "60.00"]);
    assert_eq!((&found["claims"], found["month"].as_str().unwrap().ends_with("-01")), (&json!(2), true));
    assert_eq!(service.get("/v1/suppliers/PELLWORTH/faults").await.expect(200).json()["faults"], json!([]));
    let problem = service.get("/v1/suppliers/NOBODY/faults").await.problem(404, "supplier-not-found");
    assert_eq!(problem["suggestions"], json!(["OSTREL", "PELLWORTH"]));
    let first = service.get("/v1/claims?supplier=OSTREL&state=open&limit=1").await.expect(200);
    assert_eq!(
        first.header("link"),
        "</v1/claims?supplier=OSTREL&state=open&after=CL-000001&limit=1>; rel=\"next\""
    );
    assert_eq!(service.get("/v1/claims?state=sent").await.expect(200).json()["items"], json!([]));
}

async fn receipts_are_listed_and_narrowed(service: Arc<Service>) {
    claimed(&service).await;
    claimed(&service).await;
    let of_order = service.get("/v1/receipts?order=po-000002&supplier=OSTREL").await.expect(200).json();
    let items = of_order["items"].as_array().unwrap();
    assert_eq!(
        (items.len(), &items[0]["number"], &items[0]["claim"]),
        (1, &json!("RC-000002"), &json!("CL-000002"))
    );
    let first = service.get("/v1/receipts?limit=1").await.expect(200);
    assert_eq!(first.header("link"), "</v1/receipts?after=RC-000001&limit=1>; rel=\"next\"");
    service.get("/v1/receipts?colour=red").await.problem(400, "invalid-query");
}

async fn a_box_is_received_on_the_command_line(service: Arc<Service>) {
    let here = ["--database", service.database.as_str()];
    let there = service.over_http();
    let run = |words: &[&str], place: &[&str]| {
        let words: Vec<String> = words.iter().chain(place).map(|word| (*word).to_owned()).collect();
        tokio::task::spawn_blocking(move || {
            let output = std::process::Command::new(env!("CARGO_BIN_EXE_crownwheel"))
                .args(&words)
                .env_remove("CROWNWHEEL_DATABASE")
                .env("COLUMNS", "160")
                .env("CROWNWHEEL_BY", "R. Haller")
                .output()
                .unwrap();
            let errors = String::from_utf8_lossy(&output.stderr).into_owned();
            assert!(output.status.success(), "{words:?}: {errors}");
            String::from_utf8(output.stdout).unwrap()
        })
    };
    for (at, place) in [&here[..], &there[..]].into_iter().enumerate() {
        let order = format!("PO-{:06}", at + 1);
        let draft = run(&["order", "draft", "--part", "VESSICK/K-100=1"], place).await.unwrap();
        assert!(draft.starts_with(&format!("ORDER {order}  to PELLWORTH, draft;")), "{draft}");
        assert!(draft.contains("3 lines of the kit's list"), "{draft}");
        run(&["order", "place", &order], place).await.unwrap();
        let sheet = run(&["receipt", "sheet", &order], place).await.unwrap();
        assert!(sheet.contains("[    ]   [    ]       2 pc  B 1A"), "{sheet}");
        let csv = run(&["receipt", "sheet", &order, "--csv"], place).await.unwrap();
        assert!(csv.contains("VESSICK/S1,,,1,"), "{csv}");
        let count = tempfile::NamedTempFile::new().unwrap();
        std::fs::write(
            count.path(),
            csv.replace("VESSICK/B1A,,", "VESSICK/B1A,2,1").replace("VESSICK/S1,,", "VESSICK/S1,1,"),
        )
        .unwrap();
        let file = count.path().to_str().unwrap().to_owned();
        let received = run(&["receive", &order, "--count", &file, "--bin", "A-1"], place).await.unwrap();
        for words in
            ["COUNTED", "LACKS", "BOOKED", "SET ASIDE", "TO ORDER", &format!("CLAIM CL-{:06}", at + 1)]
        {
            assert!(received.contains(words), "{words}\n{received}");
        }
        let shown = run(&["receipt", "show", &format!("rc-{:06}", at + 1)], place).await.unwrap();
        assert_eq!(shown, received);
        let claim = run(&["claim", "send", &format!("CL-{:06}", at + 1), "--note", "by letter"], place)
            .await
            .unwrap();
        assert!(claim.contains("on PELLWORTH, sent; 28.22 EUR"), "{claim}");
        assert!(run(&["order", "list", "--state", "part_received"], place).await.unwrap().contains(&order));
        assert!(run(&["receipt", "list", "--order", &order], place).await.unwrap().contains("PELLWORTH"));
        assert!(run(&["claim", "list"], place).await.unwrap().contains("28.22 EUR"));
        assert!(run(&["claim", "faults", "PELLWORTH"], place).await.unwrap().contains("short"));
    }
    let back = run(&["receipt", "reverse", "RC-000002", "--note", "counted twice"], &there).await.unwrap();
    assert!(back.contains("It takes RC-000002 back: counted twice"), "{back}");
}
