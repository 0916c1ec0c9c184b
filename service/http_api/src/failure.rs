//! From a failure of an operation to the problem that a client reads. The only place where one becomes the other.

use operations::access_keys::KeyError;
use operations::calculations::CalculationFault;
use operations::events::EventError;
use operations::feature_measurement::FeatureError;
use operations::find_symptoms::SymptomError;
use operations::import_catalogue::ImportError;
use operations::jobs::error::JobError;
use operations::lookup_error::LookupError;
use operations::order_error::OrderError;
use operations::papers::{PaperError, PaperFault};
use operations::quote_error::QuoteError;
use operations::rebuild_error::RebuildError;
use operations::receipt_error::ReceiptError;
use operations::settings::SettingError;
use operations::stock_error::StockError;
use operations::webhooks::WebhookError;
use operations::{RequestFault, RequestFaultKind, Shortage, StoreError};

use crate::problem::{FieldError, Problem, StockShortage};
use crate::problem_kind::ProblemKind;

/// A failure inside: logged with its words, sent without them.
pub(crate) fn internal(error: &dyn std::error::Error) -> Problem {
    tracing::error!(error = %chain(error), "the service failed");
    Problem::new(ProblemKind::Internal, ProblemKind::Internal.facts().meaning)
}

fn chain(error: &dyn std::error::Error) -> String {
    let mut text = error.to_string();
    let mut cause = error.source();
    while let Some(inner) = cause {
        text.push_str(": ");
        text.push_str(&inner.to_string());
        cause = inner.source();
    }
    text
}

impl From<StoreError> for Problem {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::UnitNotFound(unit) => {
                Self::new(ProblemKind::UnitNotFound, format!("there is no unit `{unit}`"))
            }
            StoreError::ImportNotFound(id) => {
                Self::new(ProblemKind::ImportNotFound, format!("there is no import `{id}`"))
            }
            error @ StoreError::ReservationNotFound(_) => {
                Self::new(ProblemKind::ReservationNotFound, error.to_string())
            }
            error @ StoreError::ReservationEnded(_) => {
                Self::new(ProblemKind::ReservationEnded, error.to_string())
            }
            error @ StoreError::JobChanged(_) => {
                Self::new(ProblemKind::PreconditionFailed, error.to_string())
            }
            error @ StoreError::PartNotFound(_) => Self::new(ProblemKind::PartNotFound, error.to_string()),
            error @ StoreError::BinNotFound(_) => Self::new(ProblemKind::UnknownReference, error.to_string()),
            StoreError::BadPosting { index, part, wrong } => {
                let detail = format!("the posting of `{part}` cannot be booked: {wrong}");
                Self::at(ProblemKind::BadValue, format!("/postings/{index}"), detail, vec![])
            }
            error @ StoreError::ClaimLost(_) => {
                Self::new(ProblemKind::IdempotencyKeyRunning, error.to_string())
            }
            error @ StoreError::KeyNameTaken { .. } => {
                Self::at(ProblemKind::KeyNameTaken, "/name", error.to_string(), vec![])
            }
            error @ StoreError::KeyRevoked(_) => Self::new(ProblemKind::WrongState, error.to_string()),
            error @ StoreError::LastOwnerKey(_) => Self::new(ProblemKind::LastOwnerKey, error.to_string()),
            StoreError::NotAvailable(shortage) => not_available(&shortage),
            error @ (StoreError::Database(_) | StoreError::Sqlite(_) | StoreError::ImportBroken) => {
                Self { database_failed: true, ..internal(&error) }
            }
            error @ (StoreError::Address(_)
            | StoreError::NewerDatabase(_)
            | StoreError::RevisionMoved { .. }
            | StoreError::AlreadyOrdered { .. }
            | StoreError::OrderChanged(_)
            | StoreError::PaperReceived(_)
            | StoreError::ClaimChanged(_)
            | StoreError::ClaimDecided(_)
            | StoreError::ReceiptNotFound(_)
            | StoreError::ReceiptReversed(_)
            | StoreError::WebhookNotFound(_)
            | StoreError::WebhookChanged(_)
            | StoreError::ReplayAhead(_)
            | StoreError::KeyNotClaimed(_)
            | StoreError::BadRow { .. }
            | StoreError::WrongWidth { .. }) => internal(&error),
        }
    }
}

fn not_available(shortage: &Shortage) -> Problem {
    let figures = StockShortage {
        part: shortage.part.to_string(),
        bin: shortage.bin.as_ref().map(ToString::to_string),
        mark: shortage.mark.0.clone(),
        wanted: shortage.wanted.to_string(),
        balance: shortage.balance.to_string(),
        reserved: shortage.reserved.to_string(),
        available: shortage.available().to_string(),
    };
    Problem {
        shortage: Some(Box::new(figures)),
        ..Problem::new(ProblemKind::NotAvailable, shortage.to_string())
    }
}

