//! The judgement: one walk through the rows, in step with the clients' answers.

use std::fmt;

use serde::Serialize;

use crate::answers::Answers;
use crate::chain::ChainWatch;
use crate::figures::Figures;
use crate::history::ClientEntry;
use crate::ledger::{Fault, Ledger};
use crate::life::{Job, Stand};
use crate::lines::hex;
use crate::order::Order;
use crate::row::Row;
use crate::said::Said;
use crate::walk::Room;

/// The end of the record, as known from elsewhere.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct End {
    /// When the record ends: microseconds since 1970-01-01T00:00:00Z.
    pub at_us: i64,
    /// The newest event's number, where it was noted elsewhere. Without it, and beyond what clients were
    /// answered, nobody can tell that the newest rows were cut off.
    pub head: Option<u64>,
    /// That event's hash, where it was noted.
    pub hash: Option<[u8; 32]>,
}

impl End {
    /// An end of which only the time is known.
    pub fn at(at_us: i64) -> Self {
        Self { at_us, head: None, hash: None }
    }
}

/// What the checker makes of a journal and the clients' histories.
///
/// Every job has exactly one outcome, so that two sums hold:
/// `jobs = returned + withdrawn + called_off + gone + ready_uncollected + open_at_end` and
/// `jobs = returned + withdrawn_back + called_off_back + gone + uncollected + open_at_end`.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Judgement {
    /// Jobs opened.
    pub jobs: u64,
    /// Handed back, or collected unseen, after they were made ready.
    pub returned: u64,
    /// Withdrawn, whether handed back or still here.
    pub withdrawn: u64,
    /// Of these, handed back or collected.
    pub withdrawn_back: u64,
    /// Called off, whether handed back or still here.
    pub called_off: u64,
    /// Of these, handed back or collected.
    pub called_off_back: u64,
    /// Missing at the end, or collected unseen while missing.
    pub gone: u64,
    /// On their way, waiting, on a bench or curing at the end (or, against the rules, closed from there).
    pub open_at_end: u64,
    /// Ready at the end and not handed back.
    pub ready_uncollected: u64,
    /// Ready, withdrawn or called off at the end and not handed back: the night list.
    pub uncollected: u64,
    /// Answered effects that the journal lacks or contradicts, missing journal numbers, and jobs that nobody can
    /// account for; each once.
    pub lost: u64,
    /// Moments at which one job came to be on two benches, or two jobs on one bench.
    pub double_held: u64,
    /// Share of the jobs with a wanted-by time that were back by then: last made ready, withdrawn or called off,
    /// plus the walk to where they go. Not ended by the end is a miss.
    pub on_time_share: Option<f64>,
    /// Mean of the minutes late over the same jobs, weighted by the need said at hand-in (10, 8, 4, 2, 1) and
    /// divided by the weights. A job that never ended counts up to the end of the record.
    pub weighted_lateness_min: Option<f64>,
    /// Share of all jobs that ended no later than the likely time first promised. No promise recorded within
    /// 60 s of the recorded hand-in is a miss, and so is not having ended.
    pub promise_likely_share: Option<f64>,
    /// The same for the safe time, over the jobs whose promise has one or is missing; `None` when none has one.
    pub promise_safe_share: Option<f64>,
    /// Rows read.
    pub events: u64,
    /// Rows that came with a hash.
    pub hashed: u64,
    /// Hash of the last row, stored or computed, in hexadecimal digits.
    pub hash: String,
    /// What is wrong, in the order in which it was found: at most
    /// [`FAULTS_IN_WORDS`](crate::FAULTS_IN_WORDS) of `faults_in_all`.
    pub faults: Vec<Fault>,
    /// How many faults there are.
    pub faults_in_all: u64,
}

impl Judgement {
    /// Whether nothing is wrong: nothing lost, nothing held twice, no fault of any other kind.
    pub fn is_clean(&self) -> bool {
        self.lost == 0 && self.double_held == 0 && self.faults_in_all == 0
    }

