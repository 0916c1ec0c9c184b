//! Jobs over HTTP, from the enquiry to the record of what is now inside.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};

tests![
    a_job_runs_from_enquiry_to_the_record,
    a_step_needs_the_state_it_was_decided_on,
    a_wrong_step_is_refused_with_its_reason,
    what_is_issued_comes_back_at_its_value,
    a_job_that_comes_to_nothing_gives_back_what_it_reserved,
    of_two_who_take_a_step_at_once_one_is_told_to_look_again,
    jobs_are_listed_by_state,
];

/// A job that is worked on over HTTP, with the tag of its present state.
pub(crate) struct Job<'a> {
    service: &'a Service,
    /// Its path.
    pub(crate) path: String,
    /// The tag of its present state.
    pub(crate) tag: String,
    /// As it stands.
    pub(crate) sheet: Value,
}

impl<'a> Job<'a> {
    /// Opens a job for one unit.
    pub(crate) async fn open(service: &'a Service, unit: Value) -> Self {
        let key = uuid::Uuid::now_v7().to_string();
        let enquiry = json!({ "by": "Ruth", "note": "Noisy", "request": { "units": [unit] } });
        let reply = service.post_once("/v1/jobs", &key, &enquiry).await.expect(201);
        let (path, tag) = (reply.header("location").to_owned(), reply.header("etag").to_owned());
        Self { service, path, tag, sheet: reply.json() }
    }

    /// Its number.
    pub(crate) fn number(&self) -> String {
        self.sheet["number"].as_str().unwrap().to_owned()
    }

    /// Sends something to a path below the job under its tag.
    pub(crate) async fn send(&self, below: &str, body: &Value) -> Reply {
        let request = self.service.request("POST", &format!("{}/{below}", self.path)).json(body);
        Reply::of(request.header("if-match", &self.tag)).await
    }

    /// Does something that must succeed.
    pub(crate) async fn does(&mut self, below: &str, body: Value) -> &Value {
        let reply = self.send(below, &body).await.expect(200);
        self.tag = reply.header("etag").to_owned();
        self.sheet = reply.json();
        &self.sheet
    }

    /// A plain step that must succeed.
    pub(crate) async fn step(&mut self, step: &str) -> &Value {
        self.does("steps", json!({ "step": step, "by": "Ruth" })).await
    }

    /// From the enquiry to the build, with some findings.
    pub(crate) async fn bring_to_build(&mut self, findings: Value) {
        self.step("estimate").await;
        self.step("strip").await;
        self.does("findings", findings).await;
        self.step("decide").await;
        let approve =
            json!({ "step": "approve", "by": "Ruth", "price": "900", "approved_by": "The district" });
        self.does("steps", approve).await;
        self.step("build").await;
    }

    /// Lets everything that the pick list names come in, of one batch, and issues it.
    pub(crate) async fn receive_and_issue_all(&mut self, bin: &str, batch: &str) {
        let list = self.service.get(&format!("{}/pick-list", self.path)).await.expect(200).json();
        let (mut receive, mut issue) = (Vec::new(), Vec::new());
        for line in
            list["groups"].as_array().unwrap().iter().flat_map(|group| group["lines"].as_array().unwrap())
        {
            let part = &line["part"]["part"];
            receive.push(json!({ "part": part, "bin": bin, "kind": "receive", "quantity": line["open"],
                "carrying_value": "1", "batch": batch }));
            let mut one = json!({ "part": part, "bin": bin, "quantity": line["open"], "batch": batch });
            if !line["position"].is_null() {
                one["position"] = line["position"].clone();
            }
            issue.push(one);
        }
        let key = uuid::Uuid::now_v7().to_string();
        let booking = json!({ "by": "Ruth", "postings": receive });
        self.service.post_once("/v1/stock/movements", &key, &booking).await.expect(201);
        self.does("issues", json!({ "by": "Olaf", "lines": issue })).await;
    }
}

/// Limits of the test gearbox: the end float of its shaft, and the wear of its journal.
async fn limits(service: &Service) {
    let rows = "unit,position,bench_value,kind,name,measure,minimum,maximum,wear_limit,step\n\
        T100,SHAFT,FLOAT,end_float,End float of the shaft,MMT,0.05,0.15,,\n\
        T100,SHAFT,JOURNAL,wear_limit,Journal of the shaft,MMT,39.95,40,39.9,\n";
    let import = service.import(json!({ "files": { "bench_values.csv": rows } })).await;
    assert_eq!(import["state"], "done", "{import}");
}

