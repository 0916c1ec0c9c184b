//! Papers by an open standard, out and in: the conversation with a supplier and an ordering system.

use std::sync::Arc;

use serde_json::{Value, json};

use crate::harness::{Reply, Service};
use crate::jobs::Job;
use crate::orders::{placed, step};
use crate::ubl_supplier::{
    answered_line, assert_valid, despatch_advice, item, order, order_response, receipt_advice, sent_line,
    texts,
};

tests![
    an_order_goes_out_as_ubl_and_as_csv,
    a_supplier_answers_short_late_and_with_a_substitute,
    a_paper_that_comes_again_is_answered_by_the_first,
    a_despatch_advice_prefills_a_receipt_whose_advice_goes_out,
    an_ordering_system_orders_and_counts_by_paper,
    a_catalogue_that_went_out_changes_nothing_when_it_comes_back,
    a_suppliers_catalogue_changes_parts_lists_prices_and_notices,
    a_hostile_or_wrong_paper_is_refused_with_its_place_and_nothing_is_kept,
    what_is_not_understood_is_kept_and_told,
];

async fn send(service: &Service, media_type: &str, text: &str) -> Reply {
    send_to(service, "/v1/received-papers", media_type, text).await
}

async fn send_to(service: &Service, path: &str, media_type: &str, text: &str) -> Reply {
    let key = format!("\"{}\"", uuid::Uuid::now_v7());
    let request = service.request("POST", path);
    let request = request.header("idempotency-key", key).header("content-type", media_type);
    Reply::of(request.body(text.to_owned())).await
}

async fn as_paper(service: &Service, path: &str, media_type: &str) -> Reply {
    Reply::of(service.request("GET", path).header("accept", media_type)).await
}

async fn kept(service: &Service) -> usize {
    let list = service.get("/v1/received-papers").await.expect(200).json();
    list["items"].as_array().unwrap().len()
}

async fn an_order_goes_out_as_ubl_and_as_csv(service: Arc<Service>) {
    let asked = json!({
        "lines": [{ "part": "VESSICK/S-1", "quantity": "2" }, { "part": "VESSICK/OIL-1", "quantity": "3.5" }],
        "supplier": "OSTREL", "by": "M. Brandl", "note": "Gate B & C",
    });
    service.post_once("/v1/orders", "one", &asked).await.expect(201);
    as_paper(&service, "/v1/orders/PO-000001", "application/xml").await.problem(409, "wrong-state");
    step(&service, "PO-000001", json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);

    let reply = as_paper(&service, "/v1/orders/PO-000001", "application/xml").await.expect(200);
    assert_eq!(reply.header("content-type"), "application/xml");
    assert!(reply.header("vary").contains("Accept"), "{}", reply.header("vary"));
    let paper = reply.text();
    assert_valid("Order", &paper);
    assert_eq!(texts(&paper, "cbc:ID")[0], "PO-000001");
    assert_eq!(texts(&paper, "cbc:Note"), ["Gate B &amp; C"]);
    assert_eq!(texts(&paper, "cbc:Quantity"), ["2", "4"], "the oil is sold by the litre");
    assert_eq!(texts(&paper, "cbc:LineExtensionAmount"), ["16.00", "24.00"]);
    assert_eq!(texts(&paper, "cbc:PayableAmount"), ["40.00"]);
    assert!(paper.contains("unitCode=\"LTR\"") && paper.contains("unitCode=\"H87\""), "{paper}");

    let csv = as_paper(&service, "/v1/orders/PO-000001", "text/csv").await.expect(200);
    assert!(csv.header("content-type").starts_with("text/csv"));
    assert!(csv.text().lines().nth(1).unwrap().contains("PO-000001"), "{}", csv.text());
    as_paper(&service, "/v1/orders/PO-000001", "application/pdf").await.problem(406, "not-acceptable");
    assert_eq!(service.get("/v1/orders/PO-000001").await.expect(200).json()["number"], "PO-000001");
}

