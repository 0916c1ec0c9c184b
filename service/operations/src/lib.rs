//! What the shop asks for, one file a thing: it reads what is needed, calls the resolver, and keeps what comes of it.
//!
//! **Invariant:** nothing here knows HTTP or a terminal. What the edges need of the floors below comes through here.

pub mod access_keys;
pub mod answer_once;
pub mod asked;
mod asked_aim;
pub mod asked_alternatives;
pub mod asked_fit_check;
pub mod below_minimum;
pub mod book_count;
pub mod book_movements;
pub mod calculations;
pub mod change_order;
pub mod check_catalogue;
pub mod check_fit;
pub mod claims;
pub mod compare_quote;
pub mod count_sheet;
pub mod deliveries;
pub mod draft_orders;
pub mod events;
pub mod export_catalogue;
pub mod feature_measurement;
pub mod find_part;
pub mod find_symptoms;
pub mod follow_notice;
mod identify_part;
pub mod identify_unit;
pub mod import_catalogue;
pub mod jobs;
pub mod kits_side_by_side;
pub mod list_audit;
pub mod list_catalogue;
pub mod list_movements;
pub mod list_orders;
pub mod list_quotes;
pub mod list_receipts;
pub mod list_stock;
pub mod listed;
pub mod lookup_error;
pub mod order_error;
pub mod order_round;
pub mod papers;
pub mod proposal;
pub mod quote_alternatives;
pub mod quote_error;
pub mod quote_reasons;
pub mod quote_rebuild;
pub mod range_price;
pub mod rebuild_error;
mod receipt_consequences;
mod receipt_count;
pub mod receipt_error;
mod receipt_expected;
pub mod receive_box;
pub mod recompute_quote;
pub mod reservations;
pub mod reverse_receipt;
pub mod role;
pub mod save_case;
pub mod settings;
pub mod shelf_sheet;
pub mod shop;
pub mod show_order;
pub mod show_quote;
pub mod show_receipt;
pub mod show_unit;
pub mod show_vehicle;
mod snapshot_cache;
pub mod stock_error;
mod stock_words;
pub mod store_quote;
pub mod supplier_faults;
mod time_budget;
mod translate_alternatives;
mod translate_request;
mod unit_cautions;
pub mod unit_graph;
pub mod webhooks;
pub mod where_used;

pub use resolver::job_state::{JobState, JobStep};
pub use resolver::{
    Alternatives, Answer, Bounds, Cause, Change, ChangeSubject, CheckedAlternative, Comparison, Condition,
    ConditionAnswer, DEFERRAL, ENGINE, FindingEffect, FitCase, FitCheck, FitVerdict, FitWay, FurtherChange,
    JointFigures, KitComparison, KitPieces, KitWay, KnownSymptom, LargerOperation, NextPlan, PlanDifference,
    PlanSummary, PriceRange, RangeFigures, RequestFault, RequestFaultKind, SymptomAnswer, answer, closest,
    gearing, reason, receipt, request,
};
pub use store::{Caller, Shortage, StoreError};
