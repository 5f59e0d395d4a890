//! Part of Remise.
