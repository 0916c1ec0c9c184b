//! Units: lists, one unit, its graph.

use std::sync::Arc;

use crate::harness::{Reply, Service};

tests![
    a_unit_is_found_as_it_is_spoken,
    a_unit_sheet_holds_what_the_bench_asks,
    an_unknown_unit_names_the_closest,
    a_code_that_can_be_none_is_refused,
    a_list_comes_in_pieces,
    a_wrong_page_is_refused,
    a_known_state_is_not_sent_again,
    a_graph_is_dot,
];

async fn a_unit_is_found_as_it_is_spoken(service: Arc<Service>) {
    for code in ["T-100", "t100", "t%20100", "T.1-00"] {
        let unit = service.get(&format!("/v1/units/{code}")).await.expect(200).json();
        assert_eq!(unit["unit"]["code"], "T-100", "{code}");
    }
}

async fn a_unit_sheet_holds_what_the_bench_asks(service: Arc<Service>) {
    let sheet = service.get("/v1/units/T-100").await.expect(200).json();
    let codes = |list: &str, name: &str| -> Vec<String> {
        let items = sheet[list].as_array().unwrap().iter();
        items.map(|item| item[name].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(codes("positions", "position"), ["SHAFT", "BEARING", "SEAL"], "in order of assembly");
    assert_eq!(codes("operations", "operation"), ["OVERHAUL", "SEAL-CHANGE"]);
    assert_eq!(codes("variants", "variant"), ["EARLY", "LATE"]);
    assert_eq!(codes("vehicles", "vehicle"), ["RIG-1"]);
    assert_eq!(codes("cautions", "hazard"), ["lifting", "press"]);
    assert_eq!(sheet["positions"][1]["quantity"], "2");
    assert!(sheet["deferral"].as_str().unwrap().contains("maker's manual"));
}

async fn an_unknown_unit_names_the_closest(service: Arc<Service>) {
    for path in ["/v1/units/T-101", "/v1/units/T-101/graph", "/v1/units/T-101/kits"] {
        let problem = service.get(path).await.problem(404, "unit-not-found");
        assert_eq!(problem["suggestions"][0], "T-100", "{path}");
        assert_eq!(problem["instance"], path);
    }
}

async fn a_code_that_can_be_none_is_refused(service: Arc<Service>) {
    let problem = service.get("/v1/units/T%2C100").await.problem(400, "invalid-code");
    assert_eq!(problem["detail"], "`T,100` is no unit code: it holds `,`");
    service.get("/v1/units/-").await.problem(400, "invalid-code");
}

async fn a_list_comes_in_pieces(service: Arc<Service>) {
    let first = service.get("/v1/units?limit=1").await.expect(200);
    assert_eq!(first.header("link"), "</v1/units?after=T100&limit=1>; rel=\"next\"");
    assert_eq!(first.json()["items"][0]["code"], "T-100");
    let second = service.get("/v1/units?after=T100&limit=1").await.expect(200);
    assert_eq!(second.json()["items"][0]["code"], "T-200");
    assert_eq!(second.header("link"), "");
    let beyond = service.get("/v1/units?after=T200").await.expect(200);
    assert_eq!(beyond.json()["items"].as_array().unwrap().len(), 0);
}

async fn a_wrong_page_is_refused(service: Arc<Service>) {
    for (query, words) in [
        ("limit=0", "from 1 to 500"),
        ("limit=501", "from 1 to 500"),
        ("limit=x", "invalid digit"),
        ("page=2", "unknown field `page`"),
        ("after=%2C", "holds `,`"),
    ] {
        let problem = service.get(&format!("/v1/units?{query}")).await.problem(400, "invalid-query");
        assert!(problem["detail"].as_str().unwrap().contains(words), "{query}: {problem}");
    }
}

async fn a_known_state_is_not_sent_again(service: Arc<Service>) {
    let first = service.get("/v1/units/T-100").await.expect(200);
    let tag = first.header("etag").to_owned();
    assert!(tag.starts_with('"') && tag.len() > 10, "{tag}");
    for known in [tag.clone(), format!("W/{tag}"), format!("\"other\", {tag}"), "*".to_owned()] {
        let again =
            Reply::of(service.request("GET", "/v1/units/T-100").header("if-none-match", &known)).await;
        assert_eq!((again.status, again.header("etag"), again.body.len()), (304, tag.as_str(), 0), "{known}");
    }
    let other =
        Reply::of(service.request("GET", "/v1/units/T-100").header("if-none-match", "\"other\"")).await;
    assert_eq!(other.status, 200);
}

async fn a_graph_is_dot(service: Arc<Service>) {
    let graph = service.get("/v1/units/T-100/graph").await.expect(200);
    assert_eq!(graph.header("content-type"), "text/vnd.graphviz");
    let dot = graph.text();
    assert!(dot.starts_with("graph \"T100\" {") && dot.ends_with("}\n"), "{dot}");
    assert!(dot.contains("SHAFT\\nShaft\\nBRANNOCH/SH100"), "{dot}");
    assert!(dot.contains("0 -- 1 [ label=\"bearing seat\"]"), "{dot}");
}
