//! What is said about one job: when and where it is wanted, that it is lost, held, wrong.

use remise_core::armoury::{Command, HoldReason, JobRef, Need, Place};
use remise_core::ids::JobId;
use remise_core::tag::Tag;
use remise_core::text::{NAME_MAX, NOTE_MAX};
use remise_link::view::{Course, JobView};

use super::{at_once, fill, form, nothing};
use crate::screens::advice;
use crate::screens::board;
use crate::screens::field::{Choose, Field, Name, Value};
use crate::screens::form::{Form, Subject};
use crate::screens::options::{benches, kinds, option, words};
use crate::screens::state::{ReadFor, State, Task};
use crate::screens::verb::Verb;
use crate::screens::wanted;

/// Confirms the notice of the job that keys act on, or else the oldest that waits.
pub fn confirm(state: &mut State) -> Vec<Task> {
    let waits = |job: &&JobView| job.notice.is_some_and(|notice| notice.confirmed.is_none());
    let chosen = state.subject().and_then(|id| state.job(id)).filter(waits);
    let oldest = || board::notices(&state.board, state.spot).into_iter().next();
    let Some(job) = chosen.or_else(oldest) else { return nothing(state, "No notice waits to be confirmed") };
    let Some(notice) = job.notice else { return Vec::new() };
    let what = format!("notice confirmed: {} {}", board::name(job), notice.kind.title());
    at_once(state, Command::ConfirmNotice { notice: notice.notice }, what)
}

/// Begins what is done to the job that keys act on.
pub fn open(state: &mut State, verb: Verb) -> Vec<Task> {
    let Some(job) = state.subject().and_then(|id| state.job(id)).cloned() else {
        return nothing(state, "Choose an item first");
    };
    let (id, by) = (job.job, JobRef::Job(job.job));
    match verb {
        Verb::Course => return vec![Task::ReadCourse(by, ReadFor::Person)],
        Verb::Correct => return vec![Task::ReadCourse(by, ReadFor::Correct)],
        Verb::Release if job.hold.as_ref().is_none_or(|hold| hold.reason != HoldReason::Confiscated) => {
            let what = format!("released: {}", board::name(&job));
            return at_once(state, Command::Release { job: by }, what);
        }
        Verb::ScanIn if job.tag.is_some() => return scan_in(state, id),
        _ => {}
    }
    let mut sheet = job_form(state, verb, &job);
    sheet.title = format!("{}: {}", sheet.title, board::name(&job));
    form(state, sheet)
}

fn note(label: &str, hint: &str) -> Field {
    Field::text(Name::Note, label, hint, NOTE_MAX)
}

fn job_form(state: &State, verb: Verb, job: &JobView) -> Form {
    let (title, fields) = match verb {
        Verb::ScanIn => return tie_form(job.job, None),
        Verb::BackTo => {
            let hint = "The strip's number, or c for the counter.";
            ("Goes back to another place", vec![Field::text(Name::Spot, "Goes back to", hint, NAME_MAX)])
        }
        Verb::WantBy => ("Wanted", wanted::fields(state, wanted::BY_A_TIME)),
        Verb::Need => ("What still works", vec![Field::choice(Name::Need, "Still has", needs(job))]),
        Verb::FoundAgain => ("Found", vec![Field::choice(Name::Where, "It is at", found_at(state))]),
        Verb::Hold => ("Hold", vec![hold_reasons(), note("Remark", "What it waits for; may be empty.")]),
        other => noted(other),
    };
    let mut sheet = fill(verb, Subject::Job(job.job), title, fields);
    if verb == Verb::Confiscate {
        let says = "It becomes evidence: nobody works on it until the head armourer releases it.";
        sheet.notes.push(says.to_owned());
    }
    sheet
}

/// What takes a reason or a remark and nothing else.
fn noted(verb: Verb) -> (&'static str, Vec<Field>) {
    let (title, label, hint) = match verb {
        Verb::CallOff => ("Call off", "Reason", "Why it is not wanted any more."),
        Verb::Missing => ("Cannot be found", "Remark", "Where it was last seen; may be empty."),
        Verb::CollectedUnseen => ("Collected and nobody saw it", "Remark", "How you know; may be empty."),
        Verb::Confiscate => ("Confiscate", "Reason", "Which referee, and why."),
        _ => ("Release confiscated gear", "Reason", "Who gave it free, and why."),
    };
    (title, vec![note(label, hint)])
}

