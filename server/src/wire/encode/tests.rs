//! What callers see. Held against the comments in the .proto files.

#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;

use remise_core::armoury::{Command, HandIn, JobRef, Spot, State, Wanted};
use remise_core::gear::Work;
use remise_core::ids::{BenchId, JobId, StripId};
use remise_core::plan::{Plan, Planner as _, UrgencyPlanner};
use remise_core::time::Stamp;
use remise_proto::v1;

use super::*;
use crate::stations::Role;
use crate::wire::scene::{Scene, station};

fn board(scene: &Scene, view: View, names: bool) -> v1::Board {
    let plan = UrgencyPlanner.plan(&scene.room, scene.now);
    full(&Lens::new(&scene.room, &plan, scene.now, names), view)
}

fn jobs(board: &v1::Board) -> Vec<u64> {
    board.jobs.iter().map(|job| job.job).collect()
}

fn call_off(job: JobId) -> Command {
    Command::CallOff { job: JobRef::Job(job), reason: "not needed".to_owned() }
}

#[test]
fn a_strip_sees_its_own_jobs_only() {
    let mut scene = Scene::new();
    let (one, two) = (scene.foil("Nia Vell", 1, true), scene.foil("Tam Orr", 2, true));
    assert_eq!(jobs(&board(&scene, View::Strip(StripId(1)), true)), [one.0]);
    assert_eq!(jobs(&board(&scene, View::Strip(StripId(2)), true)), [two.0]);
    assert_eq!(jobs(&board(&scene, View::Room, true)), [one.0, two.0]);
    let moved = Command::BackTo { job: JobRef::Job(two), to: Spot::Strip(StripId(1)) };
    scene.run(&moved);
    assert_eq!(jobs(&board(&scene, View::Strip(StripId(1)), true)), [one.0, two.0]);
}

#[test]
fn a_bench_sees_what_it_has_and_what_waits() {
    let mut scene = Scene::new();
    let mine = scene.foil("Nia Vell", 1, true);
    let other = scene.foil("Tam Orr", 2, true);
    let waits = scene.foil("Ulla Senn", 2, true);
    let done = scene.foil("Wim Adar", 2, true);
    scene.take(mine, 1);
    scene.take(other, 2);
    scene.run(&call_off(done));
    let seen = board(&scene, View::Bench(BenchId(1)), true);
    assert_eq!(jobs(&seen), [mine.0, waits.0]);
    let benches = seen.benches.unwrap().benches;
    assert_eq!((benches.len(), benches[0].in_hand, benches[0].armourer.as_str()), (1, mine.0, "Ora Fenn"));
    assert_eq!(jobs(&board(&scene, View::Counter, true)), [done.0]);
}

#[test]
fn the_curing_shelf_is_seen_from_every_bench() {
    let mut scene = Scene::new();
    let glued = scene.foil("Nia Vell", 1, true);
    scene.take(glued, 2);
    let until = scene.now.plus_min(20);
    scene.run(&Command::Cure { job: JobRef::Job(glued), until });
    assert_eq!(jobs(&board(&scene, View::Bench(BenchId(1)), true)), [glued.0]);
}

#[test]
fn observers_see_no_names_and_no_notes() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    scene.run(&Command::CallOut { strip: StripId(2), note: Some("box of Tam Orr".to_owned()) });
    scene.take(job, 2);
    let shown = format!("{:?}", board(&scene, View::Room, true));
    let hidden = format!("{:?}", board(&scene, View::Room, false));
    for name in ["Nia Vell", "on every parry", "Ora Fenn", "Tam Orr"] {
        assert!(shown.contains(name) && !hidden.contains(name), "{name}");
    }
}

#[test]
fn a_job_shows_its_plan_tag_and_state() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    let view = board(&scene, View::Room, true).jobs.remove(0);
    assert_eq!(view.state, v1::State::Waiting as i32);
    assert_eq!(view.need, v1::Need::OneLeft as i32);
    assert_eq!(view.tag, scene.room.job(job).unwrap().course.tag.unwrap().digits());
    assert_eq!((view.item_kind.as_str(), view.complaint.as_str()), ("foil", "white_on_off"));
    assert!(view.planned.unwrap().likely_us > scene.now.0);
    assert_eq!(view.in_hand_since_us, 0);
    scene.take(job, 1);
    let view = board(&scene, View::Room, true).jobs.remove(0);
    assert_eq!((view.in_hand_since_us, view.bench), (scene.now.0, 1));
}