fn good_shaft() -> Value {
    json!({ "by": "Olaf", "findings": [{ "position": "SHAFT", "grade": "good" }] })
}

async fn a_job_runs_from_enquiry_to_the_record(service: Arc<Service>) {
    limits(&service).await;
    let mut job = Job::open(&service, json!({ "unit": "T-100", "serial": "A 1001" })).await;
    assert_eq!((job.number().as_str(), &job.sheet["state"]), ("J-000001", &json!("enquiry")));
    let estimated = job.step("estimate").await;
    assert_eq!(estimated["estimate"], "Q-000001");
    job.step("strip").await;

    // The journal is past its limit: the shaft comes to the estimate, and the comparison says why.
    let worn = json!({ "by": "Olaf", "findings": [
        { "position": "shaft", "bench_value": "JOURNAL", "measured": 39.85, "note": "Scored", "photo": "1001-shaft.jpg" }
    ] });
    let found = job.does("findings", worn).await;
    assert_eq!(found["findings"][0]["photo"], "1001-shaft.jpg");
    assert_eq!(found["findings"][0]["by"], "Olaf");
    let compared = service.get(&format!("{}/comparison", job.path)).await.expect(200).json();
    assert_eq!(compared["estimate"], "Q-000001");
    let of_shaft =
        compared["changes"].as_array().unwrap().iter().find(|change| change["position"] == "SHAFT");
    let of_shaft = of_shaft.unwrap_or_else(|| panic!("{compared}"));
    assert_eq!(
        (&of_shaft["before"], &of_shaft["after"]),
        (&json!("keep BRANNOCH/SH100"), &json!("renew 1 × BRANNOCH/SH100"))
    );
    assert_eq!(of_shaft["causes"][0]["cause"], "finding");
    assert_eq!(of_shaft["causes"][0]["after"], "JOURNAL 39.85");

    // Measured again it is good, and nothing of the requirement differs from the estimate.
    let again = json!({ "by": "Ruth", "findings": [{ "position": "SHAFT", "bench_value": "JOURNAL", "measured": 39.97 }] });
    job.does("findings", again).await;
    let compared = service.get(&format!("{}/comparison", job.path)).await.expect(200).json();
    assert_eq!(compared["changes"], json!([]), "{compared}");

    let decided = job.step("decide").await;
    assert_eq!(decided["decision"], "Q-000002");
    let approve =
        json!({ "step": "approve", "by": "Ruth", "price": "450.50", "approved_by": "The district" });
    let approved = job.does("steps", approve).await;
    assert_eq!(
        (&approved["approval"]["price"], &approved["approval"]["currency"]),
        (&json!("450.50"), &json!("EUR"))
    );
    build_and_close(&service, &mut job).await;
    the_record_stands(&service).await;
}

