//! The shop's memory: the same serial number comes back, and the question starts from what was built into it.
//!
//! Facts of the trade (common practice, no source): with a solid spacer and its shims recorded, the next seal job needs a
//! seal and a nut only; with a crush spacer recorded it needs a new spacer too.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::command_line::printed_alike;
use crate::harness::Service;
use crate::jobs::Job;

tests![
    after_a_solid_spacer_the_next_seal_job_needs_seal_and_nut_only,
    what_the_bench_says_goes_before_the_record,
    a_bad_batch_is_found_inside_the_serial_numbers_that_still_hold_it,
];

const SPACER: &str = "VESSICK/VK 228-62";

fn seal_job(serial: &str) -> Value {
    json!({ "unit": "BN-228", "operation": "PINION-SEAL", "serial": serial, "variants": ["FLANGE-50"] })
}

/// What a seal job on a serial number renews, position by position.
async fn renewed(service: &Service, unit: Value) -> Vec<String> {
    let answer = service.post("/v1/requirements", &json!({ "units": [unit] })).await.expect(200).json();
    let lines = answer["units"][0]["lines"].as_array().unwrap().clone();
    let renewed = lines.iter().filter(|line| line["action"] != "keep" && !line["position"].is_null());
    renewed.map(|line| line["position"].as_str().unwrap().to_owned()).collect()
}

/// A closed seal job on a serial number; a solid spacer where one is asked for.
async fn build<'a>(service: &'a Service, serial: &str, spacer: Option<&str>, batch: &str) -> Job<'a> {
    let mut unit = seal_job(serial);
    if let Some(spacer) = spacer {
        unit["chosen"] = json!([{ "any_of": [spacer], "position": "PINION-SPACER" }]);
    }
    let mut job = Job::open(service, unit).await;
    let good = json!({ "by": "Olaf", "findings": [{ "position": "PINION-FLANGE", "grade": "good" }] });
    job.bring_to_build(good).await;
    job.receive_and_issue_all("C-SMALL", batch).await;
    if spacer.is_some() {
        let shims =
            json!({ "by": "Olaf", "position": "PINION-SHIMS", "wanted_mm": 0.945, "tolerance_mm": 0.01 });
        job.does("shims", shims).await;
    }
    job.does("inspections", json!({ "by": "Olaf", "values": [] })).await;
    job.step("close").await;
    job
}

async fn after_a_solid_spacer_the_next_seal_job_needs_seal_and_nut_only(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let service = &demo;
    let plain = renewed(service, seal_job("300")).await;
    assert!(plain.contains(&"PINION-SPACER".to_owned()), "{plain:?}");
    build(service, "300", Some(SPACER), "26-40").await;
    build(service, "301", None, "26-41").await;
    assert_eq!(renewed(service, seal_job("300")).await, ["PINION-SEAL", "PINION-NUT"]);
    let crush = renewed(service, seal_job("301")).await;
    assert!(crush.contains(&"PINION-SPACER".to_owned()), "{crush:?}");
    let record = service.get("/v1/serials/BN-228/300").await.expect(200).json();
    let at = |position: &str| {
        let inside = record["inside"].as_array().unwrap();
        inside.iter().find(|line| line["position"] == position).unwrap().clone()
    };
    assert_eq!(at("PINION-SPACER")["part"], "VESSICK/VK22862");
    assert_eq!(at("PINION-SHIMS")["note"], "shims 0.940 mm, together 0.940 mm");
    let went = service.get("/v1/batches/26-40/serials").await.expect(200).json();
    assert!(went["items"].as_array().unwrap().iter().all(|one| one["serial"] == 300), "{went}");
    // Two years later the same job again: seal and nut are of another batch, the rest stays.
    build(service, "300", None, "28-07").await;
    let record = service.get("/v1/serials/BN-228/300").await.expect(200).json();
    let batch = |position: &str| {
        let inside = record["inside"].as_array().unwrap();
        inside.iter().find(|line| line["position"] == position).unwrap()["batch"].clone()
    };
    assert_eq!((batch("PINION-SEAL"), batch("PINION-SPACER")), (json!("28-07"), json!("26-40")));
    let went = service.get("/v1/batches/26-40/serials").await.expect(200).json();
    let still = |position: &str| {
        let items = went["items"].as_array().unwrap();
        items.iter().find(|one| one["position"] == position).unwrap()["still_inside"].clone()
    };
    assert_eq!((still("PINION-SEAL"), still("PINION-SPACER")), (json!(false), json!(true)));
    demo.stop().await;
}

