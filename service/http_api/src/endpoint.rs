//! One path with its methods: HEAD beside GET, 405 with `Allow`, 406 before anything is done.

use actix_web::body::MessageBody;
use actix_web::dev::{AppService, HttpServiceFactory, ServiceRequest, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::middleware::{Next, from_fn};
use actix_web::{FromRequest, Handler, Resource, Responder, web};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// A path being put together.
pub(crate) struct Endpoint {
    resource: Resource,
    produces: &'static str,
    allow: Vec<&'static str>,
}

impl Endpoint {
    /// A path whose answers are JSON.
    pub(crate) fn new(path: &str) -> Self {
        Self::producing("application/json", path)
    }

    /// A path whose answers are of another media type.
    pub(crate) fn producing(produces: &'static str, path: &str) -> Self {
        Self { resource: web::resource(path), produces, allow: Vec::new() }
    }

    /// Answers GET and HEAD.
    pub(crate) fn get<F, Args>(self, handler: F) -> Self
    where
        F: Handler<Args>,
        Args: FromRequest + 'static,
        F::Output: Responder + 'static,
    {
        self.method("GET", Method::GET, handler.clone()).method("HEAD", Method::HEAD, handler)
    }

    /// Answers POST.
    pub(crate) fn post<F, Args>(self, handler: F) -> Self
    where
        F: Handler<Args>,
        Args: FromRequest + 'static,
        F::Output: Responder + 'static,
    {
        self.method("POST", Method::POST, handler)
    }

    /// Answers PUT.
    pub(crate) fn put<F, Args>(self, handler: F) -> Self
    where
        F: Handler<Args>,
        Args: FromRequest + 'static,
        F::Output: Responder + 'static,
    {
        self.method("PUT", Method::PUT, handler)
    }

    fn method<F, Args>(mut self, name: &'static str, method: Method, handler: F) -> Self
    where
        F: Handler<Args>,
        Args: FromRequest + 'static,
        F::Output: Responder + 'static,
    {
        self.allow.push(name);
        self.resource = self.resource.route(web::method(method).to(handler));
        self
    }
}

impl HttpServiceFactory for Endpoint {
    fn register(self, config: &mut AppService) {
        let allow = self.allow.join(", ");
        let refuse = move |request: actix_web::HttpRequest| {
            let allow = allow.clone();
            async move {
                let mut problem = Problem::new(
                    ProblemKind::MethodNotAllowed,
                    format!("{} is not known here; this resource knows {allow}", request.method()),
                );
                problem.allow = Some(allow);
                Err::<actix_web::HttpResponse, Problem>(problem)
            }
        };
        let produces = self.produces;
        self.resource
            .default_service(web::route().to(refuse))
            .wrap(from_fn(move |request, next| accept(produces, request, next)))
            .register(config);
    }
}

async fn accept<B: MessageBody + 'static>(
    produces: &'static str,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, actix_web::Error> {
    let accepted: Vec<&str> =
        request.headers().get_all(header::ACCEPT).filter_map(|value| value.to_str().ok()).collect();
    if accepts(&accepted.join(","), produces) {
        next.call(request).await
    } else {
        let detail = format!("this resource is sent as `{produces}`, which the header Accept leaves out");
        Err(Problem::new(ProblemKind::NotAcceptable, detail).into())
    }
}

/// Whether an `Accept` header lets a media type through (RFC 9110, 12.5.1): the most specific range decides.
fn accepts(header: &str, produces: &str) -> bool {
    if header.trim().is_empty() {
        return true;
    }
    let (main, _) = produces.split_once('/').unwrap_or((produces, ""));
    let mut decided: Option<(u8, bool)> = None;
    for range in header.split(',') {
        let mut pieces = range.split(';').map(str::trim);
        let name = pieces.next().unwrap_or("").to_ascii_lowercase();
        let specific = if name == produces {
            2
        } else if name == format!("{main}/*") {
            1
        } else if name == "*/*" {
            0
        } else {
            continue;
        };
        let quality = pieces.find_map(|piece| piece.strip_prefix("q=").or(piece.strip_prefix("Q=")));
        let wanted = quality.is_none_or(|text| text.parse::<f32>().is_ok_and(|quality| quality > 0.0));
        if decided.is_none_or(|(best, _)| specific > best) {
            decided = Some((specific, wanted));
        }
    }
    decided.is_some_and(|(_, wanted)| wanted)
}

#[cfg(test)]
mod tests {
    use super::accepts;

    #[test]
    fn the_most_specific_range_decides() {
        let json = "application/json";
        for header in
            ["", "*/*", "application/json", "text/html, application/*;q=0.1", "APPLICATION/JSON; q=1"]
        {
            assert!(accepts(header, json), "{header}");
        }
        for header in ["text/html", "application/xml", "*/*, application/json;q=0", "application/*;q=0, */*"]
        {
            assert!(!accepts(header, json), "{header}");
        }
    }
}