async fn a_supplier_answers_short_late_and_with_a_substitute(service: Arc<Service>) {
    let job = Job::open(&service, json!({ "unit": "T-100" })).await.number();
    let lines = [("VESSICK/B1A", "4"), ("VESSICK/S-1", "2"), ("VESSICK/S-2", "3")];
    let lines: Vec<Value> =
        lines.iter().map(|(part, count)| json!({ "part": part, "quantity": count, "job": job })).collect();
    let asked = json!({ "lines": lines, "supplier": "OSTREL", "by": "M. Brandl" });
    service.post_once("/v1/orders", "one", &asked).await.expect(201);
    step(&service, "PO-000001", json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);
    let deliveries = format!("/v1/jobs/{job}/deliveries");
    let before = service.get(&deliveries).await.expect(200).json();
    let planned: chrono::NaiveDate = before["planned_on"].as_str().unwrap().parse().unwrap();
    assert_eq!((&before["expected_on"], &before["to_decide"]), (&before["planned_on"], &json!(false)));

    let late = (planned + chrono::Days::new(5)).to_string();
    let answer = order_response(
        "OR-551",
        ("PO-000001", "OSTREL"),
        &[
            answered_line(1, ("VESSICK/B1A", "3"), None, None),
            answered_line(2, ("VESSICK/S-1", "2"), Some(&late), None),
            answered_line(3, ("VESSICK/S-2", "0"), None, Some("NORRWALD/S-1")),
        ]
        .concat(),
    );
    assert_valid("OrderResponse", &answer);
    let reply = send(&service, "application/xml; charset=utf-8", &answer).await.expect(201);
    assert_eq!(reply.header("location"), "/v1/received-papers/IN-000001");
    let sheet = reply.json();
    assert_eq!(sheet["outcome"]["did"], "answered_order");
    assert_eq!(sheet["outcome"]["state"], "acknowledged");

    // By hand: line, how many come, how many lack, days later, what is offered.
    let table = [(1, "3", "1", 0, None), (2, "2", "0", 5, None), (3, "0", "3", 0, Some("NORRWALD/S1"))];
    let after = service.get(&deliveries).await.expect(200).json();
    for (line, coming, lacking, days, instead) in table {
        let found = after["lines"].as_array().unwrap().iter().find(|found| found["line"] == line).unwrap();
        assert_eq!((&found["coming"], &found["lacking"]), (&json!(coming), &json!(lacking)), "{found}");
        assert_eq!(found["days_later"], days, "{found}");
        assert_eq!(found["substitute"].as_str(), instead, "{found}");
        let waits =
            sheet["outcome"]["waiting"].as_array().unwrap().iter().find(|paper| paper["line"] == line);
        let waits = waits.unwrap_or_else(|| panic!("{sheet}"));
        assert_eq!((&waits["job"], &waits["lacking"]), (&json!(job), &json!(lacking)));
        assert_eq!(waits["days_later"], days);
    }
    assert_eq!((&after["expected_on"], &after["to_decide"]), (&json!(late), &json!(true)));
    assert_eq!(after["days_later"], 5);

    let lines = json!([{ "line": 3 }]);
    step(&service, "PO-000001", json!({ "step": "take_substitute", "by": "M. Brandl", "lines": lines }))
        .await
        .expect(201);
    let order = service.get("/v1/orders/PO-000001").await.expect(200).json();
    assert_eq!(order["lines"][2]["part"], "NORRWALD/S1");
    let of_order = service.get("/v1/received-papers?order=PO-000001").await.expect(200).json();
    assert_eq!(of_order["items"][0]["sent_number"], "OR-551");
}