/// Whatever happens, a client that applies the changes has what a fresh full board shows.
#[test]
fn changes_add_up_to_the_full_board() {
    let mut scene = Scene::new();
    let mut sent = Sent::default();
    let mut client: BTreeMap<u64, v1::JobView> = BTreeMap::new();
    let mut fulls = 0;
    for n in 0..12_u16 {
        match n % 3 {
            0 => {
                scene.foil(&format!("Fencer {n}"), 1 + n % 2, true);
            }
            1 => {
                let waiting = scene.room.jobs_in(State::Waiting).map(|job| job.id).next().unwrap();
                scene.run(&call_off(waiting));
            }
            _ => {
                let off = scene.room.jobs_in(State::CalledOff).map(|job| job.id).next().unwrap();
                scene.run(&Command::HandBack { job: JobRef::Job(off), to: "somebody".to_owned() });
            }
        }
        let whole = board(&scene, View::Room, true);
        if let Some(change) = sent.change(whole.clone()) {
            fulls += usize::from(change.full);
            client.retain(|job, _| !change.removed.contains(job));
            client.extend(change.jobs.into_iter().map(|job| (job.job, job)));
        }
        assert_eq!(client.values().cloned().collect::<Vec<_>>(), whole.jobs);
    }
    assert_eq!(fulls, 1, "only the first board is full");
    assert_eq!(sent.change(board(&scene, View::Room, true)), None, "nothing changed, nothing is sent");
}

#[test]
fn a_first_board_of_an_empty_room_is_sent_too() {
    let scene = Scene::new();
    let first = Sent::default().change(board(&scene, View::Strip(StripId(1)), true)).unwrap();
    assert!(first.full && first.jobs.is_empty());
}

fn past(scene: &Scene, job: JobId) -> Vec<Past> {
    let of_job = scene.past.iter().filter(|one| one.event.job(one.seq) == Some(job));
    of_job.map(|one| Past { recorded: one.clone(), station: "bench".to_owned() }).collect()
}

#[test]
fn a_course_lists_what_is_still_to_be_proven() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    scene.take(job, 1);
    scene.run(&Command::NoFaultFound { job: JobRef::Job(job) });
    let plan = Plan::default();
    let lens = Lens::new(&scene.room, &plan, scene.now, true);
    let open = scene.room.job(job).unwrap();
    let seen = course(&lens, open, &past(&scene, job));
    assert!(!seen.proof.is_empty() && seen.proof.iter().all(|check| !check.answered));
    let first = seen.proof[0].check.clone();
    let answer = remise_core::rules::Answer::Passed;
    scene.run(&Command::Prove { job: JobRef::Job(job), check: first, answer });
    let lens = Lens::new(&scene.room, &plan, scene.now, true);
    let seen = course(&lens, scene.room.job(job).unwrap(), &past(&scene, job));
    assert!(seen.proof[0].answered && seen.proof[0].pass && !seen.proof[1].answered);
    let sentences: Vec<_> = seen.history.iter().map(|line| line.sentence.as_str()).collect();
    assert!(sentences[0].contains("strip 1") && sentences[0].contains("Nia Vell"), "{sentences:?}");
    assert!(
        sentences.contains(&"taken by bench 1") && sentences.contains(&"no fault found"),
        "{sentences:?}"
    );
}

#[test]
fn a_course_says_the_times_that_were_said() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    let local = |at: Stamp| {
        let zone = crate::tournament::local::zone("Europe/Vienna").unwrap();
        crate::tournament::local::clock_text(at, &zone)
    };
    let (likely, safe) = (scene.now.plus_min(11), scene.now.plus_min(19));
    let said = remise_core::armoury::NewPromise { job, likely, safe: Some(safe), raw: None };
    scene.run(&Command::SayPromises { promises: vec![said] });
    scene.run(&Command::WantBy { job: JobRef::Job(job), wanted: Wanted::At(likely) });
    let plan = Plan::default();
    let lens = Lens::new(&scene.room, &plan, scene.now, true);
    let seen = course(&lens, scene.room.job(job).unwrap(), &past(&scene, job));
    let all: Vec<_> = seen.history.iter().map(|line| line.sentence.as_str()).collect();
    let promised = format!("promised: ready likely at {}, safely at {}", local(likely), local(safe));
    assert!(all.contains(&promised.as_str()), "{all:?}");
    assert!(all.contains(&format!("wanted by {}", local(likely)).as_str()), "{all:?}");
}

#[test]
fn a_closed_job_is_folded_from_its_own_events() {
    let mut scene = Scene::new();
    scene.foil("Tam Orr", 2, true);
    let job = scene.foil("Nia Vell", 1, true);
    scene.take(job, 1);
    let repair = Command::Repair {
        job: JobRef::Job(job),
        work: Work::Point,
        fault: Some("foil_barrel_loose".to_owned()),
        lasting: remise_core::armoury::Lasting::StopGap,
        owed: None,
    };
    scene.run(&repair);
    scene.run(&Command::ReadyAnyway { job: JobRef::Job(job), reason: "final".to_owned() });
    scene.run(&Command::HandBack { job: JobRef::Job(job), to: "Nia Vell".to_owned() });
    assert!(scene.room.job(job).is_none());
    let closed = replay(&scene.room, job, &past(&scene, job)).unwrap();
    assert_eq!((closed.state(), closed.course.repairs.len()), (State::Returned, 1));
    assert!(replay(&scene.room, JobId(9999), &[]).is_none());

    let plan = Plan::default();
    let lens = Lens::new(&scene.room, &plan, scene.now, true);
    let seen = course(&lens, &closed, &past(&scene, job));
    assert_eq!(seen.owed.len(), 1, "the lasting repair stays owed on the item");
    let owed = &seen.owed[0];
    assert_eq!(
        (owed.work.as_str(), owed.fault.as_str(), owed.job),
        (Work::BladeWire.code(), "foil_barrel_loose", 0),
        "what lasts is new wire"
    );
    assert_eq!(seen.anyway, "final");
    let room = board(&scene, View::Room, true);
    let ever = room.tally.unwrap().lines;
    assert!(ever.iter().any(|line| line.of == "ever" && line.code == "returned" && line.number == 1));
}

