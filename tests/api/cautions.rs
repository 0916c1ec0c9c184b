//! Every answer that leads to bench or road work carries its cautions and its deferral. The routes are listed here; a new
//! route must be put on one of the two lists.

use std::collections::BTreeSet;
use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{DAY, Service};
use crate::jobs::Job;

tests![
    answers_for_bench_and_road_carry_their_cautions,
    every_step_of_a_job_carries_its_cautions,
    every_route_is_on_one_of_the_lists,
];

/// Routes whose answers lead to bench or road work, and where in them the cautions are.
const WITH_CAUTIONS: &[(&str, &str, &str)] = &[
    ("GET", "/v1/units/{code}", ""),
    ("GET", "/v1/units/{code}/kits", ""),
    ("GET", "/v1/units/{code}/likely-findings", ""),
    ("GET", "/v1/vehicles/{code}/likely-findings", ""),
    ("GET", "/v1/quotes/{number}/reasons", ""),
    ("POST", "/v1/fit-checks", ""),
    ("POST", "/v1/notice-effects", ""),
    ("POST", "/v1/price-ranges", ""),
    ("POST", "/v1/quotes/{number}/alternatives", ""),
    ("POST", "/v1/requirements", ""),
    ("POST", "/v1/quotes", "/answer"),
    ("GET", "/v1/quotes/{number}", "/answer"),
    ("GET", "/v1/quotes/{number}/recomputed", "/answer"),
    ("GET", "/v1/quotes/{number}/comparison", ""),
    ("POST", "/v1/jobs", ""),
    ("GET", "/v1/jobs/{number}", ""),
    ("GET", "/v1/jobs/{number}/comparison", ""),
    ("GET", "/v1/jobs/{number}/pick-list", ""),
    ("POST", "/v1/jobs/{number}/steps", ""),
    ("POST", "/v1/jobs/{number}/findings", ""),
    ("POST", "/v1/jobs/{number}/issues", ""),
    ("POST", "/v1/jobs/{number}/returns", ""),
    ("POST", "/v1/jobs/{number}/shims", ""),
    ("POST", "/v1/jobs/{number}/inspections", ""),
];

/// Calculations under `/v1/calculations/`: each leads to bench or road work. Their cautions are asked for where they are tested.
pub(crate) const CALCULATIONS: &[&str] = &[
    "mesh",
    "gear-search",
    "measured-gear",
    "gear-ratios",
    "road-speed",
    "ratio-change",
    "gradeability",
    "axle-match",
    "spline",
    "spline-fit",
    "spline-capacity",
    "bearing-designation",
    "limits-and-fits",
    "bearing-life",
    "shrink-fit",
    "shaft-seal",
    "thread",
    "shims",
    "bearing-preload",
    "bearing-drag",
    "pinion-depth",
    "side-bearings",
    "end-float",
    "wear",
    "gear-geometry",
    "gear-pair",
    "spline-stress",
    "synchroniser",
    "heat-growth",
    "thrust-faces",
];

