//! The fault table: what can be wrong with each kind of item, how it is shown, what mends it, how long that
//! takes and whether it lasts.
//!
//! Titles, checks, repairs, minutes and sources are those of `tests/reference/faults.csv` (a test compares
//! them). **The shares are estimates made by us**: no published figure for how often each fault occurs was
//! found. So is the reading that a fault's first complaint is twice as common as each of its others.

mod apparatus;
mod cords;
mod epee;
mod foil;
mod sabre;
#[cfg(test)]
mod tests;
mod worn;

use super::cautions::{Caution, DEFERRING, Hazard};
use super::complaint::Complaint;
use super::kind::{ItemKind, Work};
use super::share::to_permille;

/// Whether a repair lasts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lasting {
    /// It lasts.
    Lasting,
    /// It helps for the day; the lasting repair is still owed.
    StopGap,
    /// Both ways exist, and the armourer says which was done.
    Either,
    /// There is no repair: the part is withdrawn.
    NoRepair,
}

/// How long a repair takes at the bench, without curing, in whole minutes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Minutes {
    /// The middle: half of the repairs take less.
    pub likely: u16,
    /// One in twenty takes less.
    pub low: u16,
    /// One in twenty takes more.
    pub high: u16,
}

/// Something that can be wrong with an item.
#[derive(Debug, PartialEq, Eq)]
pub struct Fault {
    /// Stable code: in the journal, on the command line, in files.
    pub id: &'static str,
    /// The kinds of item that can have it.
    pub kinds: &'static [ItemKind],
    /// What is wrong.
    pub title: &'static str,
    /// The kind of work that mends it.
    pub work: Work,
    /// What a strip sees of it, commonest first. A kind that does not offer a complaint never reports it.
    pub complaints: &'static [Complaint],
    /// **Estimate of ours**: of a thousand faulty items of such a kind, how many have it. Relative: within a
    /// kind the shares need not sum to 1000, as some faults are shared by kinds.
    pub share_permille_estimate: u16,
    /// Bench minutes. Nearly all are from memory, not checked: see `source`.
    pub minutes: Minutes,
    /// Whether the repair lasts.
    pub lasting: Lasting,
    /// Minutes for which glue sets after the repair, when the repair used glue. Ten for quick glue in a groove,
    /// by a technical instruction on rewiring foils (read on a stored page without a rule number).
    pub curing_min: Option<u16>,
    /// What in its check and repair can hurt someone.
    pub hazards: &'static [Hazard],
    /// The check that shows it.
    pub test: &'static str,
    /// What mends it.
    pub repair: &'static str,
    /// Where cause, check and minutes come from.
    pub source: &'static str,
}

impl Fault {
    /// The lognormal distribution of its bench minutes, as (mu, sigma) of ln(minutes).
    ///
    /// mu = ln(likely), so that the median is `likely`; sigma = ln(high / low) / (2 · 1.645), so that low to
    /// high is as wide as the central 90 % (1.645 is the normal distribution's 95 % point). Where `likely` is
    /// not the geometric mean of low and high, the central 90 % lies somewhat to one side of low..high.
    /// An estimate to start from; learned times replace it.
    pub fn minutes_lognormal(&self) -> (f64, f64) {
        let Minutes { likely, low, high } = self.minutes;
        (f64::from(likely).ln(), (f64::from(high) / f64::from(low)).ln() / (2.0 * 1.645))
    }

    /// The cautions for its check and repair, hazard by hazard, and last that local rules go first. Empty when
    /// nothing in it is known to be dangerous.
    pub fn cautions(&self) -> impl Iterator<Item = &'static Caution> {
        let last = (!self.hazards.is_empty()).then_some(&DEFERRING);
        self.hazards.iter().flat_map(|hazard| hazard.cautions()).chain(last)
    }
}

/// What can happen when a blade is wired anew.
const REWIRING: &[Hazard] = &[Hazard::Glue, Hazard::OldWire, Hazard::Solvent, Hazard::Springs];

const fn minutes(likely: u16, low: u16, high: u16) -> Minutes {
    Minutes { likely, low, high }
}

fn all() -> impl Iterator<Item = &'static Fault> {
    [foil::FAULTS, epee::FAULTS, sabre::FAULTS, cords::FAULTS, worn::FAULTS, apparatus::FAULTS]
        .into_iter()
        .flatten()
}

/// The faults that this kind can have, in the table's order.
pub fn faults(kind: ItemKind) -> impl Iterator<Item = &'static Fault> {
    all().filter(move |fault| fault.kinds.contains(&kind))
}

/// The fault with that code.
pub fn fault(id: &str) -> Option<&'static Fault> {
    all().find(|fault| fault.id == id)
}

/// How likely each fault is after a complaint and before any check, likeliest first, in thousandths that sum to
/// exactly 1000. **Estimates of ours**, made from the shares of the table.
///
/// Only faults that can give the complaint are listed. For [`Complaint::Other`], and for a complaint that the
/// kind does not offer, every fault of the kind is listed by its share: use that as well when none of the
/// listed faults was found.
pub fn prior(kind: ItemKind, complaint: Complaint) -> Vec<(&'static Fault, u16)> {
    let weights: Vec<_> =
        faults(kind).map(|fault| (fault, complaint_weight(fault, kind, complaint))).collect();
    to_permille(&weights)
}

/// How often a fault of that kind of item is reported with that complaint: the first of its complaints that the kind
/// offers twice as often as each other. 0 for one that it does not give.
pub fn complaint_chance(fault: &Fault, kind: ItemKind, complaint: Complaint) -> f64 {
    let whole = u64::from(fault.share_permille_estimate) * WHOLE;
    complaint_weight(fault, kind, complaint) as f64 / whole.max(1) as f64
}

/// Divisible by 2 to 10, so that weights stay whole.
const WHOLE: u64 = 2520;

/// How much a fault weighs under a complaint about a kind: its share, divided among those of its complaints
/// that the kind offers, the first counting double.
pub(super) fn complaint_weight(fault: &Fault, kind: ItemKind, complaint: Complaint) -> u64 {
    let offered = Complaint::for_kind(kind);
    let share = u64::from(fault.share_permille_estimate) * WHOLE;
    if complaint == Complaint::Other || !offered.contains(&complaint) {
        return share;
    }
    let shown: Vec<_> = fault.complaints.iter().filter(|shown| offered.contains(shown)).collect();
    match shown.iter().position(|shown| **shown == complaint) {
        Some(0) => share * 2 / (shown.len() as u64 + 1),
        Some(_) => share / (shown.len() as u64 + 1),
        None => 0,
    }
}
