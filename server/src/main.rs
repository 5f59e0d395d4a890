//! The server program.
fn main() {}
