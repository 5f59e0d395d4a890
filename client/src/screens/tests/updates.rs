//! Keys in, commands out; and what becomes of the answers.
#![allow(clippy::unwrap_used)]

use remise_core::armoury::{
    Command, HoldReason, JobRef, Lasting, Need, OwedEnd, Place, Showed, Spot, Wanted, Whose,
};
use remise_core::bouts::BoutPlace;
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{BenchId, CallId, JobId, NoticeId, OwedId, StripId};
use remise_core::rules::Answer;

use super::person::Person;
use super::scene::{NOW, board, course, found, job, tag};
use crate::screens::layer::{Layer, Sheet};
use crate::screens::state::{Msg, ReadFor, Role, Task};

/// The commands that were asked for.
pub(super) fn commands(person: &Person) -> Vec<Command> {
    let of = |task: &Task| match task {
        Task::Send { command, .. } => Some((**command).clone()),
        _ => None,
    };
    person.tasks.iter().filter_map(of).collect()
}

/// Keys at a role's home give exactly that command.
#[track_caller]
fn check(role: Role, keys: &str, command: Command) {
    let mut person = Person::at(role);
    person.types(keys);
    assert_eq!(commands(&person), [command], "{keys:?}: {:?}", person.state.sheets);
}

/// The same on the card of a job.
#[track_caller]
fn on_card(role: Role, job: u64, keys: &str, command: Command) {
    let mut person = Person::at(role);
    person.state.sheets.push(Sheet::new(Layer::Job(JobId(job))));
    person.types(keys);
    assert_eq!(commands(&person), [command], "{keys:?}: {:?}", person.state.sheets);
}

const HAND: JobRef = JobRef::Job(JobId(21));
const LATE: JobRef = JobRef::Job(JobId(34));
const READY: JobRef = JobRef::Job(JobId(45));

#[test]
fn a_strip_hands_in_with_few_keys() {
    let mut person = Person::at(Role::Strip);
    // Fencer by completion, item 1, complaint 3, need 2, a time; the rest is left as it is.
    person.types("iid\t\n1322").types("14:30").ctrl('s');
    let [Command::HandIn(given)] = &commands(&person)[..] else { panic!("{:?}", person.state.sheets) };
    assert_eq!(given.whose, Whose::Fencer("Ida Test".into()));
    assert_eq!((given.came_from, given.back_to), (Spot::Strip(StripId(3)), Spot::Strip(StripId(3))));
    assert_eq!(given.wanted, Wanted::At(NOW.plus_min(22)));
    assert!(!given.in_room);
    let [item] = &given.items[..] else { panic!("{given:?}") };
    let expected = (ItemKind::Foil, Complaint::GoodHitsWhite, Need::OneLeft);
    assert_eq!((item.kind, item.complaint, item.need), expected);
}

#[test]
fn several_items_go_in_together_and_a_pool_place_says_when() {
    let mut person = Person::at(Role::Strip);
    person.types("iAda Made-Up\n131").ctrl('n');
    person.types("4323\n2\n7\n\n").ctrl('s');
    let [Command::HandIn(given)] = &commands(&person)[..] else { panic!("{:?}", person.state.sheets) };
    let kinds: Vec<_> = given.items.iter().map(|item| item.kind).collect();
    assert_eq!(kinds, [ItemKind::Foil, ItemKind::BodyCordTwoPin]);
    let place = BoutPlace::Pool { size: 7, variant: None, place: 2, running_bout: 7, bout_min: 5 };
    assert_eq!(given.wanted, Wanted::Bout(place));
}

#[test]
fn a_reel_needs_no_name() {
    let mut person = Person::at(Role::Strip);
    person.types("i\n0514").ctrl('s');
    let [Command::HandIn(given)] = &commands(&person)[..] else { panic!("{:?}", person.state.sheets) };
    assert_eq!((given.whose.clone(), given.items[0].kind), (Whose::House, ItemKind::Reel));
    assert_eq!(given.items[0].need, Need::StripStopped);
}

#[test]
fn what_is_missing_in_a_form_is_said_at_its_field_and_nothing_is_sent() {
    for (keys, says) in [
        ("i", "choose one by its number"),
        ("i\n1111", "type a name"),
        ("iIda\n19", "choose one by its number"),
        ("iIda\n192", "say in a few words what is wrong"),
        ("iIda\n114", "reels, cables and boxes"),
        ("iIda\n1112noon", "14:20"),
        ("iIda\n1113\n\n", "pool sheet"),
        ("iIda\n11119", "five digits"),
    ] {
        let mut person = Person::at(Role::Strip);
        person.types(keys).ctrl('s');
        let Some(Layer::Form(form)) = person.top() else { panic!("{keys:?}") };
        let problem = form.problem.as_ref().map(|(_, why)| why.clone()).unwrap_or_default();
        assert!(problem.contains(says), "{keys:?} says {problem:?}");
        assert!(person.tasks.is_empty(), "{keys:?}");
    }
}