async fn a_paper_that_comes_again_is_answered_by_the_first(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-1", "2")]).await;
    let answer = |quantity: &str| {
        let line = answered_line(1, ("VESSICK/S-1", quantity), None, None);
        order_response("OR-1", (&number, "OSTREL"), &line)
    };
    let first = send(&service, "application/xml", &answer("1")).await.expect(201).json();
    let again = send(&service, "application/xml", &answer("1")).await.expect(200).json();
    assert_eq!(again, first);
    let problem = send(&service, "application/xml", &answer("2")).await.problem(409, "paper-number-taken");
    assert!(problem["detail"].as_str().unwrap().contains("IN-000001"), "{problem}");
    let order = service.get(&format!("/v1/orders/{number}")).await.expect(200).json();
    assert_eq!(order["lines"][0]["acknowledged_quantity"], "1");
    assert_eq!(order["steps"].as_array().unwrap().len(), 3, "drafted, placed, acknowledged once");

    // Many at once, of one number.
    let second = placed(&service, "OSTREL", &[("VESSICK/S-2", "2")]).await;
    let line = answered_line(1, ("VESSICK/S-2", "1"), None, None);
    let paper = order_response("OR-2", (&second, "OSTREL"), &line);
    let mut senders = tokio::task::JoinSet::new();
    for _ in 0..8 {
        let (service, paper) = (service.clone(), paper.clone());
        senders.spawn(async move { send(&service, "application/xml", &paper).await });
    }
    let all = senders.join_all().await;
    let created = all.iter().filter(|reply| reply.status == 201).count();
    assert!(all.iter().all(|reply| matches!(reply.status, 200 | 201)), "{all:?}");
    assert_eq!(created, 1, "one of them did it");
    assert_eq!(kept(&service).await, 2);
}

async fn a_despatch_advice_prefills_a_receipt_whose_advice_goes_out(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/B1A", "4"), ("VESSICK/S-1", "2")]).await;
    let advice = despatch_advice(
        "DA-7",
        (&number, "OSTREL"),
        &[sent_line(1, "VESSICK/B1A", "3", "1"), sent_line(2, "VESSICK/S-1", "2", "0")].concat(),
    );
    assert_valid("DespatchAdvice", &advice);
    let sheet = send(&service, "application/xml", &advice).await.expect(201).json();
    let outcome = &sheet["outcome"];
    assert_eq!(outcome["did"], "announced_box");
    assert_eq!(outcome["outstanding"][0]["quantity"], "1");
    assert_eq!(outcome["outstanding"][0]["reason"], "In the next lorry");
    let mut receipt = outcome["receipts"][0].clone();
    assert_eq!(receipt["more_to_come"], true);
    let counted: Vec<(&str, &str)> = receipt["counted"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| (line["part"].as_str().unwrap(), line["quantity"].as_str().unwrap()))
        .collect();
    assert_eq!(counted, [("VESSICK/B 1A", "3"), ("VESSICK/S-1", "2")]);

    // The storeman finds one seal only, and that damaged.
    receipt["by"] = json!("R. Haller");
    receipt["bin"] = json!("A-1");
    receipt["counted"][1]["quantity"] = json!("1");
    receipt["counted"][1]["damaged"] = json!("1");
    let booked = service.post_once("/v1/receipts", "box", &receipt).await.expect(201).json();
    let path = format!("/v1/receipts/{}", booked["number"].as_str().unwrap());
    let paper = as_paper(&service, &path, "application/xml").await.expect(200).text();
    assert_valid("ReceiptAdvice", &paper);
    assert_eq!(texts(&paper, "cbc:RejectedQuantity"), ["1"]);
    assert_eq!(texts(&paper, "cbc:RejectReason"), ["damaged"]);
    assert!(as_paper(&service, &path, "text/csv").await.expect(200).text().contains("receipt_advice"));
}

