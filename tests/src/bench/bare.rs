//! The yardstick: a bare server. It takes the same messages over the same transport, passes them through the same kind
//! of channel to one writer thread, which writes the same rows with the same bytes under the same request number, one
//! transaction for all that waits, and answers after the commit. It decides nothing, checks nothing, publishes
//! nothing, plans nothing and hashes nothing: it is what any server of this kind must do at the least.

use std::collections::BTreeMap;
use std::convert::Infallible;
use std::future::Future;
use std::path::Path;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};

use anyhow::Result;
use remise_proto::v1;
use tokio::sync::{mpsc, oneshot};
use tonic::body::Body;
use tonic::server::{Grpc, NamedService, UnaryService};
use tonic::transport::server::TcpIncoming;
use tonic::{Request, Response, Status};
use tonic_prost::ProstCodec;
use tower_service::Service;

use super::child::{Child, Hello};
use super::sample::{KINDS, Sample, Samples};
use writer::Wish;

mod writer;

/// Requests that may wait at once; as many as the real desk's queue holds.
const QUEUE: usize = 2_048;
/// Worker threads of the runtime, for both servers.
pub const WORKERS: usize = 2;

/// First argument of a process that is to be this server.
pub const SERVE: &str = "serve-bare";

/// Starts it as a process of its own.
///
/// # Errors
/// It does not start.
pub fn start(samples: &Path, jobs: usize) -> Result<Child> {
    Child::start(SERVE, &[&samples.display().to_string(), &jobs.to_string()])
}

/// Serves until the process is ended. `samples` is the file that says which rows each command writes; the open jobs are
/// only numbers here.
///
/// # Errors
/// The folder cannot be written or the address not be bound.
pub fn serve(folder: &Path, samples: &Path, jobs: u64) -> Result<()> {
    let samples: Samples = serde_json::from_slice(&std::fs::read(samples)?)?;
    let (queue, waiting) = mpsc::channel(QUEUE);
    writer::start(folder, waiting)?;
    let samples = samples.into_iter().map(|(kind, sample)| (kind, Arc::new(sample))).collect();
    let bare = Bare { queue, samples: Arc::new(samples) };
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(WORKERS).enable_all().build()?;
    runtime.block_on(async {
        let incoming = TcpIncoming::bind(([127, 0, 0, 1], 0).into())?.with_nodelay(Some(true));
        Hello { address: incoming.local_addr()?, jobs: (1..=jobs).collect() }.say()?;
        let server = tonic::transport::Server::builder()
            .add_service(Strips(bare.clone()))
            .add_service(Benches(bare))
            .serve_with_incoming(incoming);
        Ok(server.await?)
    })
}

#[derive(Clone)]
struct Bare {
    queue: mpsc::Sender<Wish>,
    samples: Arc<BTreeMap<String, Arc<Sample>>>,
}

impl Bare {
    /// Hands the rows of a command to the writer and waits until they are on disk.
    async fn write(self, kind: &str, meta: Option<v1::Meta>, job: Option<v1::JobRef>) -> Reply {
        let sample = self.samples.get(kind).cloned().unwrap_or_default();
        let request_id = meta.map(|meta| meta.request_id).unwrap_or_default();
        let job = match job.and_then(|job| job.by) {
            Some(v1::job_ref::By::Job(number)) => Some(number),
            _ => None,
        };
        let (answer, answered) = oneshot::channel();
        let wish = Wish { request_id, job, sample, answer };
        self.queue.try_send(wish).map_err(|_| Status::resource_exhausted("the queue is full"))?;
        let written = answered.await.map_err(|_| Status::unavailable("the writer failed"))?;
        Ok(Response::new(written))
    }
}

type Reply = Result<Response<v1::Accepted>, Status>;
type Later<T> = Pin<Box<dyn Future<Output = T> + Send>>;

/// One message type of a command: the kind of its rows and its parts.
trait Told: prost::Message + Default + 'static {
    const KIND: &'static str;
    fn parts(self) -> (Option<v1::Meta>, Option<v1::JobRef>);
}

macro_rules! told {
    ($($message:ident, $kind:expr, $job:expr;)*) => {
        $(impl Told for v1::$message {
            const KIND: &'static str = $kind;
            fn parts(self) -> (Option<v1::Meta>, Option<v1::JobRef>) {
                let job: fn(Self) -> Option<v1::JobRef> = $job;
                (self.meta.clone(), job(self))
            }
        })*
    };
}

told! {
    TakeRequest, KINDS[0], |message| message.job;
    PutBackRequest, KINDS[1], |message| message.job;
    HandInRequest, KINDS[2], |_| None;
    CallOffRequest, KINDS[3], |message| message.job;
    HandBackRequest, KINDS[4], |message| message.job;
}

impl<M: Told> UnaryService<M> for Bare {
    type Response = v1::Accepted;
    type Future = Later<Reply>;

    fn call(&mut self, request: Request<M>) -> Self::Future {
        let bare = self.clone();
        Box::pin(async move {
            let (meta, job) = request.into_inner().parts();
            bare.write(M::KIND, meta, job).await
        })
    }
}

fn unary<M: Told>(
    bare: Bare,
    request: http::Request<Body>,
) -> Later<Result<http::Response<Body>, Infallible>> {
    Box::pin(async move {
        let codec = ProstCodec::<v1::Accepted, M>::default();
        Ok(Grpc::new(codec).unary(bare, request).await)
    })
}

fn route(bare: &Bare, request: http::Request<Body>) -> Later<Result<http::Response<Body>, Infallible>> {
    let bare = bare.clone();
    match request.uri().path().rsplit('/').next().unwrap_or_default() {
        "Take" => unary::<v1::TakeRequest>(bare, request),
        "PutBack" => unary::<v1::PutBackRequest>(bare, request),
        "HandIn" => unary::<v1::HandInRequest>(bare, request),
        "CallOff" => unary::<v1::CallOffRequest>(bare, request),
        "HandBack" => unary::<v1::HandBackRequest>(bare, request),
        _ => Box::pin(async { Ok(Status::unimplemented("not part of the yardstick").into_http()) }),
    }
}

macro_rules! service {
    ($name:ident, $path:literal) => {
        #[derive(Clone)]
        struct $name(Bare);

        impl NamedService for $name {
            const NAME: &'static str = $path;
        }

        impl Service<http::Request<Body>> for $name {
            type Response = http::Response<Body>;
            type Error = Infallible;
            type Future = Later<Result<Self::Response, Self::Error>>;

            fn poll_ready(&mut self, _: &mut Context<'_>) -> Poll<Result<(), Infallible>> {
                Poll::Ready(Ok(()))
            }

            fn call(&mut self, request: http::Request<Body>) -> Self::Future {
                route(&self.0, request)
            }
        }
    };
}

service!(Strips, "remise.v1.StripDesk");
service!(Benches, "remise.v1.BenchDesk");
