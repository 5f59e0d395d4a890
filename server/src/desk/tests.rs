#![allow(clippy::unwrap_used)]
//! The desk's promises, held against a simulated disk that fails on purpose.

use std::sync::Arc;
use std::thread::JoinHandle;

use remise_core::armoury::{Command, HandIn, HandInItem, Need, Spot, Wanted, Whose};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{Seq, StripId};
use remise_core::time::{Span, Stamp};

use crate::clock::{Clock, SetClock};
use crate::journal::{Faults, Journal, MemoryDisk};
use crate::tournament;

use super::*;

const MORNING: Stamp = Stamp(1_777_705_200_000_000);

struct Desk {
    handle: DeskHandle,
    clock: Arc<SetClock>,
    thread: Option<JoinHandle<()>>,
}

impl Desk {
    fn open(disk: &MemoryDisk) -> Self {
        let (clock, set) = Clock::set_by_hand(MORNING);
        let journal = disk.open();
        let reader_disk = disk.clone();
        let open_reader = Arc::new(move || reader_disk.open().reader());
        let (handle, thread) = open(Box::new(journal), clock, DeskSettings::default(), open_reader).unwrap();
        Self { handle, clock: set, thread: Some(thread) }
    }

    async fn opened(disk: &MemoryDisk) -> Self {
        let desk = Self::open(disk);
        let file = tournament::parse(tournament::example().as_bytes()).unwrap();
        let armourers = file.armourers.into_iter().collect();
        desk.ask(None, Command::SetVenue { venue: file.venue, armourers }).await.unwrap();
        desk
    }

    async fn ask(&self, id: Option<u8>, command: Command) -> Result<Accepted, DeskError> {
        let request = Request {
            request_id: id.map(|id| [id; 16]),
            station: "strip 1".into(),
            happened_at: None,
            command,
            deadline: None,
        };
        self.handle.submit(request).await
    }

    fn close(self) {
        let Self { handle, thread, .. } = self;
        drop(handle);
        thread.unwrap().join().unwrap();
    }
}

fn hand_in(fencer: &str) -> Command {
    Command::HandIn(HandIn {
        whose: Whose::Fencer(fencer.to_owned()),
        owner: None,
        bringer: None,
        official: None,
        came_from: Spot::Strip(StripId(1)),
        back_to: Spot::Strip(StripId(1)),
        wanted: Wanted::Open,
        in_room: false,
        items: vec![HandInItem {
            kind: ItemKind::Foil,
            item: None,
            complaint: Complaint::Other,
            note: None,
            tag: None,
            need: Need::OneLeft,
        }],
    })
}

fn calm() -> MemoryDisk {
    MemoryDisk::new(7, Faults::default())
}

#[tokio::test]
async fn the_same_request_gets_the_same_answer_also_after_a_restart() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    let first = desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap();
    assert_eq!(desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap(), first);
    let head = desk.handle.snapshot().room.head;
    desk.close();
    let again = Desk::open(&disk);
    assert_eq!(again.ask(Some(1), hand_in("Ilka Varro")).await.unwrap(), first);
    assert_eq!(again.handle.snapshot().room.head, head, "nothing happened twice");
}

#[tokio::test]
async fn the_same_request_twice_in_one_batch_happens_once() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    let (a, b) =
        tokio::join!(desk.ask(Some(1), hand_in("Ilka Varro")), desk.ask(Some(1), hand_in("Ilka Varro")));
    assert_eq!(a.unwrap(), b.unwrap());
    assert_eq!(desk.handle.snapshot().room.jobs.len(), 1);
}

#[tokio::test]
async fn the_same_number_with_another_content_is_refused_and_names_the_field() {
    let desk = Desk::opened(&calm()).await;
    desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap();
    let refused = desk.ask(Some(1), hand_in("Oto Brandl")).await.unwrap_err();
    assert_eq!(refused, DeskError::DifferentContent { field: "whose".to_owned() });
}

#[tokio::test]
async fn a_refusal_by_rule_is_kept_and_said_again_in_the_same_words() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    let nothing = Command::FencerOut { fencer: "Nobody Known".to_owned() };
    let first = desk.ask(Some(9), nothing.clone()).await.unwrap_err();
    assert!(matches!(&first, DeskError::Refused(why) if why.reason == "UNKNOWN_FENCER"), "{first}");
    desk.ask(Some(1), hand_in("Nobody Known")).await.unwrap();
    assert_eq!(desk.ask(Some(9), nothing.clone()).await.unwrap_err(), first, "an answer is an answer");
    assert!(desk.ask(Some(10), nothing).await.is_ok(), "a new request is decided anew");
}

