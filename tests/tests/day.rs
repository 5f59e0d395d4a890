//! Journeys of an item and of a whole evening, with the real programs in processes of their own. Held against the
//! design: what is told at which step, and what is refused. The example tournament lies on fixed days, so the head
//! opens the benches by hand and nothing is wanted by a time.
#![allow(clippy::unwrap_used)]

use remise_core::tag::Tag;
use remise_tests::hall::{Hall, Programs};
use serde_json::{Value, json};

const PROGRAMS: Programs =
    Programs { server: env!("CARGO_BIN_EXE_as_server"), client: env!("CARGO_BIN_EXE_as_client") };

fn tag(number: u16) -> String {
    Tag::issue(number).unwrap().digits()
}

/// A hall in which bench 1, which does everything a foil needs, and bench 4, which goes out to strips, are open.
fn hall() -> Hall {
    let hall = Hall::open(PROGRAMS);
    hall.client("head open-bench 1");
    hall.client("head open-bench 4");
    hall
}

/// Hands a foil in at strip 3 and scans it into the room.
fn foil(hall: &Hall, fencer: &str, tag: &str) -> u64 {
    let line = format!(
        "strip hand-in --strip 3 --fencer \"{fencer}\" --item foil --complaint white_on_off --need one_left"
    );
    let job = hall.job(&line);
    hall.client(&format!("counter scan --job {job} --tag {tag}"));
    job
}

/// Answers every check that the job needs with something that passes.
fn prove_all(hall: &Hall, job: u64) -> usize {
    let course = hall.client(&format!("bench job --job {job}"));
    let checks: Vec<Value> = course["course"]["proof"].as_array().unwrap().clone();
    assert!(!checks.is_empty(), "{course}");
    for check in &checks {
        let code = check["check"].as_str().unwrap();
        hall.client(&format!("bench prove --job {job} --check {code} --reading pass"));
    }
    checks.len()
}

/// Takes the job at bench 1, mends its tip and makes it ready.
fn mend(hall: &Hall, job: u64, lasting: &str) {
    hall.client(&format!("bench take --bench 1 --job {job}"));
    hall.client(&format!("bench repair --job {job} --work point --{lasting}"));
    prove_all(hall, job);
    hall.client(&format!("bench ready --job {job}"));
}

/// The number of the job's notice.
fn notice(hall: &Hall, job: u64) -> u64 {
    let course = hall.client(&format!("head job --job {job}"));
    course["course"]["job"]["notice"]["notice"].as_u64().unwrap_or_else(|| panic!("no notice in {course}"))
}

/// Confirms the job's notice and hands it back.
fn give_back(hall: &Hall, job: u64, to: &str) -> Value {
    let notice = notice(hall, job);
    hall.client(&format!("strip confirm {notice} --strip 3"));
    hall.client(&format!("strip hand-back --strip 3 --job {job} --to \"{to}\""))
}

fn numbers(list: &Value) -> Vec<u64> {
    list.as_array().unwrap().iter().map(|job| job["job"].as_u64().unwrap()).collect()
}

/// What lamp or meter showed is taken down, told back in the course, and struck like a finding.
#[test]
fn what_the_lamp_showed_is_recorded_and_put_right() {
    let hall = hall();
    let tag = tag(1);
    foil(&hall, "Ida Test", &tag);
    hall.refused(&format!("bench saw --tag {tag} --seen turn-button=flicker"), 1, "WRONG_STATE");
    hall.client(&format!("bench take --bench 1 --tag {tag}"));
    hall.refused(&format!("bench saw --tag {tag} --seen turn-button=purple"), 1, "UNKNOWN_SIGHT");
    let taken_down = hall.client(&format!("bench saw --tag {tag} --seen Turn_Button=flicker?"));
    assert_eq!(taken_down["command"], "see");
    let course = |hall: &Hall| hall.client(&format!("bench job --tag {tag}"))["course"].clone();
    let seen = course(&hall)["sightings"][0].clone();
    assert_eq!(seen["seen"], "turn-button=flicker?");
    hall.client(&format!("bench correct --tag {tag} --wrong-finding {}", seen["id"]));
    assert_eq!(course(&hall)["sightings"], json!([]));
}

#[test]
fn a_foil_goes_through_the_armoury_and_nothing_is_left_at_night() {
    let hall = hall();
    let tag = tag(1);
    let job = foil(&hall, "Ida Test", &tag);
    let board = hall.client("bench board --bench 1")["board"].clone();
    assert!(numbers(&board["jobs"]).contains(&job), "the bench sees it: {board}");
    hall.client(&format!("bench take --bench 1 --tag {tag}"));
    hall.refused(&format!("bench ready --tag {tag}"), 1, "NOTHING_DONE");
    hall.client(&format!("bench finding --tag {tag} --fault foil_point_dirty --showed present"));
    let done = hall.client(&format!("bench repair --tag {tag} --fault foil_point_dirty --lasting"));
    assert_eq!(done["command"], "repair");
    hall.refused(&format!("bench ready --tag {tag}"), 1, "PROOF_INCOMPLETE");
    let proved = prove_all(&hall, job);
    assert!(proved > 1, "{proved}");
    hall.refused(&format!("strip hand-back --strip 3 --tag {tag} --to \"Ida Test\""), 1, "WRONG_STATE");
    hall.client(&format!("bench ready --tag {tag}"));

    let strip = hall.client("strip board --strip 3")["board"].clone();
    let on_board = strip["jobs"].as_array().unwrap().iter().find(|one| one["job"] == job).unwrap();
    assert_eq!((&on_board["notice"]["kind"], &on_board["state"]), (&json!("ready"), &json!("ready")));
    let night = hall.client("head night")["night"].clone();
    assert_eq!(numbers(&night["uncollected"]), [job], "until it is collected");
    give_back(&hall, job, "Ida Test");
    hall.refused(&format!("bench take --bench 1 --tag {tag}"), 1, "UNKNOWN_TAG");

    let night = hall.client("head night")["night"].clone();
    for list in ["on_their_way", "unfinished", "uncollected", "missing", "confiscated", "owed"] {
        assert_eq!(night[list], json!([]), "{list} in {night}");
    }
    assert_eq!(hall.client("journal verify")["verified"]["sound"], true);
}

