//! One job's life, as its events tell it.

use std::collections::BTreeSet;

use crate::said::{HandedIn, Need, Spot};

/// Where a job stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Stand {
    OnItsWay,
    Waiting,
    OnBench,
    Curing,
    Ready,
    Withdrawn,
    CalledOff,
    Gone,
}

impl Stand {
    pub const ALL: &'static [Self] = &[
        Self::OnItsWay,
        Self::Waiting,
        Self::OnBench,
        Self::Curing,
        Self::Ready,
        Self::Withdrawn,
        Self::CalledOff,
        Self::Gone,
    ];

    pub fn title(self) -> &'static str {
        match self {
            Self::OnItsWay => "on its way",
            Self::Waiting => "waiting",
            Self::OnBench => "on a bench",
            Self::Curing => "curing",
            Self::Ready => "ready",
            Self::Withdrawn => "withdrawn",
            Self::CalledOff => "called off",
            Self::Gone => "gone",
        }
    }

    /// The item lies here and only has to be handed back.
    pub fn is_ended(self) -> bool {
        matches!(self, Self::Ready | Self::Withdrawn | Self::CalledOff)
    }
}

/// What was done under a tag. Changes places when two tags were on each other's items.
#[derive(Clone, Debug)]
pub(crate) struct Course {
    pub tag: Option<String>,
    pub stand: Stand,
    /// Where it stood before it was gone.
    pub before_gone: Option<Stand>,
    /// Where it stood before it was made ready, withdrawn or called off.
    pub before_end: Option<Stand>,
    /// When it was made ready, withdrawn or called off, by the time at which it happened.
    pub ended_us: Option<i64>,
    /// When it first lay in the room.
    pub in_room_us: Option<i64>,
    /// When a bench first took it up.
    pub taken_us: Option<i64>,
    /// When it was first known what is wrong with it, or that nothing is.
    pub known_us: Option<i64>,
    /// Checks whose newest entry passed, since the proof was last void.
    pub passed: BTreeSet<String>,
}

/// A promise said for a job, in microseconds since 1970.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Promise {
    /// When it was recorded.
    pub recorded: i64,
    /// When the item is likely to be ready.
    pub likely: i64,
    /// When it is safely ready; `None` when no such time was said.
    pub safe: Option<i64>,
}

/// A job.
#[derive(Clone, Debug)]
pub(crate) struct Job {
    pub item: u64,
    /// When its hand-in was recorded.
    pub recorded_us: i64,
    pub need: Need,
    pub back_to: Spot,
    pub wanted_us: Option<i64>,
    /// The first promise.
    pub promise: Option<Promise>,
    /// Every promise, in the order in which they were said.
    pub promises: Vec<Promise>,
    /// When it was handed in, by the time at which that happened.
    pub came_us: i64,
    /// When it was handed back or collected.
    pub left_us: Option<i64>,
    /// Work stands still; `true` when it is confiscated.
    pub held: Option<bool>,
    /// Under the confiscation lies a hold of the head's, which counts again after it.
    pub held_under: bool,
    /// It was handed back or collected: its life is over.
    pub closed: bool,
    pub course: Course,
}

impl Job {
    pub fn new(recorded_us: i64, came_us: i64, said: &HandedIn) -> Self {
        let stand = if said.in_room { Stand::Waiting } else { Stand::OnItsWay };
        Self {
            item: said.item,
            recorded_us,
            need: said.need,
            back_to: said.back_to,
            wanted_us: said.wanted_by,
            promise: None,
            promises: Vec::new(),
            came_us,
            left_us: None,
            held: None,
            held_under: false,
            closed: false,
            course: Course {
                tag: said.tag.clone(),
                stand,
                before_gone: None,
                before_end: None,
                ended_us: None,
                in_room_us: said.in_room.then_some(came_us),
                taken_us: None,
                known_us: None,
                passed: BTreeSet::new(),
            },
        }
    }

    /// The item was made ready, withdrawn or called off.
    pub fn end(&mut self, stand: Stand, when_us: i64) {
        self.course.before_end = Some(self.course.stand);
        self.course.stand = stand;
        self.course.ended_us = Some(when_us);
    }
}
