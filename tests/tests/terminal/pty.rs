//! A program in a terminal of its own, as a person has it: keys go in, a picture comes out, and the terminal's mode
//! can be asked for as `stty` asks for it.

use std::io::{Read as _, Write};
use std::process::Command;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};

/// Far more than any step takes; only a failing test waits so long.
const PATIENCE: Duration = Duration::from_secs(30);
const STEP: Duration = Duration::from_millis(20);

/// A program and its terminal.
pub struct Screen {
    child: Box<dyn Child + Send + Sync>,
    master: Option<Box<dyn MasterPty + Send>>,
    keys: Option<Box<dyn Write + Send>>,
    /// The thread that reads it must let go of it too, at the next thing that it reads.
    gone: Arc<AtomicBool>,
    picture: Arc<Mutex<vt100::Parser>>,
    /// The terminal's own name, under which its mode is asked for.
    device: String,
    before: String,
}

impl Screen {
    /// Starts a program in a terminal of 80 columns and 24 lines.
    pub fn start(program: &str, words: &[&str]) -> Self {
        Self::with(program, words, true)
    }

    /// The same; `told` says whether the system tells the program by a signal that the terminal has gone away.
    pub fn with(program: &str, words: &[&str], told: bool) -> Self {
        let size = PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size).unwrap();
        let device = pair.master.tty_name().unwrap().display().to_string();
        let before = mode(&device);
        let mut command = CommandBuilder::new(program);
        command.args(words);
        command.env_clear();
        command.env("TERM", "xterm-256color");
        command.set_controlling_tty(told);
        let child = pair.slave.spawn_command(command).unwrap();
        let picture = Arc::new(Mutex::new(vt100::Parser::default()));
        let seen = picture.clone();
        let mut out = pair.master.try_clone_reader().unwrap();
        let gone = Arc::new(AtomicBool::new(false));
        let unplugged = gone.clone();
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(number @ 1..) = out.read(&mut bytes) {
                if unplugged.load(Ordering::SeqCst) {
                    break;
                }
                seen.lock().unwrap().process(&bytes[..number]);
            }
        });
        let keys = pair.master.take_writer().unwrap();
        Self { child, master: Some(pair.master), keys: Some(keys), gone, picture, device, before }
    }

    /// Waits until something is so.
    #[track_caller]
    fn until(&mut self, what: &str, mut is: impl FnMut(&mut Self) -> bool) {
        let end = Instant::now() + PATIENCE;
        while !is(self) {
            assert!(Instant::now() < end, "not so in {PATIENCE:?}: {what}. It shows:\n{}", self.text());
            std::thread::sleep(STEP);
        }
    }

    /// What can be read on it.
    pub fn text(&self) -> String {
        self.picture.lock().unwrap().screen().contents()
    }

    /// Waits until that can be read.
    #[track_caller]
    pub fn shows(&mut self, text: &str) {
        self.until(text, |screen| screen.text().contains(text));
    }

    /// Types.
    pub fn types(&mut self, keys: &str) {
        let to = self.keys.as_mut().unwrap();
        to.write_all(keys.as_bytes()).and_then(|()| to.flush()).unwrap();
    }

    /// Sends a signal by its name to the program.
    pub fn signal(&self, name: &str) {
        let id = self.child.process_id().unwrap().to_string();
        assert!(Command::new("kill").args(["-s", name, &id]).status().unwrap().success());
    }

    /// Whether the program has the terminal: the other screen is shown, and keys come one by one and unseen.
    pub fn has_terminal(&self) -> bool {
        self.picture.lock().unwrap().screen().alternate_screen() && mode(&self.device) != self.before
    }

    /// Waits until the program has the terminal.
    #[track_caller]
    pub fn waits_for_keys(&mut self) {
        self.until("the screen has the terminal", |screen| screen.has_terminal());
    }

    /// Waits until everything is as it was before the program.
    #[track_caller]
    pub fn is_given_back(&mut self) {
        self.until("the terminal is given back", |screen| {
            let as_before = {
                let parser = screen.picture.lock().unwrap();
                let now = parser.screen();
                !now.alternate_screen() && !now.hide_cursor() && !now.bracketed_paste()
            };
            as_before && mode(&screen.device) == screen.before
        });
    }

    /// Whether the system says that the program is stopped.
    #[track_caller]
    pub fn is_stopped(&mut self) {
        let id = self.child.process_id().unwrap();
        self.until("the program is stopped", |_| {
            let stat = std::fs::read_to_string(format!("/proc/{id}/stat")).unwrap_or_default();
            stat.rsplit_once(") ").is_some_and(|(_, rest)| rest.starts_with('T'))
        });
    }

    /// Waits until the program has ended, and returns its exit code.
    #[track_caller]
    pub fn ends(&mut self) -> u32 {
        let mut code = None;
        self.until("the program ends", |screen| {
            code = screen.child.try_wait().unwrap().map(|status| status.exit_code());
            code.is_some()
        });
        code.unwrap()
    }

    /// Somebody else has written over the picture.
    pub fn overwrite(&self) {
        self.picture.lock().unwrap().process(b"\x1b[2J\x1b[H$ ");
    }

    /// The terminal goes away, as when its window is closed or its connection breaks.
    pub fn vanish(&mut self) {
        self.gone.store(true, Ordering::SeqCst);
        self.keys = None;
        self.master = None;
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        // One that has ended cannot be ended again.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// All that the terminal's driver knows of its mode.
fn mode(device: &str) -> String {
    let asked = Command::new("stty").args(["-F", device, "-g"]).output().unwrap();
    assert!(asked.status.success(), "{asked:?}");
    String::from_utf8(asked.stdout).unwrap()
}