async fn an_ordering_system_orders_and_counts_by_paper(service: Arc<Service>) {
    let job = Job::open(&service, json!({ "unit": "T-100" })).await.number();
    let lines = [("VESSICK/S-1", "2", "EA", Some(job.as_str())), ("VESSICK/OIL-1", "1.5", "LTR", None)];
    let paper = order("B-1", "OSTREL", &lines);
    assert_valid("Order", &paper);
    let sheet = send(&service, "application/xml", &paper).await.expect(201).json();
    assert_eq!(sheet["outcome"]["orders"], json!(["PO-000001"]));
    let drafted = service.get("/v1/orders/PO-000001").await.expect(200).json();
    let jobs: Vec<Option<&str>> =
        drafted["lines"].as_array().unwrap().iter().map(|line| line["job"].as_str()).collect();
    assert!(jobs.contains(&Some(job.as_str())) && jobs.contains(&None), "{drafted}");
    step(&service, "PO-000001", json!({ "step": "place", "by": "M. Brandl" })).await.expect(201);

    let advice = receipt_advice("GR-1", ("PO-000001", "OSTREL"), &[("VESSICK/S-1", "2", "0")]);
    assert_valid("ReceiptAdvice", &advice);
    let lacking = send(&service, "application/xml", &advice).await.problem(422, "bad-value");
    assert!(lacking["detail"].as_str().unwrap().contains("no usual bin"), "{lacking}");
    let into = "/v1/received-papers?bin=A-1&by=Stores";
    let counted = send_to(&service, into, "application/xml", &advice).await.expect(201).json();
    assert_eq!(counted["outcome"], json!({ "did": "counted_box", "receipt": "RC-000001", "remarks": [] }));
    let again = send(&service, "application/xml", &advice).await.expect(200).json();
    assert_eq!(again, counted, "the box is counted once");

    // The same order as CSV goes in under a number of its own, and comes out as UBL.
    let csv = "record,number,issued,seller_code,quantity,quantity_unit,item_buyers_number\r\n\
               order,B-2,2026-11-25,OSTREL,,,\r\nline,1,,,3,H87,VESSICK/S-2\r\n";
    let sheet = send(&service, "text/csv", csv).await.expect(201).json();
    assert_eq!(sheet["outcome"]["orders"], json!(["PO-000002"]));
    let path = format!("/v1/received-papers/{}", sheet["number"].as_str().unwrap());
    assert_eq!(as_paper(&service, &path, "text/csv").await.expect(200).text(), csv);
    assert_valid("Order", &as_paper(&service, &path, "application/xml").await.expect(200).text());
}

async fn a_catalogue_that_went_out_changes_nothing_when_it_comes_back(service: Arc<Service>) {
    for supplier in ["OSTREL", "PELLWORTH"] {
        let path = format!("/v1/suppliers/{supplier}/catalogue?limit=500");
        for media_type in ["application/xml", "text/csv"] {
            let reply = as_paper(&service, &path, media_type).await.expect(200);
            let mut text = reply.text();
            if media_type == "application/xml" {
                assert_valid("Catalogue", &text);
            } else {
                let number = text.lines().nth(1).unwrap().split(',').nth(1).unwrap().to_owned();
                text = text.replacen(&number, &format!("{number}-CSV"), 1);
            }
            let sheet = send(&service, media_type, &text).await.expect(201).json();
            for rows in sheet["outcome"]["sheets"].as_array().unwrap() {
                for field in ["added", "changed", "removed", "retired"] {
                    assert_eq!(rows[field], 0, "{rows}");
                }
            }
            assert!(!sheet["outcome"]["sheets"].as_array().unwrap().is_empty());
            assert_eq!(sheet["not_understood"]["kept"], json!([]));
        }
    }
    let first =
        as_paper(&service, "/v1/suppliers/OSTREL/catalogue?limit=2", "application/xml").await.expect(200);
    assert!(first.header("link").contains("after="), "{}", first.header("link"));
    as_paper(&service, "/v1/suppliers/NOBODY/catalogue", "text/csv").await.problem(404, "supplier-not-found");
}

