//! Imports over HTTP.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service, small_bundle};

tests![
    a_bundle_is_taken_in,
    the_same_bundle_changes_nothing,
    a_dry_run_stores_nothing,
    a_faulty_bundle_names_file_row_and_column,
    a_strict_import_refuses_faults_of_meaning,
    a_replaced_sheet_loses_its_other_rows,
    a_wrong_request_is_refused,
    an_unknown_import_is_a_problem,
];

async fn a_bundle_is_taken_in(service: Arc<Service>) {
    let body =
        json!({ "files": { "bins.csv": "bin,name\nB-2,Shelf B\n" }, "who": "tests", "note": "a new shelf" });
    let begun = service.post_once("/v1/imports", "one", &body).await.expect(202);
    assert!(matches!(begun.json()["state"].as_str(), Some("waiting" | "running" | "done")));
    let import = service.import(json!({ "files": { "bins.csv": "bin,name\nB-3,Shelf C\n" } })).await;
    assert_eq!((&import["state"], &import["rows"]), (&json!("done"), &json!(1)));
    assert_eq!(import["result"]["outcome"], "done");
    let sheet = &import["result"]["sheets"][0];
    assert_eq!((&sheet["sheet"], &sheet["added"]), (&json!("bins"), &json!(1)));
    let bins = service.get("/v1/exports/bins.csv").await.expect(200).text();
    assert!(bins.contains("B-3,Shelf C"), "{bins}");
    let audit = service.get("/v1/audit?what=import").await.expect(200).json();
    let entries = audit["items"].as_array().unwrap();
    let entry = entries.iter().find(|entry| entry["detail"]["by"] == "tests");
    let entry = entry.unwrap_or_else(|| panic!("{audit}"));
    assert_eq!(entry["detail"]["note"], "a new shelf");
    let added = json!([{ "field": "name of B-2 in bins", "from": null, "to": "Shelf B" }]);
    assert_eq!((&entry["subject"], &entry["changes"]), (&json!("catalogue"), &added));
}

async fn the_same_bundle_changes_nothing(service: Arc<Service>) {
    let import = service.import(json!({ "files": small_bundle() })).await;
    for sheet in import["result"]["sheets"].as_array().unwrap() {
        let counts = ["added", "changed", "removed", "retired"].map(|name| sheet[name].as_u64());
        assert_eq!(counts, [Some(0); 4], "{sheet}");
    }
    assert_eq!(import["result"]["structure_revision"], 1);
}

async fn a_dry_run_stores_nothing(service: Arc<Service>) {
    let body = json!({ "files": { "bins.csv": "bin,name\nB-2,Shelf B\n" }, "dry_run": true });
    let import = service.import(body).await;
    assert_eq!(
        (&import["result"]["dry_run"], &import["result"]["sheets"][0]["added"]),
        (&json!(true), &json!(1))
    );
    assert!(!service.get("/v1/exports/bins.csv").await.expect(200).text().contains("B-2"));
}

async fn a_faulty_bundle_names_file_row_and_column(service: Arc<Service>) {
    let files = json!({
        "bins.csv": "bin,name\nB-2,Shelf B\n",
        "stock.csv": "bin,part,mark,quantity,carrying_value\nA-1,VESSICK/S-9,,1,5\nA-1,VESSICK/S-1,,-1,5\n",
        "bons.csv": "bin,name\n",
    });
    let import = service.import(json!({ "files": files })).await;
    assert_eq!(import["state"], "refused");
    let faults = import["result"]["faults"].as_array().unwrap();
    let of = |code: &str| {
        faults.iter().find(|fault| fault["code"] == code).unwrap_or_else(|| panic!("{faults:?}"))
    };
    assert_eq!(of("unknown_file")["suggestion"], "bins.csv");
    let bound = of("out_of_bounds");
    assert_eq!(
        (&bound["file"], &bound["row"], &bound["column"]),
        (&json!("stock.csv"), &json!(3), &json!("quantity"))
    );
    assert_eq!(of("unknown_reference")["row"], 2);
    assert!(!service.get("/v1/exports/bins.csv").await.expect(200).text().contains("B-2"), "all or nothing");
}

async fn a_strict_import_refuses_faults_of_meaning(service: Arc<Service>) {
    let circle = "notice,old,new,quantity,shape,interchange,effective_from,use_old_until_gone\n\
                  N-2,VESSICK/B1A,VESSICK/B1,1,one_to_one,two_way,2020-01-01,no\n";
    let body = |strict: bool| json!({ "files": { "supersessions.csv": circle }, "strict": strict });
    let refused = service.import(body(true)).await;
    assert_eq!(refused["state"], "refused", "{refused}");
    assert!(!refused["result"]["findings"].as_array().unwrap().is_empty(), "{refused}");
    assert_eq!(service.import(body(false)).await["state"], "done");
    let asked = json!({ "units": [{ "unit": "T-100" }] });
    service.post("/v1/requirements", &asked).await.problem(409, "catalogue-fault");
    let numbers = service.get("/v1/parts/VESSICK%2FB1/current-numbers").await.expect(200).json();
    assert_eq!(numbers["circles"], json!(["VESSICK/B1"]));
}

async fn a_replaced_sheet_loses_its_other_rows(service: Arc<Service>) {
    let rules = "rule,customer,price_group,supplier,markup\nALL,,,,25\n";
    let import =
        service.import(json!({ "files": { "price_rules.csv": rules }, "replace": ["price_rules"] })).await;
    assert_eq!(import["result"]["sheets"][0]["removed"], 1, "{import}");
}

async fn a_wrong_request_is_refused(service: Arc<Service>) {
    let send = |body: Value| {
        let (service, key) = (service.clone(), uuid::Uuid::now_v7().to_string());
        async move { service.post_once("/v1/imports", &key, &body).await }
    };
    let problem = send(json!({ "files": {} })).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/files");
    let problem = send(json!({ "files": { "bins.csv": 7 } })).await.problem(422, "invalid-body");
    assert_eq!(problem["errors"][0]["pointer"], "/files/bins.csv");
    let problem =
        send(json!({ "files": { "bins.csv": "" }, "fault_limit": 0 })).await.problem(422, "bad-value");
    assert_eq!(problem["errors"][0]["pointer"], "/fault_limit");
    let text = service.request("POST", "/v1/imports").header("idempotency-key", "\"x\"").body("bin,name\n");
    Reply::of(text).await.problem(415, "unsupported-media-type");
}

async fn an_unknown_import_is_a_problem(service: Arc<Service>) {
    for id in ["01941f29-7c00-7000-8000-000000000001", "no-id"] {
        service.get(&format!("/v1/imports/{id}")).await.problem(404, "import-not-found");
    }
}
