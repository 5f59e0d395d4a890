//! A person in front of a screen: presses keys, and hears what the server says.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use remise_core::armoury::Spot;
use remise_core::ids::{BenchId, StripId};
use remise_link::view::{Board, Welcome};
use remise_link::{Accepted, LinkError, Sent, live_id};

use super::scene::{NOW, board, course, venue};
use crate::screens::layer::Layer;
use crate::screens::state::{Msg, ReadFor, Role, State, Task};
use crate::screens::update;

/// A screen, and the tasks that it has asked for.
pub struct Person {
    pub state: State,
    pub tasks: Vec<Task>,
}

impl Person {
    /// In front of a screen that shows the whole scene.
    pub fn at(role: Role) -> Self {
        Self::with(role, board(true))
    }

    pub fn with(role: Role, board: Board) -> Self {
        let mut board = board;
        if role == Role::Strip {
            // A strip is told of its own call-outs only.
            board.calls.iter_mut().flatten().for_each(|call| call.strip = StripId(3));
        }
        let spot = match role {
            Role::Strip => Some(Spot::Strip(StripId(3))),
            Role::Counter => Some(Spot::Counter),
            _ => None,
        };
        let bench = (role == Role::Bench).then_some(BenchId(1));
        let mut person = Self { state: State::new(role, spot, bench, NOW), tasks: Vec::new() };
        person.hear(Msg::Hello(Box::new(Welcome {
            zone: "Europe/Vienna".into(),
            now: NOW,
            ..Welcome::default()
        })));
        person.hear(Msg::Venue(Box::new(venue())));
        person.hear(Msg::Board(Box::new(board)));
        if person.state.in_hand().is_some() {
            person.hear(Msg::Course(ReadFor::Bench, Box::new(Ok(course()))));
        }
        person.tasks.clear();
        person
    }

    pub fn hear(&mut self, msg: Msg) {
        let tasks = update(&mut self.state, msg);
        self.tasks.extend(tasks);
    }

    pub fn key(&mut self, code: KeyCode) -> &mut Self {
        self.hear(Msg::Key(KeyEvent::from(code)));
        self
    }

    pub fn ctrl(&mut self, c: char) -> &mut Self {
        self.hear(Msg::Key(KeyEvent::new(KeyCode::Char(c), KeyModifiers::CONTROL)));
        self
    }

    /// Letters as they stand; `\n` is Enter, `\t` Tab, `\u{1b}` Esc, `↓` down.
    pub fn types(&mut self, text: &str) -> &mut Self {
        for c in text.chars() {
            self.key(match c {
                '\n' => KeyCode::Enter,
                '\t' => KeyCode::Tab,
                '\u{1b}' => KeyCode::Esc,
                '↓' => KeyCode::Down,
                '↑' => KeyCode::Up,
                c => KeyCode::Char(c),
            });
        }
        self
    }

    /// The server accepts everything that was sent.
    pub fn accept(&mut self) {
        self.answer(&Ok(Accepted::default()));
    }

    pub fn answer(&mut self, result: &Result<Accepted, LinkError>) {
        for task in std::mem::take(&mut self.tasks) {
            let (ticket, sent) = match task {
                Task::Send { ticket, command } => (
                    ticket,
                    Box::new(Sent { request_id: live_id(NOW), happened_at: None, command: *command }),
                ),
                Task::SendAgain { ticket, sent } => (ticket, sent),
                _ => continue,
            };
            self.hear(Msg::Answered { ticket, sent, result: result.clone() });
        }
    }

    pub fn top(&self) -> Option<&Layer> {
        self.state.top().map(|sheet| &sheet.layer)
    }
}

pub fn refusal() -> LinkError {
    LinkError::Refused {
        reason: "ON_HOLD".into(),
        message: "job 34 is held: a part is missing".into(),
        hint: "Release it first, when the reason is gone.".into(),
    }
}

pub fn unsure() -> LinkError {
    LinkError::Expired { why: "the network is slow".into() }
}
