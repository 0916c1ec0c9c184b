//! Order rounds: what approved jobs and the shelf lack, bought in one go.
//!
//! By hand, on the small catalogue: the overhaul of T-100 alone buys the kit at Pellworth, 55 and 5 for the order; that of
//! T-200 its seal at Ostrel, 9 and 10; five seals for the shelf cost 35 and 5 at Pellworth. Apart that is 60 + 19 + 40 = 119.
//! The seal of T-200 lies in the kit too: in one go it is 55 + 35 + 5 = 95.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};
use crate::jobs::Job;
use crate::orders::step;

tests![
    two_jobs_and_the_shelf_share_a_kit_and_an_order,
    a_dry_run_stores_nothing,
    many_rounds_at_once_order_once,
    a_round_and_a_quote_at_once_order_a_shortage_once,
    what_is_on_its_way_reserved_or_issued_is_not_ordered_again,
    jobs_follow_the_order_that_serves_them_all,
    a_receipt_serves_all_jobs_of_its_lines,
    a_substitute_that_was_taken_still_serves_its_job,
    what_a_round_cannot_do_is_told,
];

const MINIMUMS: &str = "part,bin,minimum,order_up_to\nVESSICK/S-1,,2,5\n";

async fn minimums(service: &Service) {
    let import = service.import(json!({ "files": { "minimums.csv": MINIMUMS } })).await;
    assert_eq!(import["state"], "done", "{import}");
}

/// A job that the customer has agreed to.
async fn approved<'a>(service: &'a Service, unit: &str) -> Job<'a> {
    let mut job = Job::open(service, json!({ "unit": unit })).await;
    job.step("strip").await;
    job.step("decide").await;
    let approve = json!({ "step": "approve", "by": "Ruth", "price": "900", "approved_by": "The district" });
    job.does("steps", approve).await;
    job
}

async fn send(service: &Service, body: &Value) -> Reply {
    service.post_once("/v1/order-rounds", &uuid::Uuid::now_v7().to_string(), body).await
}

/// What would be ordered now.
async fn would(service: &Service) -> Value {
    send(service, &json!({ "by": "M. Brandl", "dry_run": true })).await.expect(200).json()
}

async fn round(service: &Service) -> Value {
    send(service, &json!({ "by": "M. Brandl" })).await.expect(201).json()
}

fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("-")
}

fn items(value: &Value) -> &[Value] {
    value.as_array().unwrap_or_else(|| panic!("no list: {value}"))
}

/// The lines of a round's orders: supplier, part, quantity, then for whom how many of what.
fn lines(round: &Value) -> Vec<String> {
    let of_order = |order: &Value| {
        let supplier = text(&order["supplier"]).to_owned();
        let line = move |line: &Value| {
            let share = |share: &Value| {
                format!("{} {} {}", text(&share["job"]), text(&share["quantity"]), text(&share["part"]))
            };
            let shares: Vec<String> = items(&line["shares"]).iter().map(share).collect();
            let (part, quantity) = (text(&line["part"]["part"]), text(&line["quantity"]));
            format!("{supplier} {quantity} {part}: {}", shares.join(", "))
        };
        items(&order["lines"]).iter().map(line).collect::<Vec<_>>()
    };
    items(&round["orders"]).iter().flat_map(of_order).collect()
}

/// What a round says of its jobs: job, part, needed, issued + reserved + on order + from stock + bought.
fn jobs(round: &Value) -> Vec<String> {
    let of_job = |job: &Value| {
        let number = text(&job["job"]).to_owned();
        let line = move |line: &Value| {
            let figures = ["issued", "reserved", "on_order", "from_stock", "bought"].map(|f| text(&line[f]));
            format!("{number} {} {} = {}", text(&line["part"]), text(&line["needed"]), figures.join(" + "))
        };
        items(&job["lines"]).iter().map(line).collect::<Vec<_>>()
    };
    items(&round["jobs"]).iter().flat_map(of_job).collect()
}

async fn count_of_orders(service: &Service) -> usize {
    items(&service.get("/v1/orders").await.expect(200).json()["items"]).len()
}

