//! Which role may do what: one line for every operation of the OpenAPI document.
//!
//! The owner may do everything and stands in no list. An operation without a line is served to nobody: the service does not
//! start, and a test below says which one it is.

use operations::role::Role::{self, Bench, Counter, DataKeeper, OrderingSystem, Stores};

/// Who may do something.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Access {
    /// Whoever comes, without a key.
    Open,
    /// Whoever asks from the machine itself, without a key; from elsewhere the owner.
    Local,
    /// Keys with one of these roles, and the owner's.
    Roles(&'static [Role]),
}

/// Everybody who carries a key.
const ALL: Access = Access::Roles(&[Counter, Bench, Stores, DataKeeper, OrderingSystem]);
/// The people of the shop.
const PEOPLE: Access = Access::Roles(&[Counter, Bench, Stores, DataKeeper]);
/// Who sees all rows, with costs, that an answer follows from.
const INSIGHT: Access = Access::Roles(&[Counter, DataKeeper]);
/// Who sells.
const SELLING: Access = Access::Roles(&[Counter]);
/// Who buys.
const BUYING: Access = Access::Roles(&[Counter, Stores, OrderingSystem]);
/// Who follows what suppliers do.
const SUPPLIERS: Access = Access::Roles(&[Counter, Stores, DataKeeper, OrderingSystem]);
/// Who works on the units.
const WORKSHOP: Access = Access::Roles(&[Bench]);
/// Who moves a job on.
const JOBS: Access = Access::Roles(&[Counter, Bench]);
/// Who moves parts between shelf and job.
const PARTS_OF_JOBS: Access = Access::Roles(&[Bench, Stores]);
/// Who speaks for what lies on the shelf.
const RESERVING: Access = Access::Roles(&[Counter, Stores]);
/// Who keeps the shelf.
const SHELF: Access = Access::Roles(&[Stores]);
/// Who keeps the catalogue.
const KEEPING: Access = Access::Roles(&[DataKeeper]);
/// Who measures faces of parts.
const MEASURING: Access = Access::Roles(&[Bench, DataKeeper]);
/// Who has programs told of what happens.
const TELLING: Access = Access::Roles(&[OrderingSystem]);
/// The owner alone.
const OWNER: Access = Access::Roles(&[]);

/// The table.
pub(crate) const TABLE: &[(&str, Access)] = &[
    // The service itself.
    ("get_health", Access::Open),
    ("get_readiness", Access::Open),
    ("get_metrics", Access::Local),
    ("get_openapi", Access::Open),
    ("list_problems", Access::Open),
    ("get_problem", Access::Open),
    ("list_event_types", ALL),
    ("list_events", TELLING),
    ("create_webhook", TELLING),
    ("list_webhooks", TELLING),
    ("get_webhook", TELLING),
    ("replace_webhook", TELLING),
    ("delete_webhook", TELLING),
    ("list_webhook_attempts", TELLING),
    ("create_webhook_replay", TELLING),
    ("create_webhook_secret", TELLING),
    ("create_webhook_test", TELLING),
    ("list_audit", OWNER),
    ("list_keys", OWNER),
    ("create_key", OWNER),
    ("get_key", OWNER),
    ("create_key_revocation", OWNER),
    // The catalogue.
    ("list_units", ALL),
    ("get_unit", ALL),
    ("get_unit_graph", ALL),
    ("list_vehicles", ALL),
    ("get_vehicle", ALL),
    ("list_parts", ALL),
    ("get_part", ALL),
    ("get_current_numbers", ALL),
    ("get_part_uses", ALL),
    ("list_features", ALL),
    ("get_measurement", ALL),
    ("replace_measurement", MEASURING),
    ("resolve_notice_effects", PEOPLE),
    ("create_import", KEEPING),
    ("get_import", KEEPING),
    ("export_sheet", KEEPING),
    ("list_catalogue_findings", KEEPING),
    ("list_settings", PEOPLE),
    ("get_setting", PEOPLE),
    ("replace_setting", KEEPING),
    // What a rebuild needs.
    ("resolve_requirement", PEOPLE),
    ("resolve_fit_check", PEOPLE),
    ("resolve_price_range", PEOPLE),
    ("resolve_quote_alternatives", PEOPLE),
    ("compare_kits", PEOPLE),
    ("list_symptoms", PEOPLE),
    ("list_likely_findings", PEOPLE),
    ("list_vehicle_likely_findings", PEOPLE),
    ("export_case", INSIGHT),
    ("create_quote", SELLING),
    ("list_quotes", ALL),
    ("get_quote", ALL),
    ("get_quote_reasons", PEOPLE),
    ("recompute_quote", PEOPLE),
    ("compare_quote", PEOPLE),
    ("get_quote_case", INSIGHT),
    // Jobs.
    ("create_job", SELLING),
    ("list_jobs", ALL),
    ("get_job", ALL),
    ("compare_job", PEOPLE),
    ("get_pick_list", PEOPLE),
    ("create_job_step", JOBS),
    ("create_job_findings", WORKSHOP),
    ("create_job_issue", PARTS_OF_JOBS),
    ("create_job_return", PARTS_OF_JOBS),
    ("create_job_shims", WORKSHOP),
    ("create_job_inspection", WORKSHOP),
    ("get_job_papers", ALL),
    ("get_job_deliveries", ALL),
    ("get_quote_deliveries", ALL),
    ("get_serial", PEOPLE),
    ("list_batch_serials", PEOPLE),
    // The shelf.
    ("list_stock", ALL),
    ("list_movements", ALL),
    ("create_movements", SHELF),
    ("get_shelf_sheet", ALL),
    ("export_shelf_sheet", ALL),
    ("create_shelf_count", SHELF),
    ("create_order_round", BUYING),
    ("list_reorders", BUYING),
    ("create_reorders", BUYING),
    ("list_reservations", ALL),
    ("get_reservation", ALL),
    ("create_reservations", RESERVING),
    ("release_reservation", RESERVING),
    // Orders, boxes and claims.
    ("create_orders", BUYING),
    ("list_orders", ALL),
    ("get_order", ALL),
    ("create_order_step", BUYING),
    ("get_count_sheet", ALL),
    ("export_count_sheet", ALL),
    ("create_receipt", SHELF),
    ("list_receipts", ALL),
    ("get_receipt", ALL),
    ("create_receipt_reversal", SHELF),
    ("create_received_paper", BUYING),
    ("list_received_papers", BUYING),
    ("get_received_paper", BUYING),
    ("get_supplier_catalogue", SUPPLIERS),
    ("list_claims", SUPPLIERS),
    ("get_claim", SUPPLIERS),
    ("create_claim_step", BUYING),
    ("get_supplier_faults", SUPPLIERS),
    // Calculations.
    ("calculate_mesh", PEOPLE),
    ("draw_mesh", PEOPLE),
    ("calculate_gear_search", PEOPLE),
    ("calculate_measured_gear", PEOPLE),
    ("calculate_gear_ratios", PEOPLE),
    ("calculate_road_speed", PEOPLE),
    ("draw_road_speed", PEOPLE),
    ("calculate_ratio_change", PEOPLE),
    ("calculate_gradeability", PEOPLE),
    ("calculate_axle_match", PEOPLE),
    ("calculate_spline", PEOPLE),
    ("draw_spline", PEOPLE),
    ("calculate_spline_fit", PEOPLE),
    ("calculate_spline_capacity", PEOPLE),
    ("calculate_bearing_designation", PEOPLE),
    ("calculate_limits_and_fits", PEOPLE),
    ("calculate_bearing_life", PEOPLE),
    ("calculate_shrink_fit", PEOPLE),
    ("calculate_shaft_seal", PEOPLE),
    ("calculate_thread", PEOPLE),
    ("calculate_shims", PEOPLE),
    ("calculate_bearing_preload", PEOPLE),
    ("calculate_bearing_drag", PEOPLE),
    ("calculate_pinion_depth", PEOPLE),
    ("calculate_side_bearings", PEOPLE),
    ("calculate_end_float", PEOPLE),
    ("calculate_wear", PEOPLE),
    ("calculate_gear_geometry", PEOPLE),
    ("calculate_gear_pair", PEOPLE),
    ("calculate_heat_growth", PEOPLE),
    ("calculate_spline_stress", PEOPLE),
    ("calculate_synchroniser", PEOPLE),
    ("calculate_thrust_faces", PEOPLE),
];

