//! Why a command failed, in words for a person, and how the process ends.

use std::process::ExitCode;

use operations::StoreError;
use operations::access_keys::KeyError;
use operations::calculations::CalculationFault;
use operations::find_symptoms::SymptomError;
use operations::jobs::error::JobError;
use operations::lookup_error::LookupError;
use operations::order_error::OrderError;
use operations::quote_error::QuoteError;
use operations::rebuild_error::RebuildError;
use operations::receipt_error::ReceiptError;
use operations::stock_error::StockError;

/// A command that failed.
#[derive(Debug)]
pub struct Failure {
    /// What went wrong, and what would be right.
    pub message: String,
    /// Whose fault it is.
    pub cause: Cause,
}

/// Whose fault a failure is; each ends the process with a code of its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Cause {
    /// What was asked has no answer: code 1.
    Asked,
    /// The command line is wrong: code 2, as for every wrong command line.
    CommandLine,
    /// The database or service cannot be reached, or failed: code 3.
    Service,
}

impl Failure {
    /// What was asked has no answer.
    pub fn asked(message: impl Into<String>) -> Self {
        Self { message: message.into(), cause: Cause::Asked }
    }

    /// The command line is wrong.
    pub fn command_line(message: impl Into<String>) -> Self {
        Self { message: message.into(), cause: Cause::CommandLine }
    }

    /// The database or service failed.
    pub fn service(message: impl Into<String>) -> Self {
        Self { message: message.into(), cause: Cause::Service }
    }

    /// The code with which the process ends.
    pub fn exit_code(&self) -> ExitCode {
        match self.cause {
            Cause::Asked => ExitCode::from(1),
            Cause::CommandLine => ExitCode::from(2),
            Cause::Service => ExitCode::from(3),
        }
    }
}

pub(crate) fn with_suggestions(message: String, suggestions: &[String]) -> String {
    match suggestions {
        [] | [_] => message,
        several => format!("{message}\nclosest: {}", several.join(", ")),
    }
}

impl From<StoreError> for Failure {
    fn from(error: StoreError) -> Self {
        match error {
            StoreError::UnitNotFound(_)
            | StoreError::ImportNotFound(_)
            | StoreError::PartNotFound(_)
            | StoreError::BinNotFound(_)
            | StoreError::ReservationNotFound(_)
            | StoreError::ReservationEnded(_)
            | StoreError::NotAvailable(_)
            | StoreError::JobChanged(_)
            | StoreError::KeyNameTaken { .. }
            | StoreError::KeyRevoked(_)
            | StoreError::LastOwnerKey(_)
            | StoreError::BadPosting { .. } => Self::asked(error.to_string()),
            StoreError::Address(_) => Self::command_line(error.to_string()),
            error => Self::service(error.to_string()),
        }
    }
}

impl From<LookupError> for Failure {
    fn from(error: LookupError) -> Self {
        match error {
            LookupError::Store(error) => error.into(),
            error => Self::asked(with_suggestions(error.to_string(), &error.suggestions())),
        }
    }
}

impl From<RebuildError> for Failure {
    fn from(error: RebuildError) -> Self {
        match error {
            RebuildError::Lookup { error, .. } => error.into(),
            RebuildError::BadRequest { detail, suggestions, .. } => {
                Self::asked(with_suggestions(detail, &suggestions))
            }
            RebuildError::Fault(fault) => Self::asked(with_suggestions(fault.detail, &fault.suggestions)),
            RebuildError::Store(error) => error.into(),
            error @ (RebuildError::Unsettled | RebuildError::Unwritable(_) | RebuildError::Lost(_)) => {
                Self::service(error.to_string())
            }
        }
    }
}

impl From<SymptomError> for Failure {
    fn from(error: SymptomError) -> Self {
        match error {
            SymptomError::Lookup(error) => error.into(),
            SymptomError::Fault(fault) => Self::asked(with_suggestions(fault.detail, &fault.suggestions)),
            SymptomError::Store(error) => error.into(),
            error @ SymptomError::Lost(_) => Self::service(error.to_string()),
        }
    }
}

impl From<QuoteError> for Failure {
    fn from(error: QuoteError) -> Self {
        match error {
            QuoteError::NotFound(_) => Self::asked(error.to_string()),
            QuoteError::Rebuild(error) => error.into(),
            QuoteError::Store(error) => error.into(),
            error @ QuoteError::Unreadable { .. } => Self::service(error.to_string()),
        }
    }
}

impl From<CalculationFault> for Failure {
    fn from(fault: CalculationFault) -> Self {
        let lines: Vec<String> = fault
            .fields
            .iter()
            .map(|field| match field.pointer.trim_start_matches('/').rsplit_once('/') {
                Some((place, _)) => format!("{place}: {}", field.detail),
                None => field.detail.clone(),
            })
            .collect();
        Self::asked(lines.join("\n"))
    }
}

impl From<OrderError> for Failure {
    fn from(error: OrderError) -> Self {
        match error {
            OrderError::Lookup { error, .. } => error.into(),
            OrderError::Bad { detail, suggestions, .. } => {
                Self::asked(with_suggestions(detail, &suggestions))
            }
            OrderError::NotFound(_)
            | OrderError::WrongState { .. }
            | OrderError::AlreadyOrdered { .. }
            | OrderError::Stale(_) => Self::asked(error.to_string()),
            OrderError::Quote(error) => error.into(),
            OrderError::Fault(fault) => Self::asked(with_suggestions(fault.detail, &fault.suggestions)),
            OrderError::Store(error) => error.into(),
        }
    }
}

impl From<ReceiptError> for Failure {
    fn from(error: ReceiptError) -> Self {
        match error {
            ReceiptError::Order(error) => error.into(),
            ReceiptError::Lost(error) => Self::service(error.to_string()),
            ReceiptError::SupplierNotFound { ref known, .. } => {
                Self::asked(with_suggestions(error.to_string(), known))
            }
            ReceiptError::Count(places) => {
                let lines = places.iter().map(|place| format!("{}: {}", place.pointer, place.detail));
                Self::asked(lines.collect::<Vec<_>>().join("\n"))
            }
            ReceiptError::NotFound(_)
            | ReceiptError::ClaimNotFound(_)
            | ReceiptError::Reversed(_)
            | ReceiptError::ClaimDecided(_)
            | ReceiptError::WrongClaimState { .. }
            | ReceiptError::StaleClaim(_)
            | ReceiptError::NotAvailable(_) => Self::asked(error.to_string()),
        }
    }
}

impl From<KeyError> for Failure {
    fn from(error: KeyError) -> Self {
        match error {
            KeyError::NotFound(_) | KeyError::Bad { .. } | KeyError::Stale => Self::asked(error.to_string()),
            KeyError::Random(_) => Self::service(error.to_string()),
            KeyError::Store(error) => error.into(),
        }
    }
}

impl From<StockError> for Failure {
    fn from(error: StockError) -> Self {
        match error {
            StockError::Lookup { error, .. } => error.into(),
            StockError::Bad { detail, .. } => Self::asked(detail),
            StockError::Store(error) => error.into(),
        }
    }
}

impl From<JobError> for Failure {
    fn from(error: JobError) -> Self {
        match error {
            JobError::NotFound(_) | JobError::Stale | JobError::NotAllowed { .. } | JobError::NotReady(_) => {
                Self::asked(error.to_string())
            }
            JobError::Rebuild(error) => error.into(),
            JobError::Quote(error) => error.into(),
            JobError::Stock(error) => error.into(),
            JobError::Store(error) => error.into(),
            error @ JobError::Unreadable { .. } => Self::service(error.to_string()),
        }
    }
}
