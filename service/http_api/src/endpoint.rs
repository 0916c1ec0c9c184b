//! One path with its methods: HEAD beside GET, 405 with `Allow`, 406 before anything is done.

use actix_web::body::MessageBody;
use actix_web::dev::{AppService, HttpServiceFactory, ServiceRequest, ServiceResponse};
use actix_web::http::{Method, header};
use actix_web::middleware::{Next, from_fn};
use actix_web::{FromRequest, Handler, HttpRequest, Resource, Responder, web};

use crate::problem::Problem;
use crate::problem_kind::ProblemKind;

/// A path being put together.
pub(crate) struct Endpoint {
    resource: Resource,
    produces: Vec<&'static str>,
    allow: Vec<&'static str>,
}

impl Endpoint {
    /// A path whose answers are JSON.
    pub(crate) fn new(path: &str) -> Self {
        Self::producing("application/json", path)
    }

    /// A path whose answers are of another media type.
    pub(crate) fn producing(produces: &'static str, path: &str) -> Self {
        Self::producing_any(&[produces], path)
    }

    /// A path whose answers are of the media type that a client prefers.
    pub(crate) fn producing_any(produces: &[&'static str], path: &str) -> Self {
        Self { resource: web::resource(path), produces: produces.to_vec(), allow: Vec::new() }
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

    /// Answers DELETE.
    pub(crate) fn delete<F, Args>(self, handler: F) -> Self
    where
        F: Handler<Args>,
        Args: FromRequest + 'static,
        F::Output: Responder + 'static,
    {
        self.method("DELETE", Method::DELETE, handler)
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
                problem.more_headers = vec![("allow", allow)];
                Err::<actix_web::HttpResponse, Problem>(problem)
            }
        };
        let produces = self.produces;
        self.resource
            .default_service(web::route().to(refuse))
            .wrap(from_fn(move |request, next| accept(produces.clone(), request, next)))
            .register(config);
    }
}

async fn accept<B: MessageBody + 'static>(
    produces: Vec<&'static str>,
    request: ServiceRequest,
    next: Next<B>,
) -> Result<ServiceResponse<B>, actix_web::Error> {
    let header = accept_header(request.headers());
    if produces.iter().any(|media_type| quality(&header, media_type) > 0.0) {
        next.call(request).await
    } else {
        let sent: Vec<String> = produces.iter().map(|media_type| format!("`{media_type}`")).collect();
        let detail =
            format!("this resource is sent as {}, which the header Accept leaves out", sent.join(" or "));
        Err(Problem::new(ProblemKind::NotAcceptable, detail).into())
    }
}

fn accept_header(headers: &header::HeaderMap) -> String {
    let accepted: Vec<&str> =
        headers.get_all(header::ACCEPT).filter_map(|value| value.to_str().ok()).collect();
    accepted.join(",")
}

/// The media type that a client likes best, of equally liked ones the first.
pub(crate) fn preferred(request: &HttpRequest, produces: &[&'static str]) -> &'static str {
    let header = accept_header(request.headers());
    let mut best: Option<(f32, &'static str)> = None;
    for media_type in produces {
        let liked = quality(&header, media_type);
        if best.is_none_or(|(most, _)| liked > most) {
            best = Some((liked, media_type));
        }
    }
    best.map_or("application/json", |(_, media_type)| media_type)
}

/// How much an `Accept` header likes a media type, from 0 (not let through) to 1 (RFC 9110, 12.5.1): the most specific range
/// decides.
fn quality(header: &str, produces: &str) -> f32 {
    if header.trim().is_empty() {
        return 1.0;
    }
    let (main, _) = produces.split_once('/').unwrap_or((produces, ""));
    let mut decided: Option<(u8, f32)> = None;
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
        let said = pieces.find_map(|piece| piece.strip_prefix("q=").or(piece.strip_prefix("Q=")));
        let liked = said.map_or(1.0, |text| text.parse().unwrap_or(0.0));
        if decided.is_none_or(|(best, _)| specific > best) {
            decided = Some((specific, liked));
        }
    }
    decided.map_or(0.0, |(_, liked)| liked)
}

#[cfg(test)]
mod tests {
    use super::{preferred, quality};

    #[test]
    fn the_most_specific_range_decides() {
        let json = "application/json";
        for header in
            ["", "*/*", "application/json", "text/html, application/*;q=0.1", "APPLICATION/JSON; q=1"]
        {
            assert!(quality(header, json) > 0.0, "{header}");
        }
        for header in ["text/html", "application/xml", "*/*, application/json;q=0", "application/*;q=0, */*"]
        {
            assert!(quality(header, json) <= 0.0, "{header}");
        }
    }

    #[test]
    fn the_best_liked_type_is_sent_and_of_equals_the_first() {
        let types = &["application/json", "text/vnd.graphviz", "image/svg+xml"];
        for (header, best) in [
            ("*/*", types[0]),
            ("image/*", types[2]),
            ("application/json;q=0.5, image/svg+xml", types[2]),
            ("text/vnd.graphviz;q=0.9, image/svg+xml;q=0.8", types[1]),
        ] {
            let request =
                actix_web::test::TestRequest::get().insert_header(("accept", header)).to_http_request();
            assert_eq!(preferred(&request, types), best, "{header}");
        }
        let silent = actix_web::test::TestRequest::get().to_http_request();
        assert_eq!(preferred(&silent, types), types[0]);
    }
}