#[test]
fn a_search_finds_names_numbers_and_tags_but_not_other_strips_jobs() {
    let mut scene = Scene::new();
    let (one, two) = (scene.foil("Nia Vell", 1, true), scene.foil("Tam Orr", 2, true));
    let plan = Plan::default();
    let lens = Lens::new(&scene.room, &plan, scene.now, true);
    let ids = |role, number, text: &str, limit| {
        let found = found(&lens, &station(role, number), text, limit);
        (found.jobs.iter().map(|job| job.job).collect::<Vec<_>>(), found.more)
    };
    assert_eq!(ids(Role::Head, 0, "nia  VELL", 50), (vec![one.0], false));
    assert_eq!(ids(Role::Head, 0, "orr", 50), (vec![two.0], false));
    assert_eq!(ids(Role::Strip, 1, "orr", 50), (vec![], false));
    assert_eq!(ids(Role::Head, 0, "", 1), (vec![one.0], true));
    let tag = scene.room.job(two).unwrap().course.tag.unwrap().digits();
    assert_eq!(ids(Role::Head, 0, &tag, 50), (vec![two.0], false));
    let mut slip = tag.clone().into_bytes();
    slip.swap(0, 1);
    let slip = String::from_utf8(slip).unwrap();
    if slip != tag {
        assert_eq!(found(&lens, &station(Role::Head, 0), &slip, 50).near_tags, [tag]);
    }
}

#[test]
fn the_night_report_puts_each_open_job_in_one_list() {
    let mut scene = Scene::new();
    let walking = scene.foil("Nia Vell", 1, false);
    let waiting = scene.foil("Tam Orr", 2, true);
    let off = scene.foil("Ulla Senn", 2, true);
    scene.run(&call_off(off));
    let lost = scene.foil("Wim Adar", 1, true);
    scene.run(&Command::Missing { job: JobRef::Job(lost), note: None });
    let kept = scene.foil("Yan Brod", 1, true);
    scene.run(&Command::Confiscate { job: JobRef::Job(kept), note: "referee, strip 1".to_owned() });
    let plan = Plan::default();
    let report = night_report(&Lens::new(&scene.room, &plan, scene.now, true));
    let one = |list: &[v1::JobView]| list.iter().map(|job| job.job).collect::<Vec<_>>();
    assert_eq!(one(&report.on_their_way), [walking.0]);
    assert_eq!(one(&report.unfinished), [waiting.0]);
    assert_eq!(one(&report.uncollected), [off.0]);
    assert_eq!(one(&report.missing), [lost.0]);
    assert_eq!(one(&report.confiscated), [kept.0]);
    assert!(report.count_problems.iter().any(|problem| problem.contains("not counted")));
    assert_eq!((report.complaints[0].code.as_str(), report.complaints[0].number), ("white_on_off", 5));
}

#[test]
fn the_venue_shows_armourers_only_to_those_who_may_see_names() {
    let scene = Scene::new();
    let shown = venue(&scene.room, scene.room.venue.as_ref().unwrap(), true);
    assert_eq!((shown.strips.len(), shown.benches[0].armourer.as_str()), (2, "Ora Fenn"));
    let hidden = venue(&scene.room, scene.room.venue.as_ref().unwrap(), false);
    assert!(hidden.benches.iter().all(|bench| bench.armourer.is_empty()));
}

#[test]
fn every_hand_in_field_that_a_screen_needs_is_there() {
    // A hand-in without a fencer shows an empty name, never the word for a forgotten one.
    let mut scene = Scene::new();
    let item = remise_core::armoury::HandInItem {
        kind: remise_core::gear::ItemKind::Reel,
        item: None,
        complaint: remise_core::gear::Complaint::for_kind(remise_core::gear::ItemKind::Reel)[0],
        note: None,
        tag: None,
        need: remise_core::armoury::Need::StripStopped,
    };
    scene.run(&Command::HandIn(HandIn {
        whose: remise_core::armoury::Whose::House,
        owner: None,
        bringer: None,
        official: None,
        came_from: Spot::Strip(StripId(1)),
        back_to: Spot::Counter,
        wanted: remise_core::armoury::Wanted::Open,
        in_room: false,
        items: vec![item],
    }));
    let view = board(&scene, View::Room, true).jobs.remove(0);
    assert_eq!((view.fencer.as_str(), view.tag.as_str(), view.wanted_by_us), ("", "", 0));
    assert_eq!(view.state, v1::State::OnItsWay as i32);
    assert_eq!(view.need, v1::Need::StripStopped as i32);
}
