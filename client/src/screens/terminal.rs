//! The terminal, given back on every way out: when the program ends, fails, panics or is told to stop.

use std::io::{self, IsTerminal as _};

use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::execute;
use ratatui::DefaultTerminal;

/// The terminal while a screen has it. Dropping it gives it back.
#[derive(Debug)]
pub struct Terminal {
    inner: DefaultTerminal,
}

/// Whether this program talks to a person's terminal.
pub fn is_there() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal()
}

impl Terminal {
    /// Takes the terminal over.
    ///
    /// # Errors
    /// When the terminal refuses.
    pub fn open() -> io::Result<Self> {
        // This also installs a panic hook that gives the terminal back before the message is printed.
        let inner = ratatui::try_init()?;
        let terminal = Self { inner };
        execute!(io::stdout(), EnableBracketedPaste)?;
        Ok(terminal)
    }

    /// Draws one picture.
    ///
    /// # Errors
    /// When the terminal is gone.
    pub fn draw(&mut self, picture: impl FnOnce(&mut ratatui::Frame<'_>)) -> io::Result<()> {
        self.inner.draw(picture).map(|_| ())
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        // Nothing more can be done for a terminal that is gone.
        let _ = execute!(io::stdout(), DisableBracketedPaste);
        let _ = ratatui::try_restore();
    }
}
