//! The connection: one channel that many callers share, who is asking, and the first message that settles
//! versions.

use std::future::Future;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::{Arc, PoisonError, RwLock};
use std::time::{Duration, Instant};

use remise_proto::v1;
use remise_proto::v1::bench_desk_client::BenchDeskClient;
use remise_proto::v1::head_desk_client::HeadDeskClient;
use remise_proto::v1::journal_client::JournalClient;
use remise_proto::v1::strip_desk_client::StripDeskClient;
use tonic::metadata::{Ascii, MetadataKey, MetadataMap, MetadataValue};
use tonic::transport::{Channel, Endpoint};
use tonic::{Response, Status};

use crate::address::Address;
use crate::clock::{Clock, SystemClock};
use crate::decode;
use crate::error::LinkError;
use crate::history::Recorder;
use crate::retry::{Failed, Retry};
use crate::view::Welcome;

/// Version of the wire that this client speaks.
pub const CLIENT_WIRE: u32 = 1;

/// How a link behaves.
#[derive(Clone)]
pub struct Options {
    /// Deadline of every call but watches.
    pub deadline: Duration,
    /// How long to wait for a connection.
    pub connect_within: Duration,
    /// When to try again.
    pub retry: Retry,
    /// Spread of pauses, evenly over all values.
    pub jitter: fn() -> u16,
    /// The time.
    pub clock: Arc<dyn Clock>,
    /// Is told of every send.
    pub recorder: Option<Arc<dyn Recorder>>,
    /// Name and version of the program, for the server's log.
    pub program: String,
}

impl Default for Options {
    fn default() -> Self {
        Self {
            deadline: Duration::from_secs(10),
            connect_within: Duration::from_secs(3),
            retry: Retry::default(),
            jitter: || rand::random::<u16>(),
            clock: Arc::new(SystemClock),
            recorder: None,
            program: concat!("remise ", env!("CARGO_PKG_VERSION")).to_owned(),
        }
    }
}

/// A connection to the armoury's server. Cheap to clone; clones share the connection.
#[derive(Clone)]
pub struct Link {
    inner: Arc<Inner>,
}

struct Inner {
    channel: Channel,
    station: MetadataMap,
    options: Options,
    welcome: RwLock<Welcome>,
    epoch: AtomicU64,
}

/// How a call ended after its last try.
pub(crate) struct Tried<T> {
    pub result: Result<T, LinkError>,
    pub tries: u32,
}

impl Link {
    /// Connects, says hello and settles versions.
    ///
    /// # Errors
    /// [`LinkError::TooOld`] when the versions do not fit, and whatever else keeps the server from answering.
    pub async fn connect(address: Address) -> Result<Self, LinkError> {
        Self::connect_with(address, Options::default()).await
    }

    /// The same, with options.
    ///
    /// # Errors
    /// As [`Link::connect`].
    pub async fn connect_with(address: Address, options: Options) -> Result<Self, LinkError> {
        let channel = endpoint(&address, &options)?.connect_lazy();
        let station = metadata(&address)?;
        let inner = Inner {
            channel,
            station,
            options,
            welcome: RwLock::new(Welcome::default()),
            epoch: AtomicU64::new(0),
        };
        let link = Self { inner: Arc::new(inner) };
        link.hello().await?;
        Ok(link)
    }

    /// Says hello once more: after an outage, another server may have taken over.
    ///
    /// # Errors
    /// As [`Link::connect`].
    pub async fn hello(&self) -> Result<Welcome, LinkError> {
        let hello = v1::HelloRequest {
            client_version: self.inner.options.program.clone(),
            wire: CLIENT_WIRE,
            epoch: self.epoch(),
        };
        let call = || {
            let request = self.request(hello.clone());
            let mut journal = self.journal();
            async move { journal.hello(request).await }
        };
        let welcome = decode::welcome(&self.tried(call).await.result?)?;
        if welcome.wire < CLIENT_WIRE {
            return Err(LinkError::TooOld {
                message: format!("the server speaks wire {}, this client {CLIENT_WIRE}", welcome.wire),
                hint: "Update the server, or use the client that came with it.".into(),
            });
        }
        self.inner.epoch.fetch_max(welcome.epoch, Ordering::AcqRel);
        *self.inner.welcome.write().unwrap_or_else(PoisonError::into_inner) = welcome.clone();
        Ok(welcome)
    }

