//! Decoding: every shape of request, and every way of getting a field wrong. Held against the comments in the
//! .proto files.

#![allow(clippy::unwrap_used)]
// Fields of a request are optional on the wire; the helpers make them as they are used.
#![allow(clippy::unnecessary_wraps)]

use remise_core::armoury::{Command, Correction, JobRef, Lasting, Place, Spot, Wanted, Whose};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{ItemKind, Work};
use remise_core::ids::{BenchId, ItemId, JobId, OwedId, StripId};
use remise_core::rules::Answer;
use remise_core::tag::Tag;
use remise_core::time::Stamp;
use remise_proto::v1;

use super::{WireProblem, bench, head, meta, strip};
use crate::stations::Role;
use crate::wire::scene::{MORNING, station};

const HUGE: usize = 10_000_000;

fn good_meta() -> v1::Meta {
    let id = uuid::Uuid::now_v7();
    v1::Meta { request_id: id.as_bytes().to_vec(), happened_at_us: 0, wire_version: "1".to_owned(), epoch: 3 }
}

fn job(number: u64) -> Option<v1::JobRef> {
    Some(v1::JobRef { by: Some(v1::job_ref::By::Job(number)) })
}

fn tagged(tag: &str) -> Option<v1::JobRef> {
    Some(v1::JobRef { by: Some(v1::job_ref::By::Tag(tag.to_owned())) })
}

fn at_strip(number: u32) -> Option<v1::Spot> {
    Some(v1::Spot { at: Some(v1::spot::At::Strip(number)) })
}

fn foil() -> v1::HandInItem {
    v1::HandInItem {
        item_kind: "foil".to_owned(),
        item: 0,
        complaint: "white_on_off".to_owned(),
        note: " on every parry ".to_owned(),
        tag: Tag::issue(12).unwrap().digits(),
        need: v1::Need::OneLeft as i32,
    }
}

fn hand_in() -> v1::HandInRequest {
    v1::HandInRequest {
        whose: Some(v1::hand_in_request::Whose::Fencer("Nia Vell".to_owned())),
        came_from: at_strip(7),
        items: vec![foil()],
        ..v1::HandInRequest::default()
    }
}

/// The field that a refused hand-in names.
fn hand_in_field(spoil: impl FnOnce(&mut v1::HandInRequest)) -> String {
    let mut request = hand_in();
    spoil(&mut request);
    strip::hand_in(request, &station(Role::Head, 0)).unwrap_err().field
}

#[test]
fn meta_is_read() {
    let read = meta(Some(good_meta())).unwrap();
    assert_eq!((read.happened_at, read.epoch), (None, 3));
    let late = v1::Meta { happened_at_us: MORNING.0, wire_version: String::new(), ..good_meta() };
    assert_eq!(meta(Some(late)).unwrap().happened_at, Some(MORNING));
}

#[test]
fn meta_without_a_version_7_uuid_is_refused() {
    let field = |meta_: Option<v1::Meta>| meta(meta_).unwrap_err().field;
    let with = |bytes: Vec<u8>| Some(v1::Meta { request_id: bytes, ..good_meta() });
    let mut version_4 = good_meta().request_id;
    version_4[6] = 0x40 | (version_4[6] & 0x0f);
    let mut variant = good_meta().request_id;
    variant[8] = 0xff;
    assert_eq!(field(None), "meta");
    for bytes in [vec![], vec![0; 15], vec![0; 16], vec![0xff; 16], vec![7; HUGE], version_4, variant] {
        assert_eq!(field(with(bytes)), "meta.request_id");
    }
    assert_eq!(field(Some(v1::Meta { wire_version: "2".to_owned(), ..good_meta() })), "meta.wire_version");
    assert_eq!(field(Some(v1::Meta { wire_version: "1".repeat(HUGE), ..good_meta() })), "meta.wire_version");
    for us in [-1, 1, i64::MIN, i64::MAX] {
        assert_eq!(field(Some(v1::Meta { happened_at_us: us, ..good_meta() })), "meta.happened_at_us");
    }
}

