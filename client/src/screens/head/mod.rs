//! The head armourer's screen: the lanes, what needs the head, every job, what is owed.

mod view;

use crossterm::event::KeyCode;
use remise_core::armoury::State as JobState;
use remise_core::ids::{BenchId, CallId, JobId, OwedId};
use remise_link::view::{JobView, LaneSlot};

use super::board::{self, Late};
use super::keys::{Act, Binding, Press};
use super::offer;
use super::state::{RowKey, State};
use super::update;
use super::verb::Verb;

pub use view::lines;

/// The lists, in the order in which Tab goes through them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// The lanes by bench.
    Lanes,
    /// What needs the head.
    Needs,
    /// Every open job.
    All,
    /// What is owed.
    Owed,
}

impl Section {
    /// Every list.
    pub const ALL: [Self; 4] = [Self::Lanes, Self::Needs, Self::All, Self::Owed];

    /// Its name.
    pub fn title(self) -> &'static str {
        match self {
            Self::Lanes => "Lanes",
            Self::Needs => "Needs you",
            Self::All => "All jobs",
            Self::Owed => "Owed",
        }
    }
}

/// One line of a list.
#[derive(Clone, Copy, Debug)]
pub enum Entry<'s> {
    /// Words above what follows.
    Title(&'static str),
    /// A bench.
    Bench(BenchId),
    /// A job in a lane.
    Slot(&'s JobView, &'s LaneSlot),
    /// A job in hand at a bench.
    Hand(&'s JobView),
    /// A job.
    Job(&'s JobView),
    /// A call-out.
    Call(CallId),
    /// Something owed.
    Owed(OwedId),
}

impl Entry<'_> {
    /// What choosing it stands for; titles cannot be chosen.
    pub fn key(&self) -> Option<RowKey> {
        match self {
            Self::Title(_) => None,
            Self::Bench(bench) => Some(RowKey::Bench(*bench)),
            Self::Slot(job, _) | Self::Hand(job) | Self::Job(job) => Some(RowKey::Job(job.job)),
            Self::Call(call) => Some(RowKey::Call(*call)),
            Self::Owed(owed) => Some(RowKey::Owed(*owed)),
        }
    }
}

/// The list that is shown.
pub fn chosen_section(state: &State) -> Section {
    Section::ALL[state.home.section % Section::ALL.len()]
}

/// The rows of the list that can be chosen.
pub fn rows(state: &State) -> Vec<RowKey> {
    let mut rows: Vec<RowKey> = Vec::new();
    for key in entries(state, chosen_section(state)).iter().filter_map(Entry::key) {
        if !rows.contains(&key) {
            rows.push(key);
        }
    }
    rows
}

/// The lines of a list.
pub fn entries(state: &State, section: Section) -> Vec<Entry<'_>> {
    match section {
        Section::Lanes => lanes(state),
        Section::Needs => needs(state),
        Section::All => board::desk_order(state).into_iter().map(Entry::Job).collect(),
        Section::Owed => state.board.owed.iter().flatten().map(|owed| Entry::Owed(owed.owed)).collect(),
    }
}

fn lanes(state: &State) -> Vec<Entry<'_>> {
    let mut all = Vec::new();
    for bench in state.board.benches.iter().flatten() {
        all.push(Entry::Bench(bench.bench));
        all.extend(bench.in_hand.and_then(|id| state.board.job(id)).map(Entry::Hand));
        let slots = state.board.lane(bench.bench).map_or(&[][..], |lane| &lane.slots);
        let open = slots.iter().filter(|slot| Some(slot.job) != bench.in_hand);
        all.extend(open.filter_map(|slot| state.board.job(slot.job).map(|job| Entry::Slot(job, slot))));
    }
    all
}

