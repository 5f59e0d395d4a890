//! The replay: walks through the events, keeps what each item's last known place and state is, and notes every
//! step that cannot follow from there. Whatever an event says is then taken as having happened.

use std::collections::BTreeMap;

use crate::change;
use crate::hands::Hands;
use crate::ledger::Ledger;
use crate::life::{Job, Stand};
use crate::row::Row;
use crate::said::{HandedIn, Said, Spot};
use crate::steps;

/// Things other than jobs that are called by the number of their event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Thing {
    Call,
    Notice,
    Finding,
    Repair,
}

impl Thing {
    fn title(self) -> &'static str {
        match self {
            Self::Call => "call",
            Self::Notice => "notice",
            Self::Finding => "finding",
            Self::Repair => "repair",
        }
    }
}

/// The armoury as its events tell it.
#[derive(Debug, Default)]
pub(crate) struct Room {
    /// Every job, also those that were handed back.
    pub jobs: BTreeMap<u64, Job>,
    /// Tags of live jobs.
    tags: BTreeMap<String, u64>,
    /// Every item, with the live job that it is here for.
    items: BTreeMap<u64, Option<u64>>,
    things: BTreeMap<u64, Thing>,
    hands: Hands,
    live: u64,
    /// Minutes between strip and armoury.
    walks: BTreeMap<u64, i64>,
}

impl Room {
    /// Minutes to walk there.
    pub fn walk_min(&self, spot: Spot) -> i64 {
        match spot {
            Spot::Strip(strip) => self.walks.get(&strip).copied().unwrap_or(0),
            Spot::Counter => 0,
        }
    }

    /// Takes the next event in.
    pub fn event(&mut self, row: &Row, said: &Said, ledger: &mut Ledger) {
        let jobs = said.jobs(row.seq);
        if row.job.is_some_and(|job| !jobs.contains(&job)) || (row.job.is_none() && !jobs.is_empty()) {
            ledger.fault(
                row.seq,
                format!("its row is filed under {}, its text is about {}", words(row.job), words(jobs)),
            );
        }
        self.refer(row, said, ledger);
        match said {
            Said::VenueSet { venue } => {
                self.walks = venue.strips.iter().map(|strip| (strip.id, strip.walk_min)).collect();
            }
            Said::HandedIn(said) => self.hand_in(row, said, ledger),
            Said::TagsExchanged { a, b } => self.exchange(row, *a, *b, ledger),
            Said::DayClosed { open } if *open != self.live => {
                let text =
                    format!("the day closed with {open} items here, yet {} are known to be", self.live);
                ledger.fault(row.seq, text);
            }
            _ => {
                if let Some(job) = said.job() {
                    self.step(row, job, said, ledger);
                }
            }
        }
    }

    /// Numbers that events give to things, and numbers by which events call them.
    fn refer(&mut self, row: &Row, said: &Said, ledger: &mut Ledger) {
        let new = match said {
            Said::CalledOut {} => Some(Thing::Call),
            Said::NoticeSent { .. } => Some(Thing::Notice),
            Said::Found { .. } => Some(Thing::Finding),
            Said::Repaired { .. } => Some(Thing::Repair),
            _ => None,
        };
        if let Some(new) = new {
            self.things.insert(row.seq, new);
        }
        let known = match said {
            Said::HandedIn(HandedIn { call: Some(call), .. })
            | Said::StripReached { call }
            | Said::Redirected { call }
            | Said::RanAgain { call } => (Thing::Call, *call),
            Said::NoticeConfirmed { notice, .. } | Said::NoticeRaised { notice, .. } => {
                (Thing::Notice, *notice)
            }
            Said::FindingStruck { finding, .. } => (Thing::Finding, *finding),
            Said::RepairStruck { repair, .. } => (Thing::Repair, *repair),
            Said::OwedEnded { owed } => (Thing::Repair, *owed),
            _ => return,
        };
        if self.things.get(&known.1) != Some(&known.0) {
            ledger.fault(row.seq, format!("it speaks of {} {}, which never was", known.0.title(), known.1));
        }
    }

