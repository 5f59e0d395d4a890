//! The wire: gRPC at the server's edge. Thin on purpose: who is asking, what is asked, ask the desk, answer.

pub mod decode;
pub mod encode;
mod errors;
#[cfg(test)]
pub(crate) mod scene;

pub use errors::DOMAIN;
