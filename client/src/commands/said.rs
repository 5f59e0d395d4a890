//! What was done, in a sentence, and the cautions that go with it.

use remise_core::armoury::{Command, HandIn, JobRef, Spot};
use remise_core::gear::{DEFERRING, Hazard, fault};
use remise_core::rules::{self, Answer, CLOSING};
use remise_link::Accepted;

use crate::local::VenueClock;

/// What was done.
pub(super) fn sentence(command: &Command, accepted: &Accepted, clock: &VenueClock) -> String {
    let done = done(command, accepted, clock);
    if accepted.first_seq.0 == 0 {
        return format!("{done} That was so already: nothing needed to be recorded.");
    }
    let (first, last) = (accepted.first_seq, accepted.last_seq);
    let numbers = if first == last { first.to_string() } else { format!("{first} to {last}") };
    format!("{done} Recorded at {} as {numbers}.", clock.show(accepted.recorded_at))
}

fn named(job: JobRef) -> String {
    match job {
        JobRef::Job(id) => format!("job {id}"),
        JobRef::Tag(tag) => format!("tag {tag}"),
    }
}

fn spot(spot: Spot) -> String {
    match spot {
        Spot::Strip(id) => format!("strip {id}"),
        Spot::Counter => "the counter".to_owned(),
    }
}

fn hand_in(given: &HandIn, accepted: &Accepted) -> String {
    let item = |(index, item): (usize, &remise_core::armoury::HandInItem)| {
        let job = accepted.jobs.get(index).map_or_else(String::new, |job| format!("job {job}, "));
        format!("{job}{} ({})", item.kind.title(), item.complaint.title())
    };
    let items: Vec<String> = given.items.iter().enumerate().map(item).collect();
    format!("Handed in: {}.", items.join("; "))
}

fn done(command: &Command, accepted: &Accepted, clock: &VenueClock) -> String {
    match command {
        Command::HandIn(given) => hand_in(given, accepted),
        Command::ScanIn { job, .. } => format!("{} is in the room.", capital(&named(*job))),
        Command::Claim { job, fencer } => format!("{} belongs to {fencer}.", capital(&named(*job))),
        Command::FencerOut { fencer } => format!("{fencer} is out: nothing of theirs is urgent any more."),
        Command::FencerIn { fencer } => format!("{fencer} is in the competition."),
        Command::Lend { fencer, kind } => format!("Lent to {fencer}: {}.", kind.title()),
        Command::LoanBack { fencer, kind } => format!("Back from {fencer}: {}.", kind.title()),
        Command::CallOut { strip, .. } => format!("Somebody was sent to strip {strip}."),
        Command::ConfirmNotice { notice } => format!("Notice {notice} is confirmed."),
        Command::HandBack { job, to } => format!("{} was handed back to {to}.", capital(&named(*job))),
        Command::BackTo { job, to } => format!("{} goes back to {}.", capital(&named(*job)), spot(*to)),
        Command::WantBy { job, .. } => format!("{} is wanted at another time.", capital(&named(*job))),
        Command::SetNeed { job, need } => format!("{}: {need}.", capital(&named(*job))),
        Command::CallOff { job, .. } => format!("{} was called off; hand it back.", capital(&named(*job))),
        Command::ReachStrip { call } => format!("Call-out {call}: at the strip."),
        Command::Redirect { call, bench } => format!("Call-out {call}: bench {bench} goes."),
        Command::RunAgain { call, .. } => format!("Call-out {call}: the strip runs again."),
        other => at_bench(other, clock),
    }
}

fn at_bench(command: &Command, clock: &VenueClock) -> String {
    match command {
        Command::Take { job, bench } => format!("Bench {bench} has {} in hand.", named(*job)),
        Command::PutBack { job, .. } => format!("{} waits again.", capital(&named(*job))),
        Command::PassOn { job, bench, .. } => {
            format!("{} passed on to bench {bench}.", capital(&named(*job)))
        }
        Command::Interrupt { bench } => format!("Bench {bench}: called away; the clock stands still."),
        Command::Resume { bench } => format!("Bench {bench} goes on."),
        Command::GoAway { bench, until } => {
            format!("Bench {bench} is unattended until {}.", clock.show(*until))
        }
        Command::ComeBack { bench } => format!("Bench {bench} is attended again."),
        Command::Find { job, fault, showed, .. } => {
            format!("{}: {fault} is {showed}.", capital(&named(*job)))
        }
        Command::See { job, seen } => format!("{}: {seen} taken down.", capital(&named(*job))),
        Command::Repair { job, work, lasting, .. } => {
            format!("{}: {} done, {lasting}.", capital(&named(*job)), work.short())
        }
        Command::Cure { job, until } => {
            format!("{} cures until {}.", capital(&named(*job)), clock.show(*until))
        }
        Command::DryNow { job } => format!("{} is dry.", capital(&named(*job))),
        Command::NoFaultFound { job } => format!("{}: no fault was found.", capital(&named(*job))),
        Command::FaultElsewhere { job, place } => {
            format!("{}: the fault lies elsewhere, {place}.", capital(&named(*job)))
        }
        Command::Prove { job, check, answer } => {
            format!("{}: {}.", capital(&named(*job)), answered(check, *answer))
        }
        Command::Ready { job } | Command::ReadyAnyway { job, .. } => {
            format!("{} is ready.", capital(&named(*job)))
        }
        Command::Withdraw { job, .. } => format!("{} was withdrawn; hand it back.", capital(&named(*job))),
        other => in_the_room(other, clock),
    }
}

