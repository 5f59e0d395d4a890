//! The head armourer: exchanges tags, opens benches after hours, and in the evening counts and closes the day.

use remise_core::armoury::{Command, JobRef, Place};
use remise_core::tag::Tag;
use remise_core::time::Span;
use remise_link::Accepted;
use remise_link::view::Board;

use super::PlayError;
use super::agenda::{What, Who};
use super::director::Director;
use super::scene::awaits_work;
use super::thing::ThingId;

/// Rounds of work after hours before the day is closed with open jobs. Our own number.
const ROUNDS_MOST: u32 = 40;

/// How far the evening has got.
#[derive(Debug, Default)]
pub(super) struct Evening {
    rounds: u32,
    stage: Stage,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Stage {
    /// Somebody may still have to work.
    #[default]
    Working,
    /// What was taken silently is recorded as missing, then as collected.
    Missing,
    Unseen,
    /// Every place is counted, then the day is closed.
    Counting,
    Closing,
    Over,
}

impl Director<'_> {
    pub(super) fn prepare_head(&self, what: What) -> Option<Command> {
        match what {
            What::Exchange(number) if !self.mixed_up.contains(&number) => None,
            What::Exchange(number) => {
                let swap = self.day.swaps.get(number)?;
                let (a, b) = (*self.handed.get(swap.a)?, *self.handed.get(swap.b)?);
                Some(Command::ExchangeTags { a: self.things.get(a).written, b: self.things.get(b).written })
            }
            What::Open(bench) => Some(Command::OpenBench { bench }),
            What::Missing(thing) => {
                Some(Command::Missing { job: JobRef::Tag(self.things.get(thing).tag), note: None })
            }
            What::Unseen(thing) => {
                let note = Some("the shelf is empty and the fencer has gone".to_owned());
                Some(Command::CollectedUnseen { job: JobRef::Tag(self.things.get(thing).tag), note })
            }
            What::Count(place) => Some(Command::Count { place, tags: self.evening_tags(place) }),
            What::CloseDay => Some(Command::CloseDay),
            _ => None,
        }
    }

    pub(super) fn follow_head(&mut self, what: What, accepted: Option<Accepted>) {
        match (what, accepted) {
            (What::Open(bench), Some(_)) => {
                if let Some(bench) = self.benches.get_mut(&bench) {
                    bench.late = true;
                }
            }
            (What::Exchange(number), Some(_)) => drop(self.mixed_up.remove(&number)),
            _ => {}
        }
    }

    /// Nothing is left on the agenda: what the evening asks for next. `false` when the day is over.
    pub(super) async fn next_of_the_evening(&mut self) -> Result<bool, PlayError> {
        let room = self.cast.link(Who::Head).room().await?;
        match self.evening.stage {
            Stage::Working => self.work_on(&room),
            Stage::Missing => self.missing(What::Missing, Stage::Unseen),
            Stage::Unseen => self.missing(What::Unseen, Stage::Counting),
            Stage::Counting => self.count(&room),
            Stage::Closing => {
                self.agenda.put(self.now, Who::Head, What::CloseDay);
                self.evening.stage = Stage::Over;
            }
            Stage::Over => return Ok(false),
        }
        Ok(true)
    }

    fn work_on(&mut self, room: &Board) {
        let working = room.jobs.iter().any(awaits_work);
        self.evening.rounds += 1;
        if !working || self.evening.rounds > ROUNDS_MOST {
            self.evening.stage = Stage::Missing;
            return;
        }
        let dry = room.jobs.iter().filter_map(|job| job.dry_at).max().unwrap_or(self.now);
        let at = (self.now + Span::minutes(1)).or_later(dry);
        for bench in self.venue.benches.clone() {
            if self.benches.get(&bench.id).is_some_and(|state| !state.late) {
                self.agenda.put(self.now, Who::Head, What::Open(bench.id));
            }
            self.agenda.put(at, Who::Bench(bench.id), What::Look);
        }
    }

    fn missing(&mut self, what: fn(ThingId) -> What, next: Stage) {
        for thing in self.taken_silently() {
            self.agenda.put(self.now, Who::Head, what(thing));
        }
        self.evening.stage = next;
    }

    /// Things that somebody took and that the server believes to be here.
    fn taken_silently(&self) -> Vec<ThingId> {
        let silent = |id: &ThingId| {
            let thing = self.things.get(*id);
            thing.left && thing.quirks.collection == crate::day::Collection::TakenSilently
        };
        (0..self.things.len()).filter(silent).collect()
    }

    fn count(&mut self, room: &Board) {
        let mut places: Vec<Place> =
            room.jobs.iter().map(|job| job.place).filter(|place| place.in_room()).collect();
        places.sort_unstable();
        places.dedup();
        self.evening_places(room);
        for place in places {
            self.agenda.put(self.now, Who::Head, What::Count(place));
        }
        self.evening.stage = Stage::Closing;
    }

    /// Where things lie, by the tags that hang on them: what the head sees when walking the room.
    fn evening_places(&mut self, room: &Board) {
        self.lying = room
            .jobs
            .iter()
            .filter_map(|job| Some((job.place, job.tag?)))
            .filter(|(_, tag)| self.things.with_tag(*tag).is_some_and(|thing| !self.things.get(thing).left))
            .collect();
    }

    fn evening_tags(&self, place: Place) -> Vec<Tag> {
        self.lying.iter().filter(|(at, _)| *at == place).map(|(_, tag)| *tag).collect()
    }
}
