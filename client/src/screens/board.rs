//! What a board says, in words: when an item is back, whether that is late, where it is, whose it is.

use remise_core::armoury::{Place, Spot, State as JobState};
use remise_core::ids::{BenchId, StripId};
use remise_core::tag::Tag;
use remise_core::time::{Span, Stamp};
use remise_link::view::{Board, JobView, VenueView};

use super::clock::WallClock;

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

/// When the job's item is back. The last time said counts; the plan where none was said yet.
pub fn back(job: &JobView, venue: Option<&VenueView>) -> Option<Back> {
    if !awaits_work(job) {
        return None;
    }
    let walk = walk_min(venue, job.back_to);
    let ready = job.promise.or(job.planned)?;
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
pub fn late(job: &JobView, venue: Option<&VenueView>, now: Stamp) -> Late {
    let Some(wanted) = job.wanted_by.filter(|_| awaits_work(job)) else { return Late::No };
    let earliest = now.plus_min(walk_min(venue, job.back_to));
    let back = back(job, venue);
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
pub fn back_words(job: &JobView, venue: Option<&VenueView>, clock: &WallClock) -> String {
    match back(job, venue) {
        Some(Back { likely, safe: Some(safe) }) => {
            format!("{} (safely {})", clock.both(likely), clock.at(safe))
        }
        Some(Back { likely, safe: None }) => clock.both(likely),
        None => "no time yet".to_owned(),
    }
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
pub fn desk_order<'b>(board: &'b Board, venue: Option<&VenueView>) -> Vec<&'b JobView> {
    let mut jobs: Vec<&JobView> = board.jobs.iter().collect();
    let rank = |job: &JobView| {
        let group = if awaits_hand_back(job) { 0 } else { 1 + u8::from(job.state == JobState::Gone) };
        let at = back(job, venue).map_or(Stamp(i64::MAX), |back| back.likely);
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
