//! Listening: the four services, health, reflection, and the limits that hold for all of them.

use std::future::Future;
use std::time::Duration;

use remise_proto::v1::bench_desk_server::BenchDeskServer;
use remise_proto::v1::head_desk_server::HeadDeskServer;
use remise_proto::v1::journal_server::JournalServer;
use remise_proto::v1::strip_desk_server::StripDeskServer;
use thiserror::Error;
use tokio::net::TcpListener;
use tokio_stream::StreamExt as _;
use tokio_stream::wrappers::TcpListenerStream;
use tonic::transport::Server;
use tonic_health::ServingStatus;
use tonic_health::server::HealthReporter;

use super::bench::Benches;
use super::door::Door;
use super::head::Heads;
use super::journal::Journals;
use super::strip::Strips;
use crate::house::House;
use crate::stations::Access;

/// Largest request, in bytes.
const REQUEST_MOST: usize = 256 << 10;
/// Largest answer, in bytes.
const ANSWER_MOST: usize = 4 << 20;
/// A connection that is silent is asked whether it is still there.
const KEEPALIVE: Duration = Duration::from_secs(20);
/// And given up when it does not answer.
const KEEPALIVE_ANSWER: Duration = Duration::from_secs(10);
/// Requests under way on one connection.
const STREAMS_MOST: u32 = 1_024;

/// A service with the limits on its messages.
macro_rules! limited {
    ($server:ident, $service:expr) => {
        $server::new($service).max_decoding_message_size(REQUEST_MOST).max_encoding_message_size(ANSWER_MOST)
    };
}
/// Why the wire ended.
#[derive(Debug, Error)]
pub enum ServeError {
    /// Reflection could not be set up.
    #[error("reflection could not be set up: {0}")]
    Reflection(#[from] tonic_reflection::server::Error),
    /// The transport failed.
    #[error("the transport failed: {0}")]
    Transport(#[from] tonic::transport::Error),
}

/// Serves until `shutdown`; then answers what is under way and ends.
pub async fn serve(
    listener: TcpListener,
    house: House,
    access: Access,
    shutdown: impl Future<Output = ()>,
) -> Result<(), ServeError> {
    let (reporter, health) = tonic_health::server::health_reporter();
    let watching = tokio::spawn(report_health(house.clone(), reporter));
    let reflection = tonic_reflection::server::Builder::configure()
        .register_encoded_file_descriptor_set(remise_proto::FILE_DESCRIPTOR_SET)
        .register_encoded_file_descriptor_set(tonic_health::pb::FILE_DESCRIPTOR_SET)
        .build_v1()?;
    let door = Door { house, access };
    let connections = TcpListenerStream::new(listener).map(|connection| {
        let connection = connection?;
        connection.set_nodelay(true)?;
        Ok::<_, std::io::Error>(connection)
    });
    let served = Server::builder()
        .http2_keepalive_interval(Some(KEEPALIVE))
        .http2_keepalive_timeout(Some(KEEPALIVE_ANSWER))
        .max_concurrent_streams(Some(STREAMS_MOST))
        .add_service(health)
        .add_service(reflection)
        .add_service(limited!(StripDeskServer, Strips(door.clone())))
        .add_service(limited!(BenchDeskServer, Benches(door.clone())))
        .add_service(limited!(HeadDeskServer, Heads(door.clone())))
        .add_service(limited!(JournalServer, Journals(door)))
        .serve_with_incoming_shutdown(connections, shutdown)
        .await;
    watching.abort();
    Ok(served?)
}

/// Not serving while the journal cannot be written.
async fn report_health(house: House, reporter: HealthReporter) {
    let mut publications = house.desk.publications();
    loop {
        let trouble = publications.borrow_and_update().trouble.is_some();
        let status = if trouble { ServingStatus::NotServing } else { ServingStatus::Serving };
        reporter.set_service_status("", status).await;
        if publications.changed().await.is_err() {
            return;
        }
    }
}
