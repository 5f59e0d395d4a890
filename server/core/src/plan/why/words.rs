//! The reasons in words.

use super::{Ahead, Cause, Here, Late, Turn, Why};
use crate::armoury::Armoury;
use crate::gear::Work;
use crate::ids::{BenchId, JobId};
use crate::plan::Unplaced;

impl Why {
    /// One sentence.
    pub fn sentence(self, room: &Armoury) -> String {
        match self {
            Self::NotInPlan => "The plan does not have it.".to_owned(),
            Self::Nowhere(Unplaced::Held) => "It is held, so no bench has it in its lane.".to_owned(),
            Self::Nowhere(Unplaced::NoBench) => "No bench does this work.".to_owned(),
            Self::Nowhere(Unplaced::NoTime) => {
                "No bench that does this work is open for long enough any more.".to_owned()
            }
            Self::InHand(bench) => format!("{} has it in hand.", name(room, bench)),
            Self::Placed { bench, here, turn } => {
                let bench = name(room, bench);
                let text = format!("{} {}.", here.clause(room, &bench), turn.clause(room));
                capital(&text)
            }
        }
    }
}

impl Here {
    fn clause(self, room: &Armoury, bench: &str) -> String {
        match self {
            Self::Pinned => format!("it is kept for {bench}"),
            Self::OnlyBench(work) => format!("{bench} is the only one that {}", does(work)),
            Self::OnlyAttended(work) => {
                format!("{bench} is the only one open and attended by then that {}", does(work))
            }
            Self::Sooner(other, by) if by.ceil_min() > 0 => {
                format!("{} would have it ready {by} later than {bench}", name(room, other))
            }
            Self::Sooner(other, _) => {
                format!("{} would have it ready no sooner than {bench}", name(room, other))
            }
            Self::NotWorthMoving(other, by) => format!(
                "{bench} keeps it: {} could have it {by} sooner, but that gains too little over all",
                name(room, other)
            ),
        }
    }
}

impl Turn {
    fn clause(self, room: &Armoury) -> String {
        match self {
            Self::First => "and nothing more urgent is here".to_owned(),
            Self::OnItsWay(left) => format!("and it is still on its way, {left} more"),
            Self::Dries(left) => format!("and it has to dry, {left} more"),
            Self::Away(left) => format!("and nobody is there for {left} more"),
            Self::Shut(left) => format!("and is not free before, {left} from now"),
            Self::AfterHand(other) => {
                format!("and comes to it after {}, which it has in hand", tag(room, other))
            }
            Self::After(other, ahead) => {
                let why = match ahead {
                    Ahead::NeedsMore => "whose fencer has less left",
                    Ahead::WantedSooner => "which is wanted sooner",
                    Ahead::WaitedLonger => "which has waited longer",
                    Ahead::Short => "which is quickly done",
                };
                format!("and comes to it after {}, {why}", tag(room, other))
            }
        }
    }
}

impl Late {
    /// One sentence.
    pub fn sentence(self, room: &Armoury) -> String {
        let why = match self.cause {
            Cause::TooShort => "walk and work alone take longer than was left".to_owned(),
            Cause::Dries => "it has to dry".to_owned(),
            Cause::OnlyBench(bench, work, first) => {
                let others = if first > 0 { format!(", with {first} before it") } else { String::new() };
                format!("{} is the only one that {}{others}", name(room, bench), does(work))
            }
            Cause::Away(bench) => format!("nobody is at {}", name(room, bench)),
            Cause::Others(1) => "one more urgent job goes first".to_owned(),
            Cause::Others(first) => format!("{first} more urgent jobs go first"),
            Cause::NoRoom => "no bench is free and open for long enough before".to_owned(),
        };
        format!("Late by {}, because {why}.", self.by)
    }
}

fn name(room: &Armoury, bench: BenchId) -> String {
    let known = room.venue.as_ref().and_then(|venue| venue.bench(bench));
    known.map_or_else(|| format!("bench {}", bench.0), |bench| bench.name.clone())
}

fn tag(room: &Armoury, job: JobId) -> String {
    let tag = room.job(job).and_then(|job| job.course.tag);
    tag.map_or_else(|| format!("job {}", job.0), crate::tag::Tag::digits)
}

/// What a bench that can do the work does.
fn does(work: Work) -> &'static str {
    match work {
        Work::Point => "mends points",
        Work::BladeWire => "rewires blades",
        Work::SocketGuard => "mends sockets and guards",
        Work::Blade => "changes blades",
        Work::CordEnds => "mends the ends of cords",
        Work::CordContinuity => "mends cords along their length",
        Work::SabreContacts => "mends sabre contacts",
        Work::Cloth => "mends conductive cloth",
        Work::Mask => "mends masks",
        Work::Apparatus => "mends apparatus",
    }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