/// A lookup by what stands in the address.
impl From<LookupError> for Problem {
    fn from(error: LookupError) -> Self {
        let detail = error.to_string();
        let suggestions = error.suggestions();
        let kind = match error {
            LookupError::Store(error) => return error.into(),
            LookupError::Malformed { .. } => ProblemKind::InvalidCode,
            LookupError::Unit { .. } => ProblemKind::UnitNotFound,
            LookupError::Vehicle { .. } => ProblemKind::VehicleNotFound,
            LookupError::Part { .. } => ProblemKind::PartNotFound,
            LookupError::PartOfSeveral { .. } => ProblemKind::PartNumberOfSeveral,
        };
        Self::new(kind, detail).suggesting(suggestions)
    }
}

/// A lookup by what stands in the body.
fn looked_up(pointer: String, error: LookupError) -> Problem {
    let detail = error.to_string();
    let suggestions = error.suggestions();
    let kind = match error {
        LookupError::Store(error) => return error.into(),
        LookupError::Malformed { .. } => ProblemKind::BadValue,
        LookupError::Unit { .. } | LookupError::Vehicle { .. } | LookupError::Part { .. } => {
            ProblemKind::UnknownReference
        }
        LookupError::PartOfSeveral { .. } => ProblemKind::PartNumberOfSeveral,
    };
    Problem::at(kind, pointer, detail, suggestions)
}

impl From<RequestFault> for Problem {
    fn from(fault: RequestFault) -> Self {
        let kind = match fault.kind {
            RequestFaultKind::UnknownReference => ProblemKind::UnknownReference,
            RequestFaultKind::Contradiction => ProblemKind::Contradiction,
            RequestFaultKind::ImpossibleChoice => ProblemKind::ImpossibleChoice,
            RequestFaultKind::TooManyUnknowns => ProblemKind::TooManyUnknowns,
            RequestFaultKind::BadValue => ProblemKind::BadValue,
            RequestFaultKind::MissingSetting => ProblemKind::MissingSetting,
            RequestFaultKind::CatalogueFault => ProblemKind::CatalogueFault,
        };
        if fault.pointer.is_empty() {
            Self::new(kind, fault.detail).suggesting(fault.suggestions)
        } else {
            Self::at(kind, fault.pointer, fault.detail, fault.suggestions)
        }
    }
}

impl From<RebuildError> for Problem {
    fn from(error: RebuildError) -> Self {
        match error {
            RebuildError::Lookup { pointer, error } => looked_up(pointer, error),
            RebuildError::BadRequest { pointer, detail, suggestions } => {
                Self::at(ProblemKind::BadValue, pointer, detail, suggestions)
            }
            RebuildError::Fault(fault) => fault.into(),
            RebuildError::Store(error) => error.into(),
            RebuildError::Unsettled => Self::new(
                ProblemKind::Busy,
                "the catalogue is being changed while it is read; ask again in a moment",
            ),
            error @ (RebuildError::Unwritable(_) | RebuildError::Lost(_)) => internal(&error),
        }
    }
}

impl From<QuoteError> for Problem {
    fn from(error: QuoteError) -> Self {
        match error {
            QuoteError::NotFound(number) => {
                Self::new(ProblemKind::QuoteNotFound, format!("there is no quote `{number}`"))
            }
            QuoteError::Rebuild(error) => error.into(),
            QuoteError::Store(error) => error.into(),
            error @ QuoteError::Unreadable { .. } => internal(&error),
        }
    }
}

/// The symptom stands in the query.
impl From<SymptomError> for Problem {
    fn from(error: SymptomError) -> Self {
        match error {
            SymptomError::Lookup(error) => error.into(),
            SymptomError::Fault(fault) if fault.kind == RequestFaultKind::BadValue => {
                Self::new(ProblemKind::InvalidQuery, format!("`symptom`: {}", fault.detail))
            }
            SymptomError::Fault(fault) => fault.into(),
            SymptomError::Store(error) => error.into(),
            error @ SymptomError::Lost(_) => internal(&error),
        }
    }
}

