//! Instructions that the hot paths of the core take, counted under valgrind: the same figure each time for the same
//! program, whatever else the machine does. Each path has a limit, about a quarter above what was counted when it was
//! set, so that a slower path is seen at once. `cargo bench -p remise-tests --bench instructions`; needs valgrind and
//! gungraun-runner in the version of the library.
#![allow(clippy::unwrap_used, missing_docs)]

use std::hint::black_box;

use gungraun::{
    Callgrind, EventKind, LibraryBenchmarkConfig, library_benchmark, library_benchmark_group, main,
};
use remise_core::armoury::{Armoury, Command};
use remise_core::circuit::{Row, symptoms, usual_weapon};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::guide::{Case, Estimates, Finding, Guide, Manner};
use remise_core::plan::{LanePlanner, Plan, Planner as _};
use remise_core::promise;
use remise_core::time::Stamp;
use remise_tests::bench::room;

const NOW: Stamp = Stamp(1_780_000_000_000_000);

fn limit(instructions: u64) -> LibraryBenchmarkConfig {
    let mut config = LibraryBenchmarkConfig::default();
    config.tool(Callgrind::default().hard_limits([(EventKind::Ir, instructions)]));
    config
}

fn full_room() -> Armoury {
    room::open(200, 12, NOW).unwrap()
}

fn planned_room() -> (Armoury, LanePlanner) {
    let (room, mut planner) = (full_room(), LanePlanner::default());
    planner.repair(&room, NOW);
    (room, planner)
}

fn room_with_plan() -> (Armoury, Plan) {
    let (room, mut planner) = planned_room();
    let plan = planner.repair(&room, NOW);
    (room, plan)
}

// A first plan for 200 open jobs at 12 benches.
#[library_benchmark(config = limit(17_000_000))]
#[bench::jobs_200_benches_12(full_room())]
fn first_plan(room: Armoury) -> Plan {
    black_box(LanePlanner::default().repair(&room, NOW))
}

// The plan mended when something happened.
#[library_benchmark(config = limit(7_500_000))]
#[bench::jobs_200_benches_12(planned_room())]
fn repaired_plan((room, mut planner): (Armoury, LanePlanner)) -> Plan {
    black_box(planner.repair(&room, NOW))
}

// Its times drawn.
#[library_benchmark(config = limit(63_000_000))]
#[bench::jobs_200_benches_12(room_with_plan())]
fn quoted_plan((room, mut plan): (Armoury, Plan)) -> Plan {
    promise::quote(&room, &mut plan, NOW);
    black_box(plan)
}

// A hand-in decided.
#[library_benchmark(config = limit(400_000))]
#[bench::jobs_200(full_room(), room::hand_in(200, NOW))]
fn hand_in(room: Armoury, command: Command) -> bool {
    black_box(remise_core::armoury::decide(&room, &command, NOW, NOW).is_ok())
}

// What every fault of a foil shows under every action on every instrument.
#[library_benchmark(config = limit(40_000_000))]
#[bench::foil(ItemKind::Foil)]
fn symptom_table(kind: ItemKind) -> Vec<Row> {
    black_box(symptoms(kind, usual_weapon(kind)))
}

/// White lights that come and go; the point is clean, the test lamp is lit at rest.
fn foil_in_hand() -> (Guide<'static>, Case) {
    let guide = Guide::new(ItemKind::Foil, usual_weapon(ItemKind::Foil), Estimates::built_in()).unwrap();
    let found = ["foil_point_dirty=absent", "rest=on"];
    let findings = found.map(|typed| Finding::parse(typed, guide.kind, guide.weapon).unwrap()).to_vec();
    (guide, Case { findings, ..Case::new(Complaint::WhiteOnOff) })
}

// What to check next.
#[library_benchmark(config = limit(2_600_000))]
#[bench::foil_two_findings(foil_in_hand())]
fn next_check((guide, case): (Guide<'static>, Case)) -> Option<f64> {
    black_box(guide.next(&case, Manner::Quickest)).and_then(|next| next.expected_min)
}

library_benchmark_group!(
    name = hot_paths,
    benchmarks = [first_plan, repaired_plan, quoted_plan, hand_in, symptom_table, next_check]
);
main!(library_benchmark_groups = hot_paths);