#[test]
fn a_hand_in_is_read() {
    let Command::HandIn(read) = strip::hand_in(hand_in(), &station(Role::Head, 0)).unwrap() else { panic!() };
    assert_eq!(read.whose, Whose::Fencer("Nia Vell".to_owned()));
    assert_eq!((read.came_from, read.back_to), (Spot::Strip(StripId(7)), Spot::Strip(StripId(7))));
    assert_eq!((read.wanted, read.in_room, read.owner), (Wanted::Open, false, None));
    let item = &read.items[0];
    assert_eq!((item.kind, item.item, item.tag), (ItemKind::Foil, None, Some(Tag::issue(12).unwrap())));
    assert_eq!(item.note.as_deref(), Some("on every parry"));
}

#[test]
fn a_strip_may_leave_out_that_it_is_here() {
    let request = v1::HandInRequest { came_from: None, ..hand_in() };
    let Command::HandIn(read) = strip::hand_in(request.clone(), &station(Role::Strip, 3)).unwrap() else {
        panic!()
    };
    assert_eq!((read.came_from, read.back_to), (Spot::Strip(StripId(3)), Spot::Strip(StripId(3))));
    assert_eq!(strip::hand_in(request, &station(Role::Head, 0)).unwrap_err().field, "came_from");
    let take = v1::TakeRequest { meta: None, job: job(5), bench: 0 };
    let read = bench::take(take.clone(), &station(Role::Bench, 2)).unwrap();
    assert_eq!(read, Command::Take { job: JobRef::Job(JobId(5)), bench: BenchId(2) });
    assert_eq!(bench::take(take, &station(Role::Head, 0)).unwrap_err().field, "bench");
}

#[test]
fn every_bad_field_of_a_hand_in_is_named() {
    use v1::hand_in_request::Whose as W;
    assert_eq!(hand_in_field(|r| r.whose = None), "whose");
    assert_eq!(hand_in_field(|r| r.whose = Some(W::Fencer(String::new()))), "fencer");
    assert_eq!(hand_in_field(|r| r.whose = Some(W::Fencer("a\u{1b}[2Jb".to_owned()))), "fencer");
    assert_eq!(hand_in_field(|r| r.whose = Some(W::Team("x".repeat(HUGE)))), "team");
    assert_eq!(hand_in_field(|r| r.owner = "a\nb".to_owned()), "owner");
    assert_eq!(hand_in_field(|r| r.bringer = "\u{202e}".to_owned()), "bringer");
    assert_eq!(hand_in_field(|r| r.official = " ".to_owned()), "official");
    assert_eq!(hand_in_field(|r| r.came_from = at_strip(0)), "came_from.strip");
    assert_eq!(hand_in_field(|r| r.came_from = Some(v1::Spot { at: None })), "came_from");
    assert_eq!(hand_in_field(|r| r.back_to = at_strip(65_536)), "back_to.strip");
    assert_eq!(hand_in_field(|r| r.items = vec![foil(); 65]), "items");
    assert_eq!(hand_in_field(|r| r.items[0].item_kind = "lance".to_owned()), "items[0].item_kind");
    assert_eq!(hand_in_field(|r| r.items[0].item_kind = "Foil".to_owned()), "items[0].item_kind");
    assert_eq!(hand_in_field(|r| r.items[0].item = u64::MAX), "items[0].item");
    assert_eq!(hand_in_field(|r| r.items[0].complaint = "x".repeat(HUGE)), "items[0].complaint");
    assert_eq!(hand_in_field(|r| r.items[0].note = "x".repeat(401)), "items[0].note");
    assert_eq!(hand_in_field(|r| r.items[0].tag = "1".repeat(HUGE)), "items[0].tag");
    assert_eq!(hand_in_field(|r| r.items[0].tag = "00000".to_owned()), "items[0].tag");
    for need in [0, 6, -1, i32::MAX] {
        assert_eq!(hand_in_field(|r| r.items[0].need = need), "items[0].need");
    }
    assert_eq!(
        hand_in_field(|r| {
            r.items.push(foil());
            r.items[1].need = 99;
        }),
        "items[1].need"
    );
}

