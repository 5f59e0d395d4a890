//! What a screen knows, what can happen to it, and what it can ask to have done. Plain data: no terminal, no
//! connection, no clock.

use remise_core::armoury::{Command, JobRef, Spot};
use remise_core::ids::{BenchId, CallId, JobId, OwedId, Seq};
use remise_core::time::Stamp;
use remise_link::view::{Board, Course, Found, JobView, NightList, VenueView, Welcome, WhatIf};
use remise_link::{Accepted, LinkError, Sent};

use super::advice::Advice;
use super::clock::WallClock;
use super::layer::{Layer, Sheet};
use super::pointer::Pointer;

/// Whose screen it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Role {
    /// A strip's official.
    Strip,
    /// The counter.
    Counter,
    /// A bench's armourer.
    Bench,
    /// The head armourer.
    Head,
}

/// How the connection stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// Nothing has come yet.
    Opening,
    /// What is shown is what the server has.
    Up,
    /// The server is away; what is shown is old.
    Away {
        /// Since when, by the server's clock.
        since: Stamp,
        /// Why.
        why: String,
    },
    /// The connection ended and is not tried again by itself.
    Over {
        /// Since when, by the server's clock.
        since: Stamp,
        /// Why.
        why: String,
    },
}

/// A row of a home layer that can be chosen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowKey {
    /// A job.
    Job(JobId),
    /// A bench.
    Bench(BenchId),
    /// A call-out.
    Call(CallId),
    /// Something owed.
    Owed(OwedId),
}

/// What is chosen in the home layer.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Home {
    /// What keys act on.
    pub pointer: Pointer<RowKey>,
    /// Row of the bench's list of faults.
    pub fault: usize,
    /// Section of the head's screen.
    pub section: usize,
}

/// A command that was sent and not answered yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pending {
    /// The screen's own number for it.
    pub ticket: u64,
    /// What it is, for a person.
    pub what: String,
}

/// The newest thing that the server said is done.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Done {
    /// When, by the server's clock.
    pub at: Stamp,
    /// What.
    pub what: String,
}

/// Everything that a screen knows.
#[derive(Clone, Debug)]
pub struct State {
    /// Whose screen.
    pub role: Role,
    /// The strip, or the counter.
    pub spot: Option<Spot>,
    /// The bench.
    pub bench: Option<BenchId>,
    /// The tournament's name.
    pub tournament: String,
    /// The clock on the wall.
    pub clock: WallClock,
    /// The connection.
    pub line: Line,
    /// The tournament.
    pub venue: Option<VenueView>,
    /// The board, with every change so far.
    pub board: Board,
    /// Jobs that a search found and the board does not show, as they stood then.
    pub found: Vec<JobView>,
    /// When the board last came, by the server's clock.
    pub board_at: Option<Stamp>,
    /// The course of the bench's job in hand.
    pub course: Option<Course>,
    /// What the guide says of it.
    pub advice: Option<Advice>,
    /// The course that was asked for: job, and the newest event that touched it.
    pub course_asked: Option<(JobId, Seq)>,
    /// The home layer.
    pub home: Home,
    /// The layers over it, the topmost last.
    pub sheets: Vec<Sheet>,
    /// What was sent and not answered.
    pub pending: Vec<Pending>,
    /// What was done last.
    pub done: Option<Done>,
    /// The last ticket given.
    pub tickets: u64,
    /// The program ends.
    pub over: bool,
}

impl State {
    /// A screen that has heard nothing yet.
    pub fn new(role: Role, spot: Option<Spot>, bench: Option<BenchId>, local: Stamp) -> Self {
        Self {
            role,
            spot,
            bench,
            tournament: String::new(),
            clock: WallClock::new(local),
            line: Line::Opening,
            venue: None,
            board: Board::default(),
            found: Vec::new(),
            board_at: None,
            course: None,
            advice: None,
            course_asked: None,
            home: Home::default(),
            sheets: Vec::new(),
            pending: Vec::new(),
            done: None,
            tickets: 0,
            over: false,
        }
    }

