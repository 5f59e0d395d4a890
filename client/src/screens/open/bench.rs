//! Work at a bench.

use remise_core::armoury::{Command, JobRef, Lasting, Showed, State as JobState};
use remise_core::gear::{self, Fault, Hazard, ItemKind};
use remise_core::ids::JobId;
use remise_core::text::NOTE_MAX;
use remise_link::view::{CallState, Course, JobView};

use super::{ask, at_once, fill, form, nothing};
use crate::screens::advice;
use crate::screens::bench::lane_jobs;
use crate::screens::board;
use crate::screens::faults;
use crate::screens::field::{Field, Name, Value};
use crate::screens::form::{Form, Subject};
use crate::screens::layer::{Layer, Reader, Sheet};
use crate::screens::options::{benches, option, words, works};
use crate::screens::pointer::Pointer;
use crate::screens::proof::Proof;
use crate::screens::state::{State, Task};
use crate::screens::verb::Verb;

/// Begins a verb of the bench.
pub fn open(state: &mut State, verb: Verb) -> Vec<Task> {
    match verb {
        Verb::GoAway | Verb::ComeBack | Verb::Interrupt | Verb::Resume => of_bench(state, verb),
        Verb::Reached | Verb::Running => of_call(state, verb),
        Verb::Lane => {
            let mut pointer = Pointer::default();
            pointer.settle(&lane_jobs(state));
            state.sheets.push(Sheet::new(Layer::Lane(pointer)));
            Vec::new()
        }
        Verb::Take => take_next(state),
        Verb::NextCheck => advice::begin(state),
        _ => match state.subject().and_then(|id| state.job(id)).cloned() {
            Some(job) => of_job(state, verb, &job),
            None => nothing(state, "Take a job first"),
        },
    }
}

/// Takes the job that is shown.
pub fn take(state: &mut State, id: JobId) -> Vec<Task> {
    let (Some(bench), Some(job)) = (state.bench, state.job(id)) else { return Vec::new() };
    let what = taken(job);
    at_once(state, Command::Take { job: JobRef::Job(id), bench }, what)
}

/// What taking it is called.
pub fn taken(job: &JobView) -> String {
    format!("taken: {}", board::name(job))
}

/// Takes the chosen job, or says why there is none to take.
fn take_next(state: &mut State) -> Vec<Task> {
    let Some(job) = state.subject().and_then(|id| state.job(id)) else {
        return nothing(state, "Nothing waits for this bench. The list fills by itself");
    };
    let (id, now, name) = (job.job, state.clock.now(), board::name(job));
    match (job.state, job.dry_at) {
        (JobState::OnItsWay, _) => {
            let why =
                format!("Still on its way: {name}. It can be taken once it was scanned in at the counter");
            nothing(state, &why)
        }
        (JobState::Curing, Some(dry)) if dry > now => {
            let dry = state.clock.both(dry);
            let why =
                format!("Not dry: {name}, dry {dry}. D on its card says that it is dry before its time");
            nothing(state, &why)
        }
        _ => take(state, id),
    }
}

/// Opens the answers to one possible fault.
pub fn finding(state: &mut State, at: usize) -> Vec<Task> {
    let Some(job) = state.in_hand() else { return Vec::new() };
    let Some(fault) = faults::listed(job).get(at).map(|(fault, _)| *fault) else { return Vec::new() };
    let id = job.job;
    state.home.fault = at;
    state.sheets.push(Sheet::new(Layer::Finding(id, fault.id)));
    Vec::new()
}

fn of_bench(state: &mut State, verb: Verb) -> Vec<Task> {
    let Some(bench) = state.bench else { return nothing(state, "This screen has no bench") };
    let (command, what) = match verb {
        Verb::GoAway => {
            let hint = "When you will be back: 14:20, or +15 for minutes from now; at most 12 hours.";
            let fields = vec![Field::text(Name::Time, "Away until", hint, 20)];
            return form(state, fill(verb, Subject::Bench(bench), "The bench is unattended", fields));
        }
        Verb::ComeBack => (Command::ComeBack { bench }, "back at the bench"),
        Verb::Interrupt => (Command::Interrupt { bench }, "clock stopped"),
        _ => (Command::Resume { bench }, "clock goes on"),
    };
    at_once(state, command, what.to_owned())
}

