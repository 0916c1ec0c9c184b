//! Settings: shown, and changed under `If-Match`.

use std::sync::Arc;

use catalogue::Setting;
use operations::settings::{SettingError, change_setting};
use operations::shop::Shop;
use serde_json::{Value, json};

use crate::harness::{DAY, Reply, Service};

tests![
    settings_are_listed_and_shown,
    a_setting_is_changed_under_its_tag,
    a_change_needs_the_current_tag,
    a_wrong_value_is_refused,
    of_two_changes_one_is_told_to_look_again,
    two_instances_do_not_overwrite_each_other,
];

const RATE: &str = "/v1/settings/LABOUR-RATE";

async fn put(service: &Service, path: &str, tag: Option<&str>, body: &Value) -> Reply {
    let request = service.request("PUT", path).json(body);
    Reply::of(match tag {
        Some(tag) => request.header("if-match", tag),
        None => request,
    })
    .await
}

async fn settings_are_listed_and_shown(service: Arc<Service>) {
    let list = service.get("/v1/settings").await.expect(200).json();
    let names: Vec<&str> =
        list["items"].as_array().unwrap().iter().map(|item| item["setting"].as_str().unwrap()).collect();
    assert_eq!(names, ["BASE-CURRENCY", "KIT-DISPLAY", "LABOUR-RATE", "QUOTE-VALID-DAYS", "SURPLUS", "TAX"]);
    assert_eq!(
        service.get(RATE).await.expect(200).json(),
        json!({ "setting": "LABOUR-RATE", "value": "60" })
    );
    let problem = service.get("/v1/settings/HOURLY").await.problem(404, "setting-not-found");
    assert_eq!(problem["suggestions"].as_array().unwrap().len(), 6);
}

async fn a_setting_is_changed_under_its_tag(service: Arc<Service>) {
    let tag = service.get(RATE).await.expect(200).header("etag").to_owned();
    let changed = put(&service, RATE, Some(&tag), &json!({ "value": "62.50" })).await.expect(200);
    assert_eq!(changed.json()["value"], "62.50");
    assert_ne!(changed.header("etag"), tag);
    assert_eq!(service.get(RATE).await.expect(200).header("etag"), changed.header("etag"));
    let asked = json!({ "units": [{ "unit": "T-100" }], "as_of": DAY });
    let answer = service.post("/v1/requirements", &asked).await.expect(200).json();
    let lines = answer["price"]["lines"].as_array().unwrap();
    let labour = lines.iter().find(|line| line["kind"] == "labour").unwrap();
    assert_eq!(labour["net"], "250.00", "four hours at the new rate");
}

async fn a_change_needs_the_current_tag(service: Arc<Service>) {
    let body = json!({ "value": "70" });
    let tag = service.get(RATE).await.expect(200).header("etag").to_owned();
    let problem = put(&service, RATE, None, &body).await.problem(428, "precondition-required");
    assert!(problem["detail"].as_str().unwrap().contains("If-Match"), "says how to send it again");
    put(&service, RATE, Some("\"old\""), &body).await.problem(412, "precondition-failed");
    put(&service, RATE, Some(&format!("W/{tag}")), &body).await.problem(412, "precondition-failed");
    assert_eq!(service.get(RATE).await.expect(200).json()["value"], "60");
    put(&service, RATE, Some(&format!("\"old\", {tag}")), &body).await.expect(200);
    put(&service, RATE, Some("*"), &json!({ "value": "71" })).await.expect(200);
    put(&service, "/v1/settings/HOURLY", Some("*"), &body).await.problem(404, "setting-not-found");
}

async fn a_wrong_value_is_refused(service: Arc<Service>) {
    for value in ["-1", "much", ""] {
        let problem =
            put(&service, RATE, Some("*"), &json!({ "value": value })).await.problem(422, "bad-value");
        assert_eq!(problem["errors"][0]["pointer"], "/value", "{problem}");
    }
    put(&service, RATE, Some("*"), &json!({ "value": 7 })).await.problem(422, "invalid-body");
    put(&service, RATE, Some("*"), &json!({ "value": "7", "unit": "h" })).await.problem(422, "invalid-body");
    assert_eq!(service.get(RATE).await.expect(200).json()["value"], "60");
}

async fn of_two_changes_one_is_told_to_look_again(service: Arc<Service>) {
    let tag = service.get(RATE).await.expect(200).header("etag").to_owned();
    let (one, two) = (json!({ "value": "61" }), json!({ "value": "62" }));
    let (first, second) =
        tokio::join!(put(&service, RATE, Some(&tag), &one), put(&service, RATE, Some(&tag), &two));
    let mut statuses = [first.status, second.status];
    statuses.sort_unstable();
    assert_eq!(statuses, [200, 412]);
}

async fn two_instances_do_not_overwrite_each_other(service: Arc<Service>) {
    let other = Shop::open(&service.database).await.unwrap();
    let mut value = "60".to_owned();
    for round in 0..10 {
        let decided_on = |current: &Setting| current.value == value;
        let (one, two) = (format!("1{round}"), format!("2{round}"));
        let (first, second) = tokio::join!(
            change_setting(&service.shop, "LABOUR-RATE", &one, decided_on),
            change_setting(&other, "LABOUR-RATE", &two, decided_on),
        );
        value = match (first, second) {
            (Ok(changed), Err(SettingError::Stale(now))) | (Err(SettingError::Stale(now)), Ok(changed)) => {
                assert_eq!(now, changed);
                changed.value
            }
            both => panic!("{both:?}"),
        };
    }
    other.close().await.unwrap();
}
