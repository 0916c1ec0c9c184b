//! A rear axle's way through the shop, from the enquiry to the record, and the same axle back a year later.
//!
//! The world is `axle_catalogue`: an axle whose kit costs 75.00, half of what its parts cost loose, so that each is
//! carried at half its price. Facts of the trade (common practice, no source): an axle kit holds two sizes of nut and of
//! seal, and one of each is surplus after the job; with a solid pinion spacer and its shims recorded, the next pinion seal
//! job needs a seal and a nut only.

use std::path::Path;
use std::sync::Arc;

use chrono::{Days, Utc};
use serde_json::{Value, json};

use crate::harness::Service;
use crate::jobs::Job;
use crate::orders::step;

tests![
    an_axle_goes_through_the_shop_and_comes_back_a_year_later,
    a_grooved_flange_is_renewed_with_its_seal,
    play_at_the_flange_points_to_spacer_or_bearings,
];

async fn an_axle_goes_through_the_shop_and_comes_back_a_year_later(service: Arc<Service>) {
    let service = &*service;
    load_axle(service).await;
    let unknown = seal_job_a_year_later(service, "4712").await;
    let mut job = enquiry_and_estimate(service).await;
    findings(&mut job, service).await;
    decision_and_approval(&mut job, service).await;
    reservation(&job, service).await;
    let kit = order(&job, service).await;
    receipt_with_two_discrepancies_and_a_successor(&mut job, service, &kit).await;
    claim(service).await;
    what_lacked_comes_after(&job, service).await;
    issue_in_order_of_assembly(&mut job, service).await;
    shims_and_inspection(&mut job).await;
    close_and_surplus(&mut job, service).await;
    let before = papers_and_past_balances(&job, service).await;
    as_built(service, &before).await;

    // A year later the pinion seal leaks. Nobody needs a spacer, bearings or shims for that.
    let known = seal_job_a_year_later(service, "4711").await;
    assert_eq!(known.0, ["SEAL VESSICK/PS50 1", "NUT VESSICK/PN30 1"]);
    assert_eq!(unknown.0, ["SPACER BRANNOCH/SPC 1", "SEAL VESSICK/PS50 1", "NUT VESSICK/PN30 1"]);
    // Loose from Ostrel: 8.00 + 6.00 and 10.00 for the order; with a spacer 12.00 more.
    assert_eq!((known.1.as_str(), unknown.1.as_str()), ("24.00", "36.00"));
}

/// The text of a field.
fn text<'v>(value: &'v Value, field: &str) -> &'v str {
    value[field].as_str().unwrap_or_else(|| panic!("{field}: {value}"))
}

/// Items of a list, some fields of each joined by blanks; what is not there is a dash.
fn told(list: &Value, fields: &[&str]) -> Vec<String> {
    let field = |item: &Value, name: &str| match &item[name] {
        Value::Null => "-".to_owned(),
        Value::String(text) => text.clone(),
        other => other.to_string(),
    };
    let items = list.as_array().unwrap_or_else(|| panic!("no list: {list}")).iter();
    items.map(|item| fields.iter().map(|name| field(item, name)).collect::<Vec<_>>().join(" ")).collect()
}

async fn post(service: &Service, path: &str, body: Value) -> Value {
    service.post_once(path, &uuid::Uuid::now_v7().to_string(), &body).await.expect(201).json()
}

async fn load_axle(service: &Service) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/api/axle_catalogue");
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap());
    let files: serde_json::Map<String, Value> = files
        .map(|file| {
            let text = std::fs::read_to_string(file.path()).unwrap();
            (file.file_name().into_string().unwrap(), Value::String(text))
        })
        .collect();
    let import = service.import(json!({ "files": files })).await;
    assert_eq!(import["state"], "done", "{import}");
}

