//! What becomes of a form that is filled in: one command, or a search. What does not fit is said at its field.

use remise_core::armoury::{Command, Correction, HandIn, HandInItem, JobRef, Need, Spot, Whose};
use remise_core::gear::Complaint;
use remise_core::ids::{CallId, ItemId, JobId};
use remise_core::tag::Tag;

use super::board;
use super::field::{Name, Value};
use super::form::{Form, Subject};
use super::layer::{Layer, Sheet};
use super::options::{read_number, read_spot, read_strip, read_tag};
use super::state::{Role, State};
use super::verb::Verb;
use super::wanted::{self, Problem};

/// What a form leads to.
#[derive(Clone, Debug, PartialEq)]
pub enum Ready {
    /// A command, and what it is for a person.
    Send(Box<Command>, String),
    /// A search.
    Search(String),
}

/// Longest row of hand-in items, as the armoury takes them.
const MOST_ITEMS: usize = 24;

/// Reads a form.
///
/// # Errors
/// What is wrong, and in which field.
pub fn read(state: &State, form: &Form) -> Result<Ready, Problem> {
    if form.verb == Verb::Search {
        return Ok(Ready::Search(needed(form, Name::Note, "type what to look for")?));
    }
    let command = match form.about {
        Subject::Room => room(state, form)?,
        Subject::Job(job) => of_job(state, form, job)?,
        Subject::Bench(bench) if form.verb == Verb::CloseBench => match form.typed(Name::Time) {
            None => Command::CloseBench { bench },
            Some(typed) => Command::CloseBenchAt { bench, at: at(Name::Time, state.clock.read(&typed))? },
        },
        Subject::Bench(bench) => {
            let typed = form.typed(Name::Time).unwrap_or_default();
            let until = state.clock.read(&typed).map_err(|why| (Some(Name::Time), why))?;
            Command::GoAway { bench, until }
        }
        Subject::Call(call) if form.verb == Verb::Redirect => Command::Redirect { call, bench: bench(form)? },
        Subject::Call(call) => run_again(form, call)?,
        Subject::Owed(owed) => match form.value(Name::End) {
            Some(Value::End(how)) => Command::EndOwed { owed, how: *how },
            _ => return Err(missing(Name::End)),
        },
    };
    Ok(Ready::Send(Box::new(command), what(state, form)))
}

/// The strip runs again. What came from stock took the place of something.
fn run_again(form: &Form, call: CallId) -> Result<Command, Problem> {
    let swapped = match form.value(Name::Kind) {
        Some(Value::Kind(kind)) => Some(*kind),
        _ => None,
    };
    let stock = form.typed(Name::Stock);
    if swapped.is_none() && stock.is_some() {
        return Err((
            Some(Name::Kind),
            "choose what it took the place of, or leave the stock empty".to_owned(),
        ));
    }
    Ok(Command::RunAgain { call, swapped, stock, note: form.typed(Name::Note) })
}

fn what(state: &State, form: &Form) -> String {
    if let (Verb::Count, Some(Value::Place(place))) = (form.verb, form.value(Name::Where)) {
        let tags = form.tags.len();
        return format!("counted: {}, {tags} tag(s)", board::place(state.venue.as_ref(), *place));
    }
    let of = match form.about {
        Subject::Job(id) => state.job(id).map(board::name),
        Subject::Bench(bench) => Some(board::bench(state.venue.as_ref(), bench)),
        _ => form.typed(Name::Person),
    };
    of.map_or_else(|| form.verb.label().to_owned(), |of| format!("{}: {of}", form.verb.label()))
}

fn missing(name: Name) -> Problem {
    (Some(name), "choose one by its number".to_owned())
}

fn needed(form: &Form, name: Name, why: &str) -> Result<String, Problem> {
    form.typed(name).ok_or_else(|| (Some(name), why.to_owned()))
}

fn at<T>(name: Name, result: Result<T, String>) -> Result<T, Problem> {
    result.map_err(|why| (Some(name), why))
}

fn bench(form: &Form) -> Result<remise_core::ids::BenchId, Problem> {
    match form.value(Name::Bench) {
        Some(Value::Bench(bench)) => Ok(*bench),
        _ => Err(missing(Name::Bench)),
    }
}