impl Access {
    /// Who may do an operation; `None` where the table has no line for it.
    pub(crate) fn of(operation: &str) -> Option<Self> {
        TABLE.iter().find(|(id, _)| *id == operation).map(|(_, access)| *access)
    }

    /// The roles that may do it, for a sentence.
    pub(crate) fn in_words(self) -> String {
        let roles = match self {
            Self::Open => return "Needs no key.".to_owned(),
            Self::Local => {
                return "Needs no key from the machine itself; from elsewhere the key of the owner."
                    .to_owned();
            }
            Self::Roles(roles) => roles,
        };
        let names: Vec<&str> =
            roles.iter().map(|role| role.in_words()).chain([Role::Owner.in_words()]).collect();
        match names.split_last() {
            Some((last, [])) => format!("For the role {last} alone."),
            Some((last, others)) => format!("For the roles {} and {last}.", others.join(", ")),
            None => String::new(),
        }
    }

    /// Whether a key of a role is let through.
    pub(crate) fn allows(self, role: Role) -> bool {
        match self {
            Self::Open => true,
            Self::Local => role == Role::Owner,
            Self::Roles(roles) => role == Role::Owner || roles.contains(&role),
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_operation_of_the_document_has_its_line_and_every_line_its_operation() {
        let document = crate::openapi::described();
        let of_document: BTreeSet<String> =
            document.paths.paths.values().flat_map(crate::access::operations).map(|(_, id)| id).collect();
        let of_table: BTreeSet<String> = TABLE.iter().map(|(id, _)| (*id).to_owned()).collect();
        assert_eq!(of_table.len(), TABLE.len(), "an operation has two lines");
        assert_eq!(of_table, of_document);
    }

    #[test]
    fn the_roles_stand_in_a_sentence() {
        assert_eq!(OWNER.in_words(), "For the role owner alone.");
        assert_eq!(JOBS.in_words(), "For the roles counter, bench and owner.");
        assert_eq!(SHELF.in_words(), "For the roles stores and owner.");
    }

    #[test]
    fn the_owner_may_do_everything_and_alone_makes_keys() {
        for (id, access) in TABLE {
            assert!(access.allows(Role::Owner), "{id}");
        }
        let alone = |role: &Role| !OWNER.allows(*role) || *role == Role::Owner;
        assert!(Role::ALL.iter().all(alone));
    }
}
