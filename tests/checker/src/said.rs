//! What an event's text says, as far as the judgement needs it. Written from the journal's form alone, without
//! the server's types, so that a mistake there cannot hide here.

use serde::Deserialize;

/// Where an item comes from or goes back to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Spot {
    Strip(u64),
    Counter,
}

/// Where an item is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Place {
    Strip(u64),
    Counter,
    Bench(u64),
    CuringShelf,
    ReadyShelf,
    LockedAway,
    Gone,
    HandedBack,
}

/// What the fencer still has working.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(crate) enum Need {
    StripStopped,
    NoneLeft,
    OneLeft,
    TwoOrMore,
    Out,
}

impl Need {
    /// The journal's word for it.
    pub(crate) fn code(self) -> &'static str {
        match self {
            Self::StripStopped => "strip_stopped",
            Self::NoneLeft => "none_left",
            Self::OneLeft => "one_left",
            Self::TwoOrMore => "two_or_more",
            Self::Out => "out",
        }
    }
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Venue {
    pub strips: Vec<Strip>,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct Strip {
    pub id: u64,
    /// Minutes.
    pub walk_min: i64,
}

#[derive(Clone, Debug, Deserialize)]
pub(crate) struct HandedIn {
    pub item: u64,
    pub back_to: Spot,
    pub need: Need,
    /// Microseconds since 1970.
    pub wanted_by: Option<i64>,
    pub tag: Option<String>,
    pub in_room: bool,
    pub call: Option<u64>,
}

/// Every kind of event. Times in microseconds since 1970.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(
    clippy::enum_variant_names,
    reason = "the variants bear the journal's own words, among them promise_said"
)]
pub(crate) enum Said {
    VenueSet { venue: Venue },
    HandedIn(HandedIn),
    ScannedIn { job: u64, tag: String },
    Claimed { job: u64 },
    FencerWentOut {},
    FencerCameIn {},
    Lent {},
    LoanCameBack {},
    CalledOut {},
    StripReached { call: u64 },
    Redirected { call: u64 },
    RanAgain { call: u64 },
    Taken { job: u64, bench: u64 },
    PutBack { job: u64 },
    PassedOn { job: u64 },
    TakenOver { job: u64 },
    Interrupted { job: u64, bench: u64 },
    Resumed { job: u64, bench: u64 },
    BenchAway {},
    BenchBack {},
    Found { job: u64 },
    Repaired { job: u64 },
    CuringBegan { job: u64 },
    FoundDry { job: u64 },
    NoFault { job: u64 },
    FaultElsewhere { job: u64 },
    Proved { job: u64, check: String, pass: bool },
    MadeReady { job: u64, anyway: Option<u64> },
    Withdrawn { job: u64 },
    NoticeSent { job: u64 },
    NoticeConfirmed { job: u64, notice: u64 },
    NoticeRaised { job: u64, notice: u64 },
    HandedBack { job: u64 },
    BackToChanged { job: u64, to: Spot },
    WantedByChanged { job: u64, wanted_by: Option<i64> },
    NeedSet { job: u64 },
    CalledOff { job: u64 },
    WentMissing { job: u64 },
    FoundAgain { job: u64, place: Place },
    CollectedUnseen { job: u64 },
    Held { job: u64, reason: String },
    Released { job: u64 },
    Pinned { job: u64 },
    BenchOpened {},
    BenchClosed {},
    BenchToClose {},
    OwedEnded { owed: u64 },
    KindCorrected { job: u64 },
    ItemCorrected { job: u64, item: u64 },
    SpotsCorrected { job: u64, back_to: Spot },
    BenchCorrected { job: u64, bench: u64 },
    FindingStruck { job: u64, finding: u64 },
    RepairStruck { job: u64, repair: u64 },
    EndStruck { job: u64 },
    HandBackStruck { job: u64 },
    TagsExchanged { a: u64, b: u64 },
    Counted {},
    DayClosed { open: u64 },
    PromiseSaid { job: u64, likely: i64, safe: Option<i64> },
}

#[derive(Deserialize)]
struct Version {
    v: u16,
}

/// What the JSON reader says, without its list of every kind that it would have known.
fn unreadable(why: &serde_json::Error) -> String {
    let why = why.to_string();
    let short = why.split_once(", expected one of").map_or(why.as_str(), |(short, _)| short);
    format!("the event cannot be read: {short}")
}