async fn a_suppliers_catalogue_changes_parts_lists_prices_and_notices(service: Arc<Service>) {
    let line = |number: &str, inside: &str| {
        format!("<cac:CatalogueLine><cbc:ID>{number}</cbc:ID>{inside}</cac:CatalogueLine>")
    };
    let related = |element: &str, part: &str, quantity: &str| {
        let (maker, number) = part.split_once('/').unwrap();
        format!(
            "<cac:{element}><cbc:ID schemeID=\"{maker}\">{number}</cbc:ID><cbc:Quantity unitCode=\"H87\">{quantity}</cbc:Quantity>\
             </cac:{element}>"
        )
    };
    let price = |amount: &str| {
        format!(
            "<cac:RequiredItemLocationQuantity><cbc:LeadTimeMeasure unitCode=\"DAY\">6</cbc:LeadTimeMeasure>\
             <cac:Price><cbc:PriceAmount currencyID=\"EUR\">{amount}</cbc:PriceAmount>\
             <cbc:BaseQuantity unitCode=\"H87\">2</cbc:BaseQuantity></cac:Price></cac:RequiredItemLocationQuantity>"
        )
    };
    let new_part = "<cac:Item><cbc:Name>Shaft seal, new lip</cbc:Name>\
        <cac:ManufacturersItemIdentification><cbc:ID>S-1B</cbc:ID></cac:ManufacturersItemIdentification>\
        <cac:AdditionalItemProperty><cbc:Name>kind</cbc:Name><cbc:Value>consumable</cbc:Value></cac:AdditionalItemProperty>\
        <cac:AdditionalItemProperty><cbc:Name>class</cbc:Name><cbc:Value>seal</cbc:Value></cac:AdditionalItemProperty>\
        <cac:AdditionalItemProperty><cbc:Name>price_group</cbc:Name><cbc:Value>WEAR</cbc:Value></cac:AdditionalItemProperty>\
        <cac:ManufacturerParty><cac:PartyIdentification><cbc:ID>VESSICK</cbc:ID></cac:PartyIdentification></cac:ManufacturerParty>\
        </cac:Item>";
    let old_part = item("VESSICK/S-1").replace(
        "</cac:Item>",
        "<cac:AdditionalItemProperty><cbc:Name>interchange</cbc:Name><cbc:Value>two_way</cbc:Value>\
         </cac:AdditionalItemProperty></cac:Item>",
    );
    let inside = [
        line("1", &format!("{}{new_part}", price("17.00"))),
        line("2", &format!("{}{old_part}", related("ReplacementRelatedItem", "VESSICK/S-1B", "1"))),
        line(
            "3",
            &format!(
                "{}{}{}",
                related("ComponentRelatedItem", "VESSICK/B1A", "3"),
                related("ComponentRelatedItem", "VESSICK/S-1B", "1"),
                item("VESSICK/K-100")
            ),
        ),
    ]
    .concat();
    let catalogue = format!(
        r#"<?xml version="1.0" encoding="UTF-8"?>
<Catalogue xmlns="urn:oasis:names:specification:ubl:schema:xsd:Catalogue-2"
  xmlns:cac="urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2"
  xmlns:cbc="urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2"><cbc:ID>P-2026-12</cbc:ID>
<cbc:IssueDate>2026-11-25</cbc:IssueDate><cac:ProviderParty><cac:PartyIdentification><cbc:ID>PELLWORTH</cbc:ID>
</cac:PartyIdentification></cac:ProviderParty><cac:ReceiverParty><cac:PartyName><cbc:Name>Shop</cbc:Name></cac:PartyName>
</cac:ReceiverParty>{inside}</Catalogue>"#
    );
    assert_valid("Catalogue", &catalogue);
    let sheet = send(&service, "application/xml", &catalogue).await.expect(201).json();
    assert_eq!(sheet["outcome"]["supplier"], "PELLWORTH", "{sheet}");

    let exported = |name: &'static str| {
        let service = &service;
        async move { service.get(&format!("/v1/exports/{name}.csv")).await.expect(200).text() }
    };
    let lists = exported("kit_lines").await;
    assert!(lists.contains("VESSICK/K100,1,VESSICK/B1A,3,"), "{lists}");
    assert!(lists.contains("VESSICK/K100,10,VESSICK/S1B,1,"), "{lists}");
    assert!(!lists.contains("VESSICK/S1,") && !lists.contains("VESSICK/S2,"), "{lists}");
    let prices = exported("prices").await;
    assert!(prices.contains("PELLWORTH,VESSICK/S1B,1,2026-11-25,,EUR,8.50,1,1,6,"), "{prices}");
    let current =
        service.get("/v1/parts/VESSICK%2FS-1/current-numbers?as_of=2026-11-25").await.expect(200).json();
    assert_eq!(current["successors"][0]["part"], "VESSICK/S1B", "{current}");
    assert_eq!(current["successors"][0]["interchange"], "two_way");
}

