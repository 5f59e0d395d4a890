//! Boards: the part of the armoury that one screen shows, as a whole and as a change against what was sent before.

use std::collections::BTreeMap;

use remise_core::armoury::{Job, Spot, State};
use remise_core::ids::{BenchId, StripId};
use remise_core::plan::why::Reasons;
use remise_proto::v1;

use super::lens::{self, Lens};

/// Which part of the armoury.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum View {
    /// One strip's jobs.
    Strip(StripId),
    /// The counter's jobs, those on their way in, and those to be collected.
    Counter,
    /// One bench's jobs and all that waits.
    Bench(BenchId),
    /// Everything.
    Room,
}

impl View {
    fn shows(self, job: &Job) -> bool {
        let of = |spot| job.came_from == spot || job.back_to == spot;
        match self {
            Self::Strip(strip) => {
                of(Spot::Strip(strip)) || job.notice.is_some_and(|notice| notice.to == Spot::Strip(strip))
            }
            Self::Counter => of(Spot::Counter) || job.awaits_hand_back() || job.state() == State::OnItsWay,
            Self::Bench(bench) => match job.state() {
                // The curing shelf is everybody's: what is dry goes on at whichever bench has it in its lane.
                State::OnItsWay | State::Waiting | State::Curing => true,
                State::OnBench => job.course.bench == Some(bench),
                _ => false,
            },
            Self::Room => true,
        }
    }
}

/// The whole board.
pub fn full(lens: &Lens<'_>, view: View) -> v1::Board {
    let jobs: Vec<_> = lens.room.jobs.values().filter(|job| view.shows(job)).collect();
    let mut board = v1::Board {
        covers_up_to: lens.room.head.0,
        at_us: lens.now.0,
        full: true,
        jobs: jobs.iter().map(|job| lens.job(job)).collect(),
        calls: Some(calls(lens, view)),
        ..v1::Board::default()
    };
    if let View::Bench(_) | View::Room = view {
        board.benches = Some(benches(lens, view));
        board.lanes = Some(lanes(lens, view));
        board.planner = Some(planner(lens));
        board.owed = Some(owed(lens, view, &jobs));
    }
    if view == View::Room {
        board.tally = Some(v1::board::Tally { lines: tally(lens, &jobs) });
    }
    board
}

fn calls(lens: &Lens<'_>, view: View) -> v1::board::Calls {
    let calls = lens.room.calls.values().filter(|call| match view {
        View::Strip(strip) => call.strip == strip,
        View::Bench(bench) => call.bench == bench,
        View::Counter | View::Room => true,
    });
    v1::board::Calls { calls: calls.map(|call| lens.call(call)).collect() }
}

fn benches(lens: &Lens<'_>, view: View) -> v1::board::Benches {
    let all = lens.room.venue.iter().flat_map(|venue| &venue.benches);
    let shown = all.filter(|bench| !matches!(view, View::Bench(own) if own != bench.id));
    v1::board::Benches { benches: shown.map(|bench| lens.bench(bench)).collect() }
}

fn lanes(lens: &Lens<'_>, view: View) -> v1::board::Lanes {
    let lanes = match view {
        View::Bench(own) => {
            let reasons = Reasons::new(lens.room, lens.plan);
            let lane = |slots| lens::lane(&reasons, lens.room, own, slots);
            lens.plan.lanes.get(&own).map(|slots| lane(slots.as_slice())).into_iter().collect()
        }
        _ => lens::lanes(lens.room, lens.plan),
    };
    v1::board::Lanes { lanes }
}

fn planner(lens: &Lens<'_>) -> v1::PlannerView {
    v1::PlannerView {
        covers_up_to: lens.plan.based_on.0,
        made_at_us: lens.plan.at.0,
        unplaced: lens::unplaced(lens.plan),
        trouble: lens::trouble(lens.plan),
    }
}

/// A bench sees what is owed on the items that it shows; the head sees all.
fn owed<J: AsRef<Job>>(lens: &Lens<'_>, view: View, jobs: &[J]) -> v1::board::OwedList {
    let owed = if view == View::Room {
        lens.room.owing().flat_map(|item| lens.owed_on(item)).collect()
    } else {
        let items = jobs.iter().filter_map(|job| lens.room.items.get(&job.as_ref().item));
        items.flat_map(|item| lens.owed_on(item)).collect()
    };
    v1::board::OwedList { owed }
}