#[test]
fn what_an_unreadable_text_said_is_not_repeated() {
    let mut request = hand_in();
    request.items[0].item_kind = "\u{1b}[2J".to_owned();
    let problem = strip::hand_in(request, &station(Role::Head, 0)).unwrap_err();
    assert!(!problem.to_string().contains('\u{1b}'));
}

fn want_by(by: Option<v1::wanted::By>) -> Result<Command, WireProblem> {
    let wanted = Some(v1::Wanted { by });
    strip::want_by(v1::WantByRequest { meta: None, job: job(5), wanted }, &station(Role::Counter, 0))
}

fn wanted(by: v1::wanted::By) -> Result<Wanted, String> {
    match want_by(Some(by)) {
        Ok(Command::WantBy { wanted, .. }) => Ok(wanted),
        Ok(other) => panic!("{other:?}"),
        Err(problem) => Err(problem.field),
    }
}

#[test]
fn wanted_by_time_and_by_bout_are_read() {
    use v1::wanted::By;
    assert_eq!(wanted(By::AtUs(MORNING.0)), Ok(Wanted::At(MORNING)));
    let pool = v1::PoolPlace { size: 6, variant: String::new(), place: 2, running_bout: 1, bout_min: 5 };
    let read = BoutPlace::Pool { size: 6, variant: None, place: 2, running_bout: 1, bout_min: 5 };
    assert_eq!(wanted(By::Pool(pool)), Ok(Wanted::Bout(read)));
    let tableau = v1::TableauPlace {
        table: 64,
        slot: 3,
        running_bout: 9,
        parallel_strips: 8,
        bout_min: 15,
        last_bout_ended_us: MORNING.0,
        entrants: 0,
    };
    let read = BoutPlace::Tableau {
        table: 64,
        entrants: None,
        slot: 3,
        running_bout: 9,
        parallel_strips: 8,
        bout_min: 15,
        last_bout_ended: Some(MORNING),
    };
    assert_eq!(wanted(By::Tableau(tableau)), Ok(Wanted::Bout(read)));
    let relay = v1::RelayPlace { running_relay: 4, fencer_no: 3, relay_min: 5 };
    let read = BoutPlace::Relay { running_relay: 4, fencer_no: 3, relay_min: 5 };
    assert_eq!(wanted(By::Relay(relay)), Ok(Wanted::Bout(read)));
}

#[test]
fn impossible_times_and_places_are_refused() {
    use v1::wanted::By;
    // Seconds and milliseconds where microseconds belong, and the ends of the type.
    for us in [0, -1, MORNING.0 / 1_000_000, MORNING.0 / 1000, i64::MIN, i64::MAX] {
        assert_eq!(wanted(By::AtUs(us)), Err("wanted.at_us".to_owned()));
    }
    let pool = v1::PoolPlace { size: 300, ..v1::PoolPlace::default() };
    assert_eq!(wanted(By::Pool(pool)), Err("wanted.pool.size".to_owned()));
    let pool = v1::PoolPlace { variant: "A B".to_owned(), ..v1::PoolPlace::default() };
    assert_eq!(wanted(By::Pool(pool)), Err("wanted.pool.variant".to_owned()));
    let tableau = v1::TableauPlace { slot: u32::MAX, ..v1::TableauPlace::default() };
    assert_eq!(wanted(By::Tableau(tableau)), Err("wanted.tableau.slot".to_owned()));
    let tableau = v1::TableauPlace { last_bout_ended_us: 5, ..v1::TableauPlace::default() };
    assert_eq!(wanted(By::Tableau(tableau)), Err("wanted.tableau.last_bout_ended_us".to_owned()));
    let relay = v1::RelayPlace { relay_min: 70_000, ..v1::RelayPlace::default() };
    assert_eq!(wanted(By::Relay(relay)), Err("wanted.relay.relay_min".to_owned()));
}

