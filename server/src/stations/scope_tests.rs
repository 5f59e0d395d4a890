//! What strips and benches may do, beyond their roles. Held against the design: each acts for itself only.

#![allow(clippy::unwrap_used)]

use remise_core::armoury::JobRef;
use remise_core::ids::{CallId, NoticeId};

use super::super::sees_job;
use super::*;
use crate::wire::scene::{Scene, station};

fn strip(number: u16) -> Station {
    station(Role::Strip, number)
}

fn bench(number: u16) -> Station {
    station(Role::Bench, number)
}

fn by_number(job: remise_core::ids::JobId) -> JobRef {
    JobRef::Job(job)
}

#[test]
fn a_strip_acts_only_for_itself() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    let call = |strip: u16| Command::CallOut { strip: StripId(strip), note: None };
    assert_eq!(check(&strip(1), &call(1), &scene.room), Ok(()));
    assert_eq!(check(&strip(2), &call(1), &scene.room), Err(OutOfScope::OtherStrip(StripId(2))));
    let call_off = Command::CallOff { job: by_number(job), reason: "not needed".to_owned() };
    assert_eq!(check(&strip(1), &call_off, &scene.room), Ok(()));
    assert_eq!(check(&strip(2), &call_off, &scene.room), Err(OutOfScope::OtherStripsJob(StripId(2))));
    let tag = scene.room.job(job).unwrap().course.tag.unwrap();
    let by_tag = Command::CallOff { job: JobRef::Tag(tag), reason: "not needed".to_owned() };
    assert_eq!(check(&strip(2), &by_tag, &scene.room), Err(OutOfScope::OtherStripsJob(StripId(2))));
    let job = scene.room.job(job).unwrap();
    assert!(sees_job(&strip(1), job) && !sees_job(&strip(2), job) && sees_job(&bench(1), job));
}

#[test]
fn a_strip_confirms_only_its_own_notices() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    scene.run(&Command::CallOff { job: by_number(job), reason: "not needed".to_owned() });
    let notice = scene.room.job(job).unwrap().notice.unwrap().id;
    let confirm = Command::ConfirmNotice { notice };
    assert_eq!(check(&strip(1), &confirm, &scene.room), Ok(()));
    assert_eq!(check(&strip(2), &confirm, &scene.room), Err(OutOfScope::OtherStripsJob(StripId(2))));
    // What does not exist is left to the armoury, which says so with a hint.
    assert_eq!(check(&strip(2), &Command::ConfirmNotice { notice: NoticeId(999) }, &scene.room), Ok(()));
}

#[test]
fn a_bench_works_only_on_what_no_other_has_in_hand() {
    let mut scene = Scene::new();
    let job = scene.foil("Nia Vell", 1, true);
    let ready = Command::Ready { job: by_number(job) };
    assert_eq!(check(&bench(2), &ready, &scene.room), Ok(()));
    scene.take(job, 1);
    assert_eq!(check(&bench(1), &ready, &scene.room), Ok(()));
    assert_eq!(check(&bench(2), &ready, &scene.room), Err(OutOfScope::OtherBenchsJob(BenchId(2))));
    assert_eq!(check(&station(Role::Head, 0), &ready, &scene.room), Ok(()));
    let take = |by: u16| Command::Take { job: by_number(job), bench: BenchId(by) };
    assert_eq!(check(&bench(2), &take(1), &scene.room), Err(OutOfScope::OtherBench(BenchId(2))));
    // The armoury itself answers that bench 1 was quicker.
    assert_eq!(check(&bench(2), &take(2), &scene.room), Ok(()));
}

#[test]
fn a_bench_answers_only_its_own_call_out() {
    let mut scene = Scene::new();
    scene.run(&Command::CallOut { strip: StripId(2), note: None });
    let (id, sent) = scene.room.calls.iter().map(|(id, call)| (*id, call.bench)).next().unwrap();
    let other = BenchId(3 - sent.0);
    let reach = Command::ReachStrip { call: id };
    assert_eq!(check(&bench(sent.0), &reach, &scene.room), Ok(()));
    assert_eq!(check(&bench(other.0), &reach, &scene.room), Err(OutOfScope::OtherBench(other)));
    assert_eq!(check(&bench(other.0), &Command::ReachStrip { call: CallId(999) }, &scene.room), Ok(()));
}
