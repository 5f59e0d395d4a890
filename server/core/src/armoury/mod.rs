//! Part of the core.
