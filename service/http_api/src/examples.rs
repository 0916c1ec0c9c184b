//! Examples for the OpenAPI document: one exchange with the demo catalogue for each operation, kept in
//! `examples/<operation id>.json`. A person writes the request; the answer is what the service said, written into the file
//! and held against it by the black-box tests.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde_json::Value;
use utoipa::openapi::example::ExampleBuilder;
use utoipa::openapi::path::{Operation, Parameter, ParameterBuilder, ParameterIn};
use utoipa::openapi::{Content, OpenApi, PathItem, RefOr};

/// Under which name an example stands in the document.
const NAME: &str = "demo";

macro_rules! examples {
    ($($operation:ident),+ $(,)?) => {
        &[$((stringify!($operation), include_str!(concat!("../examples/", stringify!($operation), ".json")))),+]
    };
}

/// The files by the ids of their operations.
const FILES: &[(&str, &str)] = examples![
    calculate_axle_match,
    calculate_bearing_designation,
    calculate_bearing_drag,
    calculate_bearing_life,
    calculate_bearing_preload,
    calculate_end_float,
    calculate_gear_geometry,
    calculate_gear_pair,
    calculate_gear_ratios,
    calculate_gear_search,
    calculate_gradeability,
    calculate_heat_growth,
    calculate_limits_and_fits,
    calculate_measured_gear,
    calculate_mesh,
    calculate_pinion_depth,
    calculate_ratio_change,
    calculate_road_speed,
    calculate_shaft_seal,
    calculate_shims,
    calculate_shrink_fit,
    calculate_side_bearings,
    calculate_spline,
    calculate_spline_capacity,
    calculate_spline_fit,
    calculate_spline_stress,
    calculate_synchroniser,
    calculate_thread,
    calculate_thrust_faces,
    calculate_wear,
    compare_job,
    compare_kits,
    compare_quote,
    create_claim_step,
    create_import,
    create_job,
    create_job_findings,
    create_job_inspection,
    create_job_issue,
    create_job_return,
    create_job_shims,
    create_job_step,
    create_key,
    create_key_revocation,
    create_movements,
    create_order_round,
    create_order_step,
    create_orders,
    create_quote,
    create_receipt,
    create_receipt_reversal,
    create_reorders,
    create_reservations,
    create_shelf_count,
    create_webhook,
    create_webhook_replay,
    create_webhook_secret,
    create_webhook_test,
    draw_mesh,
    draw_road_speed,
    draw_spline,
    export_count_sheet,
    export_sheet,
    export_shelf_sheet,
    get_claim,
    get_count_sheet,
    get_current_numbers,
    get_health,
    get_import,
    get_job,
    get_key,
    get_job_papers,
    get_measurement,
    get_order,
    get_part,
    get_part_uses,
    get_pick_list,
    get_quote,
    create_received_paper,
    get_job_deliveries,
    get_quote_deliveries,
    get_received_paper,
    get_supplier_catalogue,
    list_received_papers,
    get_quote_reasons,
    get_readiness,
    get_receipt,
    get_reservation,
    get_serial,
    get_setting,
    get_shelf_sheet,
    get_supplier_faults,
    get_unit,
    get_unit_graph,
    get_vehicle,
    get_webhook,
    list_audit,
    list_batch_serials,
    list_catalogue_findings,
    list_claims,
    list_event_types,
    list_events,
    list_features,
    list_jobs,
    list_keys,
    list_likely_findings,
    list_movements,
    list_orders,
    list_parts,
    list_quotes,
    list_receipts,
    list_reorders,
    list_reservations,
    list_settings,
    list_stock,
    list_symptoms,
    list_units,
    list_vehicle_likely_findings,
    list_vehicles,
    list_webhook_attempts,
    list_webhooks,
    recompute_quote,
    release_reservation,
    replace_measurement,
    replace_setting,
    replace_webhook,
    resolve_fit_check,
    resolve_notice_effects,
    resolve_price_range,
    resolve_quote_alternatives,
    resolve_requirement,
];

/// A request to the demo, and the answer to it.
#[derive(Deserialize)]
struct Exchange {
    summary: String,
    request: Request,
    response: Option<Response>,
    #[serde(default)]
    cut: BTreeMap<String, (usize, usize)>,
}

#[derive(Deserialize)]
struct Request {
    #[serde(default)]
    path: BTreeMap<String, Value>,
    #[serde(default)]
    query: BTreeMap<String, Value>,
    #[serde(default)]
    headers: BTreeMap<String, Value>,
    body: Option<Value>,
}

#[derive(Deserialize)]
struct Response {
    status: u16,
    body: Value,
}

/// Puts the example of each operation into the document.
pub(crate) fn add_examples(document: &mut OpenApi) -> Result<(), serde_json::Error> {
    let mut exchanges: BTreeMap<&str, Exchange> = BTreeMap::new();
    for (operation, text) in FILES {
        exchanges.insert(operation, serde_json::from_str(text)?);
    }
    for operation in document.paths.paths.values_mut().flat_map(operations) {
        let id = operation.operation_id.as_deref().unwrap_or_default();
        if let Some(exchange) = exchanges.remove(id) {
            add_example(operation, exchange);
        }
    }
    Ok(())
}

fn operations(item: &mut PathItem) -> impl Iterator<Item = &mut Operation> {
    [&mut item.get, &mut item.put, &mut item.post, &mut item.delete, &mut item.patch].into_iter().flatten()
}

fn add_example(operation: &mut Operation, exchange: Exchange) {
    let description = cut_note(&exchange.cut);
    for parameter in operation.parameters.iter_mut().flatten() {
        let RefOr::T(parameter) = parameter else { continue };
        if let Some(value) = parameter_value(&exchange.request, parameter) {
            let builder = ParameterBuilder::from(std::mem::take(parameter));
            *parameter = builder.example(Some(value)).build();
        }
    }
    if let (Some(body), Some(RefOr::T(described))) = (exchange.request.body, &mut operation.request_body) {
        let media_type = exchange.request.headers.get("Content-Type").and_then(Value::as_str);
        let content = described.content.get_mut(media_type.unwrap_or("application/json"));
        add_value(content, &exchange.summary, "", body);
    }
    let Some(response) = exchange.response else { return };
    let described = operation.responses.responses.get_mut(&response.status.to_string());
    if let Some(RefOr::T(described)) = described {
        add_value(described.content.values_mut().next(), &exchange.summary, &description, response.body);
    }
}

fn parameter_value(request: &Request, parameter: &Parameter) -> Option<Value> {
    let values = match parameter.parameter_in {
        ParameterIn::Path => &request.path,
        ParameterIn::Query => &request.query,
        ParameterIn::Header => &request.headers,
        _ => return None,
    };
    values.get(&parameter.name).cloned()
}

fn add_value(content: Option<&mut RefOr<Content>>, summary: &str, description: &str, value: Value) {
    let Some(RefOr::T(content)) = content else { return };
    // The two ways of giving examples exclude each other.
    content.example = None;
    let example = ExampleBuilder::new().summary(summary).description(description);
    content.examples.insert(NAME.to_owned(), RefOr::T(example.value(Some(value)).build()));
}

/// Says which lists show some of their items only.
fn cut_note(cut: &BTreeMap<String, (usize, usize)>) -> String {
    let lists: Vec<String> = cut
        .iter()
        .map(|(pointer, (from, to))| format!("`{pointer}` shows its items {} to {to} only.", from + 1))
        .collect();
    lists.join(" ")
}