/// What a pinion seal job on a serial number renews a year from now, and the cash it needs.
async fn seal_job_a_year_later(service: &Service, serial: &str) -> (Vec<String>, String) {
    let day = Utc::now().date_naive().checked_add_days(Days::new(365)).unwrap();
    let unit = json!({ "unit": "X-28", "operation": "PINION-SEAL", "serial": serial, "variants": ["FL-50"] });
    let asked = json!({ "units": [unit], "as_of": day.to_string() });
    let answer = service.post("/v1/requirements", &asked).await.expect(200).json();
    let lines = answer["units"][0]["lines"].as_array().unwrap().iter();
    let renewed = lines.filter(|line| line["action"] == "renew" && !line["position"].is_null());
    let renewed = renewed.map(|line| {
        format!("{} {} {}", text(line, "position"), text(&line["part"], "part"), text(line, "quantity"))
    });
    (renewed.collect(), text(&answer["sourcing"], "cash").to_owned())
}

async fn enquiry_and_estimate(service: &Service) -> Job<'_> {
    let mut job = Job::open(service, json!({ "unit": "X-28", "serial": "4711" })).await;
    assert_eq!((job.number().as_str(), &job.sheet["note"]), ("J-000001", &json!("Noisy")));
    let estimate = job.step("estimate").await["estimate"].as_str().unwrap().to_owned();
    let quote = service.get(&format!("/v1/quotes/{estimate}")).await.expect(200).json();
    let (answer, sourcing) = (&quote["answer"], &quote["answer"]["sourcing"]);
    // The size of the flange is not known yet; the kit holds both, so it serves either.
    assert_eq!(told(&sourcing["kits"], &["quantity", "supplier", "cost"]), ["1 PELLWORTH 75.00"]);
    assert_eq!(sourcing["loose"], json!([]));
    assert_eq!((text(sourcing, "cash"), text(sourcing, "job_cost")), ("80.00", "90.00"));
    // 75.00, 10.00 and 5.00 with 25 % on them, ten hours at 60.00, and 20 % tax.
    assert_eq!(
        told(&answer["price"]["lines"], &["kind", "net"]),
        ["kit 93.75", "stock 12.50", "freight 6.25", "labour 600.00"]
    );
    assert_eq!((text(&answer["price"], "net"), text(&answer["price"], "total")), ("712.50", "855.00"));
    job
}

async fn findings(job: &mut Job<'_>, service: &Service) {
    job.step("strip").await;
    let found = json!({ "by": "Olaf", "variants": [{ "variant": "FL-50" }], "findings": [
        { "position": "FLANGE", "bench_value": "GROOVE", "measured": 0.2, "note": "Runs right round", "photo": "4711-7.jpg" },
        { "position": "BEARING", "grade": "worn", "note": "In and out play at the flange" },
    ] });
    let sheet = job.does("findings", found).await;
    assert_eq!(
        told(&sheet["findings"], &["position", "grade", "measured", "by", "photo"]),
        ["FLANGE - 0.2 Olaf 4711-7.jpg", "BEARING worn - Olaf "]
    );
    let compared = service.get(&format!("{}/comparison", job.path)).await.expect(200).json();
    assert_eq!(
        told(&compared["changes"], &["position", "before", "after"]),
        [
            "FLANGE - renew 1 × BRANNOCH/FL50",
            "FLANGE keep BRANNOCH/FL50 -",
            "FLANGE keep BRANNOCH/FL55 -",
            "NUT - renew 1 × VESSICK/PN30",
            "NUT renew 1 × VESSICK/PN30 -",
            "NUT renew 1 × VESSICK/PN33 -",
            "SEAL - renew 1 × VESSICK/PS50",
            "SEAL renew 1 × VESSICK/PS50 -",
            "SEAL renew 1 × VESSICK/PS55 -",
            "- - 1 × BRANNOCH/FL50 from bin A-1",
            "- - 1 × BRANNOCH FL-50 Pinion flange 50: 112.50",
            "- 855.00 990.00",
        ]
    );
    assert_eq!(
        told(&compared["changes"][0]["causes"], &["cause", "position", "after"]),
        ["finding FLANGE GROOVE 0.2"]
    );
}