#[test]
fn a_job_is_not_moved_to_where_it_is() {
    let mut head = Person::at(Role::Head);
    head.state.sheets.push(Sheet::new(Layer::Job(JobId(21))));
    head.types("t1left lying\n");
    let mut bench = Person::at(Role::Bench);
    bench.types("a1\n");
    for person in [head, bench] {
        let Some(Layer::Form(form)) = person.top() else { panic!("{:?}", person.state.sheets) };
        let problem = form.problem.as_ref().map(|(_, why)| why.clone()).unwrap_or_default();
        assert!(problem.contains("choose another"), "{problem}");
        assert!(commands(&person).is_empty());
    }
}

#[test]
fn take_takes_the_first_of_the_lane_after_a_job_or_says_why_it_cannot() {
    let mut bench = Person::at(Role::Bench);
    let mut dries = board(false);
    let mut glued = job(21);
    glued.state = remise_core::armoury::State::Curing;
    glued.bench = Some(BenchId(1));
    glued.dry_at = Some(NOW.plus_min(20));
    dries.jobs.push(glued);
    bench.hear(Msg::Board(Box::new(dries)));
    bench.types("t");
    assert_eq!(commands(&bench), [Command::Take { job: LATE, bench: BenchId(1) }]);
    bench.types("↓t");
    assert_eq!(commands(&bench).len(), 1, "it is not dry");
    let title = |person: &Person| match person.top() {
        Some(Layer::Said(said)) => said.title.clone(),
        other => panic!("{other:?}"),
    };
    assert!(title(&bench).contains(&tag(1021).digits()), "{}", title(&bench));
    let mut idle = Person::with(Role::Bench, remise_link::view::Board::default());
    idle.types("t");
    assert!(title(&idle).contains("Nothing waits"));
}

#[test]
fn keys_of_the_strip() {
    let ida = || "Ida Test".to_owned();
    check(Role::Strip, "y", Command::ConfirmNotice { notice: NoticeId(47) });
    check(Role::Strip, "cy", Command::CallOut { strip: StripId(3), note: None });
    check(Role::Strip, "o\n", Command::FencerOut { fencer: ida() });
    check(Role::Strip, "O\n", Command::FencerIn { fencer: ida() });
    check(Role::Strip, "l\n3\n", Command::Lend { fencer: ida(), kind: ItemKind::Sabre });
    check(Role::Strip, "L\n2\n", Command::LoanBack { fencer: ida(), kind: ItemKind::Epee });
    check(Role::Strip, "b\n", Command::HandBack { job: READY, to: ida() });
    check(Role::Strip, "↓n1", Command::SetNeed { job: HAND, need: Need::NoneLeft });
    let wanted = Wanted::At(NOW.plus_min(5));
    check(Role::Strip, "↓↓w\n+5\n", Command::WantBy { job: LATE, wanted });
    check(Role::Strip, "↓↓w1\n", Command::WantBy { job: LATE, wanted: Wanted::Open });
}

#[test]
fn cards_of_jobs() {
    let text = str::to_owned;
    on_card(Role::Strip, 34, "gc\n", Command::BackTo { job: LATE, to: Spot::Counter });
    on_card(Role::Strip, 34, "g2\n", Command::BackTo { job: LATE, to: Spot::Strip(StripId(2)) });
    on_card(Role::Strip, 34, "xspare found\n", Command::CallOff { job: LATE, reason: text("spare found") });
    on_card(Role::Counter, 34, "m\n", Command::Missing { job: LATE, note: None });
    on_card(
        Role::Counter,
        45,
        "unobody there\n",
        Command::CollectedUnseen { job: READY, note: Some(text("nobody there")) },
    );
    let hold = Command::Hold { job: LATE, reason: HoldReason::OwnerMustAgree, note: None };
    on_card(Role::Head, 34, "h2\n", hold);
    on_card(Role::Head, 34, "kreferee A\n", Command::Confiscate { job: LATE, note: text("referee A") });
    on_card(Role::Head, 52, "e", Command::Release { job: JobRef::Job(JobId(52)) });
    on_card(Role::Head, 34, "p2", Command::Pin { job: LATE, bench: Some(BenchId(2)) });
    on_card(Role::Head, 34, "p3", Command::Pin { job: LATE, bench: None });
    let reason = text("left lying");
    on_card(Role::Head, 21, "t3left lying\n", Command::TakeOver { job: HAND, bench: None, reason });
    on_card(Role::Head, 34, "aI looked\n", Command::ReadyAnyway { job: LATE, reason: text("I looked") });
}

