//! The wire: gRPC at the server's edge. Thin on purpose: who is asking (`guard`), what is asked (`decode`), ask the
//! desk, answer (`encode`).

pub mod decode;
mod desks;
pub mod encode;
mod errors;
mod feed;
mod guard;
mod health;
#[cfg(test)]
pub(crate) mod scene;
mod serve;
mod service_bench;
mod service_head;
mod service_journal;
mod service_strip;
mod trial;
mod watch_journal;

#[cfg(test)]
mod tests;
#[cfg(test)]
mod trial_tests;
#[cfg(test)]
mod watch_tests;

pub use errors::DOMAIN;
pub use serve::{REQUEST_MOST, RESPONSE_MOST, ServeError, serve};

/// Implements a service: its actions, which all go the same way, and its reads.
macro_rules! actions {
    (impl $service:ident { $($rpc:ident($request:ident) = $decode:path;)* } $($rest:tt)*) => {
        #[tonic::async_trait]
        impl $service for Desks {
            $(
                async fn $rpc(
                    &self,
                    request: Request<v1::$request>,
                ) -> Result<Response<v1::Accepted>, Status> {
                    self.act(request, |request| request.meta.take(), $decode).await
                }
            )*

            $($rest)*
        }
    };
}
use actions;