/// Routes that only look something up or run the service.
const WITHOUT: &[(&str, &str)] = &[
    ("GET", "/healthz"),
    ("GET", "/metrics"),
    ("GET", "/problems/"),
    ("GET", "/problems/{kind}"),
    ("GET", "/readyz"),
    ("GET", "/v1/batches/{batch}/serials"),
    ("GET", "/v1/catalogue-findings"),
    ("GET", "/v1/event-types"),
    ("GET", "/v1/events"),
    ("GET", "/v1/exports/{sheet}.csv"),
    ("GET", "/v1/imports/{id}"),
    ("GET", "/v1/jobs"),
    ("GET", "/v1/audit"),
    ("GET", "/v1/keys"),
    ("GET", "/v1/keys/{number}"),
    ("GET", "/v1/openapi.json"),
    ("GET", "/v1/orders"),
    ("GET", "/v1/claims"),
    ("GET", "/v1/claims/{number}"),
    ("GET", "/v1/orders/{number}"),
    ("GET", "/v1/orders/{number}/count-sheet"),
    ("GET", "/v1/orders/{number}/count-sheet.csv"),
    ("GET", "/v1/receipts"),
    ("GET", "/v1/receipts/{number}"),
    ("GET", "/v1/jobs/{number}/deliveries"),
    ("GET", "/v1/quotes/{number}/deliveries"),
    ("GET", "/v1/received-papers"),
    ("GET", "/v1/received-papers/{number}"),
    ("GET", "/v1/suppliers/{supplier}/catalogue"),
    ("GET", "/v1/suppliers/{supplier}/faults"),
    ("POST", "/v1/received-papers"),
    ("POST", "/v1/claims/{number}/steps"),
    ("POST", "/v1/receipts"),
    ("POST", "/v1/receipts/{number}/reversal"),
    ("GET", "/v1/parts"),
    ("GET", "/v1/parts/{part}"),
    ("GET", "/v1/parts/{part}/current-numbers"),
    ("GET", "/v1/parts/{part}/features"),
    ("GET", "/v1/parts/{part}/features/{feature}/measurement"),
    ("GET", "/v1/parts/{part}/where-used"),
    ("GET", "/v1/quotes"),
    ("GET", "/v1/reservations"),
    ("GET", "/v1/reservations/{number}"),
    ("GET", "/v1/quotes/{number}/case"),
    ("GET", "/v1/serials/{unit}/{serial}"),
    ("GET", "/v1/settings"),
    ("GET", "/v1/settings/{setting}"),
    ("GET", "/v1/stock"),
    ("GET", "/v1/stock/count-sheet"),
    ("GET", "/v1/stock/count-sheet.csv"),
    ("GET", "/v1/stock/movements"),
    ("GET", "/v1/units"),
    ("GET", "/v1/units/{code}/graph"),
    ("GET", "/v1/units/{code}/symptoms"),
    ("GET", "/v1/vehicles"),
    ("GET", "/v1/vehicles/{code}"),
    ("POST", "/v1/calculations/mesh/drawing"),
    ("POST", "/v1/calculations/road-speed/drawing"),
    ("POST", "/v1/calculations/spline/drawing"),
    ("POST", "/v1/cases"),
    ("POST", "/v1/imports"),
    ("POST", "/v1/reservations"),
    ("POST", "/v1/keys"),
    ("POST", "/v1/keys/{number}/revocation"),
    ("POST", "/v1/reservations/{number}/release"),
    ("POST", "/v1/stock/counts"),
    ("POST", "/v1/stock/movements"),
    ("GET", "/v1/reorders"),
    ("POST", "/v1/reorders"),
    ("POST", "/v1/order-rounds"),
    ("GET", "/v1/jobs/{number}/papers"),
    ("PUT", "/v1/parts/{part}/features/{feature}/measurement"),
    ("POST", "/v1/orders"),
    ("POST", "/v1/orders/{number}/steps"),
    ("PUT", "/v1/settings/{setting}"),
    ("GET", "/v1/webhooks"),
    ("GET", "/v1/webhooks/{id}"),
    ("GET", "/v1/webhooks/{id}/attempts"),
    ("POST", "/v1/webhooks"),
    ("POST", "/v1/webhooks/{id}/replays"),
    ("POST", "/v1/webhooks/{id}/secrets"),
    ("POST", "/v1/webhooks/{id}/tests"),
    ("PUT", "/v1/webhooks/{id}"),
    ("DELETE", "/v1/webhooks/{id}"),
];

async fn answers_for_bench_and_road_carry_their_cautions(service: Arc<Service>) {
    let asked = json!({ "units": [{ "unit": "T-100" }], "as_of": DAY });
    let of_jobs = |path: &str| path.starts_with("/v1/jobs");
    for (method, path, place) in WITH_CAUTIONS.iter().filter(|(_, path, _)| !of_jobs(path)) {
        let code = if path.contains("/vehicles/") { "RIG-1" } else { "T-100" };
        let mut filled = path.replace("{code}", code).replace("{number}", "Q-000001");
        if path.ends_with("/likely-findings") {
            filled.push_str("?symptom=oil");
        }
        let asked = match *path {
            "/v1/fit-checks" => {
                let wanted = json!([{ "parts": [{ "part": "VESSICK/S-1" }] }]);
                json!({ "units": [{ "unit": "T-100" }], "as_of": DAY, "alternatives": wanted })
            }
            "/v1/notice-effects" => json!({ "event": "bad_part", "part": "VESSICK/S-1" }),
            "/v1/quotes/{number}/alternatives" => json!({}),
            _ => asked.clone(),
        };
        let reply = match *method {
            "POST" => service.post_once(&filled, "the key", &asked).await,
            _ => {
                service.post_once("/v1/quotes", "another", &asked).await.expect(201);
                service.get(&filled).await
            }
        };
        assert!(matches!(reply.status, 200 | 201 | 400), "{}", reply.text());
        let answer = if reply.status == 400 {
            service.post_once(&filled, "key", &asked).await.json()
        } else {
            reply.json()
        };
        assert_cautioned(&format!("{method} {path}"), answer.pointer(place).unwrap());
    }
}

