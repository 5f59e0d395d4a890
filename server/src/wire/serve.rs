//! The gRPC server: services behind the door, health, reflection, limits, and an orderly end.

use std::sync::Arc;
use std::time::Duration;

use remise_proto::v1::bench_desk_server::BenchDeskServer;
use remise_proto::v1::head_desk_server::HeadDeskServer;
use remise_proto::v1::journal_server::JournalServer;
use remise_proto::v1::strip_desk_server::StripDeskServer;
use thiserror::Error;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};
use tonic::transport::Server;
use tonic::transport::server::TcpIncoming;

use super::desks::Desks;
use super::guard::Guarded;
use super::health;
use crate::house::House;
use crate::stations::Access;

/// Longest request, in bytes.
pub const REQUEST_MOST: usize = 256 << 10;
/// Longest answer, in bytes.
pub const RESPONSE_MOST: usize = 4 << 20;

/// A connection that shows no life is closed after both.
const KEEPALIVE_EVERY: Duration = Duration::from_secs(20);
const KEEPALIVE_LIMIT: Duration = Duration::from_secs(10);
/// Calls that one connection may have open at once.
const STREAMS_MOST: u32 = 512;
/// Headers of one call, in bytes.
const HEADERS_MOST: u32 = 16 << 10;
/// A service behind the door, with the limits on its messages.
macro_rules! guarded {
    ($server:ident, $desks:ident, $door:ident) => {{
        let (access, clock) = $door.clone();
        let server = $server::from_arc(Arc::clone(&$desks))
            .max_decoding_message_size(REQUEST_MOST)
            .max_encoding_message_size(RESPONSE_MOST);
        Guarded::new(server, access, clock)
    }};
}

/// Why serving ended badly.
#[derive(Debug, Error)]
pub enum ServeError {
    /// The transport failed.
    #[error("the server cannot go on listening: {0}")]
    Transport(#[from] tonic::transport::Error),
    /// The descriptor set of the wire cannot be read: a fault of the build.
    #[error("the description of the wire cannot be read: {0}")]
    Reflection(#[from] tonic_reflection::server::Error),
}

/// Serves until `shutdown` is done; then watches are ended with a status, calls under way are answered, and it
/// returns.
pub async fn serve(
    listener: TcpListener,
    house: House,
    access: Access,
    shutdown: impl Future<Output = ()> + Send,
) -> Result<(), ServeError> {
    let (close, closing) = watch::channel(false);
    let (told, health) = health::start(&house, closing.clone());
    let reflection = tonic_reflection::server::Builder::configure()
        .register_encoded_file_descriptor_set(remise_proto::FILE_DESCRIPTOR_SET)
        .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
        .build_v1()?;

    let trials = Arc::new(Semaphore::new(1));
    let desks = Arc::new(Desks { house: house.clone(), access: access.clone(), closing, trials });
    let door = (access, house.clock);
    let incoming = TcpIncoming::from(listener).with_nodelay(Some(true));
    let ended = limited()
        .add_service(health)
        .add_service(reflection)
        .add_service(guarded!(StripDeskServer, desks, door))
        .add_service(guarded!(BenchDeskServer, desks, door))
        .add_service(guarded!(HeadDeskServer, desks, door))
        .add_service(guarded!(JournalServer, desks, door))
        .serve_with_incoming_shutdown(incoming, async {
            shutdown.await;
            // Watches wait for it, and so does health.
            let _ = close.send(true);
        })
        .await;
    let _ = close.send(true);
    // It ends by itself now, and holds nothing that anybody waits for.
    let _ = told.await;
    Ok(ended?)
}

/// A transport with the limits that hold for every connection.
fn limited() -> Server {
    Server::builder()
        .http2_keepalive_interval(Some(KEEPALIVE_EVERY))
        .http2_keepalive_timeout(Some(KEEPALIVE_LIMIT))
        .max_concurrent_streams(Some(STREAMS_MOST))
        .http2_max_header_list_size(Some(HEADERS_MOST))
}