impl From<OrderError> for Problem {
    fn from(error: OrderError) -> Self {
        let detail = error.to_string();
        match error {
            OrderError::NotFound(_) => Self::new(ProblemKind::OrderNotFound, detail),
            OrderError::Bad { pointer, detail, suggestions } => {
                Self::at(ProblemKind::BadValue, pointer, detail, suggestions)
            }
            OrderError::Lookup { pointer, error } => looked_up(pointer, error),
            OrderError::WrongState { .. } => Self::new(ProblemKind::WrongState, detail),
            OrderError::AlreadyOrdered { orders, .. } => {
                Self::new(ProblemKind::AlreadyOrdered, detail).suggesting(orders)
            }
            OrderError::Stale(_) => Self::new(ProblemKind::PreconditionFailed, detail),
            OrderError::Quote(error) => error.into(),
            OrderError::Fault(fault) => fault.into(),
            OrderError::Store(error) => error.into(),
        }
    }
}

impl From<PaperError> for Problem {
    fn from(error: PaperError) -> Self {
        let detail = error.to_string();
        match error {
            PaperError::NotFound(_) => Self::new(ProblemKind::ReceivedPaperNotFound, detail),
            PaperError::SupplierNotFound { known, .. } => {
                Self::new(ProblemKind::SupplierNotFound, detail).suggesting(known)
            }
            PaperError::UnknownKind(_) => Self::new(ProblemKind::MalformedPaper, detail),
            PaperError::Unreadable { faults, .. } => placed(ProblemKind::MalformedPaper, detail, faults),
            PaperError::Wrong(faults) | PaperError::Unwritable(faults) => {
                placed(ProblemKind::WrongPaper, detail, faults)
            }
            PaperError::OtherContent { .. } => Self::new(ProblemKind::PaperNumberTaken, detail),
            PaperError::NotReady(_) => Self::new(ProblemKind::WrongState, detail),
            PaperError::Order(error) => error.into(),
            PaperError::Receipt(error) => error.into(),
            PaperError::Import(ImportError::Refused(refused)) => {
                let faults = refused.faults.iter().map(|fault| FieldError {
                    pointer: fault.place(),
                    detail: fault.cause(),
                    suggestions: fault.suggestion.iter().cloned().collect(),
                });
                Self { errors: faults.collect(), ..Self::new(ProblemKind::WrongPaper, detail) }
            }
            PaperError::Import(error) => internal(&error),
            PaperError::Store(error) => error.into(),
        }
    }
}

/// A problem with the places of a paper.
fn placed(kind: ProblemKind, detail: String, faults: Vec<PaperFault>) -> Problem {
    let errors = faults.into_iter().map(|fault| FieldError {
        detail: fault.detail,
        pointer: fault.place,
        suggestions: fault.suggestions,
    });
    let errors: Vec<FieldError> = errors.collect();
    let detail = match errors.as_slice() {
        [one] => format!("{}: {}", one.pointer, one.detail),
        _ => detail,
    };
    Problem { errors, ..Problem::new(kind, detail) }
}

impl From<ReceiptError> for Problem {
    fn from(error: ReceiptError) -> Self {
        let detail = error.to_string();
        match error {
            ReceiptError::NotFound(_) => Self::new(ProblemKind::ReceiptNotFound, detail),
            ReceiptError::ClaimNotFound(_) => Self::new(ProblemKind::ClaimNotFound, detail),
            ReceiptError::SupplierNotFound { known, .. } => {
                Self::new(ProblemKind::SupplierNotFound, detail).suggesting(known)
            }
            ReceiptError::Count(places) => {
                let errors = places.into_iter().map(|place| FieldError {
                    detail: place.detail,
                    pointer: place.pointer,
                    suggestions: place.suggestions,
                });
                let errors: Vec<FieldError> = errors.collect();
                let detail = match errors.as_slice() {
                    [one] => one.detail.clone(),
                    _ => detail,
                };
                Self { errors, ..Self::new(ProblemKind::BadValue, detail) }
            }
            ReceiptError::Reversed(_) => Self::new(ProblemKind::ReceiptReversed, detail),
            ReceiptError::ClaimDecided(_) => Self::new(ProblemKind::ClaimDecided, detail),
            ReceiptError::WrongClaimState { .. } => Self::new(ProblemKind::WrongState, detail),
            ReceiptError::StaleClaim(_) => Self::new(ProblemKind::PreconditionFailed, detail),
            ReceiptError::NotAvailable(_) => Self::new(ProblemKind::NotAvailable, detail),
            ReceiptError::Lost(error) => internal(&error),
            ReceiptError::Order(error) => error.into(),
        }
    }
}

/// Cursor and types stand in the query.
impl From<EventError> for Problem {
    fn from(error: EventError) -> Self {
        let detail = error.to_string();
        match error {
            EventError::BadCursor(_) => Self::new(ProblemKind::InvalidQuery, format!("`after`: {detail}")),
            EventError::BadType { known, .. } => {
                Self::new(ProblemKind::InvalidQuery, format!("`type`: {detail}")).suggesting(known)
            }
            EventError::Store(error) => error.into(),
        }
    }
}