    /// What the server said to the newest hello: the tournament, its time zone, who this station is.
    pub fn welcome(&self) -> Welcome {
        self.inner.welcome.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    /// Highest epoch of a journal that this link has seen.
    pub fn epoch(&self) -> u64 {
        self.inner.epoch.load(Ordering::Acquire)
    }

    pub(crate) fn saw_epoch(&self, epoch: u64) {
        self.inner.epoch.fetch_max(epoch, Ordering::AcqRel);
    }

    /// How it behaves.
    pub fn options(&self) -> &Options {
        &self.inner.options
    }

    pub(crate) fn strip_desk(&self) -> StripDeskClient<Channel> {
        StripDeskClient::new(self.inner.channel.clone())
    }

    pub(crate) fn bench_desk(&self) -> BenchDeskClient<Channel> {
        BenchDeskClient::new(self.inner.channel.clone())
    }

    pub(crate) fn head_desk(&self) -> HeadDeskClient<Channel> {
        HeadDeskClient::new(self.inner.channel.clone())
    }

    pub(crate) fn journal(&self) -> JournalClient<Channel> {
        JournalClient::new(self.inner.channel.clone())
    }

    /// A request with its station and the usual deadline.
    pub(crate) fn request<T>(&self, message: T) -> tonic::Request<T> {
        self.request_within(message, self.inner.options.deadline)
    }

    /// A request with its station and a deadline of its own.
    pub(crate) fn request_within<T>(&self, message: T, deadline: Duration) -> tonic::Request<T> {
        let mut request = self.endless(message);
        request.set_timeout(deadline);
        request
    }

    /// A request without a deadline, for watches.
    pub(crate) fn endless<T>(&self, message: T) -> tonic::Request<T> {
        let mut request = tonic::Request::new(message);
        *request.metadata_mut() = self.inner.station.clone();
        request
    }

    /// Calls until there is an answer that another try would not change, or the policy gives up.
    pub(crate) async fn tried<T, F, Fut>(&self, call: F) -> Tried<T>
    where
        F: Fn() -> Fut,
        Fut: Future<Output = Result<Response<T>, Status>>,
    {
        let began = Instant::now();
        let mut unsure = false;
        let mut tries = 0;
        loop {
            tries += 1;
            let error = match call().await {
                Ok(reply) => return Tried { result: Ok(reply.into_inner()), tries },
                Err(status) => LinkError::from_status(&status),
            };
            unsure |= error.is_unsure();
            let jitter = (self.inner.options.jitter)();
            let failed = Failed { tries, elapsed: began.elapsed(), jitter, asked: error.retry_after() };
            let pause = self.inner.options.retry.next(&failed).filter(|_| error.may_retry());
            let Some(pause) = pause else { return Tried { result: Err(last_word(error, unsure)), tries } };
            tracing::debug!(%error, tries, ?pause, "trying again");
            tokio::time::sleep(pause).await;
        }
    }
}

impl std::fmt::Debug for Link {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Link").field("welcome", &self.welcome()).finish_non_exhaustive()
    }
}

/// After a try of which nobody knows whether it was recorded, a later "too busy" does not make that known.
fn last_word(error: LinkError, unsure: bool) -> LinkError {
    let settles = !error.may_retry() && !matches!(error, LinkError::NotAllowed { .. });
    if unsure && !settles && !error.is_unsure() {
        return LinkError::Expired { why: error.to_string() };
    }
    error
}

fn endpoint(address: &Address, options: &Options) -> Result<Endpoint, LinkError> {
    let endpoint = Endpoint::from_shared(address.uri.clone())
        .map_err(|error| LinkError::bad_address(format!("this is no address: {error}")))?;
    Ok(endpoint
        .tcp_nodelay(true)
        .connect_timeout(options.connect_within)
        .http2_keep_alive_interval(Duration::from_secs(10))
        .keep_alive_timeout(Duration::from_secs(5))
        .keep_alive_while_idle(true))
}

fn metadata(address: &Address) -> Result<MetadataMap, LinkError> {
    let mut map = MetadataMap::new();
    let mut put = |key: &'static str, text: String| -> Result<(), LinkError> {
        let mut value = MetadataValue::<Ascii>::try_from(text)
            .map_err(|_| LinkError::bad_address("the station's name must be plain letters and digits"))?;
        value.set_sensitive(key == "authorization");
        map.insert(MetadataKey::from_static(key), value);
        Ok(())
    };
    if let Some(token) = &address.token {
        put("authorization", format!("Bearer {}", token.secret()))?;
    }
    if let Some(open) = &address.open {
        put("x-remise-role", open.role.code().to_owned())?;
        put("x-remise-station", open.name.clone())?;
        if let Some(strip) = open.strip {
            put("x-remise-strip", strip.to_string())?;
        }
        if let Some(bench) = open.bench {
            put("x-remise-bench", bench.to_string())?;
        }
    }
    Ok(map)
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_core::ids::StripId;

    use super::*;
    use crate::address::{OpenStation, Role, Token};

    #[test]
    fn who_is_asking_goes_into_the_metadata() {
        let mut address = Address::parse("hall").unwrap();
        address.token = Some(Token::new("abc").unwrap());
        address.open = Some(OpenStation {
            role: Role::Strip,
            name: "blue".into(),
            strip: Some(StripId(3)),
            bench: None,
        });
        let map = metadata(&address).unwrap();
        let get = |key| map.get(key).map(|value| value.to_str().unwrap());
        assert_eq!(get("authorization"), Some("Bearer abc"));
        assert_eq!(get("x-remise-role"), Some("strip"));
        assert_eq!(get("x-remise-station"), Some("blue"));
        assert_eq!(get("x-remise-strip"), Some("3"));
        assert_eq!(get("x-remise-bench"), None);
        assert!(map.get("authorization").unwrap().is_sensitive());
    }

    #[test]
    fn a_name_that_no_header_can_carry_is_refused() {
        let mut address = Address::parse("hall").unwrap();
        address.open = Some(OpenStation { role: Role::Head, name: "a\nb".into(), strip: None, bench: None });
        assert!(matches!(metadata(&address), Err(LinkError::BadAddress { .. })));
    }

    #[test]
    fn busy_after_unsure_stays_unsure_and_a_refusal_settles() {
        let busy = LinkError::Overloaded { message: "m".into(), retry_after: None };
        assert!(matches!(last_word(busy.clone(), true), LinkError::Expired { .. }));
        assert_eq!(last_word(busy.clone(), false), busy);
        let refused = LinkError::Refused { reason: "R".into(), message: "m".into(), hint: String::new() };
        assert_eq!(last_word(refused.clone(), true), refused);
    }

    #[tokio::test]
    async fn a_server_that_is_not_there_is_away() {
        // Port 1 of this machine: nothing listens there in a test's surroundings.
        let address = Address::parse("127.0.0.1:1").unwrap();
        let options = Options { retry: Retry::once(), ..Options::default() };
        let error = Link::connect_with(address, options).await.unwrap_err();
        assert!(matches!(error, LinkError::Away { told: false, .. }), "{error:?}");
    }
}
