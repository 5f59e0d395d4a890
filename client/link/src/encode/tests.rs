//! One example of every command, the message that comes of it, and the fields that carry what was said.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{
    Correction, HandIn, HandInItem, HoldReason, JobRef, Lasting, Need, OwedEnd, Place, Showed, Spot, Wanted,
    Whose,
};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, CallId, FindingId, ItemId, JobId, NoticeId, OwedId, RepairId, StripId};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_core::venue::Venue;
use v1::correct_request::What;

use super::*;

const JOB: JobRef = JobRef::Job(JobId(17));
const BENCH: BenchId = BenchId(2);

fn tag() -> Tag {
    Tag::issue(1234).unwrap()
}

fn text(word: &str) -> String {
    word.to_owned()
}

fn venue() -> Venue {
    Venue {
        name: "Test Cup".into(),
        zone: "Etc/UTC".into(),
        days: Vec::new(),
        counter: "counter".into(),
        strips: Vec::new(),
        benches: Vec::new(),
        competitions: Vec::new(),
        edition: "fie-2026".into(),
        margin_min: 5,
    }
}

fn hand_in() -> HandIn {
    HandIn {
        whose: Whose::Fencer("Ada".into()),
        owner: Some(text("Bo")),
        bringer: Some(text("Cy")),
        official: Some(text("Di")),
        came_from: Spot::Strip(StripId(3)),
        back_to: Spot::Counter,
        wanted: Wanted::At(Stamp(99)),
        in_room: true,
        items: vec![HandInItem {
            kind: ItemKind::BodyCordTwoPin,
            item: Some(ItemId(4)),
            complaint: Complaint::FallsOut,
            note: Some(text("note")),
            tag: Some(tag()),
            need: Need::NoneLeft,
        }],
    }
}

/// The example that follows the one given; without one, the first. A new command does not compile here until it
/// has an example.
fn next(command: Option<&Command>) -> Option<Command> {
    use Command as C;
    let note = || Some(text("note"));
    let why = || "why".to_owned();
    let fencer = || "Ada".to_owned();
    let kind = ItemKind::Foil;
    let (job, bench) = (JOB, BENCH);
    let Some(command) = command else { return Some(C::SetVenue { venue: venue(), armourers: Vec::new() }) };
    Some(match command {
        C::SetVenue { .. } => C::HandIn(hand_in()),
        C::HandIn(_) => C::ScanIn { job, tag: Some(tag()) },
        C::ScanIn { .. } => C::Claim { job, fencer: fencer() },
        C::Claim { .. } => C::FencerOut { fencer: fencer() },
        C::FencerOut { .. } => C::FencerIn { fencer: fencer() },
        C::FencerIn { .. } => C::Lend { fencer: fencer(), kind },
        C::Lend { .. } => C::LoanBack { fencer: fencer(), kind },
        C::LoanBack { .. } => C::CallOut { strip: StripId(3), note: note() },
        C::CallOut { .. } => C::ReachStrip { call: CallId(5) },
        C::ReachStrip { .. } => C::Redirect { call: CallId(5), bench },
        C::Redirect { .. } => C::RunAgain {
            call: CallId(5),
            swapped: Some(ItemKind::Reel),
            stock: Some(text("reel 9")),
            note: note(),
        },
        C::RunAgain { .. } => C::Take { job, bench },
        C::Take { .. } => C::PutBack { job, note: note() },
        C::PutBack { .. } => C::PassOn { job, bench, note: note() },
        C::PassOn { .. } => C::TakeOver { job, bench: Some(bench), reason: why() },
        C::TakeOver { .. } => C::Interrupt { bench },
        C::Interrupt { .. } => C::Resume { bench },
        C::Resume { .. } => C::GoAway { bench, until: Stamp(99) },
        C::GoAway { .. } => C::ComeBack { bench },
        C::ComeBack { .. } => C::Find { job, fault: "tip".into(), showed: Showed::Unsure, note: note() },
        C::Find { .. } => C::See { job, seen: "turn-button=flicker".into() },
        C::See { .. } => C::Repair {
            job,
            work: Work::BladeWire,
            fault: Some(text("tip")),
            lasting: Lasting::StopGap,
            owed: Some(OwedId(8)),
        },
        C::Repair { .. } => C::Cure { job, until: Stamp(99) },
        C::Cure { .. } => C::DryNow { job },
        C::DryNow { .. } => C::NoFaultFound { job },
        C::NoFaultFound { .. } => C::FaultElsewhere { job, place: why() },
        C::FaultElsewhere { .. } => C::Prove { job, check: "weight".into(), answer: Answer::Reading(1800) },
        C::Prove { .. } => C::Ready { job },
        C::Ready { .. } => C::ReadyAnyway { job, reason: why() },
        C::ReadyAnyway { .. } => C::Withdraw { job, reason: why() },
        C::Withdraw { .. } => C::ConfirmNotice { notice: NoticeId(6) },
        C::ConfirmNotice { .. } => C::HandBack { job, to: fencer() },
        C::HandBack { .. } => C::BackTo { job, to: Spot::Counter },
        C::BackTo { .. } => C::WantBy { job, wanted: Wanted::Open },
        C::WantBy { .. } => C::SetNeed { job, need: Need::OneLeft },
        C::SetNeed { .. } => C::CallOff { job, reason: why() },
        C::CallOff { .. } => C::Missing { job, note: note() },
        C::Missing { .. } => C::FoundAgain { job, place: Place::Bench(bench) },
        C::FoundAgain { .. } => C::CollectedUnseen { job, note: note() },
        C::CollectedUnseen { .. } => C::Hold { job, reason: HoldReason::PartMissing, note: note() },
        C::Hold { .. } => C::Release { job },
        C::Release { .. } => C::Confiscate { job, note: why() },
        C::Confiscate { .. } => C::ReleaseConfiscated { job, note: why() },
        C::ReleaseConfiscated { .. } => C::Pin { job, bench: None },
        C::Pin { .. } => C::OpenBench { bench },
        C::OpenBench { .. } => C::CloseBench { bench },
        C::CloseBench { .. } => C::CloseBenchAt { bench, at: Stamp(99) },
        C::CloseBenchAt { .. } => C::EndOwed { owed: OwedId(8), how: OwedEnd::Declined },
        C::EndOwed { .. } => C::Correct { job, what: Correction::Bench(bench), note: note() },
        C::Correct { .. } => C::ExchangeTags { a: tag(), b: Tag::issue(7).unwrap() },
        C::ExchangeTags { .. } => C::Count { place: Place::ReadyShelf, tags: vec![tag()] },
        C::Count { .. } => C::CloseDay,
        C::CloseDay => C::SayPromises { promises: Vec::new() },
        C::SayPromises { .. } => C::Tick,
        C::Tick => return None,
    })
}