fn of_call(state: &mut State, verb: Verb) -> Vec<Task> {
    let call = state.board.calls.iter().flatten().find(|call| Some(call.bench) == state.bench).cloned();
    let Some(call) = call else { return nothing(state, "You are on no call-out") };
    let name = board::strip(state.venue.as_ref(), call.strip);
    if verb == Verb::Reached && call.state == CallState::Called {
        return at_once(state, Command::ReachStrip { call: call.call }, format!("reached {name}"));
    }
    let units = [ItemKind::Reel, ItemKind::FloorCable, ItemKind::Box];
    let mut swapped = vec![option("nothing was swapped", Value::Nothing)];
    swapped.extend(words(&units, ItemKind::title, Value::Kind));
    let fields = vec![
        Field::choice(Name::Kind, "Swapped out", swapped).chosen(&Value::Nothing),
        Field::text(Name::Stock, "From stock", "What you put in its place; may be empty.", NOTE_MAX),
        Field::text(Name::Note, "Remark", "What it was; may be empty.", NOTE_MAX),
    ];
    let mut sheet = fill(verb, Subject::Call(call.call), "", fields);
    sheet.title = format!("{} runs again", gear_name(&name));
    sheet.notes.push("What was swapped out comes in as a job of its own.".to_owned());
    form(state, sheet)
}

fn gear_name(name: &str) -> String {
    crate::screens::text::capital(name)
}

fn of_job(state: &mut State, verb: Verb, job: &JobView) -> Vec<Task> {
    let (id, by, name) = (job.job, JobRef::Job(job.job), board::name(job));
    match verb {
        Verb::Cautions => read_cautions(state, job),
        Verb::Prove => prove(state, job),
        Verb::NoFault => {
            let lines = vec![
                "Only when every check that tells whether it works was made. The proof follows.".to_owned(),
            ];
            let question = format!("Nothing is wrong with {name}?");
            ask(state, question, lines, Command::NoFaultFound { job: by }, format!("no fault found: {name}"))
        }
        Verb::DryNow => {
            let question = format!("You have looked, and {name} is dry?");
            let lines = vec!["Glue that only looks dry lets the wire come loose.".to_owned()];
            ask(state, question, lines, Command::DryNow { job: by }, format!("dry: {name}"))
        }
        Verb::Ready => {
            let lines = ready_lines(state.course_of(id));
            ask(
                state,
                format!("{name} is ready to go back?"),
                lines,
                Command::Ready { job: by },
                format!("ready: {name}"),
            )
        }
        _ => {
            let mut sheet = job_form(state, verb, job);
            sheet.title = format!("{}: {name}", sheet.title);
            form(state, sheet)
        }
    }
}

fn job_form(state: &State, verb: Verb, job: &JobView) -> Form {
    let about = Subject::Job(job.job);
    let note = |label: &str, hint: &str| Field::text(Name::Note, label, hint, NOTE_MAX);
    match verb {
        Verb::Repair => repair_form(state, job),
        Verb::Cure => cure_form(state, job),
        Verb::Elsewhere => fill(
            verb,
            about,
            "The fault lies elsewhere",
            vec![note("Where", "For instance: the body cord, the reel of strip 3.")],
        ),
        Verb::Withdraw => {
            let mut sheet =
                fill(verb, about, "Withdraw", vec![note("Reason", "What makes it unfit for use.")]);
            sheet
                .notes
                .push("Not fit for use: mark the part and make it unusable. It is still handed back.".into());
            sheet.notes.extend(gear_lines(Hazard::Blade, job).chain(gear_lines(Hazard::FailedMask, job)));
            sheet
        }
        Verb::PassOn => {
            let bench = Field::choice(Name::Bench, "To", benches(state));
            fill(
                verb,
                about,
                "Pass on to another bench",
                vec![bench, note("Remark", "What was found so far; may be empty.")],
            )
        }
        _ => fill(verb, about, "Put back among the waiting", vec![note("Remark", "Why; may be empty.")]),
    }
}

/// Cautions that belong to that kind of item only.
fn gear_lines(hazard: Hazard, job: &JobView) -> impl Iterator<Item = String> {
    let mask = matches!(job.kind, ItemKind::Mask | ItemKind::MaskFoil | ItemKind::MaskSabre);
    let fits = match hazard {
        Hazard::FailedMask => mask,
        _ => job.kind.weapon().is_some(),
    };
    let cautions = if fits { hazard.cautions() } else { &[] };
    cautions.iter().map(|caution| caution.text.to_owned())
}