#[test]
fn jobs_are_named_by_number_or_tag() {
    let ready = |job| bench::ready(v1::JobRequest { meta: None, job }, &station(Role::Bench, 1));
    assert_eq!(ready(job(5)), Ok(Command::Ready { job: JobRef::Job(JobId(5)) }));
    let tag = Tag::issue(12).unwrap();
    assert_eq!(ready(tagged(&tag.digits())), Ok(Command::Ready { job: JobRef::Tag(tag) }));
    let field = |job| ready(job).unwrap_err().field;
    assert_eq!(field(None), "job");
    assert_eq!(field(Some(v1::JobRef { by: None })), "job");
    assert_eq!(field(job(0)), "job.job");
    assert_eq!(field(job(u64::MAX)), "job.job");
    assert_eq!(field(tagged("12")), "job.tag");
    assert_eq!(field(tagged(&"9".repeat(HUGE))), "job.tag");
}

fn found_at(kind: i32, strip_no: u32, bench_no: u32) -> Result<Place, String> {
    let place = Some(v1::Place { kind, strip: strip_no, bench: bench_no });
    let request = v1::FoundAgainRequest { meta: None, job: job(5), place };
    match strip::found_again(request, &station(Role::Head, 0)) {
        Ok(Command::FoundAgain { place, .. }) => Ok(place),
        Ok(other) => panic!("{other:?}"),
        Err(problem) => Err(problem.field),
    }
}

#[test]
fn places_carry_exactly_the_number_that_they_need() {
    use v1::PlaceKind as K;
    assert_eq!(found_at(K::Strip as i32, 7, 0), Ok(Place::Strip(StripId(7))));
    assert_eq!(found_at(K::Bench as i32, 0, 2), Ok(Place::Bench(BenchId(2))));
    assert_eq!(found_at(K::ReadyShelf as i32, 0, 0), Ok(Place::ReadyShelf));
    assert_eq!(found_at(K::Strip as i32, 0, 0), Err("place.strip".to_owned()));
    assert_eq!(found_at(K::Strip as i32, 7, 1), Err("place.bench".to_owned()));
    assert_eq!(found_at(K::Counter as i32, 7, 0), Err("place.strip".to_owned()));
    assert_eq!(found_at(K::Bench as i32, 0, 70_000), Err("place.bench".to_owned()));
    for kind in [0, 9, -7] {
        assert_eq!(found_at(kind, 0, 0), Err("place.kind".to_owned()));
    }
}

#[test]
fn bench_work_is_read() {
    let who = station(Role::Bench, 1);
    let repair = v1::RepairRequest {
        meta: None,
        job: job(5),
        work: "point".to_owned(),
        fault: String::new(),
        lasting: v1::Lasting::StopGap as i32,
        owed: 9,
    };
    let read = Command::Repair {
        job: JobRef::Job(JobId(5)),
        work: Work::Point,
        fault: None,
        lasting: Lasting::StopGap,
        owed: Some(OwedId(9)),
    };
    assert_eq!(bench::repair(repair.clone(), &who), Ok(read));
    let field = |spoil: &dyn Fn(&mut v1::RepairRequest)| {
        let mut request = repair.clone();
        spoil(&mut request);
        bench::repair(request, &who).unwrap_err().field
    };
    assert_eq!(field(&|r| r.work = "magic".to_owned()), "work");
    assert_eq!(field(&|r| r.fault = "Broken Wire".to_owned()), "fault");
    assert_eq!(field(&|r| r.lasting = 0), "lasting");
    assert_eq!(field(&|r| r.owed = u64::MAX), "owed");

    let prove = |answer| {
        bench::prove(v1::ProveRequest { meta: None, job: job(5), check: "c".to_owned(), answer }, &who)
    };
    let reading = Some(v1::Answer { is: Some(v1::answer::Is::Reading(-3)) });
    let Command::Prove { answer, .. } = prove(reading).unwrap() else { panic!() };
    assert_eq!(answer, Answer::Reading(-3), "the core judges readings, not the wire");
    assert_eq!(prove(Some(v1::Answer { is: None })).unwrap_err().field, "answer");
    assert_eq!(prove(None).unwrap_err().field, "answer");

    let hold =
        |reason| bench::hold(v1::HoldRequest { meta: None, job: job(5), reason, note: String::new() }, &who);
    assert!(hold(v1::HoldReason::PartMissing as i32).is_ok());
    assert_eq!(hold(v1::HoldReason::Confiscated as i32).unwrap_err().field, "reason");
    let cure = bench::cure(v1::CureRequest { meta: None, job: job(5), until_us: 0 }, &who);
    assert_eq!(cure.unwrap_err().field, "until_us");
}