async fn cash_of_decision(service: &Service, job: &Job<'_>) -> Value {
    let quote = text(&job.sheet["decision"]).to_owned();
    let quote = service.get(&format!("/v1/quotes/{quote}")).await.expect(200).json();
    quote["answer"]["sourcing"]["cash"].clone()
}

async fn two_jobs_and_the_shelf_share_a_kit_and_an_order(service: Arc<Service>) {
    minimums(&service).await;
    let one = approved(&service, "T-100").await;
    let other = approved(&service, "T-200").await;
    assert_eq!(cash_of_decision(&service, &one).await, "60.00");
    assert_eq!(cash_of_decision(&service, &other).await, "19.00");

    let asked = json!({ "by": "M. Brandl", "note": "For the week" });
    let reply = service.post_once("/v1/order-rounds", "week", &asked).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/orders/PO-000001");
    let round = reply.json();
    assert_eq!(
        lines(&round),
        [
            "PELLWORTH 1 VESSICK/K100: J-000001 2 VESSICK/B1A, J-000001 1 VESSICK/S1, J-000002 1 VESSICK/S2",
            "PELLWORTH 5 VESSICK/S1: - 5 VESSICK/S1",
        ]
    );
    assert_eq!((&round["cash"], &round["proven"]), (&json!("95.00"), &json!(true)));
    assert_eq!(
        jobs(&round),
        [
            "J-000001 VESSICK/B1A 2 = 0 + 0 + 0 + 0 + 2",
            "J-000001 VESSICK/S1 1 = 0 + 0 + 0 + 0 + 1",
            "J-000001 VESSICK/OIL1 2.5 = 0 + 0 + 0 + 2.5 + 0",
            "J-000002 VESSICK/S2 1 = 0 + 0 + 0 + 0 + 1",
        ]
    );
    let order = service.get("/v1/orders/PO-000001").await.expect(200).json();
    assert_eq!((&order["state"], &order["note"]), (&json!("draft"), &json!("For the week")));
    assert_eq!(order["lines"][0]["shares"], round["orders"][0]["lines"][0]["shares"]);
    for job in ["J-000001", "J-000002"] {
        let found = service.get(&format!("/v1/orders?job={job}")).await.expect(200).json();
        assert_eq!(found["items"][0]["number"], "PO-000001");
    }
    // A repeat is answered again, a new round finds nothing, and the quotes are ordered for.
    let again = service.post_once("/v1/order-rounds", "week", &asked).await.expect(201);
    assert_eq!(again.json(), round);
    let empty = send(&service, &json!({ "by": "M. Brandl" })).await.expect(200).json();
    assert_eq!((&empty["orders"], &empty["cash"]), (&json!([]), &json!("0.00")));
    for job in [&one, &other] {
        let asked = json!({ "job": job.number(), "by": "M. Brandl" });
        let refused = service.post_once("/v1/orders", &job.number(), &asked).await;
        refused.problem(409, "already-ordered");
    }
    assert_eq!(count_of_orders(&service).await, 1);
    assert_eq!(service.get("/v1/reorders").await.expect(200).json()["items"], json!([]));
}

async fn a_dry_run_stores_nothing(service: Arc<Service>) {
    minimums(&service).await;
    let _job = approved(&service, "T-100").await;
    let told = would(&service).await;
    assert_eq!((&told["dry_run"], &told["orders"][0]["number"]), (&json!(true), &Value::Null));
    assert_eq!(count_of_orders(&service).await, 0);
    let done = round(&service).await;
    assert_eq!((lines(&told), &told["cash"]), (lines(&done), &done["cash"]));
}

async fn many_rounds_at_once_order_once(service: Arc<Service>) {
    minimums(&service).await;
    let _one = approved(&service, "T-100").await;
    let _other = approved(&service, "T-200").await;
    let all = (0..6).map(|_| {
        let service = service.clone();
        tokio::spawn(async move { send(&service, &json!({ "by": "M. Brandl" })).await.status })
    });
    let mut statuses = Vec::new();
    for one in all.collect::<Vec<_>>() {
        statuses.push(one.await.unwrap());
    }
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 200, 200, 200, 200, 201]);
    assert_eq!(count_of_orders(&service).await, 1);
}

