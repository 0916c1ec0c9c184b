//! The problems that a resource may answer with, for the OpenAPI document.

use std::collections::BTreeMap;

use utoipa::IntoResponses;
use utoipa::openapi::content::ContentBuilder;
use utoipa::openapi::{Ref, RefOr, Response, ResponseBuilder};

use crate::problem::PROBLEM_JSON;
use crate::problem_kind::ProblemKind;

fn responses_of(kinds: &[ProblemKind]) -> BTreeMap<String, RefOr<Response>> {
    let everywhere = [
        ProblemKind::NotAcceptable,
        ProblemKind::Internal,
        ProblemKind::Busy,
        ProblemKind::DatabaseUnavailable,
    ];
    let all: Vec<ProblemKind> = kinds.iter().chain(&everywhere).copied().collect();
    responses_of_kinds(&all)
}

/// The responses with these problems, one for each status.
pub(crate) fn responses_of_kinds(kinds: &[ProblemKind]) -> BTreeMap<String, RefOr<Response>> {
    let mut by_status: BTreeMap<u16, Vec<ProblemKind>> = BTreeMap::new();
    for kind in kinds {
        let listed = by_status.entry(kind.facts().status.as_u16()).or_default();
        if !listed.contains(kind) {
            listed.push(*kind);
        }
    }
    let response = |kinds: &[ProblemKind]| {
        let lines: Vec<String> = kinds.iter().map(|kind| line_of(*kind)).collect();
        let content = ContentBuilder::new().schema(Some(Ref::from_schema_name("Problem"))).build();
        RefOr::T(ResponseBuilder::new().description(lines.join(" ")).content(PROBLEM_JSON, content).build())
    };
    by_status.into_iter().map(|(status, kinds)| (status.to_string(), response(&kinds))).collect()
}

/// A problem in the description of a response.
pub(crate) fn line_of(kind: ProblemKind) -> String {
    format!("`{}`: {}.", kind.type_path(), kind.facts().title)
}

