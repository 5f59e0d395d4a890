//! What must survive: a server killed at any moment, requests sent twice, a second server on the same folder, a
//! journal from a newer version, and stations that may not do what they ask. The real programs run in processes of
//! their own. Held against the design: an answer means that it is on disk, and the same request is done once.
#![allow(clippy::unwrap_used)]

use remise_tests::hall::{Hall, Programs};
use serde_json::Value;

const PROGRAMS: Programs =
    Programs { server: env!("CARGO_BIN_EXE_as_server"), client: env!("CARGO_BIN_EXE_as_client") };

const HAND_IN: &str =
    "strip hand-in --strip 3 --fencer \"Ida Test\" --item foil --complaint white_on_off --need one_left";

/// The request id that the client says it sent under.
fn id(done: &Value) -> String {
    done["request_id"].as_str().unwrap_or_else(|| panic!("no request id in {done}")).to_owned()
}

fn events(hall: &Hall) -> Vec<Value> {
    hall.client("journal read --from 1 --limit 2000")["events"]["events"].as_array().unwrap().clone()
}

/// How many events somebody asked for; the server says promises by itself at any moment.
fn asked(hall: &Hall) -> usize {
    events(hall).iter().filter(|event| !event["station"].is_null()).count()
}

#[test]
fn what_was_answered_is_there_after_the_server_was_killed() {
    let mut hall = Hall::open(PROGRAMS);
    let mut answered = Vec::new();
    for round in 0..3 {
        for number in 0..4 {
            let line = format!("{HAND_IN} --note \"round {round}, item {number}\"");
            let done = hall.client(&line);
            answered.push((line, done));
        }
        let before = events(&hall);
        hall.kill();
        hall.start(&["--open"]);
        let after = events(&hall);
        assert_eq!(after[..before.len()], before[..], "everything that was there");
    }
    for (line, done) in &answered {
        let job = &done["accepted"]["jobs"][0];
        let course = hall.client(&format!("head job --job {job}"));
        let note = course["course"]["job"]["note"].as_str().unwrap();
        assert!(line.contains(note), "{line}: {course}");
        // The same request once more: the same answer, and nothing happens.
        let head = asked(&hall);
        let again = hall.client(&format!("{line} --request-id {}", id(done)));
        assert_eq!(again["accepted"], done["accepted"]);
        assert_eq!(asked(&hall), head);
    }
    assert_eq!(hall.client("journal verify")["verified"]["sound"], true);
}

#[test]
fn a_server_killed_while_others_ask_keeps_every_answer() {
    let mut hall = Hall::open(PROGRAMS);
    let asked = std::thread::scope(|scope| {
        let hall = &hall;
        let ask = |client: usize| {
            move || {
                (0..6).map(|n| hall.ask(&format!("{HAND_IN} --note \"{client}-{n}\""))).collect::<Vec<_>>()
            }
        };
        let clients: Vec<_> = (0..3).map(|client| scope.spawn(ask(client))).collect();
        let jobs = |said: Vec<remise_tests::hall::Said>| {
            said.into_iter().map(|said| said.json["accepted"]["jobs"][0].as_u64().unwrap())
        };
        clients.into_iter().flat_map(|client| jobs(client.join().unwrap())).collect::<Vec<u64>>()
    });
    // Killed at once after the last answer: nothing may have waited in memory only.
    hall.kill();
    hall.start(&["--open"]);
    let found = hall.client("head find \"Ida Test\" --limit 200")["found"]["jobs"].clone();
    let mut found: Vec<u64> =
        found.as_array().unwrap().iter().map(|job| job["job"].as_u64().unwrap()).collect();
    let mut asked = asked;
    asked.sort_unstable();
    found.sort_unstable();
    assert_eq!(found, asked);
}

#[test]
fn a_request_id_belongs_to_one_request_for_ever() {
    let mut hall = Hall::open(PROGRAMS);
    hall.client("head open-bench 1");
    let handed = hall.client(&format!("{HAND_IN} --tag 00013"));
    let job = handed["accepted"]["jobs"][0].as_u64().unwrap();
    let id = id(&handed);
    hall.client(&format!("counter scan --job {job}"));
    hall.client(&format!("bench take --bench 1 --job {job}"));
    let head = asked(&hall);
    let reused = [
        format!("{HAND_IN} --tag 00013 --note other"),
        format!("bench finding --job {job} --fault foil_point_dirty --showed present"),
        format!("bench repair --job {job} --work point --lasting"),
        format!("bench put-back --job {job}"),
        format!("head hold --job {job} --reason head-says-so"),
        "head close-day".to_owned(),
        "strip call-out --strip 3".to_owned(),
    ];
    for restarted in [false, true] {
        for line in &reused {
            hall.refused(&format!("{line} --request-id {id}"), 1, "DIFFERENT_CONTENT");
        }
        // A search changes nothing and takes no id at all.
        hall.refused(&format!("head find Ida --request-id {id}"), 2, "USAGE");
        assert_eq!(asked(&hall), head, "nothing happened; restarted: {restarted}");
        if !restarted {
            hall.kill();
            hall.start(&["--open"]);
            let venue_again = asked(&hall) - head;
            assert_eq!(venue_again, 0, "the same tournament file is no news");
        }
    }
}

