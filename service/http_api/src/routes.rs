//! All routes on one screen.

use actix_web::web;

use crate::endpoint::Endpoint;
use crate::{
    access_keys, alternatives, audit, calculations, cases, catalogue_findings, claims, deliveries, events,
    exports, fit_checks, health, imports, jobs, kits, metrics, notice_effects, openapi, order_rounds, orders,
    part_features, parts, price_ranges, problem_pages, quotes, reasons, receipts, received_papers, reference,
    reorders, requirements, reservations, serials, settings, shelf_counts, stock, symptoms, units, vehicles,
    webhooks,
};

/// Puts every route in its place.
pub(crate) fn configure(config: &mut web::ServiceConfig) {
    config
        .service(Endpoint::new("/v1/units").get(units::list_units))
        .service(Endpoint::new("/v1/units/{code}").get(units::get_unit))
        .service(Endpoint::producing(units::DOT, "/v1/units/{code}/graph").get(units::get_unit_graph))
        .service(Endpoint::new("/v1/units/{code}/kits").get(kits::compare_kits))
        .service(Endpoint::new("/v1/units/{code}/symptoms").get(symptoms::list_symptoms))
        .service(Endpoint::new("/v1/units/{code}/likely-findings").get(symptoms::list_likely_findings))
        .service(Endpoint::new("/v1/vehicles").get(vehicles::list_vehicles))
        .service(Endpoint::new("/v1/vehicles/{code}").get(vehicles::get_vehicle))
        .service(
            Endpoint::new("/v1/vehicles/{code}/likely-findings").get(symptoms::list_vehicle_likely_findings),
        )
        .service(Endpoint::new("/v1/parts").get(parts::list_parts))
        .service(Endpoint::new("/v1/parts/{part}").get(parts::get_part))
        .service(Endpoint::new("/v1/parts/{part}/current-numbers").get(parts::get_current_numbers))
        .service(Endpoint::new("/v1/parts/{part}/where-used").get(parts::get_part_uses))
        .service(Endpoint::new("/v1/parts/{part}/features").get(part_features::get_features))
        .service(
            Endpoint::new("/v1/parts/{part}/features/{feature}/measurement")
                .get(part_features::get_measurement)
                .put(part_features::replace_measurement),
        )
        .service(Endpoint::new("/v1/requirements").post(requirements::resolve_requirement))
        .service(Endpoint::new("/v1/fit-checks").post(fit_checks::resolve_fit_check))
        .service(Endpoint::new("/v1/price-ranges").post(price_ranges::resolve_price_range))
        .service(Endpoint::new("/v1/notice-effects").post(notice_effects::resolve_notice_effects))
        .service(Endpoint::new("/v1/cases").post(cases::export_case))
        .service(Endpoint::new("/v1/quotes").get(quotes::list_quotes).post(quotes::create_quote))
        .service(Endpoint::new("/v1/quotes/{number}").get(quotes::get_quote))
        .service(Endpoint::new("/v1/quotes/{number}/recomputed").get(quotes::recompute_quote))
        .service(Endpoint::new("/v1/quotes/{number}/comparison").get(quotes::compare_quote))
        .service(Endpoint::new("/v1/jobs").get(jobs::list_jobs).post(jobs::create_job))
        .service(Endpoint::new("/v1/jobs/{number}").get(jobs::get_job))
        .service(Endpoint::new("/v1/jobs/{number}/comparison").get(jobs::compare_job))
        .service(Endpoint::new("/v1/jobs/{number}/pick-list").get(jobs::get_pick_list))
        .service(Endpoint::new("/v1/jobs/{number}/papers").get(jobs::get_job_papers))
        .service(Endpoint::new("/v1/jobs/{number}/steps").post(jobs::create_job_step))
        .service(Endpoint::new("/v1/jobs/{number}/findings").post(jobs::create_job_findings))
        .service(Endpoint::new("/v1/jobs/{number}/issues").post(jobs::create_job_issue))
        .service(Endpoint::new("/v1/jobs/{number}/returns").post(jobs::create_job_return))
        .service(Endpoint::new("/v1/jobs/{number}/shims").post(jobs::create_job_shims))
        .service(Endpoint::new("/v1/jobs/{number}/inspections").post(jobs::create_job_inspection))
        .service(Endpoint::new("/v1/serials/{unit}/{serial}").get(serials::get_serial))
        .service(Endpoint::new("/v1/batches/{batch}/serials").get(serials::list_batch_serials))
        .service(Endpoint::new("/v1/stock").get(stock::list_stock))
        .service(Endpoint::new("/v1/stock/count-sheet").get(shelf_counts::get_shelf_sheet))
        .service(
            Endpoint::producing(exports::CSV, "/v1/stock/count-sheet.csv")
                .get(shelf_counts::export_shelf_sheet),
        )
        .service(Endpoint::new("/v1/stock/counts").post(shelf_counts::create_shelf_count))
        .service(Endpoint::new("/v1/order-rounds").post(order_rounds::create_order_round))
        .service(Endpoint::new("/v1/reorders").get(reorders::list_reorders).post(reorders::create_reorders))
        .service(
            Endpoint::new("/v1/stock/movements").get(stock::list_movements).post(stock::create_movements),
        )
        .service(
            Endpoint::new("/v1/reservations")
                .get(reservations::list_reservations)
                .post(reservations::create_reservations),
        )
        .service(Endpoint::new("/v1/reservations/{number}").get(reservations::get_reservation))
        .service(Endpoint::new("/v1/reservations/{number}/release").post(reservations::release_reservation))
        .service(Endpoint::new("/v1/calculations/mesh").post(calculations::gears::calculate_mesh))
        .service(
            Endpoint::producing(calculations::SVG, "/v1/calculations/mesh/drawing")
                .post(calculations::gears::draw_mesh),
        )
        .service(
            Endpoint::new("/v1/calculations/gear-search").post(calculations::gears::calculate_gear_search),
        )
        .service(
            Endpoint::new("/v1/calculations/measured-gear")
                .post(calculations::gears::calculate_measured_gear),
        )
        .service(
            Endpoint::new("/v1/calculations/gear-ratios").post(calculations::trains::calculate_gear_ratios),
        )
        .service(
            Endpoint::new("/v1/calculations/road-speed").post(calculations::trains::calculate_road_speed),
        )
        .service(
            Endpoint::producing(calculations::SVG, "/v1/calculations/road-speed/drawing")
                .post(calculations::trains::draw_road_speed),
        )
        .service(
            Endpoint::new("/v1/calculations/ratio-change").post(calculations::trains::calculate_ratio_change),
        )
        .service(
            Endpoint::new("/v1/calculations/gradeability").post(calculations::trains::calculate_gradeability),
        )
        .service(
            Endpoint::new("/v1/calculations/axle-match").post(calculations::trains::calculate_axle_match),
        )
        .service(Endpoint::new("/v1/calculations/spline").post(calculations::splines::calculate_spline))
        .service(
            Endpoint::producing(calculations::SVG, "/v1/calculations/spline/drawing")
                .post(calculations::splines::draw_spline),
        )
        .service(
            Endpoint::new("/v1/calculations/spline-fit").post(calculations::splines::calculate_spline_fit),
        )
        .service(
            Endpoint::new("/v1/calculations/spline-capacity")
                .post(calculations::splines::calculate_spline_capacity),
        )
        .service(
            Endpoint::new("/v1/calculations/bearing-designation")
                .post(calculations::bearings::calculate_bearing_designation),
        )
        .service(
            Endpoint::new("/v1/calculations/limits-and-fits")
                .post(calculations::bearings::calculate_limits_and_fits),
        )
        .service(
            Endpoint::new("/v1/calculations/bearing-life")
                .post(calculations::bearings::calculate_bearing_life),
        )
        .service(
            Endpoint::new("/v1/calculations/shrink-fit").post(calculations::bearings::calculate_shrink_fit),
        )
        .service(
            Endpoint::new("/v1/calculations/shaft-seal")
                .post(calculations::seals_and_threads::calculate_shaft_seal),
        )
        .service(
            Endpoint::new("/v1/calculations/thread").post(calculations::seals_and_threads::calculate_thread),
        )
        .service(Endpoint::new("/v1/calculations/shims").post(calculations::setting_up::calculate_shims))
        .service(
            Endpoint::new("/v1/calculations/bearing-preload")
                .post(calculations::setting_up::calculate_bearing_preload),
        )
        .service(
            Endpoint::new("/v1/calculations/bearing-drag")
                .post(calculations::setting_up::calculate_bearing_drag),
        )
        .service(
            Endpoint::new("/v1/calculations/pinion-depth")
                .post(calculations::setting_up::calculate_pinion_depth),
        )
        .service(
            Endpoint::new("/v1/calculations/side-bearings")
                .post(calculations::setting_up::calculate_side_bearings),
        )
        .service(
            Endpoint::new("/v1/calculations/end-float").post(calculations::setting_up::calculate_end_float),
        )
        .service(
            Endpoint::new("/v1/calculations/gear-geometry")
                .post(calculations::gears::calculate_gear_geometry),
        )
        .service(Endpoint::new("/v1/calculations/gear-pair").post(calculations::gears::calculate_gear_pair))
        .service(
            Endpoint::new("/v1/calculations/spline-stress")
                .post(calculations::splines::calculate_spline_stress),
        )
        .service(
            Endpoint::new("/v1/calculations/synchroniser")
                .post(calculations::splines::calculate_synchroniser),
        )
        .service(
            Endpoint::new("/v1/calculations/heat-growth").post(calculations::bearings::calculate_heat_growth),
        )
        .service(
            Endpoint::new("/v1/calculations/thrust-faces")
                .post(calculations::setting_up::calculate_thrust_faces),
        )
        .service(Endpoint::new("/v1/calculations/wear").post(calculations::wear::calculate_wear))
        .service(
            Endpoint::new("/v1/quotes/{number}/alternatives").post(alternatives::resolve_quote_alternatives),
        )
        .service(
            Endpoint::producing_any(reasons::REASONS, "/v1/quotes/{number}/reasons")
                .get(reasons::get_quote_reasons),
        )
        .service(Endpoint::new("/v1/quotes/{number}/case").get(cases::get_quote_case))
        .service(Endpoint::new("/v1/orders").get(orders::list_orders).post(orders::create_orders))
        .service(
            Endpoint::producing_any(received_papers::FORMATS, "/v1/orders/{number}").get(orders::get_order),
        )
        .service(Endpoint::new("/v1/orders/{number}/steps").post(orders::create_order_step))
        .service(Endpoint::new("/v1/orders/{number}/count-sheet").get(receipts::get_count_sheet))
        .service(
            Endpoint::producing(exports::CSV, "/v1/orders/{number}/count-sheet.csv")
                .get(receipts::get_count_sheet_csv),
        )
        .service(Endpoint::new("/v1/receipts").get(receipts::list_receipts).post(receipts::create_receipt))
        .service(
            Endpoint::producing_any(received_papers::FORMATS, "/v1/receipts/{number}")
                .get(receipts::get_receipt),
        )
        .service(Endpoint::new("/v1/receipts/{number}/reversal").post(receipts::create_receipt_reversal))
        .service(Endpoint::new("/v1/claims").get(claims::list_claims))
        .service(Endpoint::new("/v1/claims/{number}").get(claims::get_claim))
        .service(Endpoint::new("/v1/claims/{number}/steps").post(claims::create_claim_step))
        .service(
            Endpoint::producing_any(received_papers::WRITTEN, "/v1/suppliers/{supplier}/catalogue")
                .get(received_papers::get_supplier_catalogue),
        )
        .service(
            Endpoint::new("/v1/received-papers")
                .get(received_papers::list_received_papers)
                .post(received_papers::create_received_paper),
        )
        .service(
            Endpoint::producing_any(received_papers::FORMATS, "/v1/received-papers/{number}")
                .get(received_papers::get_received_paper),
        )
        .service(Endpoint::new("/v1/quotes/{number}/deliveries").get(deliveries::get_quote_deliveries))
        .service(Endpoint::new("/v1/jobs/{number}/deliveries").get(deliveries::get_job_deliveries))
        .service(Endpoint::new("/v1/suppliers/{supplier}/faults").get(claims::get_supplier_faults))
        .service(Endpoint::new("/v1/imports").post(imports::create_import))
        .service(Endpoint::new("/v1/imports/{id}").get(imports::get_import))
        .service(Endpoint::producing(exports::CSV, "/v1/exports/{sheet}.csv").get(exports::get_sheet))
        .service(Endpoint::new("/v1/catalogue-findings").get(catalogue_findings::list_catalogue_findings))
        .service(Endpoint::new("/v1/keys").get(access_keys::list_keys).post(access_keys::create_key))
        .service(Endpoint::new("/v1/audit").get(audit::list_audit))
        .service(Endpoint::new("/v1/keys/{number}").get(access_keys::get_key))
        .service(Endpoint::new("/v1/keys/{number}/revocation").post(access_keys::create_key_revocation))
        .service(Endpoint::new("/v1/settings").get(settings::list_settings))
        .service(
            Endpoint::new("/v1/settings/{setting}").get(settings::get_setting).put(settings::replace_setting),
        )
        .service(Endpoint::producing_any(events::FEED, "/v1/events").get(events::list_events))
        .service(Endpoint::new("/v1/event-types").get(events::list_event_types))
        .service(Endpoint::new("/v1/webhooks").get(webhooks::list_webhooks).post(webhooks::create_webhook))
        .service(
            Endpoint::new("/v1/webhooks/{id}")
                .get(webhooks::get_webhook)
                .put(webhooks::replace_webhook)
                .delete(webhooks::delete_webhook),
        )
        .service(Endpoint::new("/v1/webhooks/{id}/attempts").get(webhooks::list_webhook_attempts))
        .service(Endpoint::new("/v1/webhooks/{id}/replays").post(webhooks::create_webhook_replay))
        .service(Endpoint::new("/v1/webhooks/{id}/secrets").post(webhooks::create_webhook_secret))
        .service(Endpoint::new("/v1/webhooks/{id}/tests").post(webhooks::create_webhook_test))
        .service(Endpoint::new("/v1/openapi.json").get(openapi::get_openapi))
        .service(Endpoint::producing("text/html", "/problems/").get(problem_pages::list_problems))
        .service(Endpoint::producing("text/html", "/problems/{kind}").get(problem_pages::get_problem))
        .service(Endpoint::producing("*/*", "/reference").get(reference::redirect_to_reference))
        .service(Endpoint::producing("*/*", "/reference/{file:.*}").get(reference::get_reference))
        .service(Endpoint::producing("text/plain", "/healthz").get(health::get_health))
        .service(Endpoint::producing("text/plain", "/readyz").get(health::get_readiness))
        .service(Endpoint::producing("text/plain", "/metrics").get(metrics::get_metrics));
}