#[test]
fn keys_of_the_bench() {
    let first = remise_core::gear::prior(ItemKind::Foil, Complaint::WhiteOnOff)[0].0;
    let find = |showed| Command::Find { job: HAND, fault: first.id.to_owned(), showed, note: None };
    for (keys, showed) in [("1p", Showed::Present), ("1a", Showed::Absent), ("\nu", Showed::Unsure)] {
        check(Role::Bench, keys, find(showed));
    }
    let fault = Some(first.id.to_owned());
    let repair =
        Command::Repair { job: HAND, work: first.work, fault, lasting: Lasting::StopGap, owed: None };
    check(Role::Bench, "r1\n2\n", repair);
    check(Role::Bench, "z10\n", Command::Cure { job: HAND, until: NOW.plus_min(10) });
    check(Role::Bench, "fy", Command::NoFaultFound { job: HAND });
    check(Role::Bench, "dy", Command::Ready { job: HAND });
    check(Role::Bench, "wcracked\n", Command::Withdraw { job: HAND, reason: "cracked".into() });
    check(Role::Bench, "Ethe reel\n", Command::FaultElsewhere { job: HAND, place: "the reel".into() });
    check(Role::Bench, "b\n", Command::PutBack { job: HAND, note: None });
    check(Role::Bench, "a2\n", Command::PassOn { job: HAND, bench: BenchId(2), note: None });
    check(Role::Bench, "s", Command::Interrupt { bench: BenchId(1) });
    check(Role::Bench, "A+15\n", Command::GoAway { bench: BenchId(1), until: NOW.plus_min(15) });
}

#[test]
fn an_idle_bench_takes_what_is_shown_or_scanned() {
    let take = Command::Take { job: LATE, bench: BenchId(1) };
    let mut person = Person::with(Role::Bench, board(false));
    person.types("t");
    assert_eq!(commands(&person), std::slice::from_ref(&take));
    let mut scanned = Person::with(Role::Bench, board(false));
    scanned.types(&format!("{}\n", tag(1034)));
    assert_eq!(commands(&scanned), [take]);
}

#[test]
fn a_scanner_cannot_record_findings() {
    let mut person = Person::at(Role::Bench);
    person.types(&format!("{}\n", tag(1034)));
    assert_eq!(commands(&person), []);
}

#[test]
fn a_call_out_goes_step_by_step() {
    let mut person = Person::at(Role::Bench);
    person.state.board.calls.iter_mut().flatten().for_each(|call| call.bench = BenchId(1));
    person.types("g");
    assert_eq!(commands(&person), [Command::ReachStrip { call: CallId(60) }]);
    person.accept();
    let there = remise_link::view::CallState::AtStrip;
    person.state.board.calls.iter_mut().flatten().for_each(|call| call.state = there);
    person.types("g1spare reel\n\n");
    assert_eq!(commands(&person), [], "the spare reel took the place of something");
    person.types("2").ctrl('s');
    let stock = Some("spare reel".to_owned());
    let swapped = Some(ItemKind::Reel);
    assert_eq!(commands(&person), [Command::RunAgain { call: CallId(60), swapped, stock, note: None }]);
}

#[test]
fn each_check_of_a_proof_is_recorded_by_itself() {
    let mut person = Person::at(Role::Bench);
    person.types("pp\n");
    let code = course().proof[1].check.clone();
    assert_eq!(commands(&person), [Command::Prove { job: HAND, check: code, answer: Answer::Passed }]);
    person.types("6,1↑\n");
    assert_eq!(commands(&person).len(), 1, "what is on its way is not sent twice");
    person.accept();
    let Some(Layer::Proof(proof)) = person.top() else { panic!("{:?}", person.top()) };
    let typed: Vec<_> = proof.rows[1..3].iter().map(|row| row.input.value()).collect();
    assert_eq!(typed, ["", "6,1"], "a slow answer swallows no digit of the next reading");
    person.types("rubbish\n");
    assert_eq!(commands(&person), [], "what cannot be read is not sent");
}