async fn decision_and_approval(job: &mut Job<'_>, service: &Service) {
    let decision = job.step("decide").await["decision"].as_str().unwrap().to_owned();
    assert_eq!(decision, "Q-000002");
    let quote = service.get("/v1/quotes/Q-000002").await.expect(200).json();
    let sourcing = &quote["answer"]["sourcing"];
    assert_eq!((text(sourcing, "cash"), text(sourcing, "job_cost")), ("80.00", "180.00"));
    assert_eq!(
        told(&sourcing["from_stock"], &["quantity", "bin", "carrying_value"]),
        ["1 A-1 90.00", "2 A-1 5.00"]
    );
    assert_eq!(text(&quote["answer"]["price"], "total"), "990.00");
    let approve = json!({ "step": "approve", "by": "Ruth", "price": "990", "approved_by": "The district" });
    let approved = job.does("steps", approve).await;
    assert_eq!(
        told(&json!([approved["approval"]]), &["price", "currency", "approved_by", "quote"]),
        ["990.00 EUR The district Q-000002"]
    );
}

async fn reservation(job: &Job<'_>, service: &Service) {
    let lines = json!([{ "part": "FL-50", "quantity": "1" }, { "part": "OIL-1", "quantity": "2" }]);
    let reserved =
        post(service, "/v1/reservations", json!({ "job": job.number(), "by": "Ruth", "lines": lines })).await;
    assert_eq!(
        told(&reserved["items"], &["number", "part", "bin", "quantity", "state"]),
        ["RS-000001 BRANNOCH/FL50 A-1 1 live", "RS-000002 VESSICK/OIL1 A-1 2 live"]
    );
    let stock = service.get("/v1/stock?part=OIL-1").await.expect(200).json();
    assert_eq!(told(&stock["items"], &["balance", "reserved", "available"]), ["10 2 8"]);
}

/// Orders what the decision buys; the order's number.
async fn order(job: &Job<'_>, service: &Service) -> String {
    let drafted = post(service, "/v1/orders", json!({ "job": "j-000001", "by": "M. Brandl" })).await;
    let orders = &drafted["items"];
    assert_eq!(told(orders, &["number", "supplier", "state"]), ["PO-000001 PELLWORTH draft"]);
    assert_eq!(
        told(&orders[0]["lines"], &["part", "quantity", "price", "job", "quote"]),
        ["VESSICK/AK28 1 75.00 J-000001 Q-000002"]
    );
    assert_eq!(orders[0]["lines"][0]["contents"].as_array().unwrap().len(), 8);
    step(service, "PO-000001", json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);
    // A quote of somebody else is not ordered for this job.
    service.post_once("/v1/quotes", "other", &json!({ "units": [{ "unit": "T-100" }] })).await.expect(201);
    for (body, pointer) in [
        (json!({ "job": "J-000099", "by": "M" }), "/job"),
        (json!({ "job": job.number(), "quote": "Q-000003", "by": "M" }), "/quote"),
        (
            json!({ "lines": [{ "part": "PN-30", "quantity": "1", "job": "J-77" }], "by": "M" }),
            "/lines/0/job",
        ),
    ] {
        let refused = service.post_once("/v1/orders", &uuid::Uuid::now_v7().to_string(), &body).await;
        assert_eq!(refused.problem(422, "bad-value")["errors"][0]["pointer"], pointer);
    }
    "PO-000001".to_owned()
}

