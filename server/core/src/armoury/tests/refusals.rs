//! Every refusal is provoked, and each says why and what to do next.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::bouts::BoutPlace;
use crate::gear::{Complaint, ItemKind, Work};
use crate::ids::{BenchId, CallId, ItemId, JobId, NoticeId, OwedId, StripId};
use crate::rules::Answer;

/// A reason, and what provokes it.
type Row = (&'static str, fn(&mut World) -> Command);

const INTAKE: &[Row] = &[
    ("NO_TOURNAMENT", |w| {
        *w = World::empty();
        call_out(1)
    }),
    ("UNKNOWN_STRIP", |_| call_out(99)),
    ("UNKNOWN_BENCH", |_| Command::OpenBench { bench: BenchId(99) }),
    ("UNKNOWN_JOB", |_| take(JobId(999), WEAPONS)),
    ("UNKNOWN_TAG", |_| Command::Take { job: JobRef::Tag(tag(1)), bench: WEAPONS }),
    ("MISTYPED_TAG", |w| {
        let (right, typed) = tags_a_slip_apart();
        let job = w.sent(ItemKind::Foil);
        w.ok(scan_in(job, Some(right)));
        Command::Take { job: JobRef::Tag(typed), bench: WEAPONS }
    }),
    ("TAG_IN_USE", |w| {
        let job = w.waiting(ItemKind::Foil);
        let tag = w.job(job).course.tag;
        let other = w.sent(ItemKind::Foil);
        scan_in(other, tag)
    }),
    ("TAG_NEEDED", |w| scan_in(w.sent(ItemKind::Foil), None)),
    ("TAG_NEEDED_HERE", |_| Command::HandIn(HandIn { in_room: true, ..lot(vec![item(ItemKind::Foil)]) })),
    ("TAG_DIFFERS", |w| {
        w.ok(Command::HandIn(lot(vec![HandInItem { tag: Some(tag(8)), ..item(ItemKind::Foil) }])));
        scan_in(JobId(w.head()), Some(tag(9)))
    }),
    ("UNKNOWN_ITEM", |_| Command::HandIn(lot(vec![known(ItemKind::Foil, ItemId(77))]))),
    ("ITEM_IS_OTHER", |w| {
        let job = w.waiting(ItemKind::Foil);
        let number = w.job(job).item;
        Command::HandIn(lot(vec![known(ItemKind::Epee, number)]))
    }),
    ("ALREADY_HERE", |w| {
        let job = w.waiting(ItemKind::Foil);
        let number = w.job(job).item;
        Command::HandIn(lot(vec![known(ItemKind::Foil, number)]))
    }),
    ("COMPLAINT_DOES_NOT_FIT", |_| {
        Command::HandIn(lot(vec![HandInItem { complaint: Complaint::BibTorn, ..item(ItemKind::Foil) }]))
    }),
    ("NO_ITEMS", |_| Command::HandIn(lot(Vec::new()))),
    ("TOO_MANY_ITEMS", |_| Command::HandIn(lot(vec![item(ItemKind::Foil); 25]))),
    ("TAG_TWICE", |_| {
        Command::HandIn(lot(vec![HandInItem { tag: Some(tag(8)), ..item(ItemKind::Foil) }; 2]))
    }),
    ("NEED_DOES_NOT_FIT", |_| {
        Command::HandIn(lot(vec![HandInItem { need: Need::StripStopped, ..item(ItemKind::Foil) }]))
    }),
    ("BOUT_UNCLEAR", |_| {
        let place = BoutPlace::Pool { size: 99, variant: None, place: 1, running_bout: 1, bout_min: 5 };
        Command::HandIn(HandIn { wanted: Wanted::Bout(place), ..lot(vec![item(ItemKind::Foil)]) })
    }),
    ("TIME_OUT_OF_RANGE", |_| Command::GoAway { bench: WEAPONS, until: minute(1_000_000) }),
    ("AWAY_TOO_LONG", |w| Command::GoAway { bench: WEAPONS, until: w.now.plus_min(13 * 60) }),
    ("BAD_TEXT", |_| {
        Command::HandIn(HandIn {
            whose: Whose::Fencer("x".repeat(10_000_000)),
            ..lot(vec![item(ItemKind::Foil)])
        })
    }),
    ("REASON_NEEDED", |w| {
        let job = w.waiting(ItemKind::Foil);
        Command::CallOff { job: on(job), reason: "\t ".to_owned() }
    }),
    ("SAME_TWICE", |w| {
        let job = w.waiting(ItemKind::Foil);
        let tag = w.job(job).course.tag.unwrap();
        Command::ExchangeTags { a: tag, b: tag }
    }),
    ("UNKNOWN_FENCER", |_| Command::FencerOut { fencer: "Fencer Nowhere".to_owned() }),
    ("NOT_LENT", |w| {
        w.sent(ItemKind::Foil);
        loan_back(ItemKind::Foil)
    }),
    ("ALREADY_CLAIMED", |w| {
        let job = w.sent(ItemKind::Foil);
        Command::Claim { job: on(job), fencer: FENCER.to_owned() }
    }),
];

const BENCH: &[Row] = &[
    ("WRONG_STATE", |w| hand_back(w.waiting(ItemKind::Foil))),
    ("HELD_BY_OTHER", |w| {
        let job = w.taken(ItemKind::BodyCordTwoPin, CORDS);
        take(job, ROVING)
    }),
    ("BENCH_HAS_JOB", |w| {
        w.taken(ItemKind::Foil, WEAPONS);
        take(w.waiting(ItemKind::Foil), WEAPONS)
    }),
    ("BENCH_IDLE", |_| Command::Interrupt { bench: WEAPONS }),
    ("BENCH_CANNOT", |w| take(w.waiting(ItemKind::Foil), CORDS)),
    ("BENCH_IS_CLOSED", |w| {
        let job = w.waiting(ItemKind::Foil);
        w.at(250);
        take(job, WEAPONS)
    }),
    ("BENCH_ON_CALL", |w| {
        w.ok(call_out(1));
        take(w.waiting(ItemKind::BodyCordTwoPin), ROVING)
    }),
    ("PINNED_TO_OTHER", |w| {
        let job = w.waiting(ItemKind::Foil);
        w.ok(pin(job, Some(CORDS)));
        take(job, WEAPONS)
    }),
    ("ON_HOLD", |w| {
        let job = w.waiting(ItemKind::Foil);
        w.ok(hold(job, HoldReason::OwnerMustAgree));
        take(job, WEAPONS)
    }),
    ("IS_CONFISCATED", |w| {
        let job = w.waiting(ItemKind::Foil);
        w.ok(confiscate(job));
        take(job, WEAPONS)
    }),
    ("NOT_HELD", |w| Command::Release { job: on(w.waiting(ItemKind::Foil)) }),
    ("NOT_DRY", |w| take(w.in_state(State::Curing), WEAPONS)),
    ("PROOF_INCOMPLETE", |w| {
        let job = w.taken(ItemKind::Foil, WEAPONS);
        w.ok(repair(job, Work::Point, Lasting::Lasting));
        Command::Ready { job: on(job) }
    }),
    ("PROOF_FAILED", |w| {
        let job = w.taken(ItemKind::Foil, WEAPONS);
        w.ok(repair(job, Work::Point, Lasting::Lasting));
        w.ok(prove(job, "steady_bend", Answer::Failed));
        Command::Ready { job: on(job) }
    }),
    ("UNKNOWN_CHECK", |w| {
        let job = w.taken(ItemKind::Foil, WEAPONS);
        w.ok(repair(job, Work::Point, Lasting::Lasting));
        prove(job, "no_such_check", Answer::Passed)
    }),
    ("BAD_READING", |w| {
        let job = w.taken(ItemKind::Foil, WEAPONS);
        w.ok(repair(job, Work::Point, Lasting::Lasting));
        prove(job, "foil_point_weight", Answer::Reading(-5))
    }),
    ("UNKNOWN_FAULT", |w| find(w.taken(ItemKind::Foil, WEAPONS), "no_such_fault", Showed::Present)),
    ("UNKNOWN_SIGHT", |w| see(w.taken(ItemKind::Foil, WEAPONS), "turn-button=purple")),
    ("NOTHING_DONE", |w| Command::Ready { job: on(w.taken(ItemKind::Foil, WEAPONS)) }),
    ("REPAIRS_RECORDED", |w| {
        let job = w.taken(ItemKind::Foil, WEAPONS);
        w.ok(repair(job, Work::Point, Lasting::Lasting));
        Command::NoFaultFound { job: on(job) }
    }),
    ("STOP_GAP_PAYS_NOTHING", |w| Command::Repair {
        job: on(w.taken(ItemKind::Foil, WEAPONS)),
        work: Work::Point,
        fault: None,
        lasting: Lasting::StopGap,
        owed: Some(OwedId(1)),
    }),
    ("ONLY_A_STOP_GAP", |w| {
        mend(w.taken(ItemKind::Foil, WEAPONS), Work::Point, "foil_barrel_loose", Lasting::Lasting)
    }),
    ("NO_SUCH_RECORD", |w| correct(w.waiting(ItemKind::Foil), strike(1))),
];

const OTHERS: &[Row] = &[
    ("UNKNOWN_NOTICE", |_| confirm(NoticeId(1))),
    ("UNKNOWN_CALL", |_| Command::ReachStrip { call: CallId(1) }),
    ("ALREADY_CALLED", |w| {
        w.ok(call_out(1));
        call_out(1)
    }),
    ("NOBODY_CAN_GO", |w| {
        w.ok(Command::CloseBench { bench: ROVING });
        call_out(1)
    }),
    ("NOT_AT_STRIP", |w| {
        w.ok(call_out(1));
        run_again(CallId(w.head()), None)
    }),
    ("NOT_APPARATUS", |w| {
        w.ok(call_out(1));
        let call = CallId(w.head());
        w.ok(Command::ReachStrip { call });
        run_again(call, Some(ItemKind::Mask))
    }),
    ("UNKNOWN_OWED", |_| Command::EndOwed { owed: OwedId(1), how: OwedEnd::Done }),
    ("NOT_IN_ROOM", |_| count(Place::Strip(StripId(1)), &[])),
    ("COUNT_INCOMPLETE", |w| {
        w.waiting(ItemKind::Foil);
        Command::CloseDay
    }),
    ("TIME_IS_PAST", |w| Command::CloseBenchAt { bench: WEAPONS, at: w.now }),
    ("NOTHING_CHANGES", |w| {
        w.ok(Command::OpenBench { bench: WEAPONS });
        Command::OpenBench { bench: WEAPONS }
    }),
];

/// Refused because of when they happened, not of what they are.
const BY_TIME: [(&str, i64); 3] =
    [("HAPPENED_OUT_OF_RANGE", 103), ("HAPPENED_OUT_OF_RANGE", -5000), ("HAPPENED_BEFORE_HAND_IN", 90)];

#[test]
fn every_refusal_is_provoked() {
    let mut provoked: Vec<&str> = BY_TIME.iter().map(|(reason, _)| *reason).collect();
    for (reason, provoke) in [INTAKE, BENCH, OTHERS].concat() {
        let mut world = World::new();
        let command = provoke(&mut world);
        let before = world.room.clone();
        let refusal = world.run(&command).unwrap_err();
        assert_eq!(refusal.reason(), reason, "{command:?}: {refusal}");
        assert_eq!(world.room, before, "a refusal changes nothing");
        provoked.push(reason);
    }
    provoked.sort_unstable();
    provoked.dedup();
    let mut known = Refusal::REASONS.to_vec();
    known.sort_unstable();
    assert_eq!(provoked, known);
}

#[test]
fn what_cannot_have_happened_then_is_refused() {
    let mut world = World::new();
    world.at(100);
    let foil = world.waiting(ItemKind::Foil);
    for (reason, happened) in BY_TIME {
        let refusal = world.run_late(&take(foil, WEAPONS), minute(happened)).unwrap_err();
        assert_eq!(refusal.reason(), reason);
    }
    // A device whose clock runs two minutes ahead is not sent away; the journal's own time counts then.
    world.run_late(&take(foil, WEAPONS), minute(102)).unwrap();
    assert_eq!(world.job(foil).course.clock.since, Some(minute(100)));
}

#[test]
fn reasons_are_distinct_and_stable_words() {
    for (place, reason) in Refusal::REASONS.iter().enumerate() {
        assert!(reason.bytes().all(|byte| byte.is_ascii_uppercase() || byte == b'_'), "{reason}");
        assert!(!Refusal::REASONS[..place].contains(reason), "{reason}");
    }
}

/// The proof is judged by an edition that the file names; the file is checked before it is journalled.
#[test]
fn an_unknown_edition_proves_nothing() {
    let mut world = World::new();
    let mut venue = venue();
    venue.edition = "no-such-edition".to_owned();
    world.ok(set_venue(venue));
    let job = world.taken(ItemKind::Foil, WEAPONS);
    world.ok(repair(job, Work::Point, Lasting::Lasting));
    assert_eq!(world.no(Command::Ready { job: on(job) }), "NO_TOURNAMENT");
}

/// People know an item by its tag; a job's number alone sends them searching.
#[test]
fn a_refusal_names_the_tag_of_the_job_it_is_about() {
    let mut world = World::new();
    let job = world.taken(ItemKind::Foil, WEAPONS);
    let tag = world.job(job).course.tag.unwrap();
    let refusal = world.run(&take(job, CORDS)).unwrap_err();
    assert!(
        refusal.told(&world.room).contains(&format!("tag {tag} (job {job})")),
        "{}",
        refusal.told(&world.room)
    );
    let untagged = Refusal::TagNeeded { job: world.sent(ItemKind::Foil) };
    assert_eq!(untagged.told(&world.room), untagged.to_string());
    let names_it = Refusal::TagInUse { tag, job };
    assert_eq!(names_it.told(&world.room), names_it.to_string(), "once is enough");
}