fn room(state: &State, form: &Form) -> Result<Command, Problem> {
    let fencer = || needed(form, Name::Person, "type the fencer's name");
    let kind = || match form.value(Name::Kind) {
        Some(Value::Kind(kind)) => Ok(*kind),
        _ => Err(missing(Name::Kind)),
    };
    Ok(match form.verb {
        Verb::HandIn => Command::HandIn(hand_in(state, form)?),
        Verb::FencerOut => Command::FencerOut { fencer: fencer()? },
        Verb::FencerIn => Command::FencerIn { fencer: fencer()? },
        Verb::Lend => Command::Lend { fencer: fencer()?, kind: kind()? },
        Verb::LoanBack => Command::LoanBack { fencer: fencer()?, kind: kind()? },
        Verb::Exchange => {
            let a = tag(form, Name::Tag)?;
            Command::ExchangeTags { a, b: tag(form, Name::OtherTag)? }
        }
        Verb::Count => match form.value(Name::Where) {
            Some(Value::Place(place)) => Command::Count { place: *place, tags: form.tags.clone() },
            _ => return Err(missing(Name::Where)),
        },
        _ => {
            let typed = needed(form, Name::Spot, "type the strip's number")?;
            let strip = at(Name::Spot, read_strip(state, &typed))?;
            Command::CallOut { strip, note: form.typed(Name::Note) }
        }
    })
}

fn tag(form: &Form, name: Name) -> Result<Tag, Problem> {
    at(name, read_tag(form.typed(name)))?
        .ok_or_else(|| (Some(name), "type the five digits of the tag".to_owned()))
}

fn of_job(state: &State, form: &Form, id: JobId) -> Result<Command, Problem> {
    let job = JobRef::Job(id);
    let note = form.typed(Name::Note);
    let reason = || needed(form, Name::Note, "say why, in a few words");
    Ok(match form.verb {
        Verb::ScanIn => Command::ScanIn { job, tag: Some(tag(form, Name::Tag)?) },
        Verb::HandBack => Command::HandBack {
            job,
            to: needed(form, Name::Person, "type the name of the person who takes it")?,
        },
        Verb::Claim => Command::Claim { job, fencer: needed(form, Name::Person, "type the fencer's name")? },
        Verb::BackTo => Command::BackTo { job, to: spot(state, form, Name::Spot)? },
        Verb::WantBy => Command::WantBy { job, wanted: wanted::read(state, form)? },
        Verb::Need => match form.value(Name::Need) {
            Some(Value::Need(need)) => Command::SetNeed { job, need: *need },
            _ => return Err(missing(Name::Need)),
        },
        Verb::CallOff => Command::CallOff { job, reason: reason()? },
        Verb::Missing => Command::Missing { job, note },
        Verb::FoundAgain => match form.value(Name::Where) {
            Some(Value::Place(place)) => Command::FoundAgain { job, place: *place },
            _ => return Err(missing(Name::Where)),
        },
        Verb::CollectedUnseen => Command::CollectedUnseen { job, note },
        Verb::Confiscate => Command::Confiscate { job, note: reason()? },
        Verb::Release => Command::ReleaseConfiscated { job, note: reason()? },
        Verb::Hold => match form.value(Name::Reason) {
            Some(Value::Reason(reason)) => Command::Hold { job, reason: *reason, note },
            _ => return Err(missing(Name::Reason)),
        },
        Verb::Correct => Command::Correct { job, what: correction(state, form)?, note },
        Verb::Pin => Command::Pin { job, bench: any_bench(form)? },
        Verb::TakeOver => Command::TakeOver { job, bench: elsewhere(state, form, id)?, reason: reason()? },
        Verb::ReadyAnyway => Command::ReadyAnyway { job, reason: reason()? },
        _ => work(state, form, job)?,
    })
}

/// A bench, or none in particular; one of the two must be chosen.
fn any_bench(form: &Form) -> Result<Option<remise_core::ids::BenchId>, Problem> {
    match form.value(Name::Bench) {
        Some(Value::Bench(bench)) => Ok(Some(*bench)),
        Some(Value::Nothing) => Ok(None),
        _ => Err(missing(Name::Bench)),
    }
}