#[tokio::test]
async fn a_full_disk_refuses_keeps_nothing_and_goes_on_when_there_is_room() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    let head = desk.handle.snapshot().room.head;
    disk.set_full(true);
    let full = desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap_err();
    assert!(matches!(&full, DeskError::Unavailable(why) if why.contains("full")), "{full}");
    let published = desk.handle.snapshot();
    assert_eq!(published.room.head, head);
    assert!(published.trouble.is_some(), "health can say why");
    disk.set_full(false);
    assert!(desk.ask(Some(1), hand_in("Ilka Varro")).await.is_ok(), "the same request, now");
    assert!(desk.handle.snapshot().trouble.is_none());
}

#[tokio::test]
async fn a_request_whose_deadline_passed_in_the_queue_is_dropped_and_not_kept() {
    let desk = Desk::opened(&calm()).await;
    desk.clock.set(MORNING + Span::seconds(30));
    let mut request = Request {
        request_id: Some([1; 16]),
        station: "strip 1".into(),
        happened_at: None,
        command: hand_in("Ilka Varro"),
        deadline: Some(Span((MORNING + Span::seconds(10)).0)),
    };
    assert_eq!(desk.handle.submit(request.clone()).await, Err(DeskError::Expired));
    assert!(desk.handle.snapshot().room.jobs.is_empty());
    request.deadline = None;
    assert!(desk.handle.submit(request).await.is_ok());
}

#[tokio::test]
async fn a_batch_in_doubt_is_settled_both_ways_and_never_happens_twice() {
    for (written, lost) in [(1_000, 0), (0, 1_000)] {
        let disk = calm();
        let desk = Desk::opened(&disk).await;
        disk.set_faults(Faults { unknown_written: written, unknown_lost: lost, ..Faults::default() });
        let first = desk.ask(Some(1), hand_in("Ilka Varro")).await;
        disk.set_faults(Faults::default());
        let second = desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap();
        if let Ok(first) = first {
            assert_eq!(first, second);
        }
        assert_eq!(desk.handle.snapshot().room.jobs.len(), 1);
        let reader = desk.handle.reader().unwrap().events(0, 100).unwrap();
        assert_eq!(reader.iter().filter(|row| row.kind == "handed_in").count(), 1);
    }
}

#[tokio::test]
async fn a_desk_that_was_taken_over_steps_down() {
    let disk = calm();
    let old = Desk::opened(&disk).await;
    let new = Desk::open(&disk);
    let refused = old.ask(Some(1), hand_in("Ilka Varro")).await.unwrap_err();
    assert!(matches!(refused, DeskError::SteppedDown { epoch: 2 }), "{refused}");
    assert!(new.ask(Some(1), hand_in("Ilka Varro")).await.is_ok());
}

#[tokio::test]
async fn recorded_time_never_goes_back() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    desk.clock.set(MORNING + Span::minutes(60));
    let late = desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap();
    desk.close();
    // Another machine, whose clock is an hour behind.
    let behind = Desk::open(&disk);
    let next = behind.ask(Some(2), hand_in("Oto Brandl")).await.unwrap();
    assert!(next.at >= late.at, "{} < {}", next.at.0, late.at.0);
}

#[tokio::test]
async fn an_answer_means_that_it_survives_a_crash() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    let accepted = desk.ask(Some(1), hand_in("Ilka Varro")).await.unwrap();
    disk.crash();
    let after = Desk::open(&disk);
    assert_eq!(after.handle.snapshot().room.head, accepted.last);
    assert_eq!(
        after.handle.snapshot().room.text(remise_core::ids::TextId(after.handle.snapshot().room.last_text.0)),
        "Ilka Varro"
    );
}

#[tokio::test]
async fn watchers_get_every_event_once_and_in_order() {
    let desk = Desk::opened(&calm()).await;
    let mut watch = desk.handle.subscribe();
    for id in 1..=20 {
        desk.ask(Some(id), hand_in("Ilka Varro")).await.unwrap();
    }
    let mut seen = Vec::new();
    while let Ok(batch) = watch.try_recv() {
        seen.extend(batch.events.iter().map(|(recorded, _)| recorded.seq));
    }
    let expected: Vec<_> = (2..=21).map(Seq).collect();
    assert_eq!(seen, expected, "the venue was event 1");
}

#[tokio::test]
async fn the_armoury_from_a_snapshot_is_the_one_from_the_whole_journal() {
    let disk = calm();
    let desk = Desk::opened(&disk).await;
    for id in 1..=20 {
        desk.ask(Some(id), hand_in("Ilka Varro")).await.unwrap();
    }
    let before = desk.handle.snapshot().room.clone();
    desk.close();
    let mut journal = disk.open();
    assert!(journal.load_snapshot().unwrap().is_some(), "closing keeps a snapshot");
    let after = load(&mut journal).unwrap();
    assert_eq!(after, before);
}