#[test]
fn a_stop_gap_is_told_at_handing_back_and_when_it_comes_again() {
    let hall = hall();
    let job = foil(&hall, "Ida Test", &tag(2));
    mend(&hall, job, "stop-gap");
    let item = hall.client(&format!("head job --job {job}"))["course"]["job"]["item"].as_u64().unwrap();
    let advice = give_back(&hall, job, "Ida Test")["accepted"]["advice"].to_string();
    assert!(advice.contains(&format!("Still owed on item {item}")), "{advice}");
    let again = format!(
        "counter hand-in --fencer \"Ida Test\" --item foil --complaint white_on_off --need one_left --tag {} \
         --item-number {item}",
        tag(3)
    );
    let advice = hall.client(&again)["accepted"].clone();
    assert!(advice["advice"].to_string().contains(&format!("Still owed on item {item}")), "{advice}");
    let night = hall.client("head night")["night"].clone();
    assert_eq!(night["owed"][0]["item"], item);

    // A lasting repair of the same kind of work pays it off.
    mend(&hall, advice["jobs"][0].as_u64().unwrap(), "lasting");
    assert_eq!(hall.client("head night")["night"]["owed"], json!([]));
}

#[test]
fn a_stopped_strip_runs_again_and_what_was_swapped_out_comes_in() {
    let hall = hall();
    let called = hall.client("strip call-out --strip 2 --note \"both lights stay on\"");
    let call = called["accepted"]["first_seq"].as_u64().unwrap();
    hall.refused("strip call-out --strip 2", 1, "ALREADY_CALLED");
    let calls = hall.client("head room")["board"]["calls"].clone();
    assert_eq!((&calls[0]["call"], &calls[0]["bench"]), (&json!(call), &json!(4)), "the rover goes: {calls}");
    hall.refused(&format!("bench run-again {call} --bench 4"), 1, "NOT_AT_STRIP");
    hall.client(&format!("bench arrive {call} --bench 4"));
    let job = hall.job(&format!("bench run-again {call} --bench 4 --swapped reel --stock \"reel 9\""));
    let room = hall.client("head room")["board"].clone();
    assert_eq!(room["calls"], json!([]));
    let swapped = room["jobs"].as_array().unwrap().iter().find(|one| one["job"] == job).unwrap();
    assert_eq!((&swapped["kind"], &swapped["state"]), (&json!("reel"), &json!("on_its_way")));
}

#[test]
fn what_is_held_or_confiscated_is_not_worked_on() {
    let hall = hall();
    let job = foil(&hall, "Ida Test", &tag(4));
    hall.client(&format!("head hold --job {job} --reason owner-must-agree"));
    hall.refused(&format!("bench take --bench 1 --job {job}"), 1, "ON_HOLD");
    hall.client(&format!("head release --job {job}"));
    hall.client(&format!("strip confiscate --strip 3 --job {job} --note \"the referee, after the bout\""));
    hall.refused(&format!("bench take --bench 1 --job {job}"), 1, "IS_CONFISCATED");
    hall.refused(&format!("head ready-anyway --job {job} --reason \"hurry\""), 1, "IS_CONFISCATED");
    assert_eq!(numbers(&hall.client("head night")["night"]["confiscated"]), [job]);
    hall.client(&format!("head release-confiscated --job {job} --note \"the jury allowed it\""));
    hall.client(&format!("bench take --bench 1 --job {job}"));
}

#[test]
fn exchanged_tags_name_each_others_items_and_an_unknown_item_finds_its_owner() {
    let hall = hall();
    let (left, right) = (tag(5), tag(6));
    let first = foil(&hall, "Ida Test", &left);
    let unknown =
        format!("counter hand-in --unknown --item epee --complaint no_light --need one_left --tag {right}");
    let second = hall.job(&unknown);
    hall.client(&format!("head exchange-tags {left} {right}"));
    let of = |tag: &str| hall.client(&format!("head job --tag {tag}"))["course"]["job"]["job"].clone();
    assert_eq!((of(&left), of(&right)), (json!(second), json!(first)));

    hall.client(&format!("counter claim --job {second} --fencer \"Bo Test\""));
    hall.refused(&format!("counter claim --job {second} --fencer \"Cy Test\""), 1, "ALREADY_CLAIMED");
    let found = hall.client("head find \"bo test\"")["found"].clone();
    assert_eq!(numbers(&found["jobs"]), [second]);
}

#[test]
fn the_day_is_closed_when_the_counts_agree() {
    let hall = hall();
    let (first, second) = (tag(7), tag(8));
    foil(&hall, "Ida Test", &first);
    let ready = foil(&hall, "Bo Test", &second);
    mend(&hall, ready, "lasting");
    let uncounted = hall.refused("head close-day", 1, "COUNT_INCOMPLETE");
    assert!(!uncounted.messages.is_empty());
    hall.client(&format!("head count --place counter {first}"));
    hall.client("head count --place ready-shelf");
    let short = hall.refused("head close-day", 1, "COUNT_INCOMPLETE");
    assert!(
        short.messages.contains(&format!("tag {second} (job {ready}) was not found")),
        "what is short is named: {}",
        short.messages
    );
    hall.client(&format!("head count --place ready-shelf {second}"));
    hall.client("head close-day");
}
