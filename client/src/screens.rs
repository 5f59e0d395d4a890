//! The way in to the screens: a plain `remise strip`, `remise bench` or `remise head`.

use remise_link::{Address, Options};

use crate::failure::Failure;

/// Which screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Screen {
    /// For a strip's official.
    Strip,
    /// For a bench's armourer.
    Bench,
    /// For the head armourer.
    Head,
}

/// Opens a screen and returns when it is closed.
///
/// # Errors
/// What kept it from opening, or what ended it.
pub fn run(screen: Screen, _address: Address, _options: Options) -> Result<(), Failure> {
    let area = match screen {
        Screen::Strip => "strip",
        Screen::Bench => "bench",
        Screen::Head => "head",
    };
    Err(Failure::usage(
        "this build has no screens",
        format!("Name an action: `remise {area} --help` lists them."),
    ))
}
