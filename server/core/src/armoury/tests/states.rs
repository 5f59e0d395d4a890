//! Every state against every move of a job: accepted, or refused with which reason.

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::Work;
use crate::ids::{JobId, StripId};
use crate::rules::Answer;

const STATES: [State; 8] = [
    State::OnItsWay,
    State::Waiting,
    State::OnBench,
    State::Curing,
    State::Ready,
    State::Withdrawn,
    State::CalledOff,
    State::Gone,
];

type Move = (&'static str, fn(&mut World, JobId) -> Command, [&'static str; 8]);

/// Accepted.
const OK: &str = "";
const WRONG: &str = "WRONG_STATE";
const SAME: &str = "NOTHING_CHANGES";

/// On its way, waiting, on bench, curing, ready, withdrawn, called off, gone.
const MOVES: &[Move] = &[
    (
        "scan in",
        |w, j| {
            let tag = w.job(j).course.tag.is_none().then(|| w.tag());
            scan_in(j, tag)
        },
        [OK, WRONG, WRONG, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    ("take", |_, j| take(j, WEAPONS), [WRONG, OK, SAME, "NOT_DRY", WRONG, WRONG, WRONG, WRONG]),
    (
        "put back",
        |_, j| Command::PutBack { job: on(j), note: None },
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    ("pass on", |_, j| pass_on(j, CORDS), [WRONG, OK, OK, WRONG, WRONG, WRONG, WRONG, WRONG]),
    ("take over", |_, j| take_over(j, None), [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG]),
    (
        "find",
        |_, j| find(j, "foil_screw_lost", Showed::Absent),
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    (
        "repair",
        |_, j| repair(j, Work::Point, Lasting::StopGap),
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    ("cure", |w, j| cure(j, w.now.plus_min(9)), [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG]),
    ("dry now", |_, j| Command::DryNow { job: on(j) }, [WRONG, WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG]),
    (
        "no fault found",
        |_, j| Command::NoFaultFound { job: on(j) },
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    (
        "fault elsewhere",
        |_, j| Command::FaultElsewhere { job: on(j), place: "the body cord".to_owned() },
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    (
        "prove",
        |_, j| prove(j, "steady_bend", Answer::Passed),
        [WRONG, WRONG, "NOTHING_DONE", WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    (
        "ready",
        |_, j| Command::Ready { job: on(j) },
        [WRONG, WRONG, "NOTHING_DONE", WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    ("ready anyway", |_, j| ready_anyway(j), [WRONG, OK, OK, OK, WRONG, WRONG, WRONG, WRONG]),
    (
        "withdraw",
        |_, j| Command::Withdraw { job: on(j), reason: "kinked".to_owned() },
        [WRONG, WRONG, OK, WRONG, WRONG, WRONG, WRONG, WRONG],
    ),
    ("hand back", |_, j| hand_back(j), [WRONG, WRONG, WRONG, WRONG, OK, OK, OK, WRONG]),
    (
        "back to",
        |_, j| Command::BackTo { job: on(j), to: Spot::Strip(StripId(2)) },
        [OK, OK, OK, OK, OK, OK, OK, OK],
    ),
    (
        "want by",
        |_, j| Command::WantBy { job: on(j), wanted: Wanted::At(minute(90)) },
        [OK, OK, OK, OK, OK, OK, OK, OK],
    ),
    ("set need", |_, j| set_need(j, Need::NoneLeft), [OK, OK, OK, OK, OK, OK, OK, OK]),
    ("call off", |_, j| call_off(j), [OK, OK, OK, OK, WRONG, WRONG, WRONG, WRONG]),
    ("missing", |_, j| missing(j), [OK, OK, OK, OK, OK, OK, OK, SAME]),
    (
        "found again",
        |_, j| found_again(j, Place::Counter),
        [WRONG, WRONG, WRONG, WRONG, WRONG, WRONG, WRONG, OK],
    ),
    ("collected unseen", |_, j| collected_unseen(j), [WRONG, WRONG, WRONG, WRONG, OK, OK, OK, OK]),
    ("hold", |_, j| hold(j, HoldReason::PartMissing), [OK, OK, OK, OK, WRONG, WRONG, WRONG, WRONG]),
    ("release", |_, j| Command::Release { job: on(j) }, ["NOT_HELD"; 8]),
    ("confiscate", |_, j| confiscate(j), [OK, OK, OK, OK, OK, OK, OK, WRONG]),
    ("let go", |_, j| let_go(j), ["NOT_HELD"; 8]),
    ("pin", |_, j| pin(j, Some(CORDS)), [OK, OK, WRONG, OK, WRONG, WRONG, WRONG, WRONG]),
    (
        "strike the end",
        |_, j| correct(j, Correction::End),
        [WRONG, WRONG, WRONG, WRONG, WRONG, OK, OK, WRONG],
    ),
    ("bring back", |_, j| correct(j, Correction::HandBack), [SAME; 8]),
    (
        "correct the spots",
        |_, j| correct(j, Correction::Spots { came_from: Spot::Counter, back_to: Spot::Counter }),
        [OK, OK, OK, OK, OK, OK, OK, OK],
    ),
    (
        "correct the kind",
        |_, j| {
            correct(
                j,
                Correction::Kind {
                    kind: crate::gear::ItemKind::Epee,
                    complaint: crate::gear::Complaint::NoLight,
                },
            )
        },
        [OK, OK, OK, OK, OK, OK, OK, WRONG],
    ),
];

#[test]
fn every_move_in_every_state() {
    for (name, command, outcomes) in MOVES {
        for (state, outcome) in STATES.into_iter().zip(outcomes) {
            let mut world = World::new();
            let job = world.in_state(state);
            let command = command(&mut world, job);
            let reason = world.run(&command).map_or_else(|refusal| refusal.reason(), |_| OK);
            assert_eq!(reason, *outcome, "{name} while {state}");
        }
    }
}

/// What a referee has confiscated is evidence: nobody works on it, nobody gets it, only the head lets it go.
#[test]
fn nothing_is_done_to_what_is_confiscated() {
    let bars = [
        "take",
        "pass on",
        "hand back",
        "call off",
        "ready anyway",
        "hold",
        "release",
        "dry now",
        "collected unseen",
    ];
    for state in STATES.into_iter().filter(|state| *state != State::Gone) {
        for (name, command, outcomes) in MOVES {
            let mut world = World::new();
            let job = world.in_state(state);
            let place = STATES.iter().position(|other| *other == state).unwrap_or_default();
            // A job on a bench leaves it when it is confiscated: what was legal there is so no more.
            if state == State::OnBench || outcomes[place] == WRONG {
                continue;
            }
            world.ok(confiscate(job));
            let command = command(&mut world, job);
            let reason = world.run(&command).map_or_else(|refusal| refusal.reason(), |_| OK);
            match *name {
                "bring back" | "confiscate" => assert_eq!(reason, SAME),
                "let go" => assert_eq!(reason, OK),
                name if bars.contains(&name) => assert_eq!(reason, "IS_CONFISCATED", "{name} while {state}"),
                _ => assert_eq!(reason, OK, "{name} while {state}"),
            }
        }
    }
}

/// A held job waits for its reason to go away, wherever it stands.
#[test]
fn a_held_job_is_not_taken() {
    for reason in [HoldReason::PartMissing, HoldReason::OwnerMustAgree, HoldReason::HeadSaysSo] {
        for state in [State::Waiting, State::OnBench, State::Curing] {
            let mut world = World::new();
            let job = world.in_state(state);
            assert_eq!(world.ok(hold(job, reason)), ["held"]);
            world.at(60);
            assert_eq!(world.no(take(job, WEAPONS)), "ON_HOLD");
            assert_eq!(world.no(hold(job, reason)), "NOTHING_CHANGES");
            assert_eq!(world.ok(Command::Release { job: on(job) }), ["released"]);
            assert_eq!(world.ok(take(job, WEAPONS)), ["taken"]);
        }
    }
}