    fn count(&mut self, job: &Job) {
        self.jobs += 1;
        let (here, stand) = (u64::from(!job.closed), job.course.stand);
        match stand {
            Stand::Ready => {
                self.returned += 1 - here;
                self.ready_uncollected += here;
            }
            Stand::Withdrawn => {
                self.withdrawn += 1;
                self.withdrawn_back += 1 - here;
            }
            Stand::CalledOff => {
                self.called_off += 1;
                self.called_off_back += 1 - here;
            }
            Stand::Gone => self.gone += 1,
            Stand::OnItsWay | Stand::Waiting | Stand::OnBench | Stand::Curing => self.open_at_end += 1,
        }
        self.uncollected += if stand.is_ended() { here } else { 0 };
    }
}

impl fmt::Display for Judgement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(
            f,
            "{} events, {} jobs: {} returned, {} withdrawn, {} called off, {} gone, {} ready to collect, {} open",
            self.events,
            self.jobs,
            self.returned,
            self.withdrawn,
            self.called_off,
            self.gone,
            self.ready_uncollected,
            self.open_at_end
        )?;
        write!(f, "{} lost, {} held twice, {} faults", self.lost, self.double_held, self.faults_in_all)?;
        self.faults.iter().take(20).try_for_each(|fault| write!(f, "\n{fault}"))
    }
}

/// Judges a journal by itself and against what its clients were told. The rows come in the journal's order; the
/// history in any order, of one client or of many.
pub fn judge(rows: impl IntoIterator<Item = Row>, history: &[ClientEntry], end: End) -> Judgement {
    let mut ledger = Ledger::default();
    let mut answers = Answers::new(history, &mut ledger);
    let (mut chain, mut order, mut room) = (ChainWatch::default(), Order::default(), Room::default());
    let mut judged = Judgement::default();
    for row in rows {
        judged.events += 1;
        if !order.row(&row, &mut ledger) {
            continue;
        }
        if let Some(broken) = chain.row(&row) {
            ledger.fault(row.seq, broken);
        }
        let jobs = match Said::read(&row.body) {
            Ok(said) => {
                room.event(&row, &said, &mut ledger);
                said.jobs(row.seq)
            }
            Err(why) => {
                ledger.fault(row.seq, why);
                Vec::new()
            }
        };
        answers.row(&row, &jobs, &mut ledger);
    }
    answers.end(order.head(), &mut ledger);
    let (hashed, hash) = chain.end();
    hold_against(end, order.head(), &hash, &mut ledger);
    conclude(Judgement { hashed, hash: hex::text(&hash), ..judged }, &room, end, ledger)
}

/// Compares the journal's end with the one noted elsewhere.
fn hold_against(end: End, head: u64, hash: &[u8; 32], ledger: &mut Ledger) {
    if let Some(noted) = end.head.filter(|noted| *noted > head) {
        ledger.absent(head.saturating_add(1), noted);
        ledger.fault(0, format!("the journal ends at event {head}, yet it had come to event {noted}"));
    }
    let same_place = end.head.is_none_or(|noted| noted == head);
    if same_place && end.hash.is_some_and(|noted| noted != *hash) {
        ledger.fault(head, "the last row's hash is not the one that was noted elsewhere");
    }
}

fn conclude(mut judged: Judgement, room: &Room, end: End, ledger: Ledger) -> Judgement {
    room.jobs.values().for_each(|job| judged.count(job));
    let figures = Figures::of(room, end.at_us);
    Judgement {
        lost: ledger.lost(),
        double_held: ledger.double_held,
        on_time_share: figures.on_time_share,
        weighted_lateness_min: figures.weighted_lateness_min,
        promise_likely_share: figures.promise_likely_share,
        promise_safe_share: figures.promise_safe_share,
        faults_in_all: ledger.faults_in_all,
        faults: ledger.faults,
        ..judged
    }
}

#[cfg(test)]
mod tests;