impl Said {
    /// Reads an event's text. All kinds stand at version 1.
    pub(crate) fn read(body: &str) -> Result<Self, String> {
        let said = serde_json::from_str(body).map_err(|why| unreadable(&why))?;
        match serde_json::from_str(body).map(|Version { v }| v) {
            Ok(1) => Ok(said),
            Ok(v) => Err(format!("the event has version {v}, which this checker does not know")),
            Err(why) => Err(format!("the event's version cannot be read: {why}")),
        }
    }

    /// The jobs that it is about; for a hand-in, the one that it opens. The row's own job is the first.
    pub(crate) fn jobs(&self, seq: u64) -> Vec<u64> {
        match self {
            Self::HandedIn(_) => vec![seq],
            Self::TagsExchanged { a, b } => vec![*a, *b],
            _ => self.job().into_iter().collect(),
        }
    }

    /// The one job on which it is a step; none for a hand-in and an exchange.
    pub(crate) fn job(&self) -> Option<u64> {
        match self {
            Self::ScannedIn { job, .. }
            | Self::Claimed { job }
            | Self::Taken { job, .. }
            | Self::PutBack { job }
            | Self::PassedOn { job }
            | Self::TakenOver { job }
            | Self::Interrupted { job, .. }
            | Self::Resumed { job, .. }
            | Self::Found { job }
            | Self::Repaired { job }
            | Self::CuringBegan { job }
            | Self::FoundDry { job }
            | Self::NoFault { job }
            | Self::FaultElsewhere { job }
            | Self::Proved { job, .. }
            | Self::MadeReady { job, .. }
            | Self::Withdrawn { job }
            | Self::NoticeSent { job }
            | Self::NoticeConfirmed { job, .. }
            | Self::NoticeRaised { job, .. } => Some(*job),
            _ => self.job_of_the_rest(),
        }
    }

    fn job_of_the_rest(&self) -> Option<u64> {
        match self {
            Self::HandedBack { job }
            | Self::BackToChanged { job, .. }
            | Self::WantedByChanged { job, .. }
            | Self::NeedSet { job }
            | Self::CalledOff { job }
            | Self::WentMissing { job }
            | Self::FoundAgain { job, .. }
            | Self::CollectedUnseen { job }
            | Self::Held { job, .. }
            | Self::Released { job }
            | Self::Pinned { job }
            | Self::KindCorrected { job }
            | Self::ItemCorrected { job, .. }
            | Self::SpotsCorrected { job, .. }
            | Self::BenchCorrected { job, .. }
            | Self::FindingStruck { job, .. }
            | Self::RepairStruck { job, .. }
            | Self::EndStruck { job }
            | Self::HandBackStruck { job }
            | Self::PromiseSaid { job, .. } => Some(*job),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;

    #[test]
    fn the_journals_form_is_read() {
        let said = Said::read(r#"{"kind":"taken","v":1,"job":5,"bench":2}"#).unwrap();
        assert!(matches!(said, Said::Taken { job: 5, bench: 2 }));
        assert_eq!(said.jobs(9), [5]);
        let said = Said::read(r#"{"kind":"back_to_changed","v":1,"job":5,"to":{"strip":3}}"#).unwrap();
        assert!(matches!(said, Said::BackToChanged { to: Spot::Strip(3), .. }));
        let said = Said::read(r#"{"kind":"lent","v":1,"fencer":5,"item_kind":"foil"}"#).unwrap();
        assert!(said.jobs(9).is_empty());
    }

    #[test]
    fn what_cannot_be_judged_is_said() {
        for (body, expected) in [
            (r#"{"kind":"tidied","v":1}"#, "unknown variant `tidied`"),
            (r#"{"kind":"taken","v":1,"job":5}"#, "missing field `bench`"),
            (r#"{"kind":"taken","v":2,"job":5,"bench":1}"#, "version 2"),
            (r#"{"kind":"taken","job":5,"bench":1}"#, "version cannot be read"),
            ("", "cannot be read"),
        ] {
            let why = Said::read(body).unwrap_err();
            assert!(why.contains(expected), "{why}");
        }
    }
}