async fn build_and_close(service: &Service, job: &mut Job<'_>) {
    let reserve =
        json!({ "job": job.number(), "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "2.5" }] });
    service.post_once("/v1/reservations", "oil", &reserve).await.expect(201);
    job.step("build").await;
    let list = service.get(&format!("{}/pick-list", job.path)).await.expect(200).json();
    let lines: Vec<String> = list["groups"]
        .as_array()
        .unwrap()
        .iter()
        .flat_map(|group| group["lines"].as_array().unwrap())
        .map(|line| {
            format!("{} {} {}", line["position"], line["part"]["part"], line["open"]).replace('"', "")
        })
        .collect();
    assert_eq!(lines, ["BEARING VESSICK/B1A 2", "SEAL VESSICK/S1 1", "null VESSICK/OIL1 2.5"]);
    assert_eq!(list["groups"][1]["lines"][0]["bins"][0]["reserved"], "2.5", "{list}");

    job.send("steps", &json!({ "step": "close", "by": "Ruth" })).await.problem(409, "step-not-allowed");
    let none = json!({ "by": "Olaf", "lines": [{ "position": "SEAL", "part": "VESSICK/S-1", "bin": "A-1", "quantity": "1" }] });
    let problem = job.send("issues", &none).await.problem(409, "not-available");
    assert_eq!(problem["shortage"]["available"], "0");
    job.receive_and_issue_all("A-1", "L7").await;
    let reserved = service.get("/v1/reservations?ended=true").await.expect(200).json();
    assert_eq!(reserved["items"][0]["state"], "issued");
    let movements = service.get("/v1/stock/movements?paper=J-000001").await.expect(200).json();
    assert_eq!(movements["items"].as_array().unwrap().len(), 3);

    let shims = json!({ "by": "Olaf", "position": "SHAFT", "wanted_mm": 0.31, "tolerance_mm": 0.02, "shims_mm": [0.1, 0.2, 0.5] });
    let shimmed = job.does("shims", shims).await;
    assert_eq!(shimmed["shims"][0]["pieces_mm"], json!([0.2, 0.1]));
    let unmeasured =
        job.send("inspections", &json!({ "by": "Olaf", "values": [] })).await.problem(422, "bad-value");
    assert!(unmeasured["detail"].as_str().unwrap().contains("FLOAT at SHAFT"), "{unmeasured}");
    let float = |measured: f64| json!({ "by": "Olaf", "values": [{ "position": "SHAFT", "bench_value": "FLOAT", "measured": measured }] });
    let failed = job.does("inspections", float(0.16)).await;
    assert_eq!((&failed["state"], &failed["inspection"][0]["good"]), (&json!("building"), &json!(false)));
    // A value on the limit is still good.
    let passed = job.does("inspections", float(0.15)).await;
    assert_eq!(passed["state"], "inspected");
    let closed = job.step("close").await;
    assert_eq!((&closed["state"], &closed["allowed"]), (&json!("closed"), &json!([])));
    let steps: Vec<&str> =
        closed["steps"].as_array().unwrap().iter().map(|step| step["step"].as_str().unwrap()).collect();
    assert_eq!(
        steps,
        [
            "open",
            "estimate",
            "strip",
            "find",
            "find",
            "decide",
            "approve",
            "build",
            "issue",
            "shim",
            "fail_inspection",
            "inspect",
            "close"
        ]
    );
    assert!(closed["steps"].as_array().unwrap().iter().all(|step| !step["by"].as_str().unwrap().is_empty()));
}

async fn the_record_stands(service: &Service) {
    let record = service.get("/v1/serials/T-100/A%201001").await.expect(200).json();
    let inside: Vec<String> = record["inside"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| {
            format!(
                "{} {} {} {} {}",
                line["position"], line["part"], line["batch"], line["quantity"], line["source"]
            )
            .replace('"', "")
        })
        .collect();
    assert_eq!(
        inside,
        ["BEARING VESSICK/B1A L7 2 fitted", "SEAL VESSICK/S1 L7 1 fitted", "SHAFT BRANNOCH/SH100  1 kept"]
    );
    let shaft = record["inside"].as_array().unwrap().iter().find(|line| line["position"] == "SHAFT").unwrap();
    assert_eq!(shaft["note"], "shims 0.200 + 0.100 mm, together 0.300 mm");
    let went = service.get("/v1/batches/L7/serials").await.expect(200).json();
    let went: Vec<(&Value, &Value)> =
        went["items"].as_array().unwrap().iter().map(|one| (&one["serial"], &one["still_inside"])).collect();
    assert_eq!(went, [(&json!(1001), &json!(true)), (&json!(1001), &json!(true))]);
    let before = service.get("/v1/serials/T-100/1001?as_of=2020-01-01").await.expect(200).json();
    assert_eq!(before["inside"], json!([]));
    let since = service.get("/v1/serials/T-100/1001?since=2020-01-01").await.expect(200).json();
    assert_eq!(since["changes"].as_array().unwrap().len(), 3);
    service.get("/v1/serials/T-999/1").await.problem(404, "unit-not-found");
    service.get("/v1/serials/T-100/none").await.problem(400, "invalid-code");
}

async fn a_step_needs_the_state_it_was_decided_on(service: Arc<Service>) {
    let mut job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let first = job.tag.clone();
    let estimate = json!({ "step": "estimate", "by": "Ruth" });
    let path = format!("{}/steps", job.path);
    service.post(&path, &estimate).await.problem(428, "precondition-required");
    job.step("estimate").await;
    job.tag = first;
    job.send("steps", &estimate).await.problem(412, "precondition-failed");
    let now = service.get(&job.path).await.expect(200);
    assert_eq!(now.json()["steps"].as_array().unwrap().len(), 2, "the stale step was not taken");
    job.tag = now.header("etag").to_owned();
    job.step("estimate").await;
    job.tag = "*".to_owned();
    job.step("strip").await;
    service.get("/v1/jobs/J-000009").await.problem(404, "job-not-found");
    job.path = "/v1/jobs/J-000009".to_owned();
    job.send("steps", &estimate).await.problem(404, "job-not-found");
}

async fn a_wrong_step_is_refused_with_its_reason(service: Arc<Service>) {
    let enquiry = |unit: Value| json!({ "by": "Ruth", "request": { "units": [unit] } });
    let unknown = enquiry(json!({ "unit": "T-101" }));
    let problem = service.post_once("/v1/jobs", "1", &unknown).await.problem(422, "unknown-reference");
    assert_eq!(problem["errors"][0]["pointer"], "/request/units/0/unit");
    service
        .post("/v1/jobs", &enquiry(json!({ "unit": "T-100" })))
        .await
        .problem(400, "idempotency-key-missing");

    let mut job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let problem =
        job.send("steps", &json!({ "step": "approve", "by": "R", "price": "1", "approved_by": "X" })).await;
    let problem = problem.problem(409, "step-not-allowed");
    assert!(problem["detail"].as_str().unwrap().contains("it can take estimate, strip, cancel"), "{problem}");
    service.get(&format!("{}/comparison", job.path)).await.problem(409, "not-ready");
    service.get(&format!("{}/pick-list", job.path)).await.problem(409, "not-ready");
    job.step("strip").await;
    let finding = |finding: Value| json!({ "by": "Olaf", "findings": [finding] });
    let cases = [
        (finding(json!({ "position": "NONE", "grade": "worn" })), "unknown-reference"),
        (finding(json!({ "position": "SHAFT" })), "bad-value"),
        (finding(json!({ "position": "SHAFT", "grade": "worn", "unit": "T-200" })), "bad-value"),
        (json!({ "by": "", "findings": [{ "position": "SHAFT", "grade": "worn" }] }), "bad-value"),
        (json!({ "by": "Olaf" }), "bad-value"),
        (json!({ "by": "Olaf", "inside": [{ "position": "SHAFT", "part": "NONE" }] }), "unknown-reference"),
        (finding(json!({ "position": "SHAFT", "grade": "bent" })), "invalid-body"),
    ];
    for (body, kind) in cases {
        job.send("findings", &body).await.problem(422, kind);
    }
    let steps = [
        (json!({ "step": "decide", "by": "Ruth", "price": "1" }), "/price"),
        (
            json!({ "step": "decide", "by": "Ruth", "request": { "units": [{ "unit": "T-200" }] } }),
            "/request/units",
        ),
        (json!({ "step": "cancel", "by": "Ruth" }), "/note"),
    ];
    for (body, pointer) in steps {
        let problem = job.send("steps", &body).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], pointer, "{problem}");
    }
    assert_eq!(service.get(&job.path).await.expect(200).json()["steps"].as_array().unwrap().len(), 2);
}