impl From<WebhookError> for Problem {
    fn from(error: WebhookError) -> Self {
        let detail = error.to_string();
        match error {
            WebhookError::NotFound(_) => Self::new(ProblemKind::WebhookNotFound, detail),
            WebhookError::Stale => Self::new(ProblemKind::PreconditionFailed, detail),
            WebhookError::Bad { pointer, detail, suggestions } => {
                Self::at(ProblemKind::BadValue, pointer, detail, suggestions)
            }
            WebhookError::Store(error) => error.into(),
            error @ WebhookError::NoRandomness => internal(&error),
        }
    }
}

impl From<SettingError> for Problem {
    fn from(error: SettingError) -> Self {
        let detail = error.to_string();
        match error {
            SettingError::NotFound { known, .. } => {
                Self::new(ProblemKind::SettingNotFound, detail).suggesting(known)
            }
            SettingError::Stale(_) => Self::new(ProblemKind::PreconditionFailed, detail),
            SettingError::BadValue { .. } => Self::at(ProblemKind::BadValue, "/value", detail, vec![]),
            SettingError::Store(error) => error.into(),
            error @ SettingError::Import(_) => internal(&error),
        }
    }
}

/// What stands in a body.
impl From<StockError> for Problem {
    fn from(error: StockError) -> Self {
        match error {
            StockError::Lookup { pointer, error } => looked_up(pointer, error),
            StockError::Bad { pointer, detail } => Self::at(ProblemKind::BadValue, pointer, detail, vec![]),
            StockError::Store(error) => error.into(),
        }
    }
}

impl Problem {
    /// What stands in a query.
    pub(crate) fn of_query(error: StockError) -> Self {
        match error {
            StockError::Lookup { error, .. } => error.into(),
            StockError::Bad { detail, .. } => Self::new(ProblemKind::InvalidQuery, detail),
            StockError::Store(error) => error.into(),
        }
    }
}

/// Figures that no calculation can be made with, each at its place.
impl From<CalculationFault> for Problem {
    fn from(fault: CalculationFault) -> Self {
        let detail = fault.to_string();
        let at = |field: operations::calculations::WrongField| FieldError {
            detail: field.detail,
            pointer: field.pointer,
            suggestions: Vec::new(),
        };
        Self {
            errors: fault.fields.into_iter().map(at).collect(),
            ..Self::new(ProblemKind::BadValue, detail)
        }
    }
}

impl From<FeatureError> for Problem {
    fn from(error: FeatureError) -> Self {
        let detail = error.to_string();
        match error {
            FeatureError::Lookup(error) => error.into(),
            FeatureError::NotFound { known, .. } => {
                Self::new(ProblemKind::FeatureNotFound, detail).suggesting(known)
            }
            FeatureError::Stale => Self::new(ProblemKind::PreconditionFailed, detail),
            FeatureError::BadValue { field, .. } => {
                Self::at(ProblemKind::BadValue, format!("/{field}"), detail, vec![])
            }
            error @ FeatureError::Import(_) => internal(&error),
        }
    }
}

impl From<JobError> for Problem {
    fn from(error: JobError) -> Self {
        let detail = error.to_string();
        match error {
            JobError::NotFound(_) => Self::new(ProblemKind::JobNotFound, detail),
            JobError::Stale => Self::new(ProblemKind::PreconditionFailed, detail),
            JobError::NotAllowed { .. } => Self::new(ProblemKind::StepNotAllowed, detail),
            JobError::NotReady(_) => Self::new(ProblemKind::NotReady, detail),
            JobError::Rebuild(error) => error.into(),
            JobError::Quote(error) => error.into(),
            JobError::Stock(error) => error.into(),
            JobError::Store(error) => error.into(),
            error @ JobError::Unreadable { .. } => internal(&error),
        }
    }
}

impl Problem {
    /// What stands in the address.
    pub(crate) fn of_address(error: JobError) -> Self {
        match error {
            JobError::Rebuild(RebuildError::Lookup { error, .. }) => error.into(),
            JobError::Stock(StockError::Bad { detail, .. }) => Self::new(ProblemKind::InvalidCode, detail),
            error => error.into(),
        }
    }
}

impl From<KeyError> for Problem {
    fn from(error: KeyError) -> Self {
        let detail = error.to_string();
        match error {
            KeyError::NotFound(_) => Self::new(ProblemKind::KeyNotFound, detail),
            KeyError::Bad { pointer, .. } => Self::at(ProblemKind::BadValue, pointer, detail, vec![]),
            KeyError::Stale => Self::new(ProblemKind::PreconditionFailed, detail),
            KeyError::Store(error) => error.into(),
            error @ KeyError::Random(_) => internal(&error),
        }
    }
}
