//! The door: every call passes here before a handler sees it. Looks at who is asking and whether that role may call
//! that RPC, gives the call its deadline and its tracing span. A handler cannot forget it, and an RPC that the role
//! table does not name is not served.

use std::convert::Infallible;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;

use remise_core::ids::{BenchId, StripId};
use remise_core::time::Span;
use tonic::body::Body;
use tonic::codegen::{BoxFuture, Service, http};
use tonic::server::NamedService;
use tonic::{Code, Status};
use tracing::Instrument as _;

use super::{REQUEST_MOST, errors};
use crate::clock::Clock;
use crate::stations::{Access, Role, Row, Station, row};

/// Time for a call whose client gives none.
const USUAL_LIMIT: Duration = Duration::from_secs(10);
/// Nobody waits longer than this for one answer.
const LONGEST_LIMIT: Duration = Duration::from_mins(1);

/// Who is asking, and for how long; handlers find it in the request's extensions.
#[derive(Clone, Debug)]
pub(super) struct Caller {
    pub station: Arc<Station>,
    /// When the caller stops waiting, on the monotonic clock.
    pub deadline: Span,
}

/// A service behind the door.
#[derive(Clone)]
pub(super) struct Guarded<S> {
    inner: S,
    access: Access,
    clock: Clock,
}

impl<S> Guarded<S> {
    pub fn new(inner: S, access: Access, clock: Clock) -> Self {
        Self { inner, access, clock }
    }
}

impl<S: NamedService> NamedService for Guarded<S> {
    const NAME: &'static str = S::NAME;
}

impl<S> Service<http::Request<Body>> for Guarded<S>
where
    S: Service<http::Request<Body>, Response = http::Response<Body>, Error = Infallible>,
    S::Future: Send + 'static,
{
    type Response = http::Response<Body>;
    type Error = Infallible;
    type Future = BoxFuture<Self::Response, Infallible>;

    fn poll_ready(&mut self, cx: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
        self.inner.poll_ready(cx)
    }

    fn call(&mut self, mut request: http::Request<Body>) -> Self::Future {
        let (row, station) = match admit(&self.access, &request) {
            Ok(admitted) => admitted,
            Err(status) => return Box::pin(std::future::ready(Ok(status.into_http()))),
        };
        let limit = limit(request.headers()).unwrap_or(USUAL_LIMIT).min(LONGEST_LIMIT);
        let micros = i64::try_from(limit.as_micros()).unwrap_or(i64::MAX);
        let deadline = Span(self.clock.monotonic.elapsed().0.saturating_add(micros));
        let span = tracing::debug_span!(
            "rpc",
            rpc = row.rpc,
            station = %station.name,
            request = tracing::field::Empty
        );
        request.extensions_mut().insert(Caller { station, deadline });
        // Started here, so that it runs out before the transport's own timer, whose status says less.
        let answer = tokio::time::timeout(limit, self.inner.call(request));
        let answer = async move {
            let answer = answer.await.unwrap_or_else(|_| Ok(errors::answer_late().into_http()))?;
            Ok(if is_too_long(&answer) { errors::too_long(REQUEST_MOST).into_http() } else { answer })
        };
        Box::pin(answer.instrument(span))
    }
}

/// Whether the transport refused the request for its length: it says so with a status that no handler of ours gives, and
/// without details.
fn is_too_long(answer: &http::Response<Body>) -> bool {
    let code = answer.headers().get("grpc-status");
    code.is_some_and(|code| Code::from_bytes(code.as_bytes()) == Code::OutOfRange)
}

/// The RPC and the station, when the station may call it.
fn admit(access: &Access, request: &http::Request<Body>) -> Result<(&'static Row, Arc<Station>), Status> {
    let path = request.uri().path();
    let rpc = path.strip_prefix("/remise.v1.").unwrap_or_default();
    let row = row(rpc).ok_or_else(|| Status::new(Code::Unimplemented, "there is no such RPC"))?;
    let station = identify(access, request.headers())?;
    if !row.admits(station.role) {
        return Err(errors::role_may_not(station.role, row.rpc));
    }
    Ok((row, Arc::new(station)))
}

fn identify(access: &Access, metadata: &http::HeaderMap) -> Result<Station, Status> {
    match access {
        Access::Open => named_by_itself(metadata),
        Access::Book(book) => {
            let bearer = metadata.get("authorization").and_then(|value| value.to_str().ok());
            let token = bearer
                .and_then(|value| value.split_once(' '))
                .filter(|(scheme, _)| scheme.eq_ignore_ascii_case("bearer"));
            token.and_then(|(_, token)| book.authenticate(token)).ok_or_else(errors::unknown_station)
        }
    }
}

