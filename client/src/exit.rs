//! Exit codes. Scripts rely on them.

/// Done, or there was nothing to do. Also when whoever read the output went away.
pub const DONE: u8 = 0;
/// A rule of the armoury is against it. Nothing was changed.
pub const REFUSED: u8 = 1;
/// The command line, or a value in it, is wrong. Nothing was changed.
pub const USAGE: u8 = 2;
/// The server is away, too busy, or did not answer in time. Sending it again with the same `--request-id` is safe.
pub const AWAY: u8 = 3;
/// This station may not do that.
pub const NOT_ALLOWED: u8 = 4;
/// Something is broken: client and server do not fit, or an answer made no sense.
pub const BROKEN: u8 = 5;
/// Nothing speaks against it so far, but something is still to be done: a proof without a failed check that is not
/// complete.
pub const UNFINISHED: u8 = 6;

/// Told to end by a signal: 128 and its number, as shells say it. 130 is Ctrl-C.
pub const fn by_signal(number: i32) -> u8 {
    128_u8.saturating_add(number as u8)
}