fn hold_reasons() -> Field {
    let reasons = [HoldReason::PartMissing, HoldReason::OwnerMustAgree, HoldReason::HeadSaysSo];
    Field::choice(Name::Reason, "Why", words(&reasons, HoldReason::title, Value::Reason))
}

fn needs(job: &JobView) -> Vec<Choose> {
    let fits = |need: &&Need| job.kind.is_apparatus() || **need != Need::StripStopped;
    let all: Vec<Need> = Need::ALL.iter().filter(fits).copied().collect();
    words(&all, Need::title, Value::Need)
}

fn found_at(state: &State) -> Vec<Choose> {
    let mut places = vec![Place::Counter, Place::ReadyShelf];
    places.extend(state.venue.iter().flat_map(|venue| &venue.strips).map(|strip| Place::Strip(strip.strip)));
    places.into_iter().map(|at| option(board::place(state.venue.as_ref(), at), Value::Place(at))).collect()
}

/// The form that ties a tag to an item on its way.
pub fn tie_form(job: JobId, tag: Option<Tag>) -> Form {
    let digits = tag.map(Tag::digits).unwrap_or_default();
    let field = Field::text(Name::Tag, "Tag", "Tie a tag to it: type its five digits or scan it.", 20)
        .filled(&digits);
    fill(Verb::ScanIn, Subject::Job(job), "Scan in", vec![field])
}

/// The command that scans a job in.
pub fn scan_in_command(job: JobId, tag: Option<Tag>) -> Command {
    Command::ScanIn { job: JobRef::Job(job), tag }
}

fn scan_in(state: &mut State, id: JobId) -> Vec<Task> {
    let name = state.job(id).map(board::name).unwrap_or_default();
    at_once(state, scan_in_command(id, None), format!("scanned in: {name}"))
}

/// What may have been wrong, in the order of the form's numbers.
const MISTAKES: [&str; 7] = [
    "kind or complaint",
    "which item it is",
    "where it came from and goes",
    "which bench worked on it",
    "a finding was wrong",
    "a repair was not done",
    "it was withdrawn or called off by mistake",
];

/// What a mistake may be about; its findings and repairs come from its course.
pub fn correct_form(state: &State, course: &Course) -> Form {
    const KIND: &[u8] = &[1];
    let options = (1..).zip(MISTAKES).map(|(way, label)| option(label, Value::Way(way))).collect();
    let findings = course.findings.iter().map(|finding| {
        option(
            format!("{}: {}", finding.showed, fault_title(&finding.fault)),
            Value::Finding(finding.finding),
        )
    });
    let sightings = course
        .sightings
        .iter()
        .map(|saw| option(advice::said(course.job.kind, &saw.seen), Value::Finding(saw.id)));
    let repairs = course.repairs.iter().map(|repair| {
        option(format!("{}, {}", repair.work.title(), repair.lasting), Value::Repair(repair.repair))
    });
    let from = Field::text(Name::Person, "Came from", "The strip's number, or c for the counter.", NAME_MAX);
    let to = Field::text(Name::Spot, "Goes back to", "The strip's number, or c for the counter.", NAME_MAX);
    let fields = vec![
        Field::choice(Name::Mistake, "Wrong is", options),
        Field::choice(Name::Kind, "Item", kinds()).only(Name::Mistake, KIND),
        Field::choice(Name::Complaint, "Complaint", Vec::new()).only(Name::Mistake, KIND),
        Field::text(Name::Item, "Item number", "Its number for life; its course shows it.", 12)
            .only(Name::Mistake, &[2]),
        from.only(Name::Mistake, &[3]),
        to.only(Name::Mistake, &[3]),
        Field::choice(Name::Bench, "Bench", benches(state)).only(Name::Mistake, &[4]),
        Field::choice(Name::Record, "Finding", findings.chain(sightings).collect()).only(Name::Mistake, &[5]),
        Field::choice(Name::Record, "Repair", repairs.collect()).only(Name::Mistake, &[6]),
        note("Remark", "May be empty."),
    ];
    let title = format!("Put a mistake right: {}", board::name(&course.job));
    let mut sheet = Form::new(Verb::Correct, Subject::Job(course.job.job), title, fields);
    sheet.notes.push("Nothing that happened is erased: the correction is recorded beside it.".to_owned());
    sheet
}

/// What people call a fault.
pub fn fault_title(code: &str) -> String {
    remise_core::gear::fault(code).map_or_else(|| code.to_owned(), |fault| fault.title.to_owned())
}