async fn what_is_issued_comes_back_at_its_value(service: Arc<Service>) {
    let mut job = Job::open(&service, json!({ "unit": "T-100", "serial": "7" })).await;
    job.bring_to_build(good_shaft()).await;
    job.receive_and_issue_all("A-1", "").await;
    let oil = json!({ "by": "Ruth", "postings": [
        { "part": "OIL-1", "bin": "A-1", "kind": "adjust", "quantity": "0", "carrying_value": "9", "reason": "dearer" } ] });
    service.post_once("/v1/stock/movements", "dearer", &oil).await.expect(201);
    let back = |quantity: &str| json!({ "by": "Olaf", "lines": [{ "part": "OIL-1", "bin": "A-1", "quantity": quantity }] });
    let problem = job.send("returns", &back("3")).await.problem(422, "bad-value");
    assert!(
        problem["detail"].as_str().unwrap().contains("2.5 of that mark and batch were issued"),
        "{problem}"
    );
    job.send("steps", &json!({ "step": "cancel", "by": "Ruth", "note": "x" }))
        .await
        .problem(409, "not-ready");
    job.does("returns", back("0.5")).await;
    let movements = service.get("/v1/stock/movements?paper=J-000001&part=OIL-1").await.expect(200).json();
    assert_eq!(movements["items"][1]["kind"], "return");
    // Ten litres at 9.00 and half a litre at what it went out for, 4.20 (ten at 5 and two and a half at 1).
    let stock = service.get("/v1/stock?part=OIL-1").await.expect(200).json();
    assert_eq!(
        (&stock["items"][0]["balance"], &stock["items"][0]["carrying_value"]),
        (&json!("10.5"), &json!("8.7714"))
    );
    let oil = job.sheet["issued"].as_array().unwrap().iter().find(|line| line["position"].is_null()).unwrap();
    assert_eq!(oil["quantity"], "2");
    // What the requirement renews must be in the job when it is closed.
    let seal = json!({ "by": "Olaf", "lines": [{ "position": "SEAL", "part": "VESSICK/S-1", "bin": "A-1", "quantity": "1" }] });
    job.does("returns", seal).await;
    job.does("inspections", json!({ "by": "Olaf", "values": [] })).await;
    let problem =
        job.send("steps", &json!({ "step": "close", "by": "Ruth" })).await.problem(409, "not-ready");
    assert!(problem["detail"].as_str().unwrap().contains("1 × VESSICK/S1 at SEAL"), "{problem}");
    assert_eq!(service.get("/v1/serials/T-100/7").await.expect(200).json()["inside"], json!([]));
}

