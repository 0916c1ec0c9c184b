//! The OpenAPI 3.1 document, made from the code.

use actix_web::{HttpRequest, HttpResponse, web};
use utoipa::openapi::{InfoBuilder, LicenseBuilder, OpenApi};

use crate::access_described::describe_access;
use crate::examples::add_examples;
use crate::idempotency::MadeBefore;
use crate::problem::{Problem, ProblemBody};
use crate::repeats_described::describe_repeats;
use crate::{
    access_keys, alternatives, audit, calculations, cases, catalogue_findings, claims, deliveries, events,
    exports, fit_checks, health, imports, jobs, kits, metrics, notice_effects, order_rounds, orders,
    part_features, parts, price_ranges, problem_pages, quotes, reasons, receipts, received_papers, reorders,
    requirements, reservations, sent, serials, settings, shelf_counts, stock, symptoms, units, vehicles,
    webhooks,
};

#[derive(utoipa::OpenApi)]
#[openapi(
    paths(
        received_papers::create_received_paper, received_papers::list_received_papers,
        received_papers::get_received_paper, received_papers::get_supplier_catalogue,
        deliveries::get_quote_deliveries, deliveries::get_job_deliveries,
        units::list_units, units::get_unit, units::get_unit_graph, kits::compare_kits,
        vehicles::list_vehicles, vehicles::get_vehicle,
        parts::list_parts, parts::get_part, parts::get_current_numbers, parts::get_part_uses,
        part_features::get_features, part_features::get_measurement, part_features::replace_measurement,
        requirements::resolve_requirement, fit_checks::resolve_fit_check, price_ranges::resolve_price_range,
        symptoms::list_symptoms, symptoms::list_likely_findings, symptoms::list_vehicle_likely_findings,
        alternatives::resolve_quote_alternatives, reasons::get_quote_reasons, cases::export_case,
        cases::get_quote_case, notice_effects::resolve_notice_effects,
        quotes::create_quote, quotes::list_quotes, quotes::get_quote, quotes::recompute_quote,
        quotes::compare_quote,
        order_rounds::create_order_round, orders::create_orders, orders::list_orders, orders::get_order, orders::create_order_step,
        receipts::get_count_sheet, receipts::get_count_sheet_csv, receipts::create_receipt, receipts::list_receipts,
        receipts::get_receipt, receipts::create_receipt_reversal,
        claims::list_claims, claims::get_claim, claims::create_claim_step, claims::get_supplier_faults,
        imports::create_import, imports::get_import, exports::get_sheet,
        catalogue_findings::list_catalogue_findings,
        jobs::create_job, jobs::list_jobs, jobs::get_job, jobs::compare_job, jobs::get_pick_list,
        jobs::get_job_papers,
        jobs::create_job_step, jobs::create_job_findings, jobs::create_job_issue, jobs::create_job_return,
        jobs::create_job_shims, jobs::create_job_inspection, serials::get_serial, serials::list_batch_serials,
        stock::list_stock, stock::list_movements, stock::create_movements,
        shelf_counts::get_shelf_sheet, shelf_counts::export_shelf_sheet, shelf_counts::create_shelf_count,
        reorders::list_reorders, reorders::create_reorders,
        reservations::list_reservations, reservations::get_reservation, reservations::create_reservations, reservations::release_reservation,
        calculations::gears::calculate_mesh,
        calculations::gears::draw_mesh,
        calculations::gears::calculate_gear_search,
        calculations::gears::calculate_measured_gear,
        calculations::trains::calculate_gear_ratios,
        calculations::trains::calculate_road_speed,
        calculations::trains::draw_road_speed,
        calculations::trains::calculate_ratio_change,
        calculations::trains::calculate_gradeability,
        calculations::trains::calculate_axle_match,
        calculations::splines::calculate_spline,
        calculations::splines::draw_spline,
        calculations::splines::calculate_spline_fit,
        calculations::splines::calculate_spline_capacity,
        calculations::bearings::calculate_bearing_designation,
        calculations::bearings::calculate_limits_and_fits,
        calculations::bearings::calculate_bearing_life,
        calculations::bearings::calculate_shrink_fit,
        calculations::seals_and_threads::calculate_shaft_seal,
        calculations::seals_and_threads::calculate_thread,
        calculations::setting_up::calculate_shims,
        calculations::setting_up::calculate_bearing_preload,
        calculations::setting_up::calculate_bearing_drag,
        calculations::setting_up::calculate_pinion_depth,
        calculations::setting_up::calculate_side_bearings,
        calculations::setting_up::calculate_end_float,
        calculations::gears::calculate_gear_geometry,
        calculations::gears::calculate_gear_pair,
        calculations::splines::calculate_spline_stress,
        calculations::splines::calculate_synchroniser,
        calculations::bearings::calculate_heat_growth,
        calculations::setting_up::calculate_thrust_faces,
        calculations::wear::calculate_wear,
        events::list_events, events::list_event_types,
        access_keys::list_keys, access_keys::create_key, access_keys::get_key, access_keys::create_key_revocation,
        webhooks::create_webhook, webhooks::list_webhooks, webhooks::get_webhook, webhooks::replace_webhook,
        webhooks::delete_webhook, webhooks::list_webhook_attempts, webhooks::create_webhook_replay,
        webhooks::create_webhook_secret, webhooks::create_webhook_test,
        audit::list_audit,
        settings::list_settings, settings::get_setting, settings::replace_setting,
        health::get_health, health::get_readiness, metrics::get_metrics,
        problem_pages::list_problems, problem_pages::get_problem, get_openapi,
    ),
    components(schemas(ProblemBody, MadeBefore)),
    tags(
        (name = "rebuild", description = "What a rebuild needs, what brings it, what it costs."),
        (name = "calculations", description = "Gears, splines, bearings, seals, threads, setting up and wear, as figures with their formulas."),
        (name = "buying", description = "Orders, the boxes that come, and claims for what is wrong with them."),
        (name = "catalogue", description = "Units, vehicles and parts."),
        (name = "jobs", description = "Jobs from the enquiry to the record of what is now inside."),
        (name = "shelf", description = "Stock as a ledger of movements, and what of it is spoken for."),
        (name = "events", description = "What has changed, in order: as a feed, and sent to whoever wants to be told."),
        (name = "shop", description = "The shop's settings and keys."),
        (name = "exchange", description = "The catalogue in and out, as sheets of CSV."),
        (name = "service", description = "The service itself."),
    ),
)]
struct Document;