fn needs(state: &State) -> Vec<Entry<'_>> {
    let jobs = |fits: &dyn Fn(&JobView) -> bool| {
        state.board.jobs.iter().filter(|job| fits(job)).map(Entry::Job).collect::<Vec<_>>()
    };
    let unplaced = |id: JobId, job: &JobView| {
        let planner = state.board.planner.as_ref();
        job.hold.is_none() && planner.is_some_and(|planner| planner.unplaced.iter().any(|one| one.job == id))
    };
    let calls = state.board.calls.iter().flatten().map(|call| Entry::Call(call.call)).collect();
    let parts = [
        ("Call-outs", calls),
        ("Will be late", late_first(state, jobs(&|job| matches!(board::late(state, job), Late::By(_))))),
        ("May be late", jobs(&|job| board::late(state, job) == Late::Perhaps)),
        (
            "Notice not confirmed for long",
            jobs(&|job| job.notice.is_some_and(|n| n.raised && n.confirmed.is_none())),
        ),
        ("Held", jobs(&|job| job.hold.is_some())),
        ("Cannot be found", jobs(&|job| job.state == JobState::Gone)),
        ("In no lane", jobs(&|job| unplaced(job.job, job))),
    ];
    let mut all = Vec::new();
    for (title, entries) in parts.into_iter().filter(|(_, entries)| !entries.is_empty()) {
        all.push(Entry::Title(title));
        all.extend(entries);
    }
    all
}

/// Those that are late by most stand first.
fn late_first<'s>(state: &State, mut entries: Vec<Entry<'s>>) -> Vec<Entry<'s>> {
    let by = |entry: &Entry<'_>| match entry {
        Entry::Job(job) => match board::late(state, job) {
            Late::By(span) => span.0,
            _ => 0,
        },
        _ => 0,
    };
    entries.sort_by_key(|entry| std::cmp::Reverse(by(entry)));
    entries
}

/// The keys of the home layer.
pub fn keys(state: &State) -> Vec<Binding> {
    let mut list = vec![
        Binding::key(KeyCode::Tab, Act::Next, "next list"),
        Binding::quiet(Press::Key(KeyCode::BackTab), Act::Previous, "list before"),
        Binding::new(Press::Digit, Act::Scan, "a tag"),
    ];
    match state.home.pointer.at {
        Some(RowKey::Job(_)) => list.push(Binding::key(KeyCode::Enter, Act::Enter, "the item")),
        Some(RowKey::Bench(bench)) => {
            let open = state.board.bench(bench).is_some_and(|view| view.open);
            list.push(Binding::verb(if open { Verb::CloseBench } else { Verb::OpenBench }));
        }
        Some(RowKey::Call(_)) => list.push(Binding::verb(Verb::Redirect)),
        Some(RowKey::Owed(_)) => list.push(Binding::verb(Verb::EndOwed)),
        None => {}
    }
    list.extend(of_chosen(state));
    list.extend([Verb::Search, Verb::Night, Verb::Count, Verb::CloseDay].map(Binding::verb));
    let rare = [Verb::Exchange, Verb::CallOut, Verb::HandIn];
    list.extend(rare.map(|verb| Binding { foot: false, ..Binding::verb(verb) }));
    list
}

/// Moves of the chosen job work here too, without opening its card; the commonest stand in the foot line.
fn of_chosen(state: &State) -> Vec<Binding> {
    let chosen = state.subject().and_then(|id| state.job(id));
    let verbs = chosen.map(|job| offer::job_verbs(state.role, job)).unwrap_or_default();
    let common = [Verb::Pin, Verb::Hold, Verb::Release, Verb::TakeOver, Verb::WantBy];
    verbs.into_iter().map(|verb| Binding { foot: common.contains(&verb), ..Binding::verb(verb) }).collect()
}

/// On to another list.
pub fn section(state: &mut State, by: isize) {
    let count = Section::ALL.len();
    let here = state.home.section % count;
    state.home.section = here.checked_add_signed(by).map_or(count - 1, |at| at % count);
    state.home.pointer.rest();
    update::settle_row(state);
}