fn repair_form(state: &State, job: &JobView) -> Form {
    let course = state.course_of(job.job);
    let mended = |fault: &str| {
        course
            .is_some_and(|course| course.repairs.iter().any(|repair| repair.fault.as_deref() == Some(fault)))
    };
    let listed = faults::listed(job);
    let here = |fault: &&'static Fault| {
        faults::showed(course, fault.id) == Some(Showed::Present) && !mended(fault.id)
    };
    let found: Vec<&'static Fault> = listed.iter().map(|(fault, _)| *fault).filter(here).collect();
    let rest = listed
        .iter()
        .map(|(fault, _)| *fault)
        .filter(|fault| !found.iter().any(|known| known.id == fault.id));
    let mut options: Vec<_> =
        found.iter().copied().chain(rest).map(|fault| option(fault.title, Value::Fault(fault.id))).collect();
    options.push(option("none of these", Value::Nothing));
    let mut fault = Field::choice(Name::Fault, "Mended", options);
    let mut work = Field::choice(Name::Work, "Work", works(job.kind));
    // The only one that was found, or else the one that keys act on, if it was found.
    let pointed = listed.get(state.home.fault).map(|(fault, _)| fault.id);
    let here = found.iter().find(|fault| found.len() == 1 || Some(fault.id) == pointed);
    if let Some(found) = here {
        fault = fault.chosen(&Value::Fault(found.id));
        work = work.chosen(&Value::Work(found.work));
    }
    let lasting = Field::choice(Name::Lasting, "It is", words(Lasting::ALL, Lasting::title, Value::Lasting));
    let mut sheet = fill(Verb::Repair, Subject::Job(job.job), "Repair", vec![fault, work, lasting]);
    if let Some(owed) = owed_field(course) {
        sheet.fields.push(owed);
    }
    sheet
}

fn owed_field(course: Option<&Course>) -> Option<Field> {
    let owed = course.filter(|course| !course.owed.is_empty())?;
    let mut options = vec![option("none of these", Value::Nothing)];
    options.extend(owed.owed.iter().map(|owed| option(owed.work.title(), Value::Owed(owed.owed))));
    Some(Field::choice(Name::Owed, "It pays off", options).chosen(&Value::Nothing))
}

/// The usual time for which glue sets: that of the newest repair's fault.
fn cure_form(state: &State, job: &JobView) -> Form {
    let newest = state.course_of(job.job).and_then(|course| course.repairs.last()?.fault.clone());
    let usual = newest.and_then(|code| gear::fault(&code)?.curing_min);
    let text = usual.map(|minutes| minutes.to_string()).unwrap_or_default();
    let field = Field::text(Name::Minutes, "Minutes", "How long the glue sets.", 4).filled(&text);
    let mut sheet = fill(Verb::Cure, Subject::Job(job.job), "Lay it to dry", vec![field]);
    sheet
        .notes
        .push("The bench is free meanwhile; the item comes back into the lane when it is dry.".to_owned());
    sheet
}

fn prove(state: &mut State, job: &JobView) -> Vec<Task> {
    let Some(course) = state.course_of(job.job) else {
        return nothing(state, "The checks have not come from the server yet");
    };
    if course.proof.is_empty() {
        return nothing(state, "Record a repair first, or that no fault was found");
    }
    let proof = Proof::new(course);
    state.sheets.push(Sheet::new(Layer::Proof(Box::new(proof))));
    Vec::new()
}

/// What the proof says, as a reminder; the server decides.
fn ready_lines(course: Option<&Course>) -> Vec<String> {
    let Some(course) = course else { return Vec::new() };
    let passed = course.proof.iter().filter(|check| check.pass).count();
    let mut lines = vec![format!("Proof: {passed} of {} checks passed.", course.proof.len())];
    lines.push(remise_core::rules::CLOSING.to_owned());
    if course.job.state == JobState::OnBench && !course.owed.is_empty() {
        lines.push("A lasting repair is still owed on it: the strip is told.".to_owned());
    }
    lines
}

fn read_cautions(state: &mut State, job: &JobView) -> Vec<Task> {
    let lines = faults::all_cautions(job, state.course_of(job.job));
    let reader = Reader { title: format!("Cautions: {}", board::name(job)), lines, from: 0 };
    state.sheets.push(Sheet::new(Layer::Reader(reader)));
    Vec::new()
}