/// The verdict in a sentence, by the edition that knows the check; the server keeps its own.
fn answered(check: &str, answer: Answer) -> String {
    let known = rules::editions().iter().find_map(|edition| edition.check(check));
    match known.and_then(|known| known.judge(&answer).ok()) {
        Some(verdict) => verdict.sentence(),
        None => check.to_owned(),
    }
}

fn in_the_room(command: &Command, clock: &VenueClock) -> String {
    match command {
        Command::Missing { job, .. } => format!("{} is recorded as missing.", capital(&named(*job))),
        Command::FoundAgain { job, .. } => format!("{} was found.", capital(&named(*job))),
        Command::CollectedUnseen { job, .. } => {
            format!("{} was collected, unwitnessed.", capital(&named(*job)))
        }
        Command::Hold { job, reason, .. } => format!("{} is held: {reason}.", capital(&named(*job))),
        Command::Release { job } => format!("Work on {} may go on.", named(*job)),
        Command::Confiscate { job, .. } => {
            format!("{} is confiscated; nobody works on it.", capital(&named(*job)))
        }
        Command::ReleaseConfiscated { job, .. } => format!("{} is free again.", capital(&named(*job))),
        Command::Pin { job, bench: Some(bench) } => {
            format!("{} is kept for bench {bench}.", capital(&named(*job)))
        }
        Command::Pin { job, bench: None } => format!("{} may go to any bench.", capital(&named(*job))),
        Command::TakeOver { job, bench: Some(bench), .. } => {
            format!("Bench {bench} takes over {}.", named(*job))
        }
        Command::TakeOver { job, bench: None, .. } => format!("{} waits again.", capital(&named(*job))),
        Command::OpenBench { bench } => format!("Bench {bench} is open."),
        Command::CloseBench { bench } => format!("Bench {bench} is closed."),
        Command::CloseBenchAt { bench, at } => format!("Bench {bench} closes at {}.", clock.show(*at)),
        Command::EndOwed { owed, how } => format!("Owed {owed}: {how}."),
        Command::Correct { job, .. } => format!("{} was put right.", capital(&named(*job))),
        Command::ExchangeTags { a, b } => format!("Tags {a} and {b} changed places."),
        Command::Count { tags, .. } => format!("Counted: {}.", tags.len()),
        Command::CloseDay => "The day is closed.".to_owned(),
        _ => "Done.".to_owned(),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |first| first.to_uppercase().chain(chars).collect())
}

/// What to heed with it; empty when nothing in it is known to be dangerous.
pub(super) fn cautions(command: &Command) -> Vec<String> {
    let of = |hazard: Hazard| -> Vec<String> {
        hazard.cautions().iter().chain([&DEFERRING]).map(|caution| caution.text.to_owned()).collect()
    };
    match command {
        Command::Cure { .. } => of(Hazard::Glue),
        Command::Repair { fault: Some(code), .. } | Command::Find { fault: code, .. } => fault(code)
            .map(|fault| fault.cautions().map(|caution| caution.text.to_owned()).collect())
            .unwrap_or_default(),
        Command::Withdraw { .. } => vec![
            "Mark the part and make it unusable; a withdrawn blade or mask is never mended.".to_owned(),
            CLOSING.to_owned(),
        ],
        Command::Prove { .. } | Command::Ready { .. } | Command::ReadyAnyway { .. } => {
            vec![CLOSING.to_owned()]
        }
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use remise_core::ids::{BenchId, JobId, Seq};
    use remise_core::time::Stamp;

    use super::*;

    const JOB: JobRef = JobRef::Job(JobId(17));

    fn clock() -> VenueClock {
        VenueClock::new("Etc/UTC", Stamp(0))
    }

    fn accepted(first: u64, last: u64) -> Accepted {
        Accepted { first_seq: Seq(first), last_seq: Seq(last), ..Accepted::default() }
    }

    #[test]
    fn a_sentence_says_what_and_where_it_is_recorded() {
        let take = Command::Take { job: JOB, bench: BenchId(2) };
        let said = sentence(&take, &accepted(40, 41), &clock());
        assert_eq!(said, "Bench 2 has job 17 in hand. Recorded at 00:00 as 40 to 41.");
        let said = sentence(&Command::Release { job: JOB }, &accepted(7, 7), &clock());
        assert_eq!(said, "Work on job 17 may go on. Recorded at 00:00 as 7.");
        let said = sentence(&Command::DryNow { job: JOB }, &accepted(0, 0), &clock());
        assert_eq!(said, "Job 17 is dry. That was so already: nothing needed to be recorded.");
    }

    #[test]
    fn what_can_hurt_somebody_is_said() {
        let glue = cautions(&Command::Cure { job: JOB, until: Stamp(1) }).join(" ").to_lowercase();
        for word in ["window or run a fan", "glasses", "no flame"] {
            assert!(glue.contains(word), "{word} in {glue}");
        }
        let ready = cautions(&Command::Ready { job: JOB });
        assert_eq!(ready, [CLOSING]);
        assert!(cautions(&Command::Withdraw { job: JOB, reason: "x".into() })[0].contains("unusable"));
        assert!(cautions(&Command::Release { job: JOB }).is_empty());
    }
}
