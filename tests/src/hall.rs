//! A hall with a real server in a process of its own and clients that are run one command at a time, as people and
//! scripts run them. Everything lies in a folder of its own and ends with the hall.

use std::ffi::OsString;
use std::io::{BufRead as _, BufReader, Read as _};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

use serde_json::Value;
use tempfile::TempDir;

/// The tournament file of every hall.
pub const TOURNAMENT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../deploy/example-tournament.toml");

/// The programs; a test knows their paths, a library does not.
#[derive(Clone, Copy, Debug)]
pub struct Programs {
    /// The server.
    pub server: &'static str,
    /// The client.
    pub client: &'static str,
}

/// A hall.
#[derive(Debug)]
pub struct Hall {
    programs: Programs,
    folder: TempDir,
    server: Option<Child>,
    address: String,
    token: Option<String>,
}

/// How a client's command ended.
#[derive(Debug)]
pub struct Said {
    /// The exit code.
    pub code: i32,
    /// The JSON object on standard output; null when there was none.
    pub json: Value,
    /// The messages.
    pub messages: String,
}

impl Hall {
    /// A hall whose server is not started.
    pub fn dark(programs: Programs) -> Self {
        let folder = TempDir::new().expect("a folder of its own");
        Self { programs, folder, server: None, address: String::new(), token: None }
    }

    /// A hall whose server lets everybody in.
    pub fn open(programs: Programs) -> Self {
        let mut hall = Self::dark(programs);
        hall.start(&["--open"]);
        hall
    }

    /// The server's data folder.
    pub fn data(&self) -> PathBuf {
        self.folder.path().join("data")
    }

    /// Where the server listens: host and port.
    pub fn address(&self) -> &str {
        &self.address
    }

    /// What clients show from now on; without one they say themselves who they are.
    pub fn use_token(&mut self, token: Option<String>) {
        self.token = token;
    }

    /// Starts the server and waits until it says where it listens.
    pub fn start(&mut self, more: &[&str]) {
        assert!(self.server.is_none(), "it runs already");
        let mut child = self.serve(more).spawn().expect("the server starts");
        let mut line = String::new();
        let out = child.stdout.as_mut().expect("its output is read");
        BufReader::new(out).read_line(&mut line).expect("it says something");
        let Some(address) = line.trim().strip_prefix("listening on ") else {
            let mut messages = String::new();
            // What can be read of the messages is told; nothing more can be done.
            let _ = child.stderr.as_mut().map(|err| err.read_to_string(&mut messages));
            panic!("the server did not start: {line}{messages}");
        };
        address.clone_into(&mut self.address);
        // The logs are read away, so that the server never waits for a reader.
        let mut logs = child.stderr.take().expect("its messages are read");
        std::thread::spawn(move || std::io::copy(&mut logs, &mut std::io::sink()));
        self.server = Some(child);
    }

    fn serve(&self, more: &[&str]) -> Command {
        let mut command = bare(self.programs.server);
        command.args(["serve", "--tournament", TOURNAMENT, "--listen", "127.0.0.1:0", "--data"]);
        command.arg(self.data()).args(more).stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    /// Starts another server on the same folder, which is to end by itself.
    pub fn second_server(&self, more: &[&str]) -> Output {
        self.serve(more).output().expect("the server starts")
    }

    /// Ends the server as a power cut does.
    pub fn kill(&mut self) {
        if let Some(mut child) = self.server.take() {
            child.kill().expect("it can be killed");
            child.wait().expect("it ends");
        }
    }

    /// Runs a command of the server program other than `serve` on this hall's data folder.
    pub fn server_command(&self, words: &[&str]) -> Output {
        bare(self.programs.server)
            .args(words)
            .arg("--data")
            .arg(self.data())
            .output()
            .expect("the program starts")
    }

    /// Runs a client's command; words with spaces stand in double quotes.
    pub fn ask(&self, line: &str) -> Said {
        let mut command = bare(self.programs.client);
        command.args(words(line)).args(["--json", "--server", &self.address]);
        if let Some(token) = &self.token {
            command.env("REMISE_TOKEN", token);
        }
        let output = command.output().expect("the client starts");
        let json = serde_json::from_slice(&output.stdout).unwrap_or_default();
        let messages = String::from_utf8_lossy(&output.stderr).into_owned();
        Said { code: output.status.code().unwrap_or(-1), json, messages }
    }

    /// Runs a client's command that is to be done, and returns its JSON object.
    #[track_caller]
    pub fn client(&self, line: &str) -> Value {
        let said = self.ask(line);
        assert!(said.code == 0 && said.json["ok"] == true, "{line}: {said:?}");
        said.json
    }

    /// Runs a client's command that opens one job, and returns its number.
    #[track_caller]
    pub fn job(&self, line: &str) -> u64 {
        let done = self.client(line);
        done["accepted"]["jobs"][0].as_u64().unwrap_or_else(|| panic!("{line}: no job in {done}"))
    }

    /// Runs a client's command that is to be refused with that exit code and reason.
    #[track_caller]
    pub fn refused(&self, line: &str, code: i32, reason: &str) -> Said {
        let said = self.ask(line);
        assert_eq!((said.code, &said.json["reason"]), (code, &Value::from(reason)), "{line}: {said:?}");
        said
    }

    /// The journal's newest number.
    pub fn head(&self) -> u64 {
        self.client("journal head")["journal"]["head"].as_u64().expect("a number")
    }
}

impl Drop for Hall {
    fn drop(&mut self) {
        self.kill();
    }
}

/// A program that sees nothing of this machine's settings.
fn bare(program: impl AsRef<Path>) -> Command {
    let mut command = Command::new(program.as_ref());
    command.env_clear().env("TZ", "Etc/UTC").stdin(Stdio::null());
    command
}

fn words(line: &str) -> Vec<OsString> {
    let mut words = Vec::new();
    for (index, part) in line.split('"').enumerate() {
        if index % 2 == 1 {
            words.push(part.into());
        } else {
            words.extend(part.split_whitespace().map(OsString::from));
        }
    }
    words
}
