//! Who may ask: a page that was opened by the address that the program told, and nobody else.

use std::sync::Arc;

use axum::extract::{Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};

/// Bytes of the token: nobody guesses 128 bits.
const TOKEN: usize = 16;

/// What a request must carry.
pub(super) struct Guard {
    port: u16,
    token: String,
}

impl Guard {
    /// Draws a token.
    ///
    /// # Errors
    /// When the system has no random numbers.
    pub(super) fn new(port: u16) -> Result<Self, getrandom::Error> {
        let mut token = [0; TOKEN];
        getrandom::fill(&mut token)?;
        Ok(Self { port, token: token.iter().map(|byte| format!("{byte:02x}")).collect() })
    }

    /// The address of the page.
    pub(super) fn address(&self) -> String {
        format!("http://127.0.0.1:{}{}/", self.port, self.path())
    }

    /// Under which everything lies.
    pub(super) fn path(&self) -> String {
        format!("/{}", self.token)
    }

    /// The host that a request for this page names: another one is a page of somebody else's that leads here (DNS
    /// rebinding).
    fn is_host(&self, host: Option<&HeaderValue>) -> bool {
        let hosts = [format!("127.0.0.1:{}", self.port), format!("localhost:{}", self.port)];
        host.is_some_and(|host| hosts.iter().any(|own| host == own.as_str()))
    }

    /// The page that a request comes from, where the browser says it.
    fn is_origin(&self, origin: Option<&HeaderValue>) -> bool {
        let origins = [format!("http://127.0.0.1:{}", self.port), format!("http://localhost:{}", self.port)];
        origin.is_none_or(|origin| origins.iter().any(|own| origin == own.as_str()))
    }
}

/// Lets through what may ask, and tells browsers to keep what they get to themselves.
pub(super) async fn check(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let headers = request.headers();
    if !guard.is_host(headers.get(header::HOST)) || !guard.is_origin(headers.get(header::ORIGIN)) {
        return (StatusCode::FORBIDDEN, "open the page by the address that dryside table told").into_response();
    }
    let mut response = next.run(request).await;
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (
            header::CONTENT_SECURITY_POLICY,
            "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; connect-src 'self'; \
             img-src 'self' data: blob:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
        ),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}
