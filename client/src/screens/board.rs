//! What a board says, in words: when an item is back, whether that is late, where it is, whose it is.

use remise_core::armoury::{Place, Spot, State as JobState};
use remise_core::ids::{BenchId, StripId};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp};
use remise_link::view::{Board, JobView, VenueView};

use super::clock::WallClock;
use super::state::{Role, State};
use super::text::width;

/// When an item is back where it goes: ready in the armoury, and the walk.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Back {
    /// In half of all cases.
    pub likely: Stamp,
    /// In nine cases of ten, where an honest figure exists.
    pub safe: Option<Stamp>,
}

/// How an item's return compares with when it is wanted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Late {
    /// In time, or nobody said when.
    No,
    /// In one case of ten it is later than wanted.
    Perhaps,
    /// It will be later, by that.
    By(Span),
}

/// Minutes between the armoury and where it goes.
pub fn walk_min(venue: Option<&VenueView>, spot: Spot) -> i64 {
    match (spot, venue) {
        (Spot::Strip(strip), Some(venue)) => venue.strip(strip).map_or(0, |strip| i64::from(strip.walk_min)),
        _ => 0,
    }
}

/// When the job's item is back. For whoever waits for it the last time said counts; in the room the newest plan
/// does, which may be better or worse than what was said. What is held has no time, whatever was said before.
pub fn back(state: &State, job: &JobView) -> Option<Back> {
    if !awaits_work(job) || job.hold.is_some() {
        return None;
    }
    let walk = walk_min(state.venue.as_ref(), job.back_to);
    let ready = match state.role {
        Role::Strip | Role::Counter => job.promise.or(job.planned)?,
        Role::Bench | Role::Head => job.planned.or(job.promise)?,
    };
    Some(Back { likely: ready.likely.plus_min(walk), safe: ready.safe.map(|safe| safe.plus_min(walk)) })
}

/// Whether somebody still has to work on it.
pub fn awaits_work(job: &JobView) -> bool {
    matches!(job.state, JobState::OnItsWay | JobState::Waiting | JobState::OnBench | JobState::Curing)
}

/// Whether the item lies here to be handed back.
pub fn awaits_hand_back(job: &JobView) -> bool {
    matches!(job.state, JobState::Ready | JobState::Withdrawn | JobState::CalledOff)
}

/// Whether it will be late. A time that has gone by makes it late even if no time was said.
pub fn late(state: &State, job: &JobView) -> Late {
    let Some(wanted) = job.wanted_by.filter(|_| awaits_work(job)) else { return Late::No };
    let earliest = state.clock.now().plus_min(walk_min(state.venue.as_ref(), job.back_to));
    let back = back(state, job);
    let likely = back.map_or(earliest, |back| back.likely.or_later(earliest));
    if likely > wanted {
        return Late::By(likely.since(wanted));
    }
    match back.and_then(|back| back.safe) {
        Some(safe) if safe > wanted => Late::Perhaps,
        _ => Late::No,
    }
}

/// The mark of a late job; empty when it is in time.
pub fn late_mark(late: Late) -> String {
    match late {
        Late::No => String::new(),
        Late::Perhaps => "may be late".to_owned(),
        Late::By(span) => format!("LATE {span}"),
    }
}

/// Whose it is.
pub fn whose(job: &JobView) -> String {
    match &job.fencer {
        Some(name) if job.team => format!("{name} (team)"),
        Some(name) => name.clone(),
        None if job.kind.is_apparatus() => "the tournament".to_owned(),
        None => "nobody knows".to_owned(),
    }
}

/// The complaint, in short words where the whole does not fit into so many columns.
pub fn complaint(job: &JobView, columns: usize) -> &'static str {
    let whole = job.complaint.title();
    if width(whole) <= columns { whole } else { job.complaint.short() }
}

/// The tag's digits.
pub fn tag(job: &JobView) -> String {
    job.tag.map_or_else(|| "no tag".to_owned(), Tag::digits)
}

/// What people call the strip or the counter.
pub fn spot(venue: Option<&VenueView>, spot: Spot) -> String {
    match spot {
        Spot::Strip(id) => strip(venue, id),
        Spot::Counter => "the counter".to_owned(),
    }
}

/// What people call the strip.
pub fn strip(venue: Option<&VenueView>, id: StripId) -> String {
    let name = venue.and_then(|venue| venue.strip(id)).map(|strip| strip.name.clone());
    format!("strip {}", name.unwrap_or_else(|| id.to_string()))
}

/// What people call the bench.
pub fn bench(venue: Option<&VenueView>, id: BenchId) -> String {
    let name = venue.and_then(|venue| venue.bench(id)).map(|bench| bench.name.clone());
    name.unwrap_or_else(|| format!("bench {id}"))
}

/// Where an item is.
pub fn place(venue: Option<&VenueView>, place: Place) -> String {
    match place {
        Place::Strip(id) => strip(venue, id),
        Place::Bench(id) => bench(venue, id),
        other => other.to_string(),
    }
}

/// Where the job stands, with what a person would ask next.
pub fn standing(job: &JobView, venue: Option<&VenueView>, clock: &WallClock) -> String {
    if let Some(hold) = job.hold.as_ref().filter(|_| awaits_work(job) || job.state == JobState::Ready) {
        return format!("held: {}", hold.reason.title());
    }
    match (job.state, job.bench, job.dry_at) {
        (JobState::OnBench, Some(id), _) => format!("on {}", bench(venue, id)),
        (JobState::Curing, _, Some(dry)) if dry > clock.now() => format!("curing, dry {}", clock.at(dry)),
        (JobState::Curing, _, Some(_)) => "curing: dry now".to_owned(),
        (JobState::Ready, ..) => "READY".to_owned(),
        (JobState::Withdrawn, ..) => "WITHDRAWN".to_owned(),
        (JobState::Gone, ..) => "CANNOT BE FOUND".to_owned(),
        (state, ..) => state.title().to_owned(),
    }
}

