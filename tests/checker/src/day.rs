//! Invented days for the checker's own tests, written a line an event. What a station other than the house
//! itself does is also answered to that station.

#![allow(clippy::unwrap_used)]

use serde_json::{Value, json};

use crate::{ClientEntry, End, GENESIS, Judgement, Outcome, Row, judge, next_hash};

/// Who says promises and raises notices: the server itself.
pub(crate) const HOUSE: &str = "remise";

/// An invented moment: minutes after the day's opening, in microseconds.
pub(crate) fn min(minutes: i64) -> i64 {
    1_790_000_000_000_000 + minutes * 60_000_000
}

/// A day in the making.
#[derive(Clone, Debug)]
pub(crate) struct Day {
    pub rows: Vec<Row>,
    pub history: Vec<ClientEntry>,
}

impl Day {
    /// Opens with strips 1 and 3, at 2 and 5 minutes, and benches 1 and 2.
    pub fn open() -> Self {
        let mut day = Self { rows: Vec::new(), history: Vec::new() };
        let strips = json!([{"id": 1, "name": "1", "walk_min": 2}, {"id": 3, "name": "3", "walk_min": 5}]);
        let venue = json!({"name": "Invented Cup", "strips": strips, "benches": [{"id": 1}, {"id": 2}]});
        day.add(0, "head", "venue_set", json!({"venue": venue}));
        day
    }

    /// One event, as the station that did it recorded it. Returns its number.
    pub fn add(&mut self, minute: i64, station: &str, kind: &str, mut fields: Value) -> u64 {
        let seq = self.rows.len() as u64 + 1;
        let opened = (kind == "handed_in").then_some(seq);
        let job = opened.or(fields["job"].as_u64()).or(fields["a"].as_u64());
        fields["kind"] = kind.into();
        fields["v"] = 1.into();
        let (at_us, station, body) = (min(minute), station.to_owned(), fields.to_string());
        self.rows.push(Row { seq, at_us, happened_at_us: at_us, job, station, body, hash: None });
        if self.rows.last().unwrap().station != HOUSE {
            self.answer(seq, seq, opened.into_iter().collect());
        }
        seq
    }

    /// The station of the row `first` was answered with these numbers.
    pub fn answer(&mut self, first: u64, last: u64, jobs: Vec<u64>) {
        let row = self.rows.get((first as usize).wrapping_sub(1));
        self.history.push(ClientEntry {
            client: row.map_or("strip 1".into(), |row| row.station.clone()),
            request_id: (self.history.len() as u128 + 1).to_be_bytes(),
            command: "step".into(),
            sent_us: row.map_or(0, |row| row.at_us),
            answered_us: row.map(|row| row.at_us + 30_000),
            outcome: Outcome::Accepted { first_seq: first, last_seq: last, jobs },
        });
    }

    /// A foil from strip 1, handed in at the counter with a tag. Back to strip 1.
    pub fn hand_in(&mut self, minute: i64, tag: &str, need: &str, wanted: Option<i64>) -> u64 {
        let item = self.rows.len() + 1;
        let fields = json!({"item": item, "back_to": {"strip": 1}, "need": need, "wanted_by": wanted.map(min),
            "tag": tag, "in_room": true, "call": null});
        self.add(minute, "counter", "handed_in", fields)
    }

    /// The same without a tag, left at the strip.
    pub fn hand_in_at_strip(&mut self, minute: i64) -> u64 {
        let item = self.rows.len() + 1;
        let fields = json!({"item": item, "back_to": {"strip": 1}, "need": "one_left", "wanted_by": null,
            "tag": null, "in_room": false, "call": null});
        self.add(minute, "strip 1", "handed_in", fields)
    }

    /// The house promises.
    pub fn promise(&mut self, minute: i64, job: u64, likely: i64, safe: Option<i64>) -> u64 {
        let fields = json!({"job": job, "likely": min(likely), "safe": safe.map(min)});
        self.add(minute, HOUSE, "promise_said", fields)
    }

    /// A bench takes the job.
    pub fn take(&mut self, minute: i64, job: u64, bench: u64) -> u64 {
        self.add(minute, &format!("bench {bench}"), "taken", json!({"job": job, "bench": bench}))
    }

    /// A step at bench 1 of which nothing but the job matters.
    pub fn step(&mut self, minute: i64, job: u64, kind: &str) -> u64 {
        self.add(minute, "bench 1", kind, json!({"job": job}))
    }

    /// A check of the proof at bench 1.
    pub fn prove(&mut self, minute: i64, job: u64, pass: bool) -> u64 {
        self.add(minute, "bench 1", "proved", json!({"job": job, "check": "weight", "pass": pass}))
    }

    /// Bench 1 makes the job ready.
    pub fn ready(&mut self, minute: i64, job: u64) -> u64 {
        self.add(minute, "bench 1", "made_ready", json!({"job": job, "anyway": null, "hands_on": 60_000_000}))
    }

