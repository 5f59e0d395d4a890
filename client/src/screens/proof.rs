//! The proof as it is filled in: one check after the other, each with its limit, rule and status, and what the
//! reading means as it is typed. Each check is recorded by itself; no key passes several.

use crossterm::event::KeyCode;
use remise_core::ids::JobId;
use remise_core::rules::{self, Answer, Check, Verdict};
use remise_link::view::{CheckView, Course};
use tui_input::{Input, InputRequest};

use super::field::edit;
use super::keys::{self, Act, Binding, Press};

/// Longest reading, in characters.
const LONGEST: usize = 24;

/// One check and what is typed for it.
#[derive(Clone, Debug)]
pub struct Row {
    /// The check.
    pub check: CheckView,
    /// What is typed.
    pub input: Input,
    /// The ticket under which that is on its way.
    pub sending: Option<u64>,
}

impl PartialEq for Row {
    fn eq(&self, other: &Self) -> bool {
        self.check == other.check && self.input.value() == other.input.value()
    }
}

/// The proof of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Proof {
    /// The job.
    pub job: JobId,
    /// The checks, in the order in which they are made.
    pub rows: Vec<Row>,
    /// The check that keys act on.
    pub row: usize,
    /// What is wrong with what was typed.
    pub problem: Option<String>,
}

/// What typing means so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Reads {
    /// Nothing is typed.
    Nothing,
    /// It cannot be read.
    Bad(String),
    /// It means that; `None` when only the server can judge it.
    Good(Answer, Option<Verdict>),
}

impl Proof {
    /// The checks that a course names; the first that is not passed is chosen.
    pub fn new(course: &Course) -> Self {
        let row = |check: &CheckView| Row { check: check.clone(), input: Input::default(), sending: None };
        let rows: Vec<Row> = course.proof.iter().map(row).collect();
        let first = rows.iter().position(|row| !row.check.pass).unwrap_or(0);
        Self { job: course.job.job, rows, row: first, problem: None }
    }

    /// A newer course came: what is typed stays.
    pub fn refresh(&mut self, course: &Course) {
        let chosen = self.rows.get(self.row).map(|row| row.check.check.clone());
        let mut fresh = Self::new(course);
        for row in &mut fresh.rows {
            if let Some(old) = self.rows.iter().find(|old| old.check.check == row.check.check) {
                row.input = old.input.clone();
                row.sending = old.sending;
            }
        }
        fresh.row = fresh.rows.iter().position(|row| Some(&row.check.check) == chosen.as_ref()).unwrap_or(0);
        fresh.problem = self.problem.take();
        *self = fresh;
    }

    /// Its keys.
    pub fn keys() -> Vec<Binding> {
        let mut list = vec![
            Binding::key(KeyCode::Enter, Act::Enter, "record this check"),
            Binding::new(Press::Key(KeyCode::Down), Act::Next, "next check"),
            Binding::quiet(Press::Key(KeyCode::Tab), Act::Next, "next check"),
            Binding::quiet(Press::Key(KeyCode::Up), Act::Previous, "check before"),
            Binding::quiet(Press::Key(KeyCode::BackTab), Act::Previous, "check before"),
            Binding::key(KeyCode::Esc, Act::Back, "back"),
            Binding::key(KeyCode::F(1), Act::Help, "help"),
        ];
        list.extend(keys::editing());
        list
    }

    /// Whether something is typed that was not recorded.
    pub fn touched(&self) -> bool {
        self.rows.iter().any(|row| !row.input.value().trim().is_empty())
    }

    /// To the next or the previous check.
    pub fn step(&mut self, forwards: bool) {
        let last = self.rows.len().saturating_sub(1);
        self.row = if forwards { (self.row + 1).min(last) } else { self.row.saturating_sub(1) };
        self.problem = None;
    }

    /// The chosen check is on its way: what is typed goes into the next line, however long the answer takes.
    pub fn sent(&mut self, ticket: u64) {
        if let Some(row) = self.rows.get_mut(self.row) {
            row.sending = Some(ticket);
        }
        self.step(true);
    }

    /// A check was answered. When it was recorded its line is emptied; else it is chosen again.
    pub fn answered(&mut self, ticket: u64, recorded: bool) {
        let Some(at) = self.rows.iter().position(|row| row.sending == Some(ticket)) else { return };
        self.rows[at].sending = None;
        if recorded {
            self.rows[at].input.reset();
        } else {
            self.row = at;
        }
    }

    /// A letter or digit.
    pub fn put(&mut self, c: char) {
        self.problem = None;
        if let Some(row) = self.rows.get_mut(self.row)
            && row.input.value().chars().count() < LONGEST
        {
            row.sending = None;
            row.input.handle(InputRequest::InsertChar(c));
        }
    }

    /// Edits the chosen line.
    pub fn edit(&mut self, act: Act) {
        self.problem = None;
        if let Some(row) = self.rows.get_mut(self.row) {
            row.sending = None;
            edit(&mut row.input, act);
        }
    }
}

impl Row {
    /// What is typed means, by that edition of the rules.
    pub fn reads(&self, edition: &str) -> Reads {
        let typed = self.input.value().trim();
        if typed.is_empty() {
            return Reads::Nothing;
        }
        let word = match typed.to_ascii_lowercase().as_str() {
            "p" => "pass".to_owned(),
            "f" => "fail".to_owned(),
            _ => typed.to_owned(),
        };
        let known = rules::edition(edition).ok().and_then(|edition| edition.check(&self.check.check));
        known.map_or_else(|| unknown(&word), |check| read(&word, check))
    }
}

fn read(word: &str, check: &Check) -> Reads {
    let answer = match Answer::parse(word, check) {
        Ok(answer) => answer,
        Err(problem) => return Reads::Bad(problem.to_string()),
    };
    match check.judge(&answer) {
        Ok(verdict) => Reads::Good(answer, Some(verdict)),
        Err(problem) => Reads::Bad(problem.to_string()),
    }
}

/// This program does not know the check: pass and fail go to the server as they are.
fn unknown(word: &str) -> Reads {
    match word {
        "pass" => Reads::Good(Answer::Passed, None),
        "fail" => Reads::Good(Answer::Failed, None),
        _ => Reads::Bad("this program is older than the rules in use: type p or f".to_owned()),
    }
}
