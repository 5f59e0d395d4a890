//! What the outside tells a program that has the terminal: to end, to stop for a while, to go on; or that the
//! terminal is gone.
//!
//! Two threads listen, so that a loop which hangs is ended all the same: it is told first, and has [`GRACE`].

use std::io;
use std::time::Duration;

use tokio::sync::mpsc;

use super::terminal;

/// How long the loop may take to end by itself.
const GRACE: Duration = Duration::from_millis(1500);
/// How long giving back may take when the loop has not ended: a terminal that takes nothing must not hold us.
const LAST: Duration = Duration::from_millis(200);

/// What was told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Told {
    /// End: the signal's number.
    End(i32),
    /// Stop until somebody lets us go on.
    Stop,
    /// Somebody let us go on; the terminal may have been used meanwhile.
    GoOn,
}

/// Listens from when it is made until the program ends: nothing that is told later finds the terminal taken.
pub struct Signals {
    told: mpsc::UnboundedReceiver<Told>,
}

impl Signals {
    /// Begins to listen.
    ///
    /// # Errors
    /// When the system refuses.
    pub fn listen() -> io::Result<Self> {
        let (to, told) = mpsc::unbounded_channel();
        system::listen(to)?;
        Ok(Self { told })
    }

    /// The next thing that is told. Dropping the future loses nothing.
    pub async fn next(&mut self) -> Told {
        match self.told.recv().await {
            Some(told) => told,
            // Where no signals are known.
            None => std::future::pending().await,
        }
    }
}

/// Gives the terminal back and stops; when somebody lets the program go on, takes it again.
///
/// # Errors
/// When the terminal is gone meanwhile.
pub fn stop() -> io::Result<()> {
    let held = terminal::give_back();
    system::stop()?;
    if held { terminal::take() } else { Ok(()) }
}

/// Tells the loop to end. If it has not ended after its time, or is told a second time, the program ends here.
fn end(to: &mpsc::UnboundedSender<Told>, signal: i32, again: bool) {
    if again || to.send(Told::End(signal)).is_err() {
        end_now(signal);
    }
    std::thread::spawn(move || {
        std::thread::sleep(GRACE);
        end_now(signal);
    });
}

fn end_now(signal: i32) -> ! {
    let giving = std::thread::spawn(terminal::give_back);
    let step = Duration::from_millis(10);
    let mut waited = Duration::ZERO;
    while !giving.is_finished() && waited < LAST {
        std::thread::sleep(step);
        waited += step;
    }
    std::process::exit(i32::from(crate::exit::by_signal(signal)))
}

#[cfg(unix)]
mod system {
    use std::io;
    use std::sync::atomic::{AtomicBool, Ordering};

    use rustix::event::{PollFd, PollFlags, poll};
    use signal_hook::consts::{SIGCONT, SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP};
    use signal_hook::iterator::Signals;
    use tokio::sync::mpsc;

    use super::{Told, end};

    /// The program was told to end.
    static ENDING: AtomicBool = AtomicBool::new(false);

    pub(super) fn listen(to: mpsc::UnboundedSender<Told>) -> io::Result<()> {
        let mut signals = Signals::new([SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP, SIGCONT])?;
        let hung_up = to.clone();
        std::thread::Builder::new().name("signals".into()).spawn(move || {
            for signal in signals.forever() {
                match signal {
                    // A loop that has ended needs neither.
                    SIGTSTP => drop(to.send(Told::Stop)),
                    SIGCONT => drop(to.send(Told::GoOn)),
                    other => end(&to, other, ENDING.swap(true, Ordering::SeqCst)),
                }
            }
        })?;
        std::thread::Builder::new().name("hang-up".into()).spawn(move || {
            if wait_for_hang_up() && !ENDING.swap(true, Ordering::SeqCst) {
                end(&hung_up, SIGHUP, false);
            }
        })?;
        Ok(())
    }

    /// A terminal that is gone need not send a signal, and reading from it would fail for ever.
    fn wait_for_hang_up() -> bool {
        let stdin = io::stdin();
        loop {
            // Hang-up and errors are told whether they are asked for or not.
            let mut input = [PollFd::new(&stdin, PollFlags::empty())];
            match poll(&mut input, None) {
                Ok(_) if !input[0].revents().is_empty() => return true,
                Ok(_) | Err(rustix::io::Errno::INTR) => {}
                Err(_) => return false,
            }
        }
    }

    pub(super) fn stop() -> io::Result<()> {
        signal_hook::low_level::emulate_default_handler(SIGTSTP)
    }
}

#[cfg(not(unix))]
mod system {
    use std::io;

    use tokio::sync::mpsc;

    use super::{Told, end};

    pub(super) fn listen(to: mpsc::UnboundedSender<Told>) -> io::Result<()> {
        // Keys come as keys there; the only thing that is told is the interrupt of another program.
        std::thread::Builder::new().name("signals".into()).spawn(move || {
            let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
            if runtime.is_ok_and(|runtime| runtime.block_on(tokio::signal::ctrl_c()).is_ok()) {
                end(&to, 2, false);
            }
        })?;
        Ok(())
    }

    pub(super) fn stop() -> io::Result<()> {
        Ok(())
    }
}