    /// Taken at bench 1, repaired and proved, ready at the minute named.
    pub fn mend(&mut self, minute: i64, job: u64) {
        self.take(minute, job, 1);
        self.step(minute, job, "found");
        self.step(minute, job, "repaired");
        self.prove(minute, job, true);
        self.ready(minute, job);
    }

    /// Handed back at the counter.
    pub fn hand_back(&mut self, minute: i64, job: u64) -> u64 {
        self.add(minute, "counter", "handed_back", json!({"job": job, "to": 1}))
    }

    /// The newest event happened earlier than it was recorded.
    pub fn late(&mut self, happened: i64) {
        self.rows.last_mut().unwrap().happened_at_us = min(happened);
    }

    /// With the hashes of the chain.
    pub fn sealed(mut self) -> Self {
        let mut before = GENESIS;
        for row in &mut self.rows {
            before = next_hash(&before, row);
            row.hash = Some(before);
        }
        self
    }

    /// Judged with an end 600 minutes after the opening.
    pub fn judged(&self) -> Judgement {
        judge(self.rows.clone(), &self.history, End::at(min(600)))
    }
}

/// A day on which everything ends as it should and nearly every kind of event happens.
pub(crate) fn clean_day() -> Day {
    let mut day = Day::open();
    let mended = day.hand_in(1, "10001", "none_left", Some(30));
    day.promise(1, mended, 20, Some(25));
    let glued = day.hand_in_at_strip(2);
    let notice = mended_and_told(&mut day, mended);
    day.add(22, "strip 1", "notice_confirmed", json!({"job": mended, "notice": notice}));
    day.add(23, "bench 1", "scanned_in", json!({"job": glued, "tag": "10002"}));
    glue(&mut day, glued);
    let cracked = day.hand_in(60, "10003", "two_or_more", None);
    day.take(61, cracked, 2);
    day.add(62, "bench 2", "withdrawn", json!({"job": cracked, "reason": 2}));
    day.hand_back(70, cracked);
    missing(&mut day);
    exchanged(&mut day);
    call_out(&mut day);
    day.add(300, "head", "counted", json!({"place": "ready_shelf", "tags": []}));
    day.add(301, "head", "day_closed", json!({"open": 3}));
    day
}

fn mended_and_told(day: &mut Day, job: u64) -> u64 {
    day.mend(20, job);
    let notice =
        day.add(20, "bench 1", "notice_sent", json!({"job": job, "to": {"strip": 1}, "what": "ready"}));
    day.add(21, "head", "back_to_changed", json!({"job": job, "to": "counter"}));
    notice
}

fn glue(day: &mut Day, job: u64) {
    day.take(24, job, 1);
    day.add(25, "bench 1", "interrupted", json!({"job": job, "bench": 1}));
    day.add(26, "bench 1", "resumed", json!({"job": job, "bench": 1}));
    day.add(27, "bench 1", "curing_began", json!({"job": job, "until": min(35)}));
    day.add(28, "head", "held", json!({"job": job, "reason": "owner_must_agree", "note": null}));
    day.add(29, "head", "released", json!({"job": job, "note": null}));
    day.take(36, job, 2);
    day.add(37, "bench 2", "passed_on", json!({"job": job, "bench": 1, "note": null}));
    day.mend(40, job);
    day.hand_back(50, job);
}

fn missing(day: &mut Day) {
    let lost = day.hand_in(80, "10004", "one_left", None);
    day.add(81, "head", "went_missing", json!({"job": lost, "note": null}));
    day.add(85, "head", "found_again", json!({"job": lost, "place": "counter"}));
    day.add(86, "counter", "called_off", json!({"job": lost, "reason": 3}));
    day.add(90, "counter", "collected_unseen", json!({"job": lost, "note": null}));
}

fn exchanged(day: &mut Day) {
    let one = day.hand_in(100, "10005", "one_left", None);
    let other = day.hand_in(101, "10006", "one_left", None);
    day.take(102, one, 1);
    day.add(103, "head", "tags_exchanged", json!({"a": one, "b": other}));
    day.step(104, other, "repaired");
    day.prove(104, other, true);
    day.ready(105, other);
    day.hand_back(110, other);
    day.mend(115, one);
}

fn call_out(day: &mut Day) {
    let call = day.add(120, "strip 3", "called_out", json!({"strip": 3, "bench": 1, "arrival": min(125)}));
    day.add(125, "strip 3", "strip_reached", json!({"call": call}));
    day.add(130, "strip 3", "ran_again", json!({"call": call, "stock": null, "note": null}));
    let item = day.rows.len() + 1;
    let unit = json!({"item": item, "back_to": "counter", "need": "two_or_more", "wanted_by": null, "tag": null,
        "in_room": false, "call": call});
    let job = day.add(130, "strip 3", "handed_in", unit);
    day.promise(130, job, 200, None);
}
