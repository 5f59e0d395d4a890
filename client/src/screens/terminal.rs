//! The terminal, given back on every way out: when the program ends, fails, panics, is stopped or is told to end.
//!
//! One flag says whether the screen has the terminal; whoever takes the flag down gives the terminal back, from
//! whatever thread. Nothing is drawn while it is down, so a screen cannot paint over what a shell or a panic wrote.

use std::cell::Cell;
use std::io::{self, IsTerminal as _};
use std::mem::ManuallyDrop;
use std::panic;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, MutexGuard, Once, PoisonError};

use crossterm::cursor::Show;
use crossterm::event::{DisableBracketedPaste, EnableBracketedPaste};
use crossterm::execute;
use crossterm::terminal::{EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode, enable_raw_mode};
use ratatui::DefaultTerminal;
use ratatui::backend::CrosstermBackend;
use ratatui::layout::{Position, Rect};

/// The screen has the terminal.
static HELD: AtomicBool = AtomicBool::new(false);
/// The terminal shows something else than was drawn last: the next picture is drawn whole.
static STALE: AtomicBool = AtomicBool::new(false);
/// Whoever writes to the terminal has this.
static WRITING: Mutex<()> = Mutex::new(());

thread_local! {
    /// This thread is drawing, so it has [`WRITING`].
    static DRAWING: Cell<bool> = const { Cell::new(false) };
}

/// The terminal while a screen has it. Dropping it gives it back.
#[derive(Debug)]
pub struct Terminal {
    /// Never dropped: that would show the cursor once more, after giving back, and panics over it when both the terminal
    /// and the error stream are gone. Its two buffers go with the program.
    inner: ManuallyDrop<DefaultTerminal>,
    _taken: Taken,
}

/// Gives the terminal back when it is dropped.
#[derive(Debug)]
struct Taken;

impl Drop for Taken {
    fn drop(&mut self) {
        give_back();
    }
}

/// Whether this program talks to a person's terminal.
pub fn is_there() -> bool {
    io::stdin().is_terminal() && io::stdout().is_terminal()
}

impl Terminal {
    /// Takes the terminal over. From now on a panic of any thread gives it back before its message is printed.
    ///
    /// # Errors
    /// When the terminal refuses; it is then as it was.
    pub fn open() -> io::Result<Self> {
        give_back_on_panic();
        let taken = Taken;
        take()?;
        let inner = ratatui::Terminal::new(CrosstermBackend::new(io::stdout()))?;
        Ok(Self { inner: ManuallyDrop::new(inner), _taken: taken })
    }

    /// Draws one picture.
    ///
    /// # Errors
    /// When the terminal is gone, or was given back.
    pub fn draw(&mut self, picture: impl FnOnce(&mut ratatui::Frame<'_>)) -> io::Result<()> {
        let _writing = writing();
        if !HELD.load(Ordering::SeqCst) {
            return Err(io::Error::other("the screen has given it back"));
        }
        let _drawing = Drawing::begin();
        if STALE.swap(false, Ordering::SeqCst) {
            // Clearing would ask the terminal where its cursor is; the answer would come among the keys, or never.
            let size = self.inner.size()?;
            self.inner.resize(Rect::from((Position::ORIGIN, size)))?;
        }
        self.inner.draw(picture).map(|_| ())
    }
}

/// This thread draws until it is dropped, also by a panic.
struct Drawing;

impl Drawing {
    fn begin() -> Self {
        DRAWING.set(true);
        Self
    }
}

impl Drop for Drawing {
    fn drop(&mut self) {
        DRAWING.set(false);
    }
}

/// A panic while drawing leaves nothing that the next writer could not write over.
fn writing() -> MutexGuard<'static, ()> {
    WRITING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Takes the terminal: keys come one by one and unseen, and the screen is another than the shell's.
///
/// # Errors
/// When the terminal refuses.
pub fn take() -> io::Result<()> {
    let _writing = writing();
    HELD.store(true, Ordering::SeqCst);
    STALE.store(true, Ordering::SeqCst);
    enable_raw_mode()?;
    execute!(io::stdout(), EnterAlternateScreen, EnableBracketedPaste)
}

/// Gives the terminal back, once: each part is tried, whatever became of the one before. The mode of the keys goes
/// first, since that waits for nobody. Returns whether the screen had it.
pub fn give_back() -> bool {
    if !HELD.swap(false, Ordering::SeqCst) {
        return false;
    }
    // Nothing more can be done for a terminal that is gone.
    let _ = disable_raw_mode();
    let _writing = (!DRAWING.get()).then(writing);
    let _ = execute!(io::stdout(), DisableBracketedPaste, LeaveAlternateScreen, Show);
    true
}

/// A shell has had the terminal in between, and may have left it in any mode. What the screen has given back for good
/// stays given back.
///
/// # Errors
/// When the terminal refuses.
pub fn take_again() -> io::Result<()> {
    if give_back() { take() } else { Ok(()) }
}

/// Puts giving back before what a panic did so far, for all threads and once in the program's life.
fn give_back_on_panic() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            give_back();
            before(info);
        }));
    });
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn a_panic_of_any_thread_gives_back_even_while_that_thread_draws() {
        give_back_on_panic();
        for while_drawing in [false, true] {
            HELD.store(true, Ordering::SeqCst);
            let ended = std::thread::spawn(move || {
                let _writing = while_drawing.then(writing);
                let _drawing = while_drawing.then(Drawing::begin);
                panic!("planted");
            })
            .join();
            assert!(ended.is_err());
            assert!(!HELD.load(Ordering::SeqCst), "while drawing: {while_drawing}");
            drop(writing());
        }
    }
}