async fn a_round_and_a_quote_at_once_order_a_shortage_once(service: Arc<Service>) {
    for turn in 0..4 {
        let job = approved(&service, "T-100").await;
        let quote = json!({ "job": job.number(), "by": "M. Brandl" });
        let (by_round, by_quote) = (service.clone(), service.clone());
        let by_round =
            tokio::spawn(async move { send(&by_round, &json!({ "by": "M. Brandl" })).await.status });
        let key = format!("quote {turn}").replace(' ', "-");
        let by_quote =
            tokio::spawn(async move { by_quote.post_once("/v1/orders", &key, &quote).await.status });
        let statuses = (by_round.await.unwrap(), by_quote.await.unwrap());
        assert!([(201, 409), (200, 201)].contains(&statuses), "{statuses:?}");
        let orders = service.get(&format!("/v1/orders?job={}", job.number())).await.expect(200).json();
        assert_eq!(items(&orders["items"]).len(), 1, "{orders}");
    }
}

async fn what_is_on_its_way_reserved_or_issued_is_not_ordered_again(service: Arc<Service>) {
    let one = approved(&service, "T-100").await;
    let asked = json!({ "job": one.number(), "by": "M. Brandl" });
    let drafted = service.post_once("/v1/orders", "one", &asked).await.expect(201).json();
    // Only the oil is left for it, and that lies on the shelf.
    assert_eq!(jobs(&would(&service).await), ["J-000001 VESSICK/OIL1 2.5 = 0 + 0 + 0 + 2.5 + 0"]);
    // What is called off lacks again.
    let number = text(&drafted["items"][0]["number"]).to_owned();
    step(&service, &number, json!({ "step": "cancel", "by": "M" })).await.expect(201);
    assert_eq!(lines(&would(&service).await).len(), 1);

    // One bearing is ordered by name, one lies there and is reserved; a seal went in.
    let lines_of_job = json!([{ "part": "VESSICK/B1A", "quantity": "1" }]);
    let asked = json!({ "job": one.number(), "lines": lines_of_job, "by": "M" });
    service.post_once("/v1/orders", "two", &asked).await.expect(201);
    let receive = |part: &str| json!({ "part": part, "bin": "A-1", "kind": "receive", "quantity": "1", "carrying_value": "1" });
    let booking = json!({ "by": "Ruth", "postings": [receive("VESSICK/B1A"), receive("VESSICK/S-1")] });
    service.post_once("/v1/stock/movements", "three", &booking).await.expect(201);
    let reserve =
        json!({ "job": one.number(), "by": "Ruth", "lines": [{ "part": "VESSICK/B1A", "quantity": "1" }] });
    service.post_once("/v1/reservations", "four", &reserve).await.expect(201);
    let mut one = one;
    one.step("build").await;
    let issue = json!({ "by": "Olaf", "lines": [{ "part": "VESSICK/S-1", "bin": "A-1", "quantity": "1", "position": "SEAL" }] });
    one.does("issues", issue).await;
    let told = would(&service).await;
    assert_eq!(
        (jobs(&told), lines(&told)),
        (vec!["J-000001 VESSICK/OIL1 2.5 = 0 + 0 + 0 + 2.5 + 0".to_owned()], vec![])
    );
    // What is reserved for another job is not there for this one.
    let other = approved(&service, "T-200").await;
    let reserve =
        json!({ "job": other.number(), "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "9" }] });
    service.post_once("/v1/reservations", "five", &reserve).await.expect(201);
    let told = would(&service).await;
    assert_eq!(jobs(&told)[0], "J-000001 VESSICK/OIL1 2.5 = 0 + 0 + 0 + 1 + 1.5");
}

async fn jobs_follow_the_order_that_serves_them_all(service: Arc<Service>) {
    minimums(&service).await;
    let _one = approved(&service, "T-100").await;
    let _other = approved(&service, "T-200").await;
    round(&service).await;
    step(&service, "PO-000001", json!({ "step": "place", "by": "M" })).await.expect(201);
    let late = json!({ "step": "acknowledge", "by": "M", "lines": [
        { "line": 1, "on": "2031-03-01" }, { "line": 2, "quantity": "3", "on": "2032-01-01" }
    ] });
    step(&service, "PO-000001", late).await.expect(201);
    for (job, shares) in [
        (
            "J-000001",
            json!([
                { "part": "VESSICK/B1A", "ordered": "2", "coming": "2" },
                { "part": "VESSICK/S1", "ordered": "1", "coming": "1" },
            ]),
        ),
        ("J-000002", json!([{ "part": "VESSICK/S2", "ordered": "1", "coming": "1" }])),
    ] {
        let told = service.get(&format!("/v1/jobs/{job}/deliveries")).await.expect(200).json();
        assert_eq!(
            (&told["expected_on"], &told["to_decide"]),
            (&json!("2031-03-01"), &json!(false)),
            "{told}"
        );
        assert_eq!(items(&told["lines"]).len(), 1);
        assert_eq!((&told["lines"][0]["job"], &told["lines"][0]["shares"]), (&json!(job), &shares));
    }
    let none = json!({ "step": "acknowledge", "by": "M", "lines": [{ "line": 1, "quantity": "0" }] });
    step(&service, "PO-000001", none).await.expect(201);
    let told = service.get("/v1/jobs/J-000002/deliveries").await.expect(200).json();
    assert_eq!((&told["expected_on"], &told["to_decide"]), (&Value::Null, &json!(true)), "{told}");
    // What will not come is ordered again; three seals are enough for the shelf.
    let again = would(&service).await;
    assert_eq!(again["cash"], json!("60.00"), "{again}");
}

async fn a_receipt_serves_all_jobs_of_its_lines(service: Arc<Service>) {
    minimums(&service).await;
    let _one = approved(&service, "T-100").await;
    let mut other = approved(&service, "T-200").await;
    round(&service).await;
    step(&service, "PO-000001", json!({ "step": "place", "by": "M" })).await.expect(201);
    let counted = json!([
        { "part": "VESSICK/B1A", "quantity": "1" },
        { "part": "VESSICK/S-1", "quantity": "6" },
        { "part": "VESSICK/S-2", "quantity": "1" },
    ]);
    let body = json!({ "order": "PO-000001", "counted": counted, "bin": "A-1", "by": "R" });
    let receipt = service.post_once("/v1/receipts", "one", &body).await.expect(201).json();
    // A bearing lacks, and J-000001 waits for it.
    let waiting = &receipt["result"]["waiting"];
    assert_eq!(waiting[0]["job"], "J-000001", "{receipt}");
    assert_eq!((items(waiting).len(), &waiting[0]["quantity"]), (1, &json!("1")));
    for job in ["J-000001", "J-000002"] {
        let found = service.get(&format!("/v1/receipts?job={job}")).await.expect(200).json();
        assert_eq!(items(&found["items"]).len(), 1, "{found}");
    }
    // What came lies there for the jobs, what lacks is still on its way; the shelf has its five seals.
    let told = would(&service).await;
    assert_eq!(
        jobs(&told),
        [
            "J-000001 VESSICK/B1A 2 = 0 + 0 + 1 + 1 + 0",
            "J-000001 VESSICK/S1 1 = 0 + 0 + 0 + 1 + 0",
            "J-000001 VESSICK/OIL1 2.5 = 0 + 0 + 0 + 2.5 + 0",
            "J-000002 VESSICK/S2 1 = 0 + 0 + 0 + 1 + 0",
        ]
    );
    assert_eq!((&told["orders"], &told["shelf"]), (&json!([]), &json!([])));
    let pieces = |job: &'static str| {
        let service = service.clone();
        async move {
            let found = service.shop.store().pieces_for_job(job).await.unwrap();
            found.iter().map(|piece| format!("{} {}", piece.quantity, piece.lot.part)).collect::<Vec<_>>()
        }
    };
    assert_eq!(pieces("J-000001").await, ["1 VESSICK/B1A", "1 VESSICK/S1"]);
    assert_eq!(pieces("J-000002").await, ["1 VESSICK/S2"]);
    other.step("build").await;
    let issue = json!({ "by": "Olaf", "lines": [{ "part": "VESSICK/S-2", "bin": "A-1", "quantity": "1", "position": "SEAL" }] });
    other.does("issues", issue).await;
    assert!(jobs(&would(&service).await).iter().all(|line| line.starts_with("J-000001")));
}

async fn a_substitute_that_was_taken_still_serves_its_job(service: Arc<Service>) {
    let _one = approved(&service, "T-200").await;
    let drafted = round(&service).await;
    assert_eq!(lines(&drafted), ["OSTREL 1 VESSICK/S2: J-000001 1 VESSICK/S2"]);
    let number = "PO-000001";
    step(&service, number, json!({ "step": "place", "by": "M" })).await.expect(201);
    let offer =
        json!({ "step": "acknowledge", "by": "M", "lines": [{ "line": 1, "substitute": "NORRWALD/S-1" }] });
    step(&service, number, offer).await.expect(201);
    let take = json!({ "step": "take_substitute", "by": "M", "lines": [{ "line": 1 }] });
    let taken = step(&service, number, take).await.expect(201).json();
    assert_eq!(taken["lines"][0]["part"], "NORRWALD/S1");
    assert_eq!(taken["lines"][0]["shares"][0]["job"], "J-000001");
    let told = would(&service).await;
    assert_eq!((&told["orders"], &told["jobs"]), (&json!([]), &json!([])), "{told}");
}

async fn what_a_round_cannot_do_is_told(service: Arc<Service>) {
    let unknown =
        send(&service, &json!({ "by": "M", "aim": "least_weight" })).await.problem(422, "invalid-body");
    assert_eq!(unknown["errors"][0]["pointer"], "/aim", "{unknown}");
    let nobody = send(&service, &json!({ "by": " " })).await.problem(422, "bad-value");
    assert_eq!(nobody["errors"][0]["pointer"], "/by");
    // Nothing to buy is an answer.
    let empty = send(&service, &json!({ "by": "M" })).await.expect(200).json();
    assert_eq!(
        (&empty["orders"], &empty["jobs"], &empty["currency"]),
        (&json!([]), &json!([]), &json!("EUR"))
    );
    // Nobody sells the shaft of the drop box.
    let rows = "part,bin,minimum,order_up_to\nBRANNOCH/SH-200,,1,\n";
    let import = service.import(json!({ "files": { "minimums.csv": rows } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let told = send(&service, &json!({ "by": "M" })).await.expect(200).json();
    let missing = json!([{ "job": null, "part": "BRANNOCH/SH200", "quantity": "1" }]);
    assert_eq!((&told["not_to_be_had"], &told["orders"]), (&missing, &json!([])), "{told}");
    // Who wants nothing off the shelf is not served from it.
    let mut bare = Job::open(&service, json!({ "unit": "T-200" })).await;
    bare.step("strip").await;
    let decide = json!({ "step": "decide", "by": "Ruth", "request": { "units": [{ "unit": "T-200" }], "stock": "none" } });
    bare.does("steps", decide).await;
    let approve = json!({ "step": "approve", "by": "Ruth", "price": "90", "approved_by": "The district" });
    bare.does("steps", approve).await;
    let told = would(&service).await;
    assert_eq!((&told["left_out"][0]["job"], &told["jobs"]), (&json!("J-000001"), &json!([])), "{told}");
    // Every aim is proven on so small a shop.
    let _job = approved(&service, "T-100").await;
    for aim in ["least_money", "least_days", "fewest_suppliers"] {
        let told =
            send(&service, &json!({ "by": "M", "aim": aim, "dry_run": true })).await.expect(200).json();
        assert_eq!((&told["aim"], &told["proven"]), (&json!(aim), &json!(true)));
        // Loose parts of Ostrel are here a day earlier than Pellworth's kit.
        let days = if aim == "least_days" { 2 } else { 3 };
        assert_eq!(told["days"], days, "{told}");
    }
}
