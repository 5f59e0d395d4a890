//! What is owed on items: left by stop-gaps, ended by lasting repairs, and moved when the item was another one.

use crate::ids::{ItemId, OwedId, RepairId};
use crate::lasting::owed_work;
use crate::time::Stamp;

use super::super::event::OwedEnded;
use super::super::job::{Owed, Repair};
use super::super::state::Armoury;
use super::super::words::{Lasting, OwedEnd};

impl Armoury {
    /// A stop-gap leaves the lasting repair owed, once for the same work on the same fault.
    pub(super) fn owe(&mut self, item: ItemId, new: Owed) {
        self.item(item, |item| {
            if !item.still_owed().any(|owed| owed.is_like(&new)) {
                item.owed.push(new);
            }
        });
    }

    pub(super) fn end_owed(&mut self, e: &OwedEnded) {
        self.item(e.item, |item| {
            if let Some(owed) = item.owed.iter_mut().find(|owed| owed.id == e.owed) {
                owed.ended = Some(e.how);
                owed.by = e.by;
            }
        });
    }

    /// Undoes on an item what these repairs did to what is owed: what they left owed is lifted off, what they ended is
    /// owed again.
    pub(super) fn lift_debts(&mut self, repairs: &[Repair], item: ItemId) -> Vec<Owed> {
        let did = |id: RepairId| repairs.iter().any(|repair| repair.id == id);
        let mut lifted = Vec::new();
        self.item(item, |item| {
            for owed in item.owed.iter_mut().filter(|owed| owed.by.is_some_and(did)) {
                (owed.ended, owed.by) = (None, None);
            }
            let (theirs, others) = item.owed.drain(..).partition(|owed| did(RepairId(owed.id.0)));
            (lifted, item.owed) = (theirs, others);
        });
        lifted
    }

    /// Does to an item what these repairs do to what is owed; `lifted` is what they had left owed before.
    pub(super) fn lay_debts(&mut self, repairs: &[Repair], item: ItemId, lifted: Vec<Owed>, when: Stamp) {
        for repair in repairs.iter().filter(|repair| repair.lasting == Lasting::StopGap) {
            let new = Owed::of(OwedId(repair.id.0), repair.work, repair.fault.clone(), when);
            // What was ended by hand stays ended.
            if !lifted.iter().any(|owed| owed.is_like(&new)) {
                self.owe(item, new);
            }
        }
        self.item(item, |item| {
            item.owed.extend(lifted);
            item.owed.sort_by_key(|owed| owed.id);
            for repair in repairs.iter().filter(|repair| repair.lasting == Lasting::Lasting) {
                let paid = |owed: &&mut Owed| owed.ended.is_none() && owed.id.0 < repair.id.0;
                for owed in item.owed.iter_mut().filter(paid).filter(|owed| owed_work(owed) == repair.work) {
                    (owed.ended, owed.by) = (Some(OwedEnd::Done), Some(repair.id));
                }
            }
        });
    }
}