async fn a_job_that_comes_to_nothing_gives_back_what_it_reserved(service: Arc<Service>) {
    let mut job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let reserve =
        json!({ "job": job.number(), "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "10" }] });
    service.post_once("/v1/reservations", "oil", &reserve).await.expect(201);
    // What is reserved for the job counts as free for its own estimate.
    let quote = job.step("estimate").await["estimate"].as_str().unwrap().to_owned();
    let quote = service.get(&format!("/v1/quotes/{quote}")).await.expect(200).json();
    assert_eq!(quote["answer"]["sourcing"]["from_stock"][0]["quantity"], "2.5");
    job.does("steps", json!({ "step": "cancel", "by": "Ruth", "note": "Too dear" })).await;
    assert_eq!(job.sheet["state"], "cancelled");
    let stock = service.get("/v1/stock?part=OIL-1").await.expect(200).json();
    assert_eq!(stock["items"][0]["available"], "10");
    let late = json!({ "job": job.number(), "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "1" }] });
    service.post_once("/v1/reservations", "late", &late).await.problem(422, "bad-value");
    let nobody = json!({ "job": "J-000077", "by": "Ruth", "lines": [{ "part": "OIL-1", "quantity": "1" }] });
    service.post_once("/v1/reservations", "nobody", &nobody).await.problem(422, "bad-value");
}

async fn of_two_who_take_a_step_at_once_one_is_told_to_look_again(service: Arc<Service>) {
    let job = Job::open(&service, json!({ "unit": "T-100" })).await;
    let strip = json!({ "step": "strip", "by": "Ruth" });
    let (one, other) = tokio::join!(job.send("steps", &strip), job.send("steps", &strip));
    let mut statuses = [one.status, other.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412]);
    assert_eq!(service.get(&job.path).await.expect(200).json()["steps"].as_array().unwrap().len(), 2);
}

async fn jobs_are_listed_by_state(service: Arc<Service>) {
    let mut first = Job::open(&service, json!({ "unit": "T-100" })).await;
    Job::open(&service, json!({ "unit": "T-200" })).await;
    first.step("strip").await;
    let numbers = |reply: Value| {
        let items = reply["items"].as_array().unwrap().clone();
        items.iter().map(|job| job["number"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    let all = service.get("/v1/jobs?limit=1").await.expect(200);
    assert_eq!(all.header("link"), "</v1/jobs?after=J-000001&limit=1>; rel=\"next\"");
    assert_eq!(numbers(all.json()), ["J-000001"]);
    assert_eq!(numbers(service.get("/v1/jobs?after=J-000001").await.expect(200).json()), ["J-000002"]);
    assert_eq!(numbers(service.get("/v1/jobs?state=inspection").await.expect(200).json()), ["J-000001"]);
    service.get("/v1/jobs?state=lost").await.problem(400, "invalid-query");
}
