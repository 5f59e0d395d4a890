//! The wire of Remise: types generated at build time from `remise/v1/*.proto`, nothing else.
//!
//! Both sides meet only here. Each side has one mapping module of its own that turns these types into
//! `remise-core` types; no type of this crate goes further in.

/// Version 1 of the wire. Changes within it only add.
// The .proto files say in brackets who may call; rustdoc would take that for a link.
#[allow(rustdoc::broken_intra_doc_links)]
#[allow(missing_docs, clippy::pedantic, clippy::unwrap_used)]
pub mod v1 {
    tonic::include_proto!("remise.v1");
}

/// The encoded file descriptor set, for server reflection.
pub const FILE_DESCRIPTOR_SET: &[u8] = include_bytes!(concat!(env!("OUT_DIR"), "/remise.bin"));
