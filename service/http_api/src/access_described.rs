//! What the OpenAPI document says of keys and roles, from the role table.

use utoipa::openapi::path::Operation;
use utoipa::openapi::security::{HttpAuthScheme, HttpBuilder, SecurityRequirement, SecurityScheme};
use utoipa::openapi::{OpenApi, RefOr};

use crate::problem_kind::ProblemKind;
use crate::problem_responses::{line_of, responses_of_kinds};
use crate::role_table::Access;

/// Name of the scheme in the document.
const SCHEME: &str = "key";

/// What a request with a wrong key, a wrong role or too many before it is answered with.
const REFUSALS: &[ProblemKind] = &[
    ProblemKind::InvalidHeader,
    ProblemKind::KeyMissing,
    ProblemKind::KeyUnknown,
    ProblemKind::KeyRevoked,
    ProblemKind::KeyExpired,
    ProblemKind::RoleNotAllowed,
    ProblemKind::TooManyRequests,
];

/// Adds the scheme, and to every operation who may do it and how others are refused.
pub(crate) fn describe_access(document: &mut OpenApi) {
    let scheme = HttpBuilder::new().scheme(HttpAuthScheme::Bearer).description(Some(
        "A key of the shop, as `Authorization: Bearer cw_...` (RFC 6750). The owner makes and revokes keys under \
         `/v1/keys`; each has a role.",
    ));
    let components = document.components.get_or_insert_default();
    components.security_schemes.insert(SCHEME.to_owned(), SecurityScheme::Http(scheme.build()).into());
    for item in document.paths.paths.values_mut() {
        let operations = [&mut item.get, &mut item.put, &mut item.post, &mut item.delete, &mut item.patch];
        for operation in operations.into_iter().flatten() {
            let id = operation.operation_id.as_deref().unwrap_or_default();
            if let Some(access) = Access::of(id) {
                describe(operation, access);
            }
        }
    }
}

fn describe(operation: &mut Operation, access: Access) {
    let sentence = access.in_words();
    operation.description = Some(match operation.description.take() {
        Some(text) if !text.trim().is_empty() => format!("{}\n\n{sentence}", text.trim_end()),
        _ => sentence,
    });
    let with_key = SecurityRequirement::new::<_, [&str; 0], &str>(SCHEME, []);
    operation.security = Some(match access {
        Access::Open => Vec::new(),
        // Either with nothing or with a key.
        Access::Local => vec![SecurityRequirement::default(), with_key],
        Access::Roles(_) => vec![with_key],
    });
    if access == Access::Open {
        return;
    }
    for (status, response) in responses_of_kinds(REFUSALS) {
        match operation.responses.responses.get_mut(&status) {
            Some(RefOr::T(described)) => add_lines(&mut described.description, &status),
            Some(RefOr::Ref(_)) => {}
            None => {
                operation.responses.responses.insert(status, response);
            }
        }
    }
}

/// Adds the refusals of a status to the problems that an operation has with it already.
fn add_lines(description: &mut String, status: &str) {
    for kind in REFUSALS.iter().filter(|kind| kind.facts().status.as_str() == status) {
        let line = line_of(*kind);
        if !description.contains(&line) {
            *description = format!("{description} {line}");
        }
    }
}