#[track_caller]
fn assert_cautioned(what: &str, answer: &Value) {
    let hazards: Vec<&str> = answer["cautions"]
        .as_array()
        .unwrap()
        .iter()
        .map(|caution| caution["hazard"].as_str().unwrap())
        .collect();
    assert!(hazards.contains(&"lifting"), "{what}: {hazards:?}");
    // Looking at a vehicle needs no press.
    assert!(what.ends_with("/likely-findings") || hazards.contains(&"press"), "{what}: {hazards:?}");
    let deferral = answer["deferral"].as_str().unwrap();
    for word in ["maker's manual", "local codes", "licensed practice"] {
        assert!(deferral.contains(word), "{what}: {deferral}");
    }
}

async fn every_step_of_a_job_carries_its_cautions(service: Arc<Service>) {
    let mut seen: BTreeSet<(String, String)> = BTreeSet::new();
    let mut check = |method: &str, below: &str, answer: &Value| {
        assert_cautioned(&format!("{method} {below}"), answer);
        seen.insert((method.to_owned(), format!("/v1/jobs{below}")));
    };
    let mut job = Job::open(&service, json!({ "unit": "T-100" })).await;
    check("POST", "", &job.sheet);
    let good = json!({ "by": "Olaf", "findings": [{ "position": "SHAFT", "grade": "good" }] });
    job.bring_to_build(good.clone()).await;
    check("POST", "/{number}/steps", &job.sheet);
    for (path, below) in [("", ""), ("/comparison", "/comparison"), ("/pick-list", "/pick-list")] {
        let answer = service.get(&format!("{}{path}", job.path)).await.expect(200).json();
        check("GET", &format!("/{{number}}{below}"), &answer);
    }
    job.receive_and_issue_all("A-1", "").await;
    check("POST", "/{number}/issues", &job.sheet);
    let back = json!({ "by": "Olaf", "lines": [{ "part": "OIL-1", "bin": "A-1", "quantity": "1" }] });
    check("POST", "/{number}/returns", job.does("returns", back).await);
    let shims = json!({ "by": "Olaf", "position": "SHAFT", "wanted_mm": 0.2, "tolerance_mm": 0.01, "shims_mm": [0.2] });
    check("POST", "/{number}/shims", job.does("shims", shims).await);
    check(
        "POST",
        "/{number}/inspections",
        job.does("inspections", json!({ "by": "Olaf", "values": [] })).await,
    );
    job.step("strip").await;
    check("POST", "/{number}/findings", job.does("findings", good).await);
    let listed = WITH_CAUTIONS.iter().filter(|(_, path, _)| path.starts_with("/v1/jobs"));
    let listed: BTreeSet<_> =
        listed.map(|(method, path, _)| ((*method).to_owned(), (*path).to_owned())).collect();
    assert_eq!(seen, listed);
}

async fn every_route_is_on_one_of_the_lists(_: Arc<Service>) {
    let document: Value = serde_json::from_str(&http_api::openapi_json().unwrap()).unwrap();
    let mut described = BTreeSet::new();
    for (path, item) in document["paths"].as_object().unwrap() {
        for method in item.as_object().unwrap().keys() {
            described.insert((method.to_uppercase(), path.clone()));
        }
    }
    let with = WITH_CAUTIONS.iter().map(|(method, path, _)| ((*method).to_owned(), (*path).to_owned()));
    let without = WITHOUT.iter().map(|(method, path)| ((*method).to_owned(), (*path).to_owned()));
    let calculations =
        CALCULATIONS.iter().map(|name| ("POST".to_owned(), format!("/v1/calculations/{name}")));
    let listed: BTreeSet<_> = with.chain(without).chain(calculations).collect();
    assert_eq!(listed, described);
}
