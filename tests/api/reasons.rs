//! Why each line of a stored quote is there.

use std::sync::Arc;

use crate::harness::{Reply, Service};

tests![reasons_are_sent_as_data_as_a_graph_and_as_a_picture, what_nobody_sends_is_refused];

async fn reasons_are_sent_as_data_as_a_graph_and_as_a_picture(service: Arc<Service>) {
    service.stored_quote("T-100").await;
    let path = "/v1/quotes/q-000001/reasons";
    let data = service.get(path).await.expect(200);
    assert_eq!((data.header("content-type"), data.header("vary")), ("application/json", "Accept"));
    let sheet = data.json();
    assert_eq!(sheet["number"], "Q-000001");
    let lines = sheet["lines"].as_array().unwrap();
    let bearing = lines.iter().find(|line| line["position"] == "BEARING").unwrap();
    let first = &bearing["steps"][0];
    assert_eq!(
        (first["from"].as_str().unwrap(), first["because"].as_str().unwrap()),
        ("T100 overhaul", "always renewed at an overhaul")
    );
    let send =
        |media_type: &'static str| Reply::of(service.request("GET", path).header("accept", media_type));
    let dot = send("text/vnd.graphviz").await.expect(200);
    assert_eq!(dot.header("content-type"), "text/vnd.graphviz");
    assert!(
        dot.text().starts_with("digraph reasons {") && dot.text().contains("always renewed"),
        "{}",
        dot.text()
    );
    let svg = send("application/json;q=0.5, image/svg+xml").await.expect(200);
    assert_eq!(svg.header("content-type"), "image/svg+xml");
    assert!(svg.text().contains("<svg ") && svg.text().trim_end().ends_with("</svg>"));
    let again = service
        .request("GET", path)
        .header("accept", "image/svg+xml")
        .header("if-none-match", svg.header("etag"));
    assert_eq!(Reply::of(again).await.status, 304);
    assert_ne!(dot.header("etag"), svg.header("etag"));
}

async fn what_nobody_sends_is_refused(service: Arc<Service>) {
    service.get("/v1/quotes/Q-000009/reasons").await.problem(404, "quote-not-found");
    let png = service.request("GET", "/v1/quotes/Q-000009/reasons").header("accept", "image/png");
    let problem = Reply::of(png).await.problem(406, "not-acceptable");
    assert!(problem["detail"].as_str().unwrap().contains("image/svg+xml"), "{problem}");
}