/// Taking it over for the bench that has it changes nothing.
fn elsewhere(state: &State, form: &Form, job: JobId) -> Result<Option<remise_core::ids::BenchId>, Problem> {
    let to = any_bench(form)?;
    let has = state.job(job).and_then(|job| job.bench);
    if to.is_some() && to == has {
        return Err((
            Some(Name::Bench),
            "that bench has it: choose another, or none in particular".to_owned(),
        ));
    }
    Ok(to)
}

fn spot(state: &State, form: &Form, name: Name) -> Result<Spot, Problem> {
    let typed = needed(form, name, "type the strip's number, or c for the counter")?;
    at(name, read_spot(state, &typed))
}

fn work(state: &State, form: &Form, job: JobRef) -> Result<Command, Problem> {
    let note = form.typed(Name::Note);
    Ok(match form.verb {
        Verb::Repair => repair(form, job)?,
        Verb::Cure => {
            let minutes = at(Name::Minutes, read_number(form.typed(Name::Minutes), "minutes", 1..=720))?;
            Command::Cure { job, until: state.clock.now().plus_min(minutes.into()) }
        }
        Verb::Elsewhere => {
            Command::FaultElsewhere { job, place: needed(form, Name::Note, "say where the fault lies")? }
        }
        Verb::Withdraw => {
            Command::Withdraw { job, reason: needed(form, Name::Note, "say what is unfit, in a few words")? }
        }
        Verb::PassOn => {
            let to = bench(form)?;
            if Some(to) == state.bench {
                return Err((Some(Name::Bench), "that is your own bench: choose another".to_owned()));
            }
            Command::PassOn { job, bench: to, note }
        }
        _ => Command::PutBack { job, note },
    })
}

fn repair(form: &Form, job: JobRef) -> Result<Command, Problem> {
    let Some(Value::Work(work)) = form.value(Name::Work) else { return Err(missing(Name::Work)) };
    let Some(Value::Lasting(lasting)) = form.value(Name::Lasting) else { return Err(missing(Name::Lasting)) };
    let fault = match form.value(Name::Fault) {
        Some(Value::Fault(code)) => Some((*code).to_owned()),
        Some(_) => None,
        None => return Err(missing(Name::Fault)),
    };
    let owed = match form.value(Name::Owed) {
        Some(Value::Owed(owed)) => Some(*owed),
        _ => None,
    };
    Ok(Command::Repair { job, work: *work, fault, lasting: *lasting, owed })
}

fn correction(state: &State, form: &Form) -> Result<Correction, Problem> {
    match form.value(Name::Mistake) {
        Some(Value::Way(1)) => match (form.value(Name::Kind), form.value(Name::Complaint)) {
            (Some(Value::Kind(kind)), Some(Value::Complaint(complaint))) => {
                Ok(Correction::Kind { kind: *kind, complaint: *complaint })
            }
            (None, _) => Err(missing(Name::Kind)),
            _ => Err(missing(Name::Complaint)),
        },
        Some(Value::Way(2)) => {
            let number = form.typed(Name::Item).and_then(|typed| typed.parse().ok());
            number
                .map(|number| Correction::Item(ItemId(number)))
                .ok_or_else(|| (Some(Name::Item), "type the item's number; its course shows it".to_owned()))
        }
        Some(Value::Way(3)) => Ok(Correction::Spots {
            came_from: spot(state, form, Name::Person)?,
            back_to: spot(state, form, Name::Spot)?,
        }),
        Some(Value::Way(4)) => Ok(Correction::Bench(bench(form)?)),
        Some(Value::Way(7)) => Ok(Correction::End),
        Some(Value::Way(_)) => match form.value(Name::Record) {
            Some(Value::Finding(finding)) => Ok(Correction::Finding(*finding)),
            Some(Value::Repair(repair)) => Ok(Correction::Repair(*repair)),
            _ => Err((
                Some(Name::Record),
                "choose one by its number; none there means nothing to put right".into(),
            )),
        },
        _ => Err(missing(Name::Mistake)),
    }
}