fn tally<J: AsRef<Job>>(lens: &Lens<'_>, jobs: &[J]) -> Vec<v1::CountLine> {
    let mut lines = count("state", jobs.iter().map(|job| job.as_ref().state().code()));
    lines.extend(count("item_kind", jobs.iter().map(|job| job.as_ref().kind.code())));
    lines.extend(count("complaint", jobs.iter().map(|job| job.as_ref().complaint.code())));
    let sums = &lens.room.tally;
    let ever = [
        ("opened", sums.opened),
        ("returned", sums.returned),
        ("withdrawn", sums.withdrawn),
        ("called_off", sums.called_off),
        ("gone", sums.gone),
        ("days_closed", sums.days_closed),
    ];
    lines.extend(ever.map(|(code, number)| line("ever", code, number)));
    lines.extend(promises(lens));
    lines
}

/// First promises and what became of them, all together and by class of need.
fn promises(lens: &Lens<'_>) -> Vec<v1::CountLine> {
    let coverage = lens.room.kept.coverage();
    let promised = coverage.iter().filter(|class| class.promised > 0);
    promised
        .flat_map(|class| {
            let code = class.need.map_or("all", |need| need.code());
            let (likely, safe) = (class.likely, class.safe);
            [
                line("promised", code, class.promised),
                line("likely_kept", code, likely.resolved - likely.misses),
                line("likely_missed", code, likely.misses),
                line("safe_kept", code, safe.resolved - safe.misses),
                line("safe_missed", code, safe.misses),
            ]
        })
        .collect()
}

/// How often each code occurs, most frequent first, equal ones by code.
pub fn count<'c>(of: &str, codes: impl Iterator<Item = &'c str>) -> Vec<v1::CountLine> {
    let mut numbers: BTreeMap<&str, u64> = BTreeMap::new();
    for code in codes {
        *numbers.entry(code).or_default() += 1;
    }
    let mut lines: Vec<_> = numbers.into_iter().map(|(code, number)| line(of, code, number)).collect();
    lines.sort_by_key(|line| std::cmp::Reverse(line.number));
    lines
}

fn line(of: &str, code: &str, number: u64) -> v1::CountLine {
    v1::CountLine { of: of.to_owned(), code: code.to_owned(), number }
}

/// What a watcher has been sent, so that only changes follow.
#[derive(Default)]
pub struct Sent {
    jobs: BTreeMap<u64, v1::JobView>,
    sections: v1::Board,
}

impl Sent {
    /// The change from what was sent to this full board; `None` when a screen would look the same.
    pub fn change(&mut self, board: v1::Board) -> Option<v1::Board> {
        let mut fresh = board;
        let jobs: BTreeMap<_, _> =
            std::mem::take(&mut fresh.jobs).into_iter().map(|job| (job.job, job)).collect();
        let removed: Vec<_> = self.jobs.keys().filter(|job| !jobs.contains_key(job)).copied().collect();
        let changed: Vec<_> = jobs
            .iter()
            .filter(|(id, job)| self.jobs.get(id) != Some(job))
            .map(|(_, job)| job.clone())
            .collect();
        let old = &self.sections;
        let change = v1::Board {
            covers_up_to: fresh.covers_up_to,
            at_us: fresh.at_us,
            full: false,
            jobs: changed,
            removed,
            benches: differs(old.benches.as_ref(), fresh.benches.as_ref()),
            calls: differs(old.calls.as_ref(), fresh.calls.as_ref()),
            lanes: differs(old.lanes.as_ref(), fresh.lanes.as_ref()),
            owed: differs(old.owed.as_ref(), fresh.owed.as_ref()),
            tally: differs(old.tally.as_ref(), fresh.tally.as_ref()),
            planner: differs(old.planner.as_ref(), fresh.planner.as_ref()),
        };
        let first = !old.full;
        self.jobs = jobs;
        self.sections = fresh;
        if first {
            return Some(v1::Board { full: true, ..change });
        }
        let empty =
            v1::Board { covers_up_to: change.covers_up_to, at_us: change.at_us, ..v1::Board::default() };
        (change != empty).then_some(change)
    }
}

fn differs<T: PartialEq + Clone>(old: Option<&T>, new: Option<&T>) -> Option<T> {
    if old == new { None } else { new.cloned() }
}
