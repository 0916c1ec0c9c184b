//! The one table of all problems: a stable code, a status, a title and a meaning each.

use actix_web::http::StatusCode;

/// What a kind of problem is.
#[derive(Debug, Clone, Copy)]
pub(crate) struct KindFacts {
    /// Last segment of the problem's `type`.
    pub(crate) code: &'static str,
    /// The status it is always sent with.
    pub(crate) status: StatusCode,
    /// The title, the same for every occurrence.
    pub(crate) title: &'static str,
    /// What it means and what to do, for the page behind the `type`.
    pub(crate) meaning: &'static str,
}

macro_rules! problem_kinds {
    ($( $(#[$doc:meta])* $kind:ident = $code:literal, $status:ident, $title:literal, $meaning:literal; )+) => {
        /// A kind of problem.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub(crate) enum ProblemKind { $( $(#[$doc])* $kind, )+ }

        impl ProblemKind {
            /// All kinds, in the order of their statuses.
            pub(crate) const ALL: &'static [ProblemKind] = &[ $( Self::$kind, )+ ];

            /// What the kind is.
            pub(crate) const fn facts(self) -> KindFacts {
                match self {
                    $( Self::$kind => KindFacts {
                        code: $code, status: StatusCode::$status, title: $title, meaning: $meaning,
                    }, )+
                }
            }
        }
    };
}

problem_kinds! {
    MalformedJson = "malformed-json", BAD_REQUEST, "The body is no JSON",
        "The text of the body cannot be read as JSON. The detail names line and column.";
    MalformedPaper = "malformed-paper", BAD_REQUEST, "The paper cannot be read",
        "The text is no UBL 2.1 document or CSV file of a paper that is taken in. `errors` names each place, as the path of the \
         element or as row and column, and says what would be right. Nothing of it was taken in.";
    InvalidQuery = "invalid-query", BAD_REQUEST, "The query of the address is wrong",
        "A parameter behind the `?` is unknown, given twice, missing or out of range. The detail names it.";
    InvalidHeader = "invalid-header", BAD_REQUEST, "A header is wrong",
        "A header field of the request cannot be read. The detail names it and says what would be right.";
    IdempotencyKeyMissing = "idempotency-key-missing", BAD_REQUEST, "An Idempotency-Key is needed",
        "What creates something needs the header `Idempotency-Key: \"...\"` with a text of your own, a UUID say, so that \
         a repeated request creates it once. Send the same request with such a header.";
    InvalidCode = "invalid-code", BAD_REQUEST, "That can be no code",
        "A unit code, part number or other code in the address holds characters that no code has.";
    KeyMissing = "key-missing", UNAUTHORIZED, "A key is needed",
        "Requests carry a key as the header `Authorization: Bearer KEY` (RFC 6750). The owner makes keys under /v1/keys, or \
         at the machine itself with `crownwheel keys create`.";
    KeyUnknown = "key-unknown", UNAUTHORIZED, "There is no such key",
        "No key like the one that was sent was ever made here. Look whether all of it was copied, and for which service it is.";
    KeyRevoked = "key-revoked", UNAUTHORIZED, "The key was revoked",
        "The owner has revoked the key that was sent. Ask for another one.";
    KeyExpired = "key-expired", UNAUTHORIZED, "The key has expired",
        "The time of the key that was sent is over. Ask the owner for another one.";
    RoleNotAllowed = "role-not-allowed", FORBIDDEN, "The role of the key may not do this",
        "Each key has a role, and each operation its roles; the reference at /reference/ names them. Use another key, or ask \
         somebody who may.";
    NotFound = "not-found", NOT_FOUND, "There is nothing at this address",
        "No resource has this path. The reference at /reference/ lists them all.";
    UnitNotFound = "unit-not-found", NOT_FOUND, "There is no such unit",
        "No unit has this code. Codes are matched without spaces, dashes, dots and case; the closest codes are listed.";
    VehicleNotFound = "vehicle-not-found", NOT_FOUND, "There is no such vehicle",
        "No vehicle has this code. The closest codes are listed.";
    PartNotFound = "part-not-found", NOT_FOUND, "There is no such part",
        "No part has this number. Write MAKER/NUMBER (in an address MAKER%2FNUMBER) or the number alone; spaces, dashes, \
         dots and case do not matter. The closest numbers are listed.";
    QuoteNotFound = "quote-not-found", NOT_FOUND, "There is no such quote",
        "No quote has this number.";
    JobNotFound = "job-not-found", NOT_FOUND, "There is no such job",
        "No job has this number.";
    ReservationNotFound = "reservation-not-found", NOT_FOUND, "There is no such reservation",
        "No reservation has this number.";
    OrderNotFound = "order-not-found", NOT_FOUND, "There is no such order",
        "No order has this number.";
    ReceiptNotFound = "receipt-not-found", NOT_FOUND, "There is no such receipt",
        "No receipt has this number.";
    ReceivedPaperNotFound = "received-paper-not-found", NOT_FOUND, "There is no such received paper",
        "No paper was taken in under this number.";
    ClaimNotFound = "claim-not-found", NOT_FOUND, "There is no such claim",
        "No claim has this number.";
    SupplierNotFound = "supplier-not-found", NOT_FOUND, "There is no such supplier",
        "No supplier has this code. The codes are listed.";
    ImportNotFound = "import-not-found", NOT_FOUND, "There is no such import",
        "No import has this id.";
    SheetNotFound = "sheet-not-found", NOT_FOUND, "There is no such sheet",
        "The bundle has no sheet of this name. The closest names are listed.";
    SettingNotFound = "setting-not-found", NOT_FOUND, "There is no such setting",
        "The shop has no setting of this name. The names are listed.";
    FeatureNotFound = "feature-not-found", NOT_FOUND, "The part has no such face",
        "The part has no face of this name. The names are listed.";
    KeyNotFound = "key-not-found", NOT_FOUND, "There is no such key here",
        "No key has this number.";
    ProblemNotFound = "problem-not-found", NOT_FOUND, "There is no such problem",
        "No kind of problem has this code. /problems/ lists them all.";
    WebhookNotFound = "webhook-not-found", NOT_FOUND, "There is no such webhook",
        "No webhook has this id. /v1/webhooks lists them all.";
    MethodNotAllowed = "method-not-allowed", METHOD_NOT_ALLOWED, "This cannot be done with this resource",
        "The resource does not know this method. The header `Allow` lists those it knows.";
    NotAcceptable = "not-acceptable", NOT_ACCEPTABLE, "Nothing that you accept is made here",
        "The header `Accept` leaves out the media type in which this resource is sent. The detail names that type.";
    RequestTimeout = "request-timeout", REQUEST_TIMEOUT, "The request took too long to arrive",
        "The body did not arrive in time. Send it again.";
    PartNumberOfSeveral = "part-number-of-several-makers", CONFLICT, "Several makers use this number",
        "The number alone does not say which part is meant. Write MAKER/NUMBER; the parts are listed.";
    IdempotencyKeyRunning = "idempotency-key-running", CONFLICT, "A request with this key is still running",
        "Another request with the same Idempotency-Key has not been answered yet. Try again in a moment.";
    StepNotAllowed = "step-not-allowed", CONFLICT, "The job cannot take this step from where it is",
        "A job goes from enquiry through inspection, decision, approval and build to its final inspection and its close. The \
         detail names where it is and the steps that it can take.";
    NotReady = "not-ready", CONFLICT, "Something must be done with the job first",
        "The step builds on something that is not there yet, or not done. The detail names it.";
    NotAvailable = "not-available", CONFLICT, "Not enough is free on the shelf",
        "More pieces are wanted than lie in the bins and are not reserved for other jobs. `shortage` has the figures. \
         Nothing of the request was booked.";
    ReservationEnded = "reservation-ended", CONFLICT, "The reservation has ended",
        "Its pieces were issued, given back, or its time was over.";
    WrongState = "wrong-state", CONFLICT, "This cannot be done in the state that the paper is in",
        "The paper is past that step, or not yet there. The detail names its state and the states in which it is possible.";
    ReceiptReversed = "receipt-reversed", CONFLICT, "The receipt cannot be taken back again",
        "It was taken back already, or it takes another receipt back itself. Count the box again in a new receipt.";
    ClaimDecided = "claim-decided", CONFLICT, "The supplier has answered the claim of the receipt",
        "A receipt whose claim is decided stays. Settle the claim, and book what differs as movements of the stock.";
    AlreadyOrdered = "already-ordered", CONFLICT, "The quote is ordered for already",
        "Orders that are not cancelled have lines for this quote. Cancel them first, or send `again` as true to order twice.";
    KeyNameTaken = "key-name-taken", CONFLICT, "Another key has this name",
        "Papers name the key with which they were made, so no two keys that are not revoked share a name. Revoke the other \
         one, or take another name.";
    LastOwnerKey = "last-owner-key", CONFLICT, "This is the last owner's key",
        "Without an owner's key nobody could make keys any more. Make another owner's key first.";
    PaperNumberTaken = "paper-number-taken", CONFLICT, "Another paper of this number was taken in",
        "Its sender sent a paper of the same kind and number with another content. A changed paper needs a number of its own.";
    MissingSetting = "missing-setting", CONFLICT, "The shop's settings or rates lack something",
        "An answer needs a setting, tax rate or exchange rate that the shop has not stored. The detail names it.";
    CatalogueFault = "catalogue-fault", CONFLICT, "The catalogue contradicts itself here",
        "The catalogue's own data make an answer impossible, such as a cycle of notices. /v1/catalogue-findings lists \
         such faults for the data keeper.";
    PreconditionFailed = "precondition-failed", PRECONDITION_FAILED, "It was changed in the meantime",
        "The state that `If-Match` names is no longer the current one. Read the resource again, decide, and send the \
         change with the new ETag.";
    BodyTooLarge = "body-too-large", PAYLOAD_TOO_LARGE, "The body is too large",
        "The body has more bytes than this resource takes. The detail names the limit.";
    UnsupportedMediaType = "unsupported-media-type", UNSUPPORTED_MEDIA_TYPE, "The body is of another type",
        "The header `Content-Type` must name the media type that this resource reads. The detail names it.";
    WrongPaper = "wrong-paper", UNPROCESSABLE_ENTITY, "The paper says something that cannot be",
        "The paper can be read, and names an order, line, part or quantity that is not there. `errors` names each place. \
         Nothing of it was taken in.";
    InvalidBody = "invalid-body", UNPROCESSABLE_ENTITY, "The body does not say what is needed",
        "The body is JSON, but a field is unknown, missing, or of another type. `errors` points at it.";
    UnknownReference = "unknown-reference", UNPROCESSABLE_ENTITY, "The request names something unknown",
        "A unit, operation, position, variant, part or other name in the body is not in the catalogue, or not at that \
         place. `errors` points at it and lists what may have been meant.";
    Contradiction = "contradiction", UNPROCESSABLE_ENTITY, "The request contradicts itself",
        "Two things that the request says of a unit cannot both be true, such as a serial number and a build date.";
    ImpossibleChoice = "impossible-choice", UNPROCESSABLE_ENTITY, "What was asked for cannot be fitted",
        "The choice cannot be fitted whatever else changes. The detail names a smallest set of things that cannot hold \
         together.";
    TooManyUnknowns = "too-many-unknowns", UNPROCESSABLE_ENTITY, "Too much is unknown to answer at once",
        "More outcomes are open than are answered together. The detail names the unknowns that matter: settle some.";
    BadValue = "bad-value", UNPROCESSABLE_ENTITY, "A value is out of range",
        "A value in the body is malformed or out of range. `errors` points at it.";
    IdempotencyKeyReused = "idempotency-key-reused", UNPROCESSABLE_ENTITY, "This key was used for another request",
        "The Idempotency-Key was used before with another body. Take a new key for a new request.";
    PreconditionRequired = "precondition-required", PRECONDITION_REQUIRED, "Say which state you are changing",
        "A change needs the header `If-Match` with the ETag of the state it was decided on. Read the resource, and send \
         the change again with its ETag (or `If-Match: *` to overwrite whatever is there).";
    TooManyRequests = "too-many-requests", TOO_MANY_REQUESTS, "The key has sent too many requests",
        "Each key may send so many requests at once and again within a minute; the header `RateLimit` says where it stands. \
         Try again after the seconds in `Retry-After`.";
    Internal = "internal", INTERNAL_SERVER_ERROR, "The service failed",
        "Something went wrong inside. It is logged under the trace id of this answer.";
    Busy = "busy", SERVICE_UNAVAILABLE, "The service is busy",
        "More is asked at once than can be answered in time. Try again after the seconds in `Retry-After`.";
    DatabaseUnavailable = "database-unavailable", SERVICE_UNAVAILABLE, "The database cannot be reached",
        "The database does not answer. Try again after the seconds in `Retry-After`.";
}

impl ProblemKind {
    /// The kind of a code.
    pub(crate) fn of_code(code: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|kind| kind.facts().code == code)
    }

    /// The problem's `type`: a path that stays the same, with a page behind it.
    pub(crate) fn type_path(self) -> String {
        format!("/problems/{}", self.facts().code)
    }

    /// The kind that stands for a status which a library below chose.
    pub(crate) fn of_status(status: StatusCode) -> Self {
        match status {
            StatusCode::UNAUTHORIZED => Self::KeyMissing,
            StatusCode::FORBIDDEN => Self::RoleNotAllowed,
            StatusCode::NOT_FOUND => Self::NotFound,
            StatusCode::METHOD_NOT_ALLOWED => Self::MethodNotAllowed,
            StatusCode::NOT_ACCEPTABLE => Self::NotAcceptable,
            StatusCode::REQUEST_TIMEOUT => Self::RequestTimeout,
            StatusCode::PAYLOAD_TOO_LARGE => Self::BodyTooLarge,
            StatusCode::UNSUPPORTED_MEDIA_TYPE => Self::UnsupportedMediaType,
            StatusCode::SERVICE_UNAVAILABLE => Self::Busy,
            status if status.is_client_error() => Self::InvalidHeader,
            _ => Self::Internal,
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;

    #[test]
    fn every_kind_has_its_own_code_and_title() {
        let codes: BTreeSet<_> = ProblemKind::ALL.iter().map(|kind| kind.facts().code).collect();
        let titles: BTreeSet<_> = ProblemKind::ALL.iter().map(|kind| kind.facts().title).collect();
        assert_eq!((codes.len(), titles.len()), (ProblemKind::ALL.len(), ProblemKind::ALL.len()));
    }

    #[test]
    fn a_code_leads_back_to_its_kind() {
        for kind in ProblemKind::ALL {
            assert_eq!(ProblemKind::of_code(kind.facts().code), Some(*kind));
            assert!(kind.facts().status.as_u16() >= 400, "{kind:?}");
        }
    }

    #[test]
    fn the_table_is_sorted_by_status() {
        assert!(ProblemKind::ALL.is_sorted_by_key(|kind| kind.facts().status.as_u16()));
    }
}