/// The box lacks the shims, its bearing is damaged, and a gasket of steel lies in it for the one of paper.
async fn receipt_with_two_discrepancies_and_a_successor(job: &mut Job<'_>, service: &Service, order: &str) {
    let notice = "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone\n\
                  N-9,BRANNOCH/G-1,BRANNOCH/G-1A,1,one_to_one,new_for_old,2021-01-01,no\n";
    let import = service.import(json!({ "files": { "supersessions.csv": notice } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let piece = |part: &str| json!({ "part": part, "quantity": "1", "batch": "26-40" });
    let counted = json!([
        { "part": "PB-1", "quantity": "1", "damaged": "1" },
        piece("SP-S"), piece("PS-50"), piece("PS-55"), piece("PN-30"), piece("PN-33"), piece("G-1A"),
    ]);
    let body = json!({ "order": order, "counted": counted, "bin": "A-1", "by": "R. Haller" });
    let receipt = post(service, "/v1/receipts", body).await;
    let result = &receipt["result"];
    let verdicts: Vec<String> = result["outcome"]["counted"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|line| {
            let written = text(line, "written");
            told(&line["pieces"], &["verdict", "quantity", "damaged"])
                .into_iter()
                .map(move |rest| format!("{written} {rest}"))
        })
        .collect();
    assert_eq!(
        verdicts,
        [
            "PB-1 right 1 1",
            "SP-S right 1 0",
            "PS-50 right 1 0",
            "PS-55 right 1 0",
            "PN-30 right 1 0",
            "PN-33 right 1 0",
            "G-1A proper_successor 1 0",
        ]
    );
    // Each carries half its price: its share of the kit.
    assert_eq!(
        told(&result["booked"], &["part", "quantity", "unit_value"]),
        [
            "VESSICK/SPS 1 15.00",
            "VESSICK/PS50 1 4.00",
            "VESSICK/PS55 1 4.50",
            "VESSICK/PN30 1 3.00",
            "VESSICK/PN33 1 3.50",
            "BRANNOCH/G1A 1 5.00",
        ]
    );
    assert_eq!(told(&result["set_aside"], &["written", "quantity", "damaged"]), ["PB-1 1 1"]);
    assert_eq!(
        told(&result["waiting"], &["job", "quote", "part", "quantity"]),
        ["J-000001 Q-000002 VESSICK/PB1 1", "J-000001 Q-000002 VESSICK/SHP 1"]
    );
    assert_eq!(
        told(&result["to_order"], &["part", "quantity", "supplier", "price"]),
        ["VESSICK/PB1 1 OSTREL 60.00", "VESSICK/SHP 1 OSTREL 20.00"]
    );
    assert_eq!(receipt["claim"], "CL-000001");
    let shown = service.get(&job.path).await.expect(200);
    assert_eq!(shown.header("etag"), job.tag, "papers do not change the job that a step is decided on");
}

async fn claim(service: &Service) {
    let claim = service.get("/v1/claims/CL-000001").await.expect(200).json();
    assert_eq!(
        told(&json!([claim]), &["supplier", "state", "order", "amount"]),
        ["PELLWORTH open PO-000001 40.00"]
    );
    assert_eq!(
        told(&claim["lines"], &["kind", "part", "quantity", "amount"]),
        ["short VESSICK/SHP 1 10.00", "damaged VESSICK/PB1 1 30.00"]
    );
    for (taken, state) in [("send", "sent"), ("accept", "accepted"), ("settle", "settled")] {
        let key = format!("\"{}\"", uuid::Uuid::now_v7());
        let request = service.request("POST", "/v1/claims/CL-000001/steps").header("idempotency-key", key);
        let body = json!({ "step": taken, "by": "M. Brandl" });
        let reply = crate::harness::Reply::of(request.header("if-match", "*").json(&body)).await;
        assert_eq!(reply.expect(201).json()["state"], state);
    }
}

async fn what_lacked_comes_after(job: &Job<'_>, service: &Service) {
    let lines = json!([{ "part": "PB-1", "quantity": "1" }, { "part": "SH-P", "quantity": "1" }]);
    let drafted =
        post(service, "/v1/orders", json!({ "job": job.number(), "lines": lines, "by": "M. Brandl" })).await;
    let number = text(&drafted["items"][0], "number");
    assert_eq!(
        told(&drafted["items"][0]["lines"], &["part", "job"]),
        ["VESSICK/PB1 J-000001", "VESSICK/SHP J-000001"]
    );
    step(service, number, json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);
    let piece = |part: &str| json!({ "part": part, "quantity": "1", "batch": "26-41" });
    let counted = json!([piece("PB-1"), piece("SH-P")]);
    let body = json!({ "order": number, "counted": counted, "bin": "A-1", "by": "R. Haller" });
    let receipt = post(service, "/v1/receipts", body).await;
    assert_eq!(
        told(&receipt["result"]["booked"], &["part", "unit_value"]),
        ["VESSICK/PB1 60.00", "VESSICK/SHP 20.00"]
    );
    assert_eq!((&receipt["claim"], &receipt["result"]["waiting"]), (&Value::Null, &json!([])));
}

async fn issue_in_order_of_assembly(job: &mut Job<'_>, service: &Service) {
    job.step("build").await;
    let list = service.get(&format!("{}/pick-list", job.path)).await.expect(200).json();
    let mut picked = Vec::new();
    for group in list["groups"].as_array().unwrap() {
        for line in group["lines"].as_array().unwrap() {
            let bins = told(&line["bins"], &["bin", "instead", "reserved", "free"]).join(", ");
            let place = line["position"].as_str().unwrap_or("-");
            picked.push(format!("{place} {} {}: {bins}", text(&line["part"], "part"), text(line, "open")));
        }
    }
    assert_eq!(
        picked,
        [
            "BEARING VESSICK/PB1 1: A-1 - 0 1",
            "SPACER VESSICK/SPS 1: A-1 - 0 1",
            "SHIMS VESSICK/SHP 1: A-1 - 0 1",
            "SEAL VESSICK/PS50 1: A-1 - 0 1",
            "FLANGE BRANNOCH/FL50 1: A-1 - 1 0",
            "NUT VESSICK/PN30 1: A-1 - 0 1",
            "GASKET BRANNOCH/G1 1: A-1 BRANNOCH/G1A 0 1",
            "- VESSICK/OIL1 2: A-1 - 2 8",
        ]
    );
    assert!(!list["cautions"].as_array().unwrap().is_empty(), "lifting and pressing are told at the bench");
    let one = |position: &str, part: &str, batch: &str| json!({ "position": position, "part": part, "bin": "A-1", "quantity": "1", "batch": batch });
    let issue = json!({ "by": "Olaf", "lines": [
        one("BEARING", "PB-1", "26-41"), one("SPACER", "SP-S", "26-40"), one("SHIMS", "SH-P", "26-41"),
        one("SEAL", "PS-55", "26-40"), one("FLANGE", "FL-50", ""), one("NUT", "PN-30", "26-40"),
        one("GASKET", "G-1A", "26-40"), { "part": "OIL-1", "bin": "A-1", "quantity": "2" },
    ] });
    job.does("issues", issue).await;
    // The wrong size of seal was taken; it goes back at the value it went out for, and the right one is taken.
    job.does("returns", json!({ "by": "Olaf", "lines": [one("SEAL", "PS-55", "26-40")] })).await;
    let sheet = job.does("issues", json!({ "by": "Olaf", "lines": [one("SEAL", "PS-50", "26-40")] })).await;
    assert_eq!(sheet["issued"].as_array().unwrap().len(), 8);
    let stock = service.get("/v1/stock?part=PS-55").await.expect(200).json();
    assert_eq!(told(&stock["items"], &["bin", "balance", "carrying_value"]), ["A-1 1 4.50"]);
    let list = service.get(&format!("{}/pick-list", job.path)).await.expect(200).json();
    let open = list["groups"].as_array().unwrap().iter().flat_map(|group| told(&group["lines"], &["open"]));
    assert!(open.clone().all(|open| open == "0"), "{list}");
    let reserved = service.get("/v1/reservations?ended=true").await.expect(200).json();
    assert_eq!(told(&reserved["items"], &["state", "open"]), ["issued 0", "issued 0"]);
}

async fn shims_and_inspection(job: &mut Job<'_>) {
    let shims = json!({ "by": "Olaf", "position": "SHIMS", "wanted_mm": 0.945, "tolerance_mm": 0.01 });
    let sheet = job.does("shims", shims).await;
    assert_eq!(sheet["shims"][0]["pieces_mm"], json!([0.94]));
    let close = json!({ "step": "close", "by": "Ruth" });
    job.send("steps", &close).await.problem(409, "step-not-allowed");
    let measured = |value: f64| json!({ "by": "Olaf", "values": [{ "position": "BEARING", "bench_value": "PRELOAD", "measured": value }] });
    assert_eq!(job.does("inspections", measured(2.3)).await["state"], "building");
    let sheet = job.does("inspections", measured(2.2)).await;
    assert_eq!((&sheet["state"], &sheet["inspection"][0]["good"]), (&json!("inspected"), &json!(true)));
}

/// One nut and one seal are surplus: they go on the shelf with their shares of the kit's cost.
async fn close_and_surplus(job: &mut Job<'_>, service: &Service) {
    let close = |bin: &str| json!({ "step": "close", "by": "Ruth", "surplus_bin": bin });
    job.send("steps", &close("NOWHERE")).await.problem(422, "unknown-reference");
    let strip = json!({ "step": "strip", "by": "Ruth", "surplus_bin": "S-1" });
    job.send("steps", &strip).await.problem(422, "bad-value");
    let sheet = job.does("steps", close("S-1")).await;
    assert_eq!(sheet["state"], "closed");
    assert_eq!(
        told(
            &sheet["surplus"],
            &["part", "ordered", "option_group", "quantity", "received_into", "bin", "amount"]
        ),
        ["VESSICK/PN33 VESSICK/AK28 NUT 1 A-1 S-1 3.50", "VESSICK/PS55 VESSICK/AK28 SEAL 1 A-1 S-1 4.50"]
    );
    let shelf = service.get("/v1/stock?bin=S-1").await.expect(200).json();
    assert_eq!(
        told(&shelf["items"], &["part", "balance", "available", "carrying_value"]),
        ["VESSICK/PN33 1 1 3.50", "VESSICK/PS55 1 1 4.50"]
    );
    let left = service.get("/v1/stock?bin=A-1").await.expect(200).json();
    assert_eq!(told(&left["items"], &["part", "balance"]), ["VESSICK/OIL1 8"]);
}

/// All papers of the job, and the shelf as it was; the day before the job was closed.
async fn papers_and_past_balances(job: &Job<'_>, service: &Service) -> String {
    let papers = service.get(&format!("{}/papers", job.path)).await.expect(200).json();
    assert_eq!(
        told(&papers["orders"], &["number", "supplier", "state"]),
        ["PO-000001 PELLWORTH part_received", "PO-000002 OSTREL received"]
    );
    assert_eq!(
        told(&papers["receipts"], &["number", "order", "claim"]),
        ["RC-000001 PO-000001 CL-000001", "RC-000002 PO-000002 -"]
    );
    assert_eq!(told(&papers["reservations"], &["number", "state"]), ["RS-000001 issued", "RS-000002 issued"]);
    let of_job = service.get("/v1/receipts?job=j-000001").await.expect(200).json();
    assert_eq!(of_job["items"], papers["receipts"]);
    let movements = service.get("/v1/stock/movements?limit=500").await.expect(200).json();
    let movements = movements["items"].as_array().unwrap();
    for (sequence, movement) in (1..).zip(movements) {
        assert_eq!(movement["sequence"], sequence);
        // Every past balance is what its movements come to.
        let part = text(movement, "part").replace('/', "%2F");
        let bin = text(movement, "bin");
        let past =
            service.get(&format!("/v1/stock?part={part}&bin={bin}&sequence={sequence}&empty=true")).await;
        let past = past.expect(200).json();
        let same = |other: &&Value| (&other["part"], &other["bin"]) == (&movement["part"], &movement["bin"]);
        let pieces = |value: &Value| value.as_str().unwrap().parse::<f64>().unwrap();
        let sum: f64 =
            movements[..sequence].iter().filter(same).map(|other| pieces(&other["quantity"])).sum();
        assert_eq!(pieces(&past["items"][0]["balance"]), sum, "{movement}");
    }
    Utc::now().date_naive().checked_sub_days(Days::new(2)).unwrap().to_string()
}

async fn as_built(service: &Service, before: &str) {
    let record = service.get(&format!("/v1/serials/X-28/4711?since={before}")).await.expect(200).json();
    let mut inside = told(&record["inside"], &["position", "part", "batch", "quantity", "source", "note"]);
    inside.sort();
    assert_eq!(
        inside,
        [
            "BEARING VESSICK/PB1 26-41 1 fitted ",
            "FLANGE BRANNOCH/FL50  1 fitted ",
            "GASKET BRANNOCH/G1A 26-40 1 fitted ",
            "NUT VESSICK/PN30 26-40 1 fitted ",
            "SEAL VESSICK/PS50 26-40 1 fitted ",
            "SHIMS VESSICK/SHP 26-41 1 fitted shims 0.940 mm, together 0.940 mm",
            "SPACER VESSICK/SPS 26-40 1 fitted ",
        ]
    );
    assert_eq!(record["changes"].as_array().unwrap().len(), 7, "the difference between two days: {record}");
    let went = service.get("/v1/batches/26-40/serials").await.expect(200).json();
    assert_eq!(
        told(&went["items"], &["unit", "serial", "position", "still_inside"]),
        ["X28 4711 GASKET true", "X28 4711 NUT true", "X28 4711 SEAL true", "X28 4711 SPACER true"]
    );
}

async fn a_grooved_flange_is_renewed_with_its_seal(service: Arc<Service>) {
    load_axle(&service).await;
    let renewed = async |groove_mm: f64| {
        let finding = json!({ "position": "FLANGE", "bench_value": "GROOVE", "measured": groove_mm });
        let unit = json!({ "unit": "X-28", "operation": "PINION-SEAL", "variants": ["FL-50"], "findings": [finding] });
        let answer = service.post("/v1/requirements", &json!({ "units": [unit] })).await.expect(200).json();
        let lines = answer["units"][0]["lines"].as_array().unwrap().clone();
        let renewed = lines.iter().filter(|line| line["action"] == "renew" && !line["position"].is_null());
        renewed.map(|line| text(line, "position").to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(renewed(0.2).await, ["SPACER", "SEAL", "FLANGE", "NUT"]);
    // A groove on the limit is still good; the seal is renewed all the same.
    assert_eq!(renewed(0.15).await, ["SPACER", "SEAL", "NUT"]);
}

async fn play_at_the_flange_points_to_spacer_or_bearings(service: Arc<Service>) {
    load_axle(&service).await;
    let check = "Propeller shaft off, pull and push the flange";
    let rows = format!(
        "unit,weak_point,position,finding,likelihood,given,likelihood_otherwise,symptom,vehicle_check\n\
         X28,BEARING-PLAY,BEARING,worn,0.4,,,Play in and out at the pinion flange,\"{check}\"\n\
         X28,SPACER-SET,SPACER,worn,0.2,,,Play in and out at the pinion flange,\"{check}\"\n\
         X28,GROOVE,FLANGE,worn,0.3,,,Oil at the pinion,Wipe it\n"
    );
    let import = service.import(json!({ "files": { "weak_points.csv": rows } })).await;
    assert_eq!(import["state"], "done", "{import}");
    let likely = service.get("/v1/units/X-28/likely-findings?symptom=play%20in%20and%20out").await;
    let likely = likely.expect(200).json();
    assert_eq!(
        told(&likely["findings"], &["weak_point", "position"]),
        ["BEARING-PLAY BEARING", "SPACER-SET SPACER"]
    );
    assert_eq!(told(&likely["checks"], &["check"]), [check]);
}