fn every_command() -> Vec<Command> {
    std::iter::successors(next(None), |command| next(Some(command))).collect()
}

fn encoded(command: Command) -> Request {
    let request_id = "017f22e2-79b0-7cc3-98c4-dc0c0c07398f".parse().unwrap();
    request(&Sent { request_id, happened_at: Some(Stamp(55)), command }, 4).unwrap()
}

/// Names of the commands are those of core's own JSON, so that a history and a stored request agree.
#[test]
fn every_command_has_its_request_and_bears_its_name() {
    let mut seen = std::collections::BTreeSet::new();
    for command in every_command() {
        let json = serde_json::to_value(&command).unwrap();
        let name = json["do"].as_str().unwrap();
        match command {
            Command::SetVenue { .. } | Command::SayPromises { .. } | Command::Tick => {
                assert!(
                    matches!(of_command(&command, None), Err(LinkError::NotSendable { command, .. }) if command == name)
                );
                assert_eq!(command_name(&command), None);
            }
            _ => assert_eq!(command_name(&command), Some(name)),
        }
        assert!(seen.insert(name.to_owned()), "{name} twice");
    }
    // Every arm of `next` leads to another command: none is left out of the chain.
    assert_eq!(seen.len(), 55);
}

fn has_word(text: &str, word: &str) -> bool {
    text.split(|c: char| !c.is_alphanumeric() && c != ' ').any(|part| part.trim() == word)
}

/// Every word of an example is to be found in its message, whatever field carries it.
#[test]
fn nothing_that_was_said_is_lost() {
    for command in every_command() {
        let Ok(request) = of_command(&command, None) else { continue };
        let sent = format!("{request:?}");
        let said = format!("{command:?}");
        for word in ["17", "Ada", "Bo", "Cy", "Di", "note", "why", "99", "1800", "reel 9", "tip"] {
            let (in_command, in_request) = (has_word(&said, word), has_word(&sent, word));
            assert!(!in_command || in_request, "{word} of {said} is missing in {sent}");
        }
    }
}

#[test]
fn every_request_carries_its_meta() {
    let Request::Ready(ready) = encoded(Command::Ready { job: JOB }) else { panic!("another request") };
    let meta = ready.meta.unwrap();
    assert_eq!(meta.request_id.len(), 16);
    assert_eq!((meta.happened_at_us, meta.wire_version.as_str(), meta.epoch), (55, "1", 4));
    let meta = v1::Meta { epoch: 424_242, ..Default::default() };
    let missing: Vec<_> = every_command()
        .into_iter()
        .filter_map(|command| of_command(&command, Some(&meta)).ok())
        .filter(|request| !format!("{request:?}").contains("424242"))
        .collect();
    assert!(missing.is_empty(), "{missing:?}");
}

#[test]
fn a_hand_in_is_carried_whole() {
    let Request::HandIn(sent) = encoded(Command::HandIn(hand_in())) else { panic!("another request") };
    assert_eq!(sent.whose, Some(v1::hand_in_request::Whose::Fencer("Ada".into())));
    assert_eq!([sent.owner, sent.bringer, sent.official], ["Bo", "Cy", "Di"]);
    assert_eq!(sent.came_from.unwrap().at, Some(v1::spot::At::Strip(3)));
    assert_eq!(sent.back_to.unwrap().at, Some(v1::spot::At::Counter(v1::spot::Counter {})));
    assert_eq!(sent.wanted.unwrap().by, Some(v1::wanted::By::AtUs(99)));
    assert!(sent.in_room);
    let item = v1::HandInItem {
        item_kind: "body_cord_two_pin".into(),
        item: 4,
        complaint: "falls_out".into(),
        note: "note".into(),
        tag: tag().digits(),
        need: v1::Need::NoneLeft.into(),
    };
    assert_eq!(sent.items, [item]);
}