#[test]
fn corrections_are_read() {
    use v1::correct_request::What;
    let who = station(Role::Head, 0);
    let correct = |what| {
        bench::correct(v1::CorrectRequest { meta: None, job: job(5), what, note: String::new() }, &who)
    };
    let what = |wire| match correct(Some(wire)) {
        Ok(Command::Correct { what, .. }) => Ok(what),
        Ok(other) => panic!("{other:?}"),
        Err(problem) => Err(problem.field),
    };
    assert_eq!(what(What::Item(4)), Ok(Correction::Item(ItemId(4))));
    assert_eq!(what(What::Bench(2)), Ok(Correction::Bench(BenchId(2))));
    assert_eq!(what(What::NotEnded(true)), Ok(Correction::End));
    assert_eq!(what(What::NotHandedBack(true)), Ok(Correction::HandBack));
    assert_eq!(what(What::Bench(0)), Err("bench".to_owned()));
    assert_eq!(what(What::Finding(0)), Err("finding".to_owned()));
    let kind = |kind: &str, complaint: &str| {
        what(What::Kind(v1::correct_request::Kind {
            item_kind: kind.to_owned(),
            complaint: complaint.to_owned(),
        }))
    };
    assert_eq!(kind("lance", "no_light"), Err("kind.item_kind".to_owned()));
    assert_eq!(kind("epee", "sad"), Err("kind.complaint".to_owned()));
    let spots = v1::correct_request::Spots { came_from: at_strip(1), back_to: None };
    assert_eq!(what(What::Spots(spots)), Err("spots.back_to".to_owned()));
    assert_eq!(correct(None).unwrap_err().field, "what");
}

#[test]
fn needed_reasons_and_bounded_lists() {
    let who = station(Role::Head, 0);
    let anyway = |reason: &str| {
        head::ready_anyway(
            v1::ReadyAnywayRequest { meta: None, job: job(5), reason: reason.to_owned() },
            &who,
        )
    };
    assert!(anyway("the referee waits").is_ok());
    assert_eq!(anyway("").unwrap_err().field, "reason");
    let count = |tags: Vec<String>| {
        let place = Some(v1::Place { kind: v1::PlaceKind::Counter as i32, strip: 0, bench: 0 });
        strip::count(v1::CountRequest { meta: None, place, tags }, &who)
    };
    assert!(count(Vec::new()).is_ok(), "an empty place is a count too");
    let good = Tag::issue(12).unwrap().digits();
    assert_eq!(count(vec![good.clone(), "x".to_owned()]).unwrap_err().field, "tags[1]");
    assert_eq!(count(vec![good; 2001]).unwrap_err().field, "tags");
    let away = v1::GoAwayRequest { meta: None, bench: 1, until_us: MORNING.0 };
    assert_eq!(
        bench::go_away(away, &who),
        Ok(Command::GoAway { bench: BenchId(1), until: Stamp(MORNING.0) })
    );
}