fn hand_in(state: &State, form: &Form) -> Result<HandIn, Problem> {
    let mut items = form.lot.clone();
    if items.is_empty() || form.value(Name::Kind).is_some() {
        items.push(item(state, form)?);
    }
    let here = state.spot.unwrap_or(Spot::Counter);
    let back_to = if form.field(Name::Spot).is_some() { spot(state, form, Name::Spot)? } else { here };
    Ok(HandIn {
        whose: whose(form, &items)?,
        owner: form.typed(Name::Owner),
        bringer: form.typed(Name::Bringer),
        official: form.typed(Name::Official),
        came_from: here,
        back_to,
        wanted: wanted::read(state, form)?,
        in_room: state.role != Role::Strip,
        items,
    })
}

fn whose(form: &Form, items: &[HandInItem]) -> Result<Whose, Problem> {
    let way = match form.value(Name::Whose) {
        Some(Value::Way(way)) => *way,
        _ => 1,
    };
    let name = form.typed(Name::Person);
    match (way, name) {
        (3, _) => Ok(Whose::Unknown),
        (4, _) => Ok(Whose::House),
        (2, Some(name)) => Ok(Whose::Team(name)),
        (_, Some(name)) => Ok(Whose::Fencer(name)),
        (_, None) if items.iter().all(|item| item.kind.is_apparatus()) => Ok(Whose::House),
        (_, None) => Err((
            Some(Name::Person),
            "type a name, or say at the end of the form that nobody knows yet".to_owned(),
        )),
    }
}

fn item(state: &State, form: &Form) -> Result<HandInItem, Problem> {
    let Some(Value::Kind(kind)) = form.value(Name::Kind) else { return Err(missing(Name::Kind)) };
    let Some(Value::Complaint(complaint)) = form.value(Name::Complaint) else {
        return Err(missing(Name::Complaint));
    };
    let Some(Value::Need(need)) = form.value(Name::Need) else { return Err(missing(Name::Need)) };
    if *need == Need::StripStopped && !kind.is_apparatus() {
        return Err((Some(Name::Need), "that is for reels, cables and boxes only".to_owned()));
    }
    let note = form.typed(Name::Note);
    if *complaint == Complaint::Other && note.is_none() {
        return Err((Some(Name::Note), "say in a few words what is wrong".to_owned()));
    }
    let tag = at(Name::Tag, read_tag(form.typed(Name::Tag)))?;
    if tag.is_none() && state.role != Role::Strip {
        return Err((Some(Name::Tag), "an item that is here needs a tag: type or scan it".to_owned()));
    }
    let known = form.typed(Name::Item).map(|typed| {
        let number = typed.parse().ok().filter(|number| *number > 0).map(ItemId);
        number.ok_or_else(|| (Some(Name::Item), "the item's number, digits only, or nothing".to_owned()))
    });
    Ok(HandInItem { kind: *kind, item: known.transpose()?, complaint: *complaint, note, tag, need: *need })
}

/// Keeps the item that is filled in and empties its fields for the next.
pub fn another(state: &mut State) {
    let Some(Sheet { layer: Layer::Form(form), .. }) = state.sheets.last() else { return };
    let read = match form.lot.len() {
        lot if lot + 1 >= MOST_ITEMS => {
            Err((None, format!("at most {MOST_ITEMS} items go into one hand-in")))
        }
        _ => item(state, form),
    };
    let Some(Sheet { layer: Layer::Form(form), .. }) = state.sheets.last_mut() else { return };
    match read {
        Ok(item) => {
            form.lot.push(item);
            super::open::another(form);
        }
        Err((name, why)) => form.refuse(name, why),
    }
}

/// One more tag of a count.
pub fn count_tag(form: &mut Form) {
    let read = read_tag(form.typed(Name::Tags));
    match read {
        Ok(Some(tag)) if form.tags.contains(&tag) => {
            form.problem = Some((Some(Name::Tags), format!("{tag} is counted already")));
        }
        Ok(Some(tag)) => form.tags.push(tag),
        Ok(None) => {}
        Err(why) => form.problem = Some((Some(Name::Tags), why)),
    }
    if form.problem.is_none() {
        form.edit(super::keys::Act::Clear);
    }
}