/// On a server without stations everybody is who they say they are; the head, when they say nothing.
fn named_by_itself(metadata: &http::HeaderMap) -> Result<Station, Status> {
    let text = |key: &str| match metadata.get(key).map(|value| value.to_str()) {
        None => Ok(None),
        Some(Ok(text)) => Ok(Some(text)),
        Some(Err(_)) => Err(errors::bad_metadata(&format!("`{key}` is not plain text"))),
    };
    let number = |key: &str| match text(key)?.map(str::parse::<u16>) {
        None => Ok(None),
        Some(Ok(number)) => Ok(Some(number)),
        Some(Err(_)) => Err(errors::bad_metadata(&format!("`{key}` is not a number from 1 to 65535"))),
    };
    let role = match text("x-remise-role")? {
        None => Role::Head,
        Some(code) => Role::from_code(code).ok_or_else(|| {
            errors::bad_metadata("`x-remise-role` is none of strip, counter, bench, head, observer")
        })?,
    };
    let name = text("x-remise-station")?.unwrap_or_else(|| role.code());
    let strip = number("x-remise-strip")?.filter(|_| role == Role::Strip).map(StripId);
    let bench = number("x-remise-bench")?.filter(|_| role == Role::Bench).map(BenchId);
    Station::new(name, role, strip, bench).map_err(|why| errors::bad_metadata(&why.to_string()))
}

/// The client's own limit, as gRPC writes it: up to eight digits and a unit.
fn limit(headers: &http::HeaderMap) -> Option<Duration> {
    let text = headers.get("grpc-timeout")?.to_str().ok()?;
    let unit_at = text.len().checked_sub(1)?;
    let (digits, unit) = (text.get(..unit_at)?, text.get(unit_at..)?);
    if digits.is_empty() || digits.len() > 8 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    let value: u64 = digits.parse().ok()?;
    Some(match unit {
        "H" => Duration::from_secs(value * 3600),
        "M" => Duration::from_secs(value * 60),
        "S" => Duration::from_secs(value),
        "m" => Duration::from_millis(value),
        "u" => Duration::from_micros(value),
        "n" => Duration::from_nanos(value),
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    /// Held against the gRPC protocol over HTTP/2: `Timeout → TimeoutValue TimeoutUnit`, at most eight digits.
    #[test]
    fn timeouts_are_read_as_grpc_writes_them() {
        let read = |text: &str| {
            let mut headers = http::HeaderMap::new();
            headers.insert("grpc-timeout", text.parse().unwrap());
            limit(&headers)
        };
        assert_eq!(read("5S"), Some(Duration::from_secs(5)));
        assert_eq!(read("2H"), Some(Duration::from_hours(2)));
        assert_eq!(read("250m"), Some(Duration::from_millis(250)));
        assert_eq!(read("7u"), Some(Duration::from_micros(7)));
        for bad in ["", "S", "5", "-5S", "5x", "123456789S", "5é"] {
            assert_eq!(read(bad), None, "{bad}");
        }
    }

    /// A service that never answers.
    #[derive(Clone)]
    struct Silent;

    impl Service<http::Request<Body>> for Silent {
        type Response = http::Response<Body>;
        type Error = Infallible;
        type Future = std::future::Pending<Result<Self::Response, Infallible>>;

        fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
            Poll::Ready(Ok(()))
        }

        fn call(&mut self, _: http::Request<Body>) -> Self::Future {
            std::future::pending()
        }
    }

    async fn status_of(path: &str, limit: &str) -> String {
        let mut door = Guarded::new(Silent, Access::Open, Clock::of_the_machine());
        let request = http::Request::builder().uri(path).header("grpc-timeout", limit);
        let answer = door.call(request.body(Body::empty()).unwrap()).await.unwrap();
        answer.headers()["grpc-status"].to_str().unwrap().to_owned()
    }

    /// Held against the gRPC status codes: 4 for a deadline exceeded, 12 for unimplemented.
    #[tokio::test]
    async fn a_call_that_takes_too_long_is_ended_and_unknown_rpcs_are_not_served() {
        assert_eq!(status_of("/remise.v1.Journal/Head", "1m").await, "4");
        assert_eq!(status_of("/remise.v1.Journal/Tail", "1m").await, "12");
        assert_eq!(status_of("/remise.v2.Journal/Head", "1m").await, "12");
    }

    fn metadata(pairs: &[(&'static str, &str)]) -> http::HeaderMap {
        let mut metadata = http::HeaderMap::new();
        for (key, value) in pairs {
            metadata.insert(*key, value.parse().unwrap());
        }
        metadata
    }

    #[test]
    fn without_stations_callers_name_themselves() {
        let who = |pairs: &[(&'static str, &str)]| named_by_itself(&metadata(pairs));
        assert_eq!(who(&[]).unwrap().role, Role::Head);
        let strip = who(&[("x-remise-role", "strip"), ("x-remise-strip", "7")]).unwrap();
        assert_eq!((strip.role, strip.strip), (Role::Strip, Some(StripId(7))));
        assert_eq!(&*who(&[("x-remise-station", "tablet")]).unwrap().name, "tablet");
        for bad in [
            &[("x-remise-role", "king")][..],
            &[("x-remise-role", "strip")],
            &[("x-remise-role", "bench"), ("x-remise-bench", "70000")],
            &[("x-remise-role", "bench"), ("x-remise-bench", "0")],
            &[("x-remise-station", "")],
        ] {
            assert_eq!(who(bad).unwrap_err().code(), Code::Unauthenticated, "{bad:?}");
        }
    }
}