macro_rules! problem_set {
    ($( $(#[$doc:meta])* $name:ident: [$($kind:ident),* $(,)?]; )+) => {
        $(
            $(#[$doc])*
            pub(crate) struct $name;

            impl IntoResponses for $name {
                fn responses() -> BTreeMap<String, RefOr<Response>> {
                    responses_of(&[$(ProblemKind::$kind),*])
                }
            }
        )+
    };
}

problem_set! {
    /// Of a list.
    ListProblems: [InvalidQuery];
    /// Of a unit by its code.
    UnitProblems: [InvalidCode, InvalidQuery, UnitNotFound];
    /// Of the kits of a unit.
    KitsProblems: [
        InvalidCode, InvalidQuery, UnitNotFound, UnknownReference, Contradiction, ImpossibleChoice,
        TooManyUnknowns, BadValue, MissingSetting, CatalogueFault,
    ];
    /// Of a vehicle by its code.
    VehicleProblems: [InvalidCode, VehicleNotFound];
    /// Of a part by its number.
    PartProblems: [InvalidCode, InvalidQuery, PartNotFound, PartNumberOfSeveral];
    /// Of a rebuild that is asked for.
    RebuildProblems: [
        MalformedJson, RequestTimeout, BodyTooLarge, UnsupportedMediaType, InvalidBody, UnknownReference,
        Contradiction, ImpossibleChoice, TooManyUnknowns, BadValue, PartNumberOfSeveral, MissingSetting,
        CatalogueFault,
    ];
    /// Of what a symptom points to in a unit.
    SymptomProblems: [InvalidCode, InvalidQuery, UnitNotFound, CatalogueFault];
    /// Of what a symptom points to in the units of a vehicle.
    VehicleSymptomProblems: [InvalidCode, InvalidQuery, VehicleNotFound, CatalogueFault];
    /// Of a webhook.
    WebhookProblems: [WebhookNotFound];
    /// Of a list that belongs to a webhook.
    WebhookListProblems: [InvalidQuery, WebhookNotFound];
    /// Of a webhook that is to be made.
    NewWebhookProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, BadValue, IdempotencyKeyRunning, IdempotencyKeyReused,
    ];
    /// Of a webhook that is to be changed.
    WebhookChangeProblems: [
        MalformedJson, WebhookNotFound, RequestTimeout, PreconditionFailed, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, BadValue, PreconditionRequired,
    ];
    /// Of a webhook that is to be deleted.
    WebhookRemovalProblems: [WebhookNotFound, PreconditionFailed, PreconditionRequired];
    /// Of what is done with a webhook.
    WebhookActionProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, WebhookNotFound, RequestTimeout, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, BadValue, IdempotencyKeyRunning, IdempotencyKeyReused,
    ];
    /// Of the feed of events.
    EventFeedProblems: [InvalidQuery];
    /// Of an event that is to be followed.
    EventProblems: [
        MalformedJson, RequestTimeout, BodyTooLarge, UnsupportedMediaType, InvalidBody, UnknownReference, BadValue,
        PartNumberOfSeveral,
    ];
    /// Of the other answers to what a stored quote asked.
    AlternativesProblems: [
        MalformedJson, QuoteNotFound, RequestTimeout, BodyTooLarge, UnsupportedMediaType, InvalidBody,
        UnknownReference, TooManyUnknowns, BadValue, PartNumberOfSeveral,
    ];
    /// Of a quote that is to be stored.
    NewQuoteProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, UnknownReference, Contradiction, ImpossibleChoice, TooManyUnknowns, BadValue,
        PartNumberOfSeveral, IdempotencyKeyRunning, IdempotencyKeyReused, MissingSetting, CatalogueFault,
    ];
    /// Of a stored quote.
    QuoteProblems: [QuoteNotFound];
    /// Of a stored quote against today.
    ComparisonProblems: [
        InvalidQuery, QuoteNotFound, UnitNotFound, UnknownReference, Contradiction, ImpossibleChoice, TooManyUnknowns, BadValue,
        MissingSetting, CatalogueFault,
    ];
    /// Of a list of orders.
    OrderListProblems: [InvalidQuery];
    /// Of an order as a paper.
    OrderPaperProblems: [OrderNotFound, WrongState, WrongPaper];
    /// Of a receipt as a paper.
    ReceiptPaperProblems: [ReceiptNotFound, WrongState, WrongPaper];
    /// Of a supplier's catalogue as a paper.
    SupplierCatalogueProblems: [InvalidQuery, SupplierNotFound, WrongPaper];
    /// Of a paper that was taken in.
    ReceivedPaperProblems: [ReceivedPaperNotFound, MalformedPaper, WrongPaper];
    /// Of a paper that is to be taken in.
    NewReceivedPaperProblems: [
        MalformedPaper, InvalidQuery, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge,
        UnsupportedMediaType, WrongPaper, PaperNumberTaken, WrongState, UnknownReference, BadValue,
        PartNumberOfSeveral, IdempotencyKeyRunning, MissingSetting, CatalogueFault, PreconditionFailed,
        IdempotencyKeyReused,
    ];
    /// Of orders that are to be drafted.
    NewOrderProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, UnknownReference, BadValue, PartNumberOfSeveral, IdempotencyKeyRunning, AlreadyOrdered,
        MissingSetting, CatalogueFault, IdempotencyKeyReused,
    ];
    /// Of an order round.
    OrderRoundProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, UnknownReference, BadValue, TooManyUnknowns, IdempotencyKeyRunning, PreconditionFailed,
        MissingSetting, CatalogueFault, IdempotencyKeyReused,
    ];
    /// Of a step of an order.
    OrderStepProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, OrderNotFound, RequestTimeout, WrongState,
        PartNumberOfSeveral, IdempotencyKeyRunning, CatalogueFault, PreconditionFailed, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyReused, PreconditionRequired,
    ];
    /// Of a count sheet.
    CountSheetProblems: [OrderNotFound, WrongState, CatalogueFault];
    /// Of a box that is to be received.
    NewReceiptProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, WrongState, PartNumberOfSeveral,
        IdempotencyKeyRunning, MissingSetting, CatalogueFault, PreconditionFailed, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyReused,
    ];
    /// Of a receipt that is to be taken back.
    ReversalProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, ReceiptNotFound, RequestTimeout, WrongState,
        ReceiptReversed, ClaimDecided, NotAvailable, IdempotencyKeyRunning, PreconditionFailed, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, BadValue, IdempotencyKeyReused,
    ];
    /// Of a claim.
    ClaimProblems: [ClaimNotFound];
    /// Of a step of a claim.
    ClaimStepProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, ClaimNotFound, RequestTimeout, WrongState,
        IdempotencyKeyRunning, PreconditionFailed, BodyTooLarge, UnsupportedMediaType, InvalidBody, BadValue,
        IdempotencyKeyReused, PreconditionRequired,
    ];
    /// Of a supplier by its code.
    SupplierProblems: [SupplierNotFound];
    /// Of an import that is to begin.
    NewImportProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, BadValue, IdempotencyKeyRunning, IdempotencyKeyReused,
    ];
    /// Of an import.
    ImportProblems: [ImportNotFound];
    /// Of a sheet.
    ExportProblems: [SheetNotFound];
    /// Of a face of a part.
    FeatureProblems: [InvalidCode, PartNotFound, FeatureNotFound, PartNumberOfSeveral];
    /// Of a measurement that is to be stored.
    MeasurementProblems: [
        MalformedJson, InvalidCode, PartNotFound, FeatureNotFound, RequestTimeout, PartNumberOfSeveral,
        PreconditionFailed, BodyTooLarge, UnsupportedMediaType, InvalidBody, BadValue, PreconditionRequired,
    ];
    /// Of a setting.
    SettingProblems: [SettingNotFound];
    /// Of a setting that is to change.
    SettingChangeProblems: [
        MalformedJson, SettingNotFound, RequestTimeout, PreconditionFailed, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, BadValue, PreconditionRequired,
    ];
    /// Of a job that is to be opened.
    NewJobProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, PartNumberOfSeveral, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyRunning, IdempotencyKeyReused,
    ];
    /// Of a job.
    JobProblems: [JobNotFound];
    /// Of what a job needs.
    JobAnswerProblems: [
        JobNotFound, NotReady, UnknownReference, Contradiction, ImpossibleChoice, TooManyUnknowns, BadValue,
        MissingSetting, CatalogueFault,
    ];
    /// Of a step of a job.
    JobChangeProblems: [
        MalformedJson, JobNotFound, RequestTimeout, PartNumberOfSeveral, StepNotAllowed, NotReady, NotAvailable,
        MissingSetting, CatalogueFault, PreconditionFailed, BodyTooLarge, UnsupportedMediaType, InvalidBody,
        UnknownReference, Contradiction, ImpossibleChoice, TooManyUnknowns, BadValue, PreconditionRequired,
    ];
    /// Of the shelf.
    StockProblems: [InvalidCode, InvalidQuery, PartNotFound, PartNumberOfSeveral];
    /// Of movements that are to be booked.
    NewMovementsProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, PartNumberOfSeveral, NotAvailable,
        BodyTooLarge, UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyRunning,
        IdempotencyKeyReused,
    ];
    /// Of what is below its minimum.
    ReorderProblems: [InvalidQuery, MissingSetting];
    /// Of a count of the shelf.
    NewCountProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, NotAvailable, BodyTooLarge,
        UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyRunning, IdempotencyKeyReused,
    ];
    /// Of what is to be reserved.
    NewReservationsProblems: [
        MalformedJson, InvalidHeader, IdempotencyKeyMissing, RequestTimeout, PartNumberOfSeveral, NotAvailable,
        BodyTooLarge, UnsupportedMediaType, InvalidBody, UnknownReference, BadValue, IdempotencyKeyRunning,
        IdempotencyKeyReused,
    ];
    /// Of a reservation that is given back.
    ReleaseProblems: [
        MalformedJson, ReservationNotFound, RequestTimeout, ReservationEnded, BodyTooLarge, UnsupportedMediaType,
        InvalidBody, BadValue,
    ];
    /// Of a calculation.
    CalculationProblems: [
        MalformedJson, RequestTimeout, BodyTooLarge, UnsupportedMediaType, InvalidBody, BadValue,
    ];
    /// Of a key.
    KeyProblems: [KeyNotFound];
    /// Of a key that is to be made.
    NewKeyProblems: [
        MalformedJson, RequestTimeout, KeyNameTaken, BodyTooLarge, UnsupportedMediaType, InvalidBody, BadValue,
    ];
    /// Of a key that is to be revoked.
    KeyRevocationProblems: [KeyNotFound, WrongState, LastOwnerKey, PreconditionFailed, PreconditionRequired];
    /// Of what has no failures of its own.
    PlainProblems: [];
    /// Of a reservation by its number.
    ReservationProblems: [ReservationNotFound];
    /// Of the page of a kind of problem.
    ProblemPageProblems: [ProblemNotFound];
}