    fn hand_in(&mut self, row: &Row, said: &HandedIn, ledger: &mut Ledger) {
        self.live += 1;
        let job = Job::new(row.at_us, row.happened_at_us, said);
        if said.item != row.seq && !self.items.contains_key(&said.item) {
            ledger.fault(row.seq, format!("item {} comes back that never was here", said.item));
        }
        self.bind_item(row.seq, row.seq, said.item, ledger);
        if let Some(tag) = &said.tag {
            self.bind_tag(row.seq, row.seq, tag, ledger);
        }
        self.jobs.insert(row.seq, job);
    }

    fn bind_item(&mut self, seq: u64, job: u64, item: u64, ledger: &mut Ledger) {
        if let Some(Some(other)) = self.items.insert(item, Some(job)).filter(|other| *other != Some(job)) {
            ledger.fault(seq, format!("item {item} is here for two live jobs, {other} and {job}"));
        }
    }

    fn bind_tag(&mut self, seq: u64, job: u64, tag: &str, ledger: &mut Ledger) {
        if let Some(other) = self.tags.insert(tag.to_owned(), job).filter(|other| *other != job) {
            ledger.fault(seq, format!("tag {tag} is tied to two live jobs, {other} and {job}"));
        }
    }

    /// One step of one job.
    fn step(&mut self, row: &Row, id: u64, said: &Said, ledger: &mut Ledger) {
        let Some(job) = self.jobs.get(&id) else {
            ledger.lost_job(id);
            return ledger
                .fault(row.seq, format!("job {id} was {}, yet it never was opened", steps::title(said)));
        };
        check(row.seq, id, job, said, ledger);
        self.bench_step(row.seq, id, said, ledger);
        self.tie_step(row.seq, id, said, ledger);
        if let Some(job) = self.jobs.get_mut(&id) {
            change::apply(row, job, said);
        }
    }

    /// What the step means for benches.
    fn bench_step(&mut self, seq: u64, id: u64, said: &Said, ledger: &mut Ledger) {
        let on_bench = self.jobs.get(&id).is_some_and(|job| job.course.stand == Stand::OnBench);
        let bench = match said {
            Said::Taken { bench, .. } => *bench,
            Said::BenchCorrected { bench, .. } if on_bench => {
                self.hands.leave(id);
                *bench
            }
            Said::Interrupted { bench, .. } | Said::Resumed { bench, .. } => {
                if !self.hands.has(*bench, id) {
                    ledger.fault(seq, format!("bench {bench} does not have job {id} in hand"));
                }
                return;
            }
            _ if ends_work(said) => return self.hands.leave(id),
            _ => return,
        };
        if let Some(twice) = self.hands.take(id, bench) {
            ledger.double_held += 1;
            ledger.fault(seq, twice);
        }
    }

    /// What the step means for tags and items.
    fn tie_step(&mut self, seq: u64, id: u64, said: &Said, ledger: &mut Ledger) {
        let Some(job) = self.jobs.get_mut(&id) else { return };
        match said {
            Said::ScannedIn { tag, .. } => {
                if let Some(old) = job.course.tag.as_ref().filter(|old| *old != tag) {
                    ledger.lost_job(id);
                    ledger
                        .fault(seq, format!("tag {old} of job {id} came free although the job is not over"));
                    release(&mut self.tags, old, id);
                }
                self.bind_tag(seq, id, tag, ledger);
            }
            Said::ItemCorrected { item, .. } => {
                let old = std::mem::replace(&mut job.item, *item);
                if self.items.get(&old) == Some(&Some(id)) {
                    self.items.insert(old, None);
                }
                if !self.items.contains_key(item) {
                    ledger.fault(seq, format!("item {item} never was here"));
                }
                self.bind_item(seq, id, *item, ledger);
            }
            Said::HandedBack { .. } | Said::CollectedUnseen { .. } if !job.closed => {
                self.live -= 1;
                if let Some(tag) = &job.course.tag {
                    release(&mut self.tags, tag, id);
                }
                if self.items.get(&job.item) == Some(&Some(id)) {
                    self.items.insert(job.item, None);
                }
            }
            Said::HandBackStruck { .. } if job.closed => self.bring_back(seq, id, ledger),
            _ => {}
        }
    }

