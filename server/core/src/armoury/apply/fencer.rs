//! Fencers: claims, and what they have working.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::gear::ItemKind;
use crate::ids::{JobId, Seq, TextId};

use super::super::event::Claimed;
use super::super::job::Job;
use super::super::state::{Armoury, Kit};
use super::super::words::Need;

impl Armoury {
    pub(super) fn claim(&mut self, seq: Seq, e: &Claimed) {
        self.jobs_of.insert((e.fencer, e.job));
        self.edit(seq, e.job, |job| job.fencer = Some(e.fencer));
        let Some(job) = self.jobs.get(&e.job).cloned() else { return };
        self.item(job.item, |item| item.fencer = Some(e.fencer));
        // What was said while nobody knew whose it is counts only where nothing is known of the fencer.
        let known =
            self.kits.get(&e.fencer).is_some_and(|kit| kit.out || kit.working.contains_key(&job.kind));
        if !known {
            self.say_need(&job, job.declared);
        }
    }

    pub(super) fn set_need(&mut self, seq: Seq, job: JobId, need: Need) {
        self.edit(seq, job, |job| job.declared = need);
        if let Some(job) = self.jobs.get(&job).cloned() {
            self.say_need(&job, need);
        }
    }

    pub(super) fn say_need(&mut self, job: &Job, need: Need) {
        let Some(fencer) = job.fencer.filter(|_| !job.kind.is_apparatus()) else { return };
        self.kit(fencer, |kit| match need {
            Need::Out => kit.out = true,
            Need::NoneLeft => drop(kit.working.insert(job.kind, 0)),
            Need::OneLeft => drop(kit.working.insert(job.kind, 1)),
            Need::TwoOrMore => drop(kit.working.insert(job.kind, 2)),
            Need::StripStopped => {}
        });
    }

    /// Something was lent (1) or came back (-1).
    pub(super) fn loan(&mut self, fencer: TextId, kind: ItemKind, change: i8) {
        self.kit(fencer, |kit| {
            let lent = kit.lent.entry(kind).or_default();
            *lent = lent.saturating_add_signed(change);
            if *lent == 0 {
                kit.lent.remove(&kind);
            }
            add_working(kit, kind, change);
        });
    }

    pub(super) fn kit(&mut self, fencer: TextId, change: impl FnOnce(&mut Kit)) {
        change(Arc::make_mut(self.kits.entry(fencer).or_default()));
    }
}

/// One more or one less that works: kept between none and two or more. Unknown stays unknown on the way down.
pub(super) fn add_working(kit: &mut Kit, kind: ItemKind, change: i8) {
    let working: &mut BTreeMap<_, _> = &mut kit.working;
    match (working.get(&kind).copied(), change) {
        (Some(had), change) => drop(working.insert(kind, had.saturating_add_signed(change).min(2))),
        (None, 1) => drop(working.insert(kind, 1)),
        (None, _) => {}
    }
}