#[test]
fn keys_of_the_head() {
    let bench = BenchId(1);
    check(Role::Head, "S\n", Command::CloseBench { bench });
    check(Role::Head, "\tr1", Command::Redirect { call: CallId(60), bench });
    check(Role::Head, "\t\t\tE3", Command::EndOwed { owed: OwedId(9), how: OwedEnd::Declined });
    check(Role::Head, "Dy", Command::CloseDay);
    check(Role::Head, "#1\n", Command::Count { place: Place::ReadyShelf, tags: Vec::new() });
    let tags = vec![tag(1045)];
    check(Role::Head, &format!("#1{}\n\n", tag(1045)), Command::Count { place: Place::ReadyShelf, tags });
    let (a, b) = (tag(1021), tag(1034));
    check(Role::Head, &format!("T{a}\n{b}\n"), Command::ExchangeTags { a, b });
    let mut looks = Person::at(Role::Head);
    looks.types("N/ida\n");
    assert_eq!(looks.tasks, [Task::ReadNight, Task::Search("ida".into())]);
}

#[test]
fn mistakes_are_put_right_from_what_was_recorded() {
    let mut person = Person::at(Role::Head);
    person.types("↓C");
    assert_eq!(person.tasks, [Task::ReadCourse(HAND, ReadFor::Correct)]);
    person.tasks.clear();
    person.hear(Msg::Course(ReadFor::Correct, Box::new(Ok(course()))));
    person.types("61\n");
    let what = remise_core::armoury::Correction::Repair(course().repairs[0].repair);
    assert_eq!(commands(&person), [Command::Correct { job: HAND, what, note: None }]);
}

#[test]
fn the_counter_scans_in_hands_back_and_ties_tags() {
    let mut coming = board(true);
    let mut other = job(70);
    other.state = remise_core::armoury::State::OnItsWay;
    coming.jobs.push(other);
    let at_counter = |digits: String| {
        let mut person = Person::with(Role::Counter, coming.clone());
        person.types(&digits).types("\n");
        person
    };
    let scanned = at_counter(tag(1070).digits());
    assert_eq!(commands(&scanned), [Command::ScanIn { job: JobRef::Job(JobId(70)), tag: None }]);
    let mut ready = at_counter(tag(1045).digits());
    ready.types("\n");
    assert_eq!(commands(&ready), [Command::HandBack { job: READY, to: "Ida Test".into() }]);
    let mut unknown = at_counter(tag(9000).digits());
    assert_eq!(unknown.tasks, [Task::Search(tag(9000).digits())], "it may be anywhere in the house");
    unknown.hear(Msg::Found(tag(9000).digits(), Box::new(Ok(found(Vec::new())))));
    unknown.types(&tag(9000).digits()).types("\n");
    unknown.hear(Msg::Found(tag(9000).digits(), Box::new(Ok(found(Vec::new())))));
    assert_eq!(commands(&unknown), [], "the same tag scanned twice ties nothing");
    unknown.types("\n");
    assert_eq!(commands(&unknown), [Command::ScanIn { job: JobRef::Job(JobId(40)), tag: Some(tag(9000)) }]);
    let wrong = at_counter("12345".into());
    assert!(matches!(wrong.top(), Some(Layer::Said(said)) if said.bad), "{:?}", wrong.top());
}

/// A loose barrel with twelve minutes left: both ways stand below it, and which one costs less.
#[test]
fn a_fault_with_a_stop_gap_shows_what_each_way_costs() {
    let mut person = Person::at(Role::Bench);
    let mut board = board(true);
    for job in board.jobs.iter_mut().filter(|job| JobRef::Job(job.job) == HAND) {
        job.kind = ItemKind::Foil;
        job.wanted_by = Some(NOW.plus_min(12));
    }
    person.hear(Msg::Board(Box::new(board)));
    let job = person.state.in_hand().unwrap().clone();
    let mut listed = crate::screens::faults::listed(&job).into_iter();
    let at = listed.position(|(fault, _)| fault.id == "foil_barrel_loose");
    person.state.home.fault = at.unwrap();
    super::snapshot::check("stop-gap", &person.state);
    for (columns, lines) in [(80, 24), (160, 50)] {
        let text = super::snapshot::picture(&person.state, columns, lines);
        assert!(text.contains("lasting: wire the blade anew, 47 min, "), "{text}");
        assert!(text.contains("stop-gap: tighten the barrel, 3 min, fails again"), "{text}");
        assert_eq!(text.matches("← costs less*").count(), 1, "{text}");
    }
}
