//! Symptoms and what they point to.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::Service;

tests![symptoms_are_listed_and_searched, a_symptom_ranks_what_it_points_to, a_wrong_question_is_a_problem];

async fn with_weak_points(service: &Service) {
    let rows = "unit,weak_point,position,finding,likelihood,given,likelihood_otherwise,symptom,vehicle_check\n\
                T100,SHAFT-WORN,SHAFT,worn,0.25,,,Whine in every gear.,Listen at the case.\n\
                T100,SEAL-WORN,SEAL,worn,0.5,,,Oil at the rear.,Wipe it and drive ten minutes.\n\
                T200,SEAL-WORN,SEAL,worn,0.1,,,Oil at the rear.,Wipe it and drive ten minutes.\n";
    let import = service.import(json!({ "files": { "weak_points.csv": rows } })).await;
    assert_eq!(import["state"], "done", "{import}");
}

async fn symptoms_are_listed_and_searched(service: Arc<Service>) {
    assert_eq!(service.get("/v1/units/T-100/symptoms").await.expect(200).json()["items"], json!([]));
    with_weak_points(&service).await;
    let all = service.get("/v1/units/t%20100/symptoms").await.expect(200).json();
    let words: Vec<&Value> = all["items"].as_array().unwrap().iter().map(|known| &known["symptom"]).collect();
    assert_eq!(words, ["Oil at the rear.", "Whine in every gear."]);
    let found = service.get("/v1/units/T-100/symptoms?text=wine").await.expect(200).json();
    assert_eq!(found["items"][0]["weak_points"], json!(["SHAFT-WORN"]), "{found}");
    assert_eq!(found["items"].as_array().unwrap().len(), 1);
}

async fn a_symptom_ranks_what_it_points_to(service: Arc<Service>) {
    with_weak_points(&service).await;
    let unit =
        service.get("/v1/units/T-100/likely-findings?symptom=oil%20at%20rear").await.expect(200).json();
    assert_eq!(unit["symptoms"], json!(["Oil at the rear."]));
    assert_eq!(
        (&unit["findings"][0]["weak_point"], &unit["findings"][0]["with_symptom"]),
        (&json!("SEAL-WORN"), &json!(1.0))
    );
    assert_eq!(unit["checks"][0]["check"], "Wipe it and drive ten minutes.");
    // Of the vehicle either seal may leak. Own calculation: 0.5 / (1 - 0.5 x 0.9) and 0.1 / 0.55.
    let vehicle = service.get("/v1/vehicles/RIG-1/likely-findings?symptom=oil").await.expect(200).json();
    let shares: Vec<f64> =
        vehicle["findings"].as_array().unwrap().iter().map(|f| f["with_symptom"].as_f64().unwrap()).collect();
    assert_eq!(shares.len(), 2, "{vehicle}");
    assert!((shares[0] - 0.5 / 0.55).abs() < 1e-9 && (shares[1] - 0.1 / 0.55).abs() < 1e-9, "{shares:?}");
    let nothing = service.get("/v1/units/T-100/likely-findings?symptom=squeaks").await.expect(200).json();
    assert_eq!(nothing["findings"], json!([]));
    assert_eq!(nothing["suggestions"].as_array().unwrap().len(), 2, "{nothing}");
}

async fn a_wrong_question_is_a_problem(service: Arc<Service>) {
    service.get("/v1/units/T-101/symptoms").await.problem(404, "unit-not-found");
    service.get("/v1/units/T-101/likely-findings?symptom=oil").await.problem(404, "unit-not-found");
    service.get("/v1/vehicles/RIG-9/likely-findings?symptom=oil").await.problem(404, "vehicle-not-found");
    for query in ["", "?symptom=", "?symptom=the", "?symptoms=oil"] {
        let path = format!("/v1/units/T-100/likely-findings{query}");
        service.get(&path).await.problem(400, "invalid-query");
    }
    service.get("/v1/units/T-100/symptoms?find=oil").await.problem(400, "invalid-query");
}
