//! Small invented days played through a real server: the same seed makes the same journal, a race loses nothing, a
//! day written down can be played again, and planted faults are found by the checker. Held against the design's
//! promises (nothing lost, nothing held twice) and nothing else; all people and numbers of a day are invented.
#![allow(clippy::unwrap_used)]

use std::ffi::OsString;
use std::path::Path;

use remise_checker::{ClientEntry, Judgement, Outcome, Row, judge};
use remise_rehearsal::day::{DayOptions, invented_day, slowed};
use remise_rehearsal::many::{in_threads, play_alone};
use remise_rehearsal::play::{Played, Scene, Settings, play};
use remise_rehearsal::report::{Figures, figures};
use remise_tests::hall::{Hall, Programs};
use serde_json::Value;
use tokio::sync::watch;

fn small(seed: u64) -> DayOptions {
    DayOptions { seed, hours: 3, strips: 6, benches: 3, ..DayOptions::default() }
}

async fn played(seed: u64, race: bool) -> Played {
    let day = invented_day(&small(seed)).unwrap();
    let (scenes, _) = watch::channel(Scene::default());
    play(&day, Settings { seed, race, policy: None, server: None, scenes }).await.unwrap()
}

fn sound(seed: u64, played: &Played) -> Figures {
    let (figures, judged) = figures(seed, played);
    assert!(judged.faults.is_empty(), "{judged}");
    assert_eq!((figures.lost, figures.double_held, figures.open_at_end), (0, 0, 0), "{judged}");
    assert!(figures.jobs > 5, "a day on which nothing happens shows nothing: {judged}");
    figures
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn the_same_seed_makes_the_same_journal_and_another_seed_another() {
    let first = sound(3, &played(3, false).await).journal_sha256.unwrap();
    let again = sound(3, &played(3, false).await).journal_sha256.unwrap();
    let other = sound(4, &played(4, false).await).journal_sha256.unwrap();
    assert_eq!(first, again);
    assert_ne!(first, other);
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn when_everybody_acts_at_once_nothing_is_lost_or_held_twice() {
    for seed in [5, 6] {
        let figures = sound(seed, &played(seed, true).await);
        assert!(figures.commands > figures.jobs);
    }
}

/// Judges what is left of a played day after something was done to it.
fn after(played: &Played, spoil: impl FnOnce(&mut Vec<Row>, &mut Vec<ClientEntry>)) -> Judgement {
    let (mut rows, mut history) = (played.rows.clone(), played.history.clone());
    spoil(&mut rows, &mut history);
    judge(rows, &history, played.end)
}

fn at(rows: &[Row], kind: &str) -> usize {
    let needle = format!("\"kind\":\"{kind}\"");
    rows.iter().position(|row| row.body.contains(&needle)).unwrap_or_else(|| panic!("no {kind}"))
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn planted_faults_are_found() {
    let day = played(9, false).await;
    sound(9, &day);
    assert!(after(&day, |_, _| ()).is_clean(), "before anything is planted");

    for kind in ["handed_in", "taken", "made_ready"] {
        let dropped = after(&day, |rows, _| drop(rows.remove(at(rows, kind))));
        assert!(dropped.lost > 0, "a {kind} that is gone: {dropped}");
    }
    let cut = after(&day, |rows, _| drop(rows.pop()));
    assert!(cut.lost > 0, "the newest row cut off: {cut}");

    let spoilt = after(&day, |rows, _| {
        let row = &mut rows[9];
        row.body = format!("{} ", row.body);
    });
    assert!(!spoilt.is_clean(), "one byte more in one row: {spoilt}");

    let moved = after(&day, |rows, _| {
        let taken = at(rows, "taken");
        rows.swap(taken, taken + 1);
    });
    assert!(!moved.is_clean(), "two rows changed places: {moved}");

    let never_written = after(&day, |rows, history| {
        let beyond = rows.last().unwrap().seq + 1;
        let accepted = history.iter().find(|entry| matches!(entry.outcome, Outcome::Accepted { .. }));
        let outcome = Outcome::Accepted { first_seq: beyond, last_seq: beyond, jobs: Vec::new() };
        history.push(ClientEntry { request_id: [0xee; 16], outcome, ..accepted.unwrap().clone() });
    });
    assert!(never_written.lost > 0, "an answer for what was never written: {never_written}");
}

#[tokio::test(flavor = "multi_thread", worker_threads = 2)]
async fn one_job_on_two_benches_is_found() {
    let day = played(8, false).await;
    let held = after(&day, |rows, _| {
        // The same job taken a second time, at another bench, while the first still holds it. The chain, which would
        // tell as well, is left out.
        let taken = at(rows, "taken");
        let mut twin = rows[taken].clone();
        let mut body: Value = serde_json::from_str(&twin.body).unwrap();
        body["bench"] = (body["bench"].as_u64().unwrap() % 3 + 1).into();
        twin.body = body.to_string();
        rows.insert(taken + 1, twin);
        for (index, row) in rows.iter_mut().enumerate() {
            row.seq = index as u64 + 1;
            row.hash = None;
        }
    });
    assert!(held.double_held > 0, "{held}");
}

/// Runs `remise rehearse …` in this process: exit code, output, messages.
fn rehearse(args: &[&str]) -> (u8, String, String) {
    let argv = ["remise", "rehearse"].iter().chain(args).map(OsString::from);
    let (mut out, mut err) = (Vec::new(), Vec::new());
    let code = remise::run(argv, &mut out, &mut err);
    (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
}

fn text(path: &Path) -> &str {
    path.to_str().unwrap()
}

const TOURNAMENT: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/../deploy/example-tournament.toml");

/// The first lines of a day in the example tournament, as it is written down: few enough to be played quickly.
fn written(folder: &Path, lines: usize) -> (std::path::PathBuf, Vec<String>) {
    let path = folder.join("day.csv");
    let (code, _, err) = rehearse(&["--tournament", TOURNAMENT, "--seed", "2", "--write-day", text(&path)]);
    assert_eq!(code, 0, "{err}");
    let all: Vec<String> = std::fs::read_to_string(&path).unwrap().lines().map(str::to_owned).collect();
    assert!(all.len() > lines, "{} lines were written", all.len());
    let few = all[..lines].to_vec();
    std::fs::write(&path, few.join("\n") + "\n").unwrap();
    (path, few)
}

#[test]
fn a_day_that_was_written_down_is_played_again() {
    let folder = tempfile::tempdir().unwrap();
    let (path, lines) = written(folder.path(), 41);
    let (code, out, err) = rehearse(&["--day", text(&path), "--tournament", TOURNAMENT, "--json"]);
    assert_eq!(code, 0, "{err}");
    let figures: Value = serde_json::from_str(&out).unwrap();
    assert_eq!((figures["lost"].as_u64(), figures["double_held"].as_u64()), (Some(0), Some(0)), "{out}");
    assert_eq!(figures["jobs"].as_u64(), Some(lines.len() as u64 - 1), "every line is a job: {out}");
}

#[test]
fn three_bad_lines_are_all_named_and_nothing_is_played() {
    let folder = tempfile::tempdir().unwrap();
    let (path, mut lines) = written(folder.path(), 21);
    let columns: Vec<&str> = lines[0].split(',').collect();
    let of = |name: &str| columns.iter().position(|column| *column == name).unwrap();
    let (when, item, need) = (of("at"), of("item"), of("need"));
    for (line, column, wrong) in [(3, when, "sometime"), (8, item, "trebuchet"), (15, need, "plenty")] {
        let mut fields: Vec<String> = lines[line - 1].split(',').map(str::to_owned).collect();
        fields[column] = wrong.to_owned();
        lines[line - 1] = fields.join(",");
    }
    std::fs::write(&path, lines.join("\n") + "\n").unwrap();
    let (code, out, err) = rehearse(&["--day", text(&path), "--tournament", TOURNAMENT, "--json"]);
    assert_eq!((code, out.as_str()), (2, ""), "{err}");
    for line in ["line 3, at", "line 8, item", "line 15, need", "3 problem(s)", "nothing was played"] {
        assert!(err.contains(line), "{line} is missing in\n{err}");
    }
}

/// The same day alone and beside others gives the same journal: what runs beside it does not reach into it.
#[test]
fn days_played_beside_each_other_are_the_days_played_alone() {
    let seeds = [3, 4, 3];
    let hash = |seed: u64| {
        let played = play_alone(&invented_day(&small(seed)).unwrap(), seed, None)?;
        Ok::<_, remise_rehearsal::play::PlayError>(sound(seed, &played).journal_sha256.unwrap())
    };
    let beside = in_threads(seeds.len(), |at| hash(seeds[at])).unwrap();
    assert_eq!(beside[0], beside[2]);
    assert_ne!(beside[0], beside[1]);
    assert_eq!(beside[1], hash(4).unwrap());
}

/// Repairs that take longer keep benches longer: more waiting on the same day.
#[test]
fn slow_repairs_make_things_wait() {
    let day = invented_day(&small(5)).unwrap();
    let wait = |day| sound(5, &play_alone(&day, 5, None).unwrap()).mean_wait_min.unwrap();
    let (plain, slow) = (wait(day.clone()), wait(slowed(day, 2.5)));
    assert!(slow > plain + 1.0, "{plain} {slow}");
}

#[test]
fn a_range_of_benches_gives_a_row_each_a_chart_and_one_sentence() {
    let folder = tempfile::tempdir().unwrap();
    let chart = folder.path().join("benches.svg");
    let line = ["--benches", "2..3", "--seeds", "2", "--strips", "5", "--hours", "2", "--load", "0.6"];
    let (code, out, err) = rehearse(&[&line[..], &["--chart", text(&chart), "--json"]].concat());
    assert_eq!(code, 0, "{err}");
    let table: Value = serde_json::from_str(&out).unwrap();
    let rows = table["rows"].as_array().unwrap();
    let of = |key: &str| rows.iter().map(|row| row[key].clone()).collect::<Vec<_>>();
    assert_eq!((of("benches"), of("days")), (vec![2.into(), 3.into()], vec![2.into(), 2.into()]), "{out}");
    assert_eq!(rows[0]["jobs"], rows[1]["jobs"], "the same days: {out}");
    let load = |at: usize| rows[at]["busiest_two_hours_load"].as_f64().unwrap();
    assert!((load(0) / load(1) - 1.5).abs() < 1e-9, "the same work on two benches and on three: {out}");
    assert!(rows.iter().all(|row| row["on_time_share"]["half_width_95"].is_number()), "{out}");
    assert!(table["answer"].as_str().unwrap().starts_with("With "), "{out}");
    assert!(std::fs::read_to_string(&chart).unwrap().contains("number of benches"));
}

#[test]
fn what_cannot_be_combined_plays_nothing() {
    for line in [
        &["--server", "127.0.0.1:1", "--policy", "simple"][..],
        &["--server", "127.0.0.1:1", "--slow", "1.5"],
        &["--server", "127.0.0.1:1", "--benches", "2..4"],
        &["--benches", "8..2"],
        &["--benches", "2..3", "--chart", "/no/such/folder/c.svg"],
    ] {
        let (code, out, err) = rehearse(line);
        assert_eq!((code, out.as_str()), (2, ""), "{line:?}: {err}");
        assert!(!err.is_empty());
    }
}

const PROGRAMS: Programs =
    Programs { server: env!("CARGO_BIN_EXE_as_server"), client: env!("CARGO_BIN_EXE_as_client") };

/// Against a server that runs already, in a process of its own with its own time: everything comes to its end, nothing
/// is lost, and the journal holds what was played.
#[test]
fn a_day_is_played_against_a_server_that_runs_already() {
    let folder = tempfile::tempdir().unwrap();
    let (path, lines) = written(folder.path(), 16);
    let hall = Hall::open(PROGRAMS);
    let before = hall.head();
    let said = hall.ask(&format!("rehearse --day {} --tournament {TOURNAMENT}", text(&path)));
    assert_eq!(said.code, 0, "{said:?}");
    let figure = |name: &str| said.json[name].as_u64().unwrap_or_else(|| panic!("no {name} in {said:?}"));
    assert_eq!(figure("jobs"), lines.len() as u64 - 1, "every line is a job: {said:?}");
    assert_eq!((figure("lost"), figure("double_held"), figure("open_at_end")), (0, 0, 0), "{said:?}");
    assert!(said.json["on_time_share"].is_null(), "its time is not the day's: {said:?}");
    assert!(hall.head() > before + figure("jobs"), "its journal keeps what was played");
    assert_eq!(hall.client("journal verify")["verified"]["sound"], true);
}
