//! Parts: found by number, followed through notices, and where they are used.

use std::sync::Arc;

use serde_json::json;

use crate::harness::Service;

tests![
    a_part_is_found_with_and_without_its_maker,
    a_number_of_several_makers_asks_for_the_maker,
    an_unknown_number_names_the_closest,
    an_old_number_leads_to_todays,
    uses_are_found_through_successors_and_kits,
    parts_are_listed_in_pieces,
];

async fn a_part_is_found_with_and_without_its_maker(service: Arc<Service>) {
    for written in ["VESSICK%2FB1", "vessick%2Fb%201", "b-1", "B.1"] {
        let part = service.get(&format!("/v1/parts/{written}")).await.expect(200).json();
        assert_eq!((&part["part"], &part["number"]), (&json!("VESSICK/B1"), &json!("B 1")), "{written}");
    }
}

async fn a_number_of_several_makers_asks_for_the_maker(service: Arc<Service>) {
    for path in ["/v1/parts/S-1", "/v1/parts/S-1/current-numbers", "/v1/parts/S-1/where-used"] {
        let problem = service.get(path).await.problem(409, "part-number-of-several-makers");
        assert_eq!(problem["suggestions"], json!(["NORRWALD/S-1", "VESSICK/S-1"]), "{path}");
    }
}

async fn an_unknown_number_names_the_closest(service: Arc<Service>) {
    for tail in ["", "/current-numbers", "/where-used"] {
        let problem = service.get(&format!("/v1/parts/SH-101{tail}")).await.problem(404, "part-not-found");
        assert_eq!(problem["suggestions"][0], "BRANNOCH/SH-100", "{tail}");
    }
    service.get("/v1/parts/-").await.problem(400, "invalid-code");
}

async fn an_old_number_leads_to_todays(service: Arc<Service>) {
    let numbers = service.get("/v1/parts/VESSICK%2FB1/current-numbers").await.expect(200).json();
    assert_eq!(numbers["current"], false);
    let successor = &numbers["successors"][0];
    assert_eq!(successor["part"], "VESSICK/B1A");
    assert_eq!(successor["interchange"], "new_for_old");
    assert_eq!(successor["way"][0]["notice"], "N-1");
    let before = "/v1/parts/VESSICK%2FB1/current-numbers?as_of=2019-12-31";
    assert_eq!(service.get(before).await.expect(200).json()["current"], true);
    let wrong = "/v1/parts/VESSICK%2FB1/current-numbers?as_of=yesterday";
    service.get(wrong).await.problem(400, "invalid-query");
}

async fn uses_are_found_through_successors_and_kits(service: Arc<Service>) {
    let uses = service.get("/v1/parts/VESSICK%2FB1/where-used").await.expect(200).json();
    assert_eq!(uses["positions"][0]["position"], "BEARING");
    assert_eq!(uses["positions"][0]["relation"], "same");
    assert_eq!(uses["kits"][0]["kit"], "VESSICK/K100");
    assert_eq!(uses["kits"][0]["relation"], "new");
}

async fn parts_are_listed_in_pieces(service: Arc<Service>) {
    let first = service.get("/v1/parts?limit=2").await.expect(200);
    assert_eq!(first.header("link"), "</v1/parts?after=BRANNOCH%2FSH200&limit=2>; rel=\"next\"");
    let second = service.get("/v1/parts?after=BRANNOCH%2FSH200&limit=2").await.expect(200).json();
    assert_eq!(second["items"][0]["part"], "NORRWALD/S1");
    service.get("/v1/parts?after=SH200").await.problem(400, "invalid-query");
}