/// The document without its examples.
pub(crate) fn described() -> OpenApi {
    let mut document = <Document as utoipa::OpenApi>::openapi();
    // What utoipa takes from this crate's manifest would change the document with every release.
    document.info = InfoBuilder::new()
        .title("crownwheel")
        .version("1")
        .description(Some(DESCRIPTION))
        .license(Some(LicenseBuilder::new().name("MIT").identifier(Some("MIT")).build()))
        .build();
    document.servers = None;
    describe_access(&mut document);
    describe_repeats(&mut document);
    document
}

/// The document.
pub(crate) fn document() -> Result<OpenApi, serde_json::Error> {
    let mut document = described();
    add_examples(&mut document)?;
    Ok(document)
}

const DESCRIPTION: &str = "\
What a driveline rebuild needs, why, and what brings it.

Money is a decimal text with an ISO 4217 code, quantities carry a UN/ECE Rec 20 unit, lengths are millimetres and angles \
degrees with the unit in the field's name, times are RFC 3339 in UTC. Requests carry a key as `Authorization: Bearer KEY` \
(RFC 6750), whose role says what it opens; every operation names its roles. Problems are RFC 9457, each kind with a page under \
`/problems/`. What creates something needs an `Idempotency-Key`: the answer is kept under it for 24 hours, for whoever carries \
the same access key, and a repeated request is never done twice; what changes something needs `If-Match`. Lists come in \
pieces with a `Link` header. A `traceparent` (W3C) is honoured and echoed. Every answer for bench or road carries its \
cautions and its deferral: they go before the answer.";

/// The document as it is kept in the tree: pretty JSON with a line end.
pub fn openapi_json() -> Result<String, serde_json::Error> {
    let mut text = serde_json::to_string_pretty(&document()?)?;
    text.push('\n');
    Ok(text)
}

/// This document.
#[utoipa::path(
    get, path = "/v1/openapi.json", operation_id = "get_openapi", tag = "service",
    responses((status = 200, description = "The OpenAPI 3.1 document.", body = Object)),
)]
pub(crate) async fn get_openapi(
    request: HttpRequest,
    document: web::Data<OpenApi>,
) -> Result<HttpResponse, Problem> {
    sent::json(&request, document.as_ref())
}
