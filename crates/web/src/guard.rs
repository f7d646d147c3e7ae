//! Who may ask, and what a page may load.
//!
//! - The server listens on loopback only; still, any page in the browser could send requests here.
//!   So the `Host` header must name loopback (a name that somebody points here is refused), and a
//!   request that comes with an `Origin` must come from this server's own page.
//! - Every answer carries a strict content security policy: nothing inline, nothing from elsewhere.
//! - One table from refusals to status codes: [`Denied::status`].

use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Nothing inline, nothing from elsewhere, no frames, no forms that leave.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob:; \
                      connect-src 'self'; font-src 'self'; base-uri 'none'; form-action 'none'; \
                      frame-ancestors 'none'";

/// Why a request is denied.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Denied {
    /// The `Host` header does not name this server.
    #[error("this server answers to localhost only; open the address that `groundwright open` prints")]
    Host,
    /// The request comes from another page.
    #[error("this request comes from another page; open the app itself")]
    Origin,
    /// There is nothing here.
    #[error("there is nothing at this address")]
    Nothing,
}

impl Denied {
    /// The status code.
    pub fn status(self) -> StatusCode {
        match self {
            Self::Host => StatusCode::MISDIRECTED_REQUEST,
            Self::Origin => StatusCode::FORBIDDEN,
            Self::Nothing => StatusCode::NOT_FOUND,
        }
    }
}

impl IntoResponse for Denied {
    fn into_response(self) -> Response {
        (self.status(), self.to_string()).into_response()
    }
}

/// Lets requests through that name this server and come from its own page.
pub async fn guard(State(port): State<u16>, request: Request, next: Next) -> Response {
    let mut response = match check(request.headers(), port) {
        Ok(()) => next.run(request).await,
        Err(denied) => denied.into_response(),
    };
    let headers = response.headers_mut();
    let mut set = |name, value| {
        headers.insert(name, HeaderValue::from_static(value));
    };
    set(header::CONTENT_SECURITY_POLICY, POLICY);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "no-referrer");
    set(header::X_FRAME_OPTIONS, "DENY");
    set(header::HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(header::HeaderName::from_static("cross-origin-resource-policy"), "same-origin");
    response
}

/// Checks `Host` and `Origin` of a request.
///
/// # Errors
/// The one that is wrong.
pub fn check(headers: &HeaderMap, port: u16) -> Result<(), Denied> {
    let text = |name| headers.get(name).map(|value: &HeaderValue| value.to_str().unwrap_or("?"));
    let host = text(header::HOST).ok_or(Denied::Host)?;
    if !is_own(host, port) {
        return Err(Denied::Host);
    }
    match text(header::ORIGIN) {
        None => Ok(()),
        Some(origin) if origin.strip_prefix("http://").is_some_and(|o| is_own(o, port)) => Ok(()),
        Some(_) => Err(Denied::Origin),
    }
}

fn is_own(host: &str, port: u16) -> bool {
    ["127.0.0.1", "localhost", "[::1]"].iter().any(|name| host == format!("{name}:{port}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn checked(host: Option<&'static str>, origin: Option<&'static str>) -> Result<(), Denied> {
        let mut headers = HeaderMap::new();
        host.map(|host| headers.insert(header::HOST, HeaderValue::from_static(host)));
        origin.map(|origin| headers.insert(header::ORIGIN, HeaderValue::from_static(origin)));
        check(&headers, 8080)
    }

    #[test]
    fn only_loopback_names_of_this_port_pass() {
        for host in ["127.0.0.1:8080", "localhost:8080", "[::1]:8080"] {
            assert_eq!(checked(Some(host), None), Ok(()), "{host}");
        }
        for host in ["127.0.0.1", "127.0.0.1:80", "yard.example:8080", "localhost.example:8080", ""] {
            assert_eq!(checked(Some(host), None), Err(Denied::Host), "{host}");
        }
        assert_eq!(checked(None, None), Err(Denied::Host));
    }

    #[test]
    fn only_the_own_page_may_ask() {
        let host = Some("127.0.0.1:8080");
        assert_eq!(checked(host, Some("http://127.0.0.1:8080")), Ok(()));
        for origin in ["null", "http://127.0.0.1:80", "https://127.0.0.1:8080", "http://evil.example"] {
            assert_eq!(checked(host, Some(origin)), Err(Denied::Origin), "{origin}");
        }
    }
}