    /// Whether what is shown is what the server has.
    pub fn is_fresh(&self) -> bool {
        self.line == Line::Up
    }

    /// The topmost layer.
    pub fn top(&self) -> Option<&Sheet> {
        self.sheets.last()
    }

    /// The job with that number.
    pub fn job(&self, id: JobId) -> Option<&JobView> {
        self.board.job(id).or_else(|| self.found.iter().find(|job| job.job == id))
    }

    /// The job in hand at this bench.
    pub fn in_hand(&self) -> Option<&JobView> {
        let hand = self.board.bench(self.bench?)?.in_hand?;
        self.job(hand)
    }

    /// The job that keys act on: that of the topmost card, the one in hand, or the chosen row.
    pub fn subject(&self) -> Option<JobId> {
        let card = self.sheets.iter().rev().find_map(|sheet| match sheet.layer {
            Layer::Job(id) => Some(id),
            _ => None,
        });
        card.or_else(|| self.in_hand().map(|job| job.job)).or(self.chosen_job())
    }

    /// The job of the chosen row.
    pub fn chosen_job(&self) -> Option<JobId> {
        match self.home.pointer.at {
            Some(RowKey::Job(id)) => Some(id),
            _ => None,
        }
    }

    /// Whether keys have lost what they act on: the chosen row has left the list, and no job is in hand.
    pub fn is_unchosen(&self) -> bool {
        self.home.pointer.gone && self.in_hand().is_none()
    }

    /// The course of the job, when it is the one in hand.
    pub fn course_of(&self, job: JobId) -> Option<&Course> {
        self.course.as_ref().filter(|course| course.job.job == job)
    }
}

/// Why a course is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadFor {
    /// The bench's card.
    Bench,
    /// A person wants to read it.
    Person,
    /// A mistake is to be put right.
    Correct,
}

/// Something that happened.
#[derive(Clone, Debug)]
pub enum Msg {
    /// A second has passed: this machine's clock.
    Tick(Stamp),
    /// A key was pressed.
    Key(crossterm::event::KeyEvent),
    /// A scanner has typed these digits.
    Scan(String),
    /// A text was pasted.
    Paste(String),
    /// The connection is open.
    Hello(Box<Welcome>),
    /// The tournament.
    Venue(Box<VenueView>),
    /// The board, or a change of it.
    Board(Box<Board>),
    /// The server is away, since then by this machine's clock.
    Away(Stamp, String),
    /// The connection has ended.
    Over(LinkError),
    /// A command was answered.
    Answered {
        /// The screen's number for it.
        ticket: u64,
        /// What was sent.
        sent: Box<Sent>,
        /// The answer.
        result: Result<Accepted, LinkError>,
    },
    /// A course was read.
    Course(ReadFor, Box<Result<Course, LinkError>>),
    /// A search ended.
    Found(String, Box<Result<Found, LinkError>>),
    /// What something would change, and what that was.
    Tried(String, Box<Result<WhatIf, LinkError>>),
    /// The night list was read.
    Night(Box<Result<NightList, LinkError>>),
}

/// Something that the loop has to carry out.
#[derive(Clone, Debug, PartialEq)]
pub enum Task {
    /// Send a command.
    Send {
        /// The screen's number for it.
        ticket: u64,
        /// What is asked.
        command: Box<Command>,
    },
    /// Send the same once more, under its first id.
    SendAgain {
        /// The screen's number for it.
        ticket: u64,
        /// What was sent.
        sent: Box<Sent>,
    },
    /// Read a job's course.
    ReadCourse(JobRef, ReadFor),
    /// Search.
    Search(String),
    /// Ask what a command would change, which is called that.
    Try(Box<Command>, String),
    /// Read the night list.
    ReadNight,
    /// Read the tournament.
    ReadVenue,
    /// Connect and watch once more.
    Reconnect,
}
