//! At the strips and at the counter: handing in, scanning, confirming, collecting.

use remise_core::armoury::{Command, HandIn, HandInItem, JobRef, Spot, Whose};
use remise_core::time::Span;
use remise_link::Accepted;

use crate::day::Collection;

use super::PlayError;
use super::agenda::{Errand, What, Who};
use super::director::Director;
use super::thing::{Thing, ThingId};

/// Who stands at a spot.
pub(super) fn who(spot: Spot) -> Who {
    match spot {
        Spot::Strip(strip) => Who::Strip(strip),
        Spot::Counter => Who::Counter,
    }
}

impl Director<'_> {
    pub(super) async fn prepare_strip(&mut self, what: What) -> Result<Option<Command>, PlayError> {
        Ok(match what {
            What::HandIn(thing) => Some(hand_in(self.things.get(thing))),
            What::CallOut(number) => self
                .day
                .call_outs
                .get(number)
                .map(|call| Command::CallOut { strip: call.strip, note: Some(call.note.to_owned()) }),
            What::Scan(thing) => self.scan(thing),
            What::CallOff(thing) => self.call_off(thing),
            What::Confirm(thing) => self.confirm(thing).await?,
            What::Collect(thing) => self.collect(thing),
            _ => None,
        })
    }

    fn scan(&self, id: ThingId) -> Option<Command> {
        let thing = self.things.get(id);
        Some(Command::ScanIn { job: JobRef::Job(thing.job?), tag: Some(thing.written) })
    }

    fn call_off(&self, id: ThingId) -> Option<Command> {
        let thing = self.things.get(id);
        let reason = "the fencer no longer wants it mended".to_owned();
        Some(Command::CallOff { job: JobRef::Job(thing.job?), reason })
    }

    /// Reads the strip's board and confirms the oldest notice on it.
    async fn confirm(&mut self, id: ThingId) -> Result<Option<Command>, PlayError> {
        let spot = self.things.get(id).spot;
        let board = self.cast.link(who(spot)).strip_board(Some(spot)).await?;
        let open = board
            .jobs
            .iter()
            .filter_map(|job| job.notice.as_ref())
            .filter(|notice| notice.confirmed.is_none() && notice.to == spot);
        Ok(open.min_by_key(|open| open.notice).map(|open| Command::ConfirmNotice { notice: open.notice }))
    }

    fn collect(&mut self, id: ThingId) -> Option<Command> {
        let thing = self.things.get_mut(id);
        if thing.left {
            return None;
        }
        match thing.quirks.collection {
            Collection::Never => None,
            Collection::TakenSilently => {
                thing.left = true;
                None
            }
            Collection::HandedBack => {
                let to = thing.fencer.clone().or_else(|| thing.official.clone());
                let to = to.unwrap_or_else(|| "the runner of the hall".to_owned());
                Some(Command::HandBack { job: JobRef::Tag(thing.tag), to })
            }
        }
    }

    pub(super) fn follow_strip(&mut self, errand: Errand, accepted: Option<Accepted>) {
        match (errand.what, accepted) {
            (What::HandIn(thing), Some(accepted)) => self.handed_in(thing, &accepted),
            (What::CallOut(number), Some(accepted)) => {
                self.called_out(number, remise_core::ids::CallId(accepted.first_seq.0));
            }
            (What::CallOut(number), None) => {
                // Nobody could go: the strip calls again.
                self.agenda.put(self.now + Span::minutes(3), errand.who, What::CallOut(number));
            }
            (What::Scan(thing), Some(_)) => self.hang_tags(thing),
            (What::CallOff(thing), Some(_)) => self.tell(thing),
            (What::Confirm(thing), _) => {
                let after = self.things.get(thing).quirks.collect_after;
                // Whoever comes for it stands at the counter.
                self.agenda.put(self.now + after, Who::Counter, What::Collect(thing));
            }
            (What::Collect(thing), Some(_)) => self.things.get_mut(thing).left = true,
            _ => {}
        }
    }

    fn handed_in(&mut self, id: ThingId, accepted: &Accepted) {
        let now = self.now;
        let thing = self.things.get_mut(id);
        thing.job = accepted.jobs.first().copied();
        thing.scanned = thing.spot == Spot::Counter;
        let (spot, scan_after, call_off) = (thing.spot, thing.quirks.scan_after, thing.call_off);
        if spot != Spot::Counter {
            self.agenda.put(now + scan_after, Who::Counter, What::Scan(id));
        }
        if let Some(at) = call_off {
            self.agenda.put(at.or_later(now), who(spot), What::CallOff(id));
        }
    }

    /// Hangs the tag on the thing; on the wrong one of two when the day says so, both are there, and nobody has taken
    /// either yet.
    fn hang_tags(&mut self, id: ThingId) {
        self.things.get_mut(id).scanned = true;
        for (number, swap) in self.day.swaps.iter().enumerate() {
            let (Some(a), Some(b)) = (self.handed.get(swap.a), self.handed.get(swap.b)) else { continue };
            let (a, b) = (*a, *b);
            let lies_there =
                |thing: ThingId| self.things.get(thing).lies_untouched() && !self.is_in_hand(thing);
            if (a == id || b == id) && lies_there(a) && lies_there(b) {
                self.things.swap_tags(a, b);
                self.mixed_up.insert(number);
                return;
            }
        }
    }

    /// A notice about the thing went out: the strip reads it after a while, then somebody comes.
    pub(super) fn tell(&mut self, id: ThingId) {
        let thing = self.things.get(id);
        self.agenda.put(self.now + thing.quirks.confirm_after, who(thing.spot), What::Confirm(id));
    }
}

fn hand_in(thing: &Thing) -> Command {
    let whose = match &thing.fencer {
        Some(name) => Whose::Fencer(name.clone()),
        None if thing.kind.is_apparatus() => Whose::House,
        None => Whose::Unknown,
    };
    let in_room = thing.spot == Spot::Counter;
    Command::HandIn(HandIn {
        whose,
        owner: None,
        bringer: None,
        official: thing.official.clone(),
        came_from: thing.spot,
        back_to: thing.spot,
        wanted: thing.wanted.clone(),
        in_room,
        items: vec![HandInItem {
            kind: thing.kind,
            item: None,
            complaint: thing.complaint,
            note: None,
            tag: in_room.then_some(thing.written),
            need: thing.need,
        }],
    })
}
