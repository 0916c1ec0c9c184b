//! What the OpenAPI document says of requests that are sent again, of every operation that takes an `Idempotency-Key`.

use utoipa::openapi::content::ContentBuilder;
use utoipa::openapi::header::HeaderBuilder;
use utoipa::openapi::path::Operation;
use utoipa::openapi::{OpenApi, Ref, RefOr, ResponseBuilder};

/// Adds the answer that leads to what was made before.
pub(crate) fn describe_repeats(document: &mut OpenApi) {
    for item in document.paths.paths.values_mut() {
        let operations = [&mut item.get, &mut item.put, &mut item.post, &mut item.delete, &mut item.patch];
        operations.into_iter().flatten().filter(|operation| takes_key(operation)).for_each(describe);
    }
}

fn takes_key(operation: &Operation) -> bool {
    let mut parameters = operation.parameters.iter().flatten();
    parameters
        .any(|parameter| matches!(parameter, RefOr::T(described) if described.name == "Idempotency-Key"))
}

fn describe(operation: &mut Operation) {
    let content = ContentBuilder::new().schema(Some(Ref::from_schema_name("MadeBefore"))).build();
    let location = HeaderBuilder::new().description(Some("Path of what was made.")).build();
    let response = ResponseBuilder::new()
        .description(
            "The same request was done before, and the service broke down before it answered. It was not done again; \
             the header `Location` leads to what it made.",
        )
        .content("application/json", content)
        .header("Location", location)
        .build();
    operation.responses.responses.insert("303".to_owned(), response.into());
}