async fn what_the_bench_says_goes_before_the_record(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let service = &demo;
    build(service, "300", Some(SPACER), "26-40").await;
    let mut unit = seal_job("BN 300");
    unit["inside"] = json!([{ "position": "PINION-SPACER", "part": "BRANNOCH/228-2020" }]);
    let crush = service.post("/v1/requirements", &json!({ "units": [unit] })).await;
    let answer = crush.expect(200).json();
    let differences = answer["units"][0]["record_differences"].as_array().unwrap();
    let spacer = differences.iter().find(|one| one["position"] == "PINION-SPACER").unwrap();
    assert_eq!((&spacer["recorded"], &spacer["job"]), (&json!("VESSICK/VK22862"), &json!("J-000001")));
    // A stored quote keeps what it started from, whatever is recorded later.
    let asked = json!({ "units": [seal_job("300")] });
    let quote = service.post_once("/v1/quotes", "q", &asked).await.expect(201).json();
    build(service, "300", Some(SPACER), "27-01").await;
    let number = quote["number"].as_str().unwrap();
    let again = service.get(&format!("/v1/quotes/{number}/recomputed")).await.expect(200).json();
    assert_eq!(again["same"], true);
    demo.stop().await;
}

async fn a_bad_batch_is_found_inside_the_serial_numbers_that_still_hold_it(service: Arc<Service>) {
    let demo = Service::start_demo(service.kind).await;
    let service = &demo;
    build(service, "300", Some(SPACER), "26-40").await;
    build(service, "301", None, "26-41").await;
    build(service, "302", None, "").await;
    build(service, "302", None, "").await;
    let seal = "VESSICK/RS50X80X10";
    let inside = async |asked: Value| {
        let sheet = service.post("/v1/notice-effects", &asked).await.expect(200).json();
        let records = sheet["records"].as_array().unwrap().iter();
        let told = |one: &Value| {
            assert_eq!(one["position"], "PINION-SEAL", "{one}");
            assert_eq!(one["sentence"], "VESSICK/RS50X80X10 itself", "{one}");
            let job = one["job"].as_str().unwrap().to_owned();
            (
                one["serial"].as_i64().unwrap(),
                one["batch"].as_str().unwrap().to_owned(),
                one["certain"] == true,
                job,
            )
        };
        records.map(told).collect::<Vec<_>>()
    };
    let row = |serial: i64, batch: &str, certain: bool, job: &str| {
        (serial, batch.to_owned(), certain, job.to_owned())
    };
    let batch = json!({ "event": "bad_part", "part": seal, "mark": "26-40" });
    // The record of 302 does not say of which batch its seal is; that of 301 says that it is of another.
    let known = [row(300, "26-40", true, "J-000001"), row(302, "", false, "J-000004")];
    assert_eq!(inside(batch.clone()).await, known);
    let all = [
        row(300, "26-40", true, "J-000001"),
        row(301, "26-41", true, "J-000002"),
        row(302, "", true, "J-000004"),
    ];
    assert_eq!(inside(json!({ "event": "bad_part", "part": seal })).await, all);
    let notice = json!({ "event": "notice", "old": seal, "new": "VESSICK/RS 50x80x10 B" });
    assert_eq!(inside(notice).await, all);
    let text = printed_alike(service, &["notice", seal, "--mark", "26-40"]).await;
    assert!(text.contains("2 serial numbers"), "{text}");
    assert!(text.contains("INSIDE SERIAL NUMBERS") && text.contains("J-000004"), "{text}");
    // Once another seal is in, the batch is no longer inside.
    build(service, "300", None, "28-07").await;
    assert_eq!(inside(batch).await, known[1..]);
    demo.stop().await;
}