/// Where the job stands and where the item lies, each said once.
pub fn whereabouts(job: &JobView, venue: Option<&VenueView>, clock: &WallClock) -> String {
    let standing = standing(job, venue, clock);
    match job.place {
        Place::Bench(_) if job.state == JobState::OnBench && job.hold.is_none() => standing,
        Place::CuringShelf | Place::Gone => standing,
        at => format!("{standing}, at {}", place(venue, at)),
    }
}

/// When it is back, with the safe time: `14:31, in 23 min (safely 14:40)`.
pub fn back_words(state: &State, job: &JobView) -> String {
    let clock = &state.clock;
    match back(state, job) {
        Some(Back { likely, safe: Some(safe) }) => {
            format!("{} (safely {})", clock.both(likely), clock.at(safe))
        }
        Some(Back { likely, safe: None }) => clock.both(likely),
        None if job.hold.is_some() => "no time before it is released".to_owned(),
        None => "no time yet".to_owned(),
    }
}

/// When it is back, in a sentence: `back 14:31, in 23 min`, or that there is no time.
pub fn back_said(state: &State, job: &JobView) -> String {
    let says = if back(state, job).is_some() { "back " } else { "" };
    says.to_owned() + &back_words(state, job)
}

/// `foil 12340, Ida Test`: a job in a sentence.
pub fn name(job: &JobView) -> String {
    match job.tag {
        Some(tag) => format!("{} {tag}, {}", job.kind.title(), whose(job)),
        None => format!("{} without a tag, {}", job.kind.title(), whose(job)),
    }
}

/// The job that carries the tag.
pub fn with_tag(board: &Board, tag: Tag) -> Option<&JobView> {
    board.jobs.iter().find(|job| job.tag == Some(tag))
}

/// Names on the board, each once, in the order of the alphabet.
pub fn people(board: &Board) -> Vec<String> {
    let mut names: Vec<String> = board.jobs.iter().filter_map(|job| job.fencer.clone()).collect();
    names.sort();
    names.dedup();
    names
}

/// A strip's or the counter's jobs in the order in which they are shown: to be collected first, then by when
/// they are back.
pub fn desk_order(state: &State) -> Vec<&JobView> {
    let mut jobs: Vec<&JobView> = state.board.jobs.iter().collect();
    let rank = |job: &JobView| {
        let group = if awaits_hand_back(job) { 0 } else { 1 + u8::from(job.state == JobState::Gone) };
        let at = back(state, job).map_or(Stamp(i64::MAX), |back| back.likely);
        (group, at, job.job)
    };
    jobs.sort_by_key(|job| rank(job));
    jobs
}

/// The notices that wait for this strip or counter to confirm them, oldest first.
pub fn notices(board: &Board, at: Option<Spot>) -> Vec<&JobView> {
    let waits = |job: &&JobView| {
        job.notice.is_some_and(|n| n.confirmed.is_none() && at.is_none_or(|spot| n.to == spot))
    };
    let mut jobs: Vec<&JobView> = board.jobs.iter().filter(waits).collect();
    jobs.sort_by_key(|job| job.notice.map(|notice| notice.sent));
    jobs
}

#[cfg(test)]
mod tests {
    use remise_core::armoury::HoldReason;
    use remise_link::view::HoldView;

    use super::super::state::{Role, State};
    use super::super::tests::{NOW, job, venue};
    use super::*;

    /// Minutes from now: likely and safe readiness, wanted-by; and what that comes to with two minutes on foot.
    #[test]
    fn late_is_what_is_back_after_it_is_wanted() {
        let mut state = State::new(Role::Strip, None, None, NOW);
        state.venue = Some(venue());
        for (likely, safe, wanted, mark) in [
            (10, Some(15), Some(17), ""),
            (10, Some(16), Some(17), "may be late"),
            (15, None, Some(17), ""),
            (16, Some(30), Some(17), "LATE 1 min"),
            (-5, None, Some(1), "LATE 1 min"),
            (90, None, None, ""),
        ] {
            let mut job = job(1);
            job.wanted_by = wanted.map(|minutes| NOW.plus_min(minutes));
            job.promise = job.promise.map(|mut promise| {
                promise.likely = NOW.plus_min(likely);
                promise.safe = safe.map(|minutes| NOW.plus_min(minutes));
                promise
            });
            assert_eq!(late_mark(late(&state, &job)), mark, "{likely} {safe:?} {wanted:?}");
        }
    }

    #[test]
    fn what_is_held_has_no_time_whatever_was_said_before() {
        let mut held = job(1);
        let mut state = State::new(Role::Strip, None, None, NOW);
        state.venue = Some(venue());
        assert!(back(&state, &held).is_some());
        held.hold = Some(HoldView { reason: HoldReason::Confiscated, note: None, since: NOW });
        assert_eq!(back(&state, &held), None);
        assert_eq!(back_words(&state, &held), "no time before it is released");
    }

    #[test]
    fn who_waits_sees_what_was_said_and_the_room_sees_the_plan() {
        let mut job = job(1);
        job.planned = job.promise.map(|mut promise| {
            promise.likely = NOW.plus_min(3);
            promise
        });
        for (role, minutes) in [(Role::Strip, 14), (Role::Counter, 14), (Role::Bench, 5), (Role::Head, 5)] {
            let mut state = State::new(role, None, None, NOW);
            state.venue = Some(venue());
            assert_eq!(back(&state, &job).map(|back| back.likely), Some(NOW.plus_min(minutes)), "{role:?}");
        }
    }
}