#[test]
fn a_second_server_on_the_same_folder_is_refused_and_harms_nothing() {
    let hall = Hall::open(PROGRAMS);
    hall.job(HAND_IN);
    let head = asked(&hall);
    let second = hall.second_server(&["--open"]);
    let messages = String::from_utf8_lossy(&second.stderr).into_owned();
    assert!(!second.status.success() && second.stdout.is_empty(), "{second:?}");
    assert!(messages.contains("another server"), "{messages}");
    assert_eq!(asked(&hall), head);
    hall.job(HAND_IN);
}

#[test]
fn a_journal_of_a_newer_version_is_refused_and_left_as_it_is() {
    let mut hall = Hall::open(PROGRAMS);
    hall.job(HAND_IN);
    hall.kill();
    let journal = std::fs::read_dir(hall.data())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .find(|path| std::fs::read(path).is_ok_and(|bytes| bytes.starts_with(b"SQLite format 3")))
        .unwrap();
    let version = |set: Option<i64>| -> i64 {
        let connection = rusqlite::Connection::open(&journal).unwrap();
        if let Some(version) = set {
            connection.pragma_update(None, "user_version", version).unwrap();
        }
        connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap()
    };
    let own = version(None);
    version(Some(own + 1));
    let refused = hall.second_server(&["--open"]);
    let messages = String::from_utf8_lossy(&refused.stderr).into_owned();
    assert!(!refused.status.success(), "{refused:?}");
    assert!(messages.contains("newer"), "{messages}");
    assert_eq!(version(None), own + 1, "it was not touched");
    version(Some(own));
    hall.start(&["--open"]);
    assert_eq!(hall.client("head find Ida")["found"]["jobs"].as_array().unwrap().len(), 1);
}

#[test]
fn a_role_does_only_what_is_its_own() {
    let hall = Hall::open(PROGRAMS);
    let job = hall.job(HAND_IN);
    // On an open server the area says who one is: another strip may not touch the job, a strip's bench work is none.
    hall.refused(&format!("strip hand-back --strip 4 --job {job} --to Ida"), 4, "NOT_ALLOWED");
    hall.refused(&format!("strip back-to --strip 4 --job {job} --to counter"), 4, "NOT_ALLOWED");
    hall.refused("bench board", 2, "USAGE");
}

/// Adds a station and returns its token.
fn add(hall: &Hall, words: &[&str]) -> String {
    let added = hall.server_command(&[&["stations", "add"], words].concat());
    assert!(added.status.success(), "{added:?}");
    String::from_utf8(added.stdout).unwrap().trim().to_owned()
}

#[test]
fn stations_do_what_their_token_allows_until_they_are_removed() {
    let mut hall = Hall::dark(PROGRAMS);
    let nobody = hall.second_server(&[]);
    assert!(!nobody.status.success(), "a server that nobody may use does not start");
    let head = add(&hall, &["head", "--role", "head"]);
    let bench = add(&hall, &["bench 1", "--role", "bench", "--bench", "1"]);
    let strip = add(&hall, &["strip 3", "--role", "strip", "--strip", "3"]);
    let listed = String::from_utf8(hall.server_command(&["stations", "list"]).stdout).unwrap();
    assert_eq!(listed, "bench 1\tbench\tbench 1\nhead\thead\nstrip 3\tstrip\tstrip 3\n");
    assert!(![&head, &bench, &strip].iter().any(|token| listed.contains(*token)));
    let open = hall.second_server(&["--open"]);
    assert!(!open.status.success(), "stations and an open door do not go together");
    hall.start(&[]);

    hall.refused("head room", 4, "NOT_ALLOWED");
    hall.use_token(Some("0".repeat(head.len())));
    hall.refused("head room", 4, "NOT_ALLOWED");
    hall.use_token(Some(head.clone()));
    hall.client("head open-bench 1");
    hall.use_token(Some(bench));
    hall.client("bench board");
    for line in ["head close-day", "head open-bench 2", "head close-bench 1"] {
        hall.refused(line, 4, "NOT_ALLOWED");
    }
    hall.refused("bench board --bench 2", 4, "NOT_ALLOWED");
    hall.use_token(Some(strip));
    hall.job("strip hand-in --unknown --item foil --complaint white_on_off --need one_left");
    hall.refused("bench take --bench 1 --job 2", 4, "NOT_ALLOWED");

    let removed = hall.server_command(&["stations", "remove", "strip 3"]);
    assert!(removed.status.success(), "{removed:?}");
    hall.refused("strip board", 4, "NOT_ALLOWED");
    let again = hall.server_command(&["stations", "remove", "strip 3"]);
    assert!(!again.status.success(), "it is gone already");
    hall.use_token(Some(head));
    hall.client("head room");
}
