//! The wire: gRPC at the server's edge. Thin on purpose: who is asking, what is asked, ask the desk, answer.

mod bench;
pub mod decode;
mod door;
pub mod encode;
mod errors;
mod head;
mod journal;
mod serve;
mod strip;
mod watch;

#[cfg(test)]
pub(crate) mod scene;

pub use errors::DOMAIN;
pub use serve::{ServeError, serve};

/// A service whose actions are all alike: enter, decode, ask the desk. What is not an action stands in braces.
macro_rules! actions {
    ($service:ident as $trait:ident, $name:literal, $read:ident;
     $($fn:ident $rpc:ident $request:ident),* ; { $($rest:tt)* }) => {
        #[tonic::async_trait]
        impl $trait for $service {
            $(
                async fn $fn(&self, request: Request<v1::$request>) -> Result<Response<v1::Accepted>, Status> {
                    let rpc = concat!($name, "/", stringify!($rpc));
                    self.0.act(rpc, request, |message| message.meta.take(), $read::$fn).await
                }
            )*
            $($rest)*
        }
    };
}
use actions;
