//! An invented venue with as many benches as a load has callers, and the jobs that lie open in it.

use anyhow::Result;
use remise_core::armoury::{
    Armoury, Command, HandIn, HandInItem, Need, Recorded, Spot, Wanted, Whose, decide,
};
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, Seq, StripId};
use remise_core::tag::Tag;
use remise_core::time::{Stamp, Window};
use remise_core::venue::{Bench, Strip, Venue};

/// Benches of the invented venue: one for each of the usual 64 callers. A tournament file may ask for 60 at most; the
/// venue is made here so that every caller has a bench of its own to take jobs to.
pub const BENCHES: u16 = 64;
/// Benches for the largest load, far beyond any venue: what the planner costs with them says nothing of a real one.
pub const BENCHES_MOST: u16 = 256;
/// Strips of the invented venue.
pub const STRIPS: u16 = 24;
/// Days that its one long day lasts.
const DAYS: i64 = 90;

/// The venue, open from a day before `now`.
pub fn venue(now: Stamp, benches: u16) -> Venue {
    let day = Window { from: now.plus_min(-24 * 60), to: now.plus_min(DAYS * 24 * 60) };
    let strip =
        |number: u16| Strip { id: StripId(number), name: number.to_string(), walk_min: 1 + number % 6 };
    let bench = |number: u16| Bench {
        id: BenchId(number),
        name: format!("bench {number}"),
        armourer: None,
        works: Work::ALL.to_vec(),
        open: vec![day],
        roving: number == 1,
    };
    Venue {
        name: "Load".to_owned(),
        zone: "Europe/Vienna".to_owned(),
        days: vec![day],
        counter: "door".to_owned(),
        strips: (1..=STRIPS).map(strip).collect(),
        benches: (1..=benches).map(bench).collect(),
        competitions: Vec::new(),
        edition: "fie-2026".to_owned(),
        margin_min: 5,
    }
}

/// The `index`th hand-in at the counter: an invented fencer's item with a tag, half of them wanted by a time.
pub fn hand_in(index: usize, now: Stamp) -> Command {
    let kinds: Vec<_> = ItemKind::ALL.into_iter().filter(|kind| !kind.is_apparatus()).collect();
    let kind = kinds[index % kinds.len()];
    let complaints = Complaint::for_kind(kind);
    let strip = Spot::Strip(StripId(1 + (index % usize::from(STRIPS)) as u16));
    let wanted = match index % 4 {
        0 | 1 => Wanted::At(now.plus_min(30 + (index % 240) as i64)),
        _ => Wanted::Open,
    };
    let item = HandInItem {
        kind,
        item: None,
        complaint: complaints[index / kinds.len() % complaints.len()],
        note: index.is_multiple_of(3).then(|| "when the blade is bent".to_owned()),
        tag: Tag::issue(1 + (index % 9_999) as u16).ok(),
        need: [Need::NoneLeft, Need::OneLeft, Need::TwoOrMore][index % 3],
    };
    Command::HandIn(HandIn {
        whose: Whose::Fencer(fencer(index)),
        owner: None,
        bringer: None,
        official: None,
        came_from: strip,
        back_to: strip,
        wanted,
        in_room: true,
        items: vec![item],
    })
}

/// The venue with so many jobs that await work, none of them in hand.
///
/// # Errors
/// The core refused something.
pub fn open(jobs: usize, benches: u16, now: Stamp) -> Result<Armoury> {
    let mut room = Armoury::new();
    let commands = (0..jobs).map(|index| hand_in(index, now));
    let venue = Command::SetVenue { venue: venue(now, benches), armourers: Vec::new() };
    for command in std::iter::once(venue).chain(commands) {
        let decided = decide(&room, &command, now, now).map_err(|refusal| anyhow::anyhow!("{refusal}"))?;
        decided.texts.iter().for_each(|text| room.learn_text(text));
        for event in decided.events {
            room.apply(&Recorded { seq: Seq(room.head.0 + 1), at: now, happened_at: now, event });
        }
    }
    Ok(room)
}

/// An invented name.
pub fn fencer(index: usize) -> String {
    format!("Fencer {index:05} of the Load")
}