#[test]
fn a_bout_is_carried_whole() {
    let by = |place| parts::wanted(&Wanted::Bout(place)).unwrap().by.unwrap();
    let pool =
        BoutPlace::Pool { size: 7, variant: Some(text("usa")), place: 3, running_bout: 5, bout_min: 6 };
    let expected = v1::PoolPlace { size: 7, variant: "usa".into(), place: 3, running_bout: 5, bout_min: 6 };
    assert_eq!(by(pool), v1::wanted::By::Pool(expected));
    let tableau = BoutPlace::Tableau {
        table: 64,
        entrants: Some(50),
        slot: 9,
        running_bout: 4,
        parallel_strips: 8,
        bout_min: 20,
        last_bout_ended: Some(Stamp(99)),
    };
    let expected = v1::TableauPlace {
        table: 64,
        entrants: 50,
        slot: 9,
        running_bout: 4,
        parallel_strips: 8,
        bout_min: 20,
        last_bout_ended_us: 99,
    };
    assert_eq!(by(tableau), v1::wanted::By::Tableau(expected));
    let relay = BoutPlace::Relay { running_relay: 2, fencer_no: 5, relay_min: 7 };
    let expected = v1::RelayPlace { running_relay: 2, fencer_no: 5, relay_min: 7 };
    assert_eq!(by(relay), v1::wanted::By::Relay(expected));
}

#[test]
fn absence_is_zero_or_empty() {
    let Request::Pin(pin) = encoded(Command::Pin { job: JOB, bench: None }) else {
        panic!("another request")
    };
    assert_eq!(pin.bench, 0);
    let Request::WantBy(want) = encoded(Command::WantBy { job: JOB, wanted: Wanted::Open }) else {
        panic!("another request")
    };
    assert_eq!(want.wanted, None);
    let bare = Command::RunAgain { call: CallId(5), swapped: None, stock: None, note: None };
    let Request::RunAgain(again) = encoded(bare) else { panic!("another request") };
    assert_eq!([again.swapped, again.stock, again.note], ["", "", ""]);
}

#[test]
fn jobs_by_tag_answers_and_places() {
    let by_tag = JobRef::Tag(tag());
    let Request::Prove(prove) =
        encoded(Command::Prove { job: by_tag, check: "c".into(), answer: Answer::Failed })
    else {
        panic!("another request")
    };
    assert_eq!(prove.job.unwrap().by, Some(v1::job_ref::By::Tag("12340".into())));
    assert_eq!(prove.answer.unwrap().is, Some(v1::answer::Is::Passed(false)));
    let places = [
        (Place::Strip(StripId(3)), v1::PlaceKind::Strip, 3, 0),
        (Place::Bench(BENCH), v1::PlaceKind::Bench, 0, 2),
        (Place::Counter, v1::PlaceKind::Counter, 0, 0),
        (Place::CuringShelf, v1::PlaceKind::CuringShelf, 0, 0),
        (Place::ReadyShelf, v1::PlaceKind::ReadyShelf, 0, 0),
        (Place::LockedAway, v1::PlaceKind::LockedAway, 0, 0),
        (Place::Gone, v1::PlaceKind::Gone, 0, 0),
        (Place::HandedBack, v1::PlaceKind::HandedBack, 0, 0),
    ];
    for (place, kind, strip, bench) in places {
        assert_eq!(parts::place(place), v1::Place { kind: kind.into(), strip, bench });
    }
}

#[test]
fn every_correction_goes_its_way() {
    let spots = Correction::Spots { came_from: Spot::Counter, back_to: Spot::Strip(StripId(3)) };
    let table = [
        (Correction::Item(ItemId(4)), What::Item(4)),
        (Correction::Bench(BENCH), What::Bench(2)),
        (Correction::Finding(FindingId(7)), What::Finding(7)),
        (Correction::Repair(RepairId(9)), What::Repair(9)),
        (Correction::End, What::NotEnded(true)),
        (Correction::HandBack, What::NotHandedBack(true)),
        (
            Correction::Kind { kind: ItemKind::Epee, complaint: Complaint::Other },
            What::Kind(v1::correct_request::Kind { item_kind: "epee".into(), complaint: "other".into() }),
        ),
        (
            spots,
            What::Spots(v1::correct_request::Spots {
                came_from: Some(parts::spot(Spot::Counter)),
                back_to: Some(parts::spot(Spot::Strip(StripId(3)))),
            }),
        ),
    ];
    for (what, expected) in table {
        let Request::Correct(sent) = encoded(Command::Correct { job: JOB, what, note: None }) else {
            panic!("another request")
        };
        assert_eq!(sent.what, Some(expected));
    }
}