async fn a_hostile_or_wrong_paper_is_refused_with_its_place_and_nothing_is_kept(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-1", "2")]).await;
    let good =
        order_response("OR-1", (&number, "OSTREL"), &answered_line(1, ("VESSICK/S-1", "2"), None, None));
    let prolog = "<?xml version=\"1.0\" encoding=\"UTF-8\"?>";
    let entities = format!("{prolog}<!DOCTYPE OrderResponse [<!ENTITY a \"aaaa\">]>");
    let deep = format!("{}{}", "<cac:A>".repeat(100), "</cac:A>".repeat(100));
    for (paper, status, kind, told) in [
        (good.replace(prolog, &entities), 400, "malformed-paper", "document type definition"),
        (
            good.replace("schema:xsd:OrderResponse-2", "schema:xsd:OrderResponse-3"),
            400,
            "malformed-paper",
            "namespace",
        ),
        (
            good.replace("<cac:OrderReference>", &format!("{deep}<cac:OrderReference>")),
            400,
            "malformed-paper",
            "",
        ),
        (good.replace("</OrderResponse>", ""), 400, "malformed-paper", ""),
        (good.replace("OrderResponse", "Invoice"), 400, "malformed-paper", "root element"),
        ("no XML".to_owned(), 400, "malformed-paper", ""),
        (good.replace(&number, "PO-000099"), 422, "wrong-paper", "no order `PO-000099`"),
        (good.replace("<cbc:ID>1</cbc:ID>", "<cbc:ID>9</cbc:ID>"), 422, "wrong-paper", "no line `9`"),
        (good.replace("unitCode=\"EA\"", "unitCode=\"LTR\""), 422, "wrong-paper", "H87"),
        (good.replace("<cbc:ID>OSTREL</cbc:ID>", "<cbc:ID>SKARNE</cbc:ID>"), 422, "wrong-paper", "OSTREL"),
    ] {
        let problem = send(&service, "application/xml", &paper).await.problem(status, kind);
        assert!(problem.to_string().contains(told), "{told}: {problem}");
    }
    send(&service, "application/json", "{}").await.problem(415, "unsupported-media-type");
    send(&service, "text/csv", "record,number\r\ninvoice,1\r\n").await.problem(400, "malformed-paper");
    let request = service.request("POST", "/v1/received-papers").header("content-type", "application/xml");
    Reply::of(request.body(good.clone())).await.problem(400, "idempotency-key-missing");
    let request = service.request("POST", "/v1/received-papers").header("idempotency-key", "\"latin\"");
    let request = request.header("content-type", "application/xml").body(vec![b'<', 0xe9, b'>']);
    Reply::of(request).await.problem(400, "malformed-paper");
    assert_eq!(kept(&service).await, 0);
    let order = service.get(&format!("/v1/orders/{number}")).await.expect(200).json();
    assert_eq!(order["state"], "placed");
    service.get("/v1/received-papers/IN-000001").await.problem(404, "received-paper-not-found");
    send(&service, "application/xml", &good).await.expect(201);
}

async fn what_is_not_understood_is_kept_and_told(service: Arc<Service>) {
    let number = placed(&service, "OSTREL", &[("VESSICK/S-1", "2")]).await;
    let line = answered_line(1, ("VESSICK/S-1", "2"), None, None);
    let paper = order_response("OR-9", (&number, "OSTREL"), &line).replace(
        "<cac:SellerSupplierParty>",
        "<cac:AdditionalDocumentReference><cbc:ID>LETTER-4</cbc:ID></cac:AdditionalDocumentReference><cac:SellerSupplierParty>",
    );
    assert_valid("OrderResponse", &paper);
    let sheet = send(&service, "application/xml", &paper).await.expect(201).json();
    let kept = &sheet["not_understood"]["kept"][0];
    assert!(kept["path"].as_str().unwrap().contains("AdditionalDocumentReference"), "{sheet}");
    assert!(kept["content"].as_str().unwrap().contains("LETTER-4"), "{kept}");
    let path = format!("/v1/received-papers/{}", sheet["number"].as_str().unwrap());
    assert_eq!(
        as_paper(&service, &path, "application/xml").await.expect(200).text(),
        paper,
        "as it was sent"
    );
}