    /// It did not go back after all: its tag and its item are taken again.
    fn bring_back(&mut self, seq: u64, id: u64, ledger: &mut Ledger) {
        let Some((tag, item)) = self.jobs.get(&id).map(|job| (job.course.tag.clone(), job.item)) else {
            return;
        };
        self.live += 1;
        if let Some(tag) = tag {
            self.bind_tag(seq, id, &tag, ledger);
        }
        self.bind_item(seq, id, item, ledger);
    }

    /// Two tags were on each other's items: what was done under each changes places, and no proof holds.
    fn exchange(&mut self, row: &Row, a: u64, b: u64, ledger: &mut Ledger) {
        for id in [a, b] {
            match self.jobs.get(&id) {
                Some(job) if !job.closed && job.course.stand != Stand::Gone && job.course.tag.is_some() => {}
                _ => {
                    ledger.lost_job(id);
                    ledger.fault(row.seq, format!("job {id} cannot exchange its tag: it has none here"));
                }
            }
        }
        let (Some(first), Some(second)) = (self.jobs.get(&a), self.jobs.get(&b)) else { return };
        let courses = [(a, second.course.clone()), (b, first.course.clone())];
        self.hands.swap(a, b);
        for (id, mut course) in courses {
            course.passed.clear();
            if course.stand == Stand::Ready {
                course.stand = Stand::Waiting;
                course.ended_us = None;
            }
            if let Some(tag) = &course.tag {
                self.tags.insert(tag.clone(), id);
            }
            if let Some(job) = self.jobs.get_mut(&id) {
                job.course = course;
            }
        }
    }
}

fn words(jobs: impl IntoIterator<Item = u64>) -> String {
    let jobs: Vec<_> = jobs.into_iter().map(|job| format!("job {job}")).collect();
    if jobs.is_empty() { "no job".into() } else { jobs.join(" and ") }
}

fn release(tags: &mut BTreeMap<String, u64>, tag: &str, job: u64) {
    if tags.get(tag) == Some(&job) {
        tags.remove(tag);
    }
}

/// Whether the step ends a bench's work on the job.
fn ends_work(said: &Said) -> bool {
    matches!(
        said,
        Said::PutBack { .. }
            | Said::PassedOn { .. }
            | Said::TakenOver { .. }
            | Said::CuringBegan { .. }
            | Said::MadeReady { .. }
            | Said::Withdrawn { .. }
            | Said::CalledOff { .. }
            | Said::WentMissing { .. }
            | Said::Held { .. }
            | Said::HandedBack { .. }
            | Said::CollectedUnseen { .. }
    )
}

/// Whether the step can follow from what is known of the job.
fn check(seq: u64, id: u64, job: &Job, said: &Said, ledger: &mut Ledger) {
    let (step, stand) = (steps::title(said), job.course.stand);
    if let Said::HandBackStruck { .. } = said {
        if !job.closed {
            ledger.fault(seq, format!("job {id} was {step}, yet it never left"));
        }
        return;
    }
    if job.closed {
        ledger.lost_job(id);
        return ledger.fault(seq, format!("job {id} was {step} after it had been handed back or collected"));
    }
    if !steps::from(said).contains(&stand) {
        ledger.fault(seq, format!("job {id} was {step} while {}", stand.title()));
        // A second take of a job on a bench is judged as held twice; of everything else nobody knows how it got there.
        if !(matches!(said, Said::Taken { .. }) && stand == Stand::OnBench) {
            ledger.lost_job(id);
        }
    }
    if job.held.is_some_and(|confiscated| steps::barred_by_hold(said, confiscated)) {
        ledger.fault(seq, format!("job {id} was {step} while held"));
    }
    match said {
        Said::MadeReady { anyway: None, .. } if job.course.passed.is_empty() => {
            ledger.fault(seq, format!("job {id} was made ready without a proof since its last repair"));
        }
        Said::Released { .. } if job.held.is_none() => {
            ledger.fault(seq, format!("job {id} was released, yet it was not held"));
        }
        _ => {}
    }
}

#[cfg(test)]
mod tests;
