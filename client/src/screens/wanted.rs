//! When an item is wanted: by a time, or by the fencer's next bout.

use remise_core::armoury::Wanted;
use remise_core::bouts::BoutPlace;
use remise_core::time::Stamp;
use remise_link::view::CompetitionInfo;

use super::field::{Choose, Field, Name, Value};
use super::form::Form;
use super::options::{option, read_number};
use super::state::State;

const OPEN: u8 = 1;
const TIME: u8 = 2;
const POOL: u8 = 3;
const TABLE: u8 = 4;
const RELAY: u8 = 5;

/// What is wrong, and in which field.
pub type Problem = (Option<Name>, String);

fn ways() -> Vec<Choose> {
    vec![
        option("nobody said", Value::Way(OPEN)),
        option("by a time", Value::Way(TIME)),
        option("next bout in a pool", Value::Way(POOL)),
        option("next bout in a direct-elimination table", Value::Way(TABLE)),
        option("next relay of a team match", Value::Way(RELAY)),
    ]
}

fn number(name: Name, label: &str, hint: &str, ways: &'static [u8], usual: Option<u32>) -> Field {
    let text = usual.map(|usual| usual.to_string()).unwrap_or_default();
    Field::text(name, label, hint, 4).only(Name::How, ways).filled(&text)
}

/// The fields, with the usual figures of the competition that runs there.
pub fn fields(state: &State, first: u8) -> Vec<Field> {
    let runs = competition(state);
    let pool = runs.and_then(|competition| competition.pools);
    let table = runs.and_then(|competition| competition.tableau);
    let relay = runs.and_then(|competition| competition.relay_min);
    let strips = runs.map(|competition| competition.strips.len() as u32);
    vec![
        Field::choice(Name::How, "Wanted", ways()).chosen(&Value::Way(first)),
        Field::text(Name::Time, "Time", "14:20, or +25 for minutes from now.", 20).only(Name::How, &[TIME]),
        number(Name::Size, "Pool of", "Fencers in the pool, 4 to 12.", &[POOL], pool.map(|pool| pool.0)),
        number(Name::Place, "Number", "The fencer's number on the pool sheet.", &[POOL], None),
        number(Name::Running, "Bout now", "Number of the bout that is being fenced.", &[POOL], None),
        Field::text(
            Name::Order,
            "Order",
            "Name of the bout order where compatriots fence first; may be empty.",
            20,
        )
        .only(Name::How, &[POOL]),
        number(Name::Minutes, "Minutes", "From call to call.", &[POOL], pool.map(|pool| pool.1)),
        number(Name::Size, "Table of", "Lines of the round that is running: 2, 4, 8 … 256.", &[TABLE], None),
        number(
            Name::Entrants,
            "Fencers",
            "Lines that are taken, when not all are; may be empty.",
            &[TABLE],
            None,
        ),
        number(Name::Place, "Line", "The fencer's line, from 1 at the top.", &[TABLE], None),
        number(Name::Running, "Bout now", "The latest bout called, from 1 at the top.", &[TABLE], None),
        number(Name::Parallel, "Strips", "Strips on which the round is fenced.", &[TABLE], strips),
        number(Name::Minutes, "Minutes", "From call to call.", &[TABLE], table.map(|table| table.1)),
        number(Name::Running, "Relay now", "The relay that is being fenced, 1 to 9.", &[RELAY], None),
        number(Name::Place, "Number", "The fencer's number on the score sheet, 1 to 6.", &[RELAY], None),
        number(Name::Minutes, "Minutes", "From relay to relay.", &[RELAY], relay),
    ]
}

/// The first way that is offered: nobody said.
pub const NOBODY_SAID: u8 = OPEN;
/// By a time.
pub const BY_A_TIME: u8 = TIME;

/// The competition that runs on the strip: the one that began last.
fn competition(state: &State) -> Option<&CompetitionInfo> {
    let remise_core::armoury::Spot::Strip(strip) = state.spot? else { return None };
    let soon = state.clock.now().plus_min(60);
    let venue = state.venue.as_ref()?;
    let here = venue.competitions.iter().filter(|one| one.strips.contains(&strip) && one.starts <= soon);
    here.max_by_key(|competition| competition.starts)
}

/// What the form says.
///
/// # Errors
/// What is wrong, and in which field.
pub fn read(state: &State, form: &Form) -> Result<Wanted, Problem> {
    let way = match form.value(Name::How) {
        Some(Value::Way(way)) => *way,
        _ => return Err((Some(Name::How), "choose when it is wanted, or 1 for: nobody said".into())),
    };
    match way {
        TIME => {
            let typed = form.typed(Name::Time).unwrap_or_default();
            state.clock.read(&typed).map(Wanted::At).map_err(|why| (Some(Name::Time), why))
        }
        POOL | TABLE | RELAY => {
            let place = place(form, way)?;
            next_bout(state, &place).map_err(|why| (Some(Name::Place), why))?;
            Ok(Wanted::Bout(place))
        }
        _ => Ok(Wanted::Open),
    }
}

fn place(form: &Form, way: u8) -> Result<BoutPlace, Problem> {
    let read =
        |name, what: &str, fits| read_number(form.typed(name), what, fits).map_err(|why| (Some(name), why));
    let small = |name, what: &str, fits| read(name, what, fits).map(|number| number as u8);
    let bout_min = read(Name::Minutes, "minutes", 1..=60)?;
    match way {
        POOL => Ok(BoutPlace::Pool {
            size: small(Name::Size, "fencers in the pool", 4..=12)?,
            variant: form.typed(Name::Order),
            place: small(Name::Place, "the number on the pool sheet", 1..=12)?,
            running_bout: read(Name::Running, "the bout that is running", 1..=66)?,
            bout_min,
        }),
        TABLE => Ok(BoutPlace::Tableau {
            table: read(Name::Size, "lines of the table", 2..=256)?,
            entrants: form
                .typed(Name::Entrants)
                .map(|_| read(Name::Entrants, "lines that are taken", 2..=256))
                .transpose()?,
            slot: read(Name::Place, "the line", 1..=256)?,
            running_bout: read(Name::Running, "the bout that was called last", 1..=128)?,
            parallel_strips: small(Name::Parallel, "strips", 1..=64)?,
            bout_min,
            last_bout_ended: None,
        }),
        _ => Ok(BoutPlace::Relay {
            running_relay: read(Name::Running, "the relay that is running", 1..=9)?,
            fencer_no: small(Name::Place, "the number on the score sheet", 1..=6)?,
            relay_min: bout_min,
        }),
    }
}

fn next_bout(state: &State, place: &BoutPlace) -> Result<Option<Stamp>, String> {
    let margin = state.venue.as_ref().map_or(0, |venue| venue.margin_min as u16);
    place.wanted_by(state.clock.now(), margin).map_err(|problem| problem.to_string())
}

/// What that comes to, for a person; `None` while it is not filled in.
pub fn preview(state: &State, form: &Form) -> Option<String> {
    form.field(Name::How)?;
    match read(state, form).ok()? {
        Wanted::Open => None,
        Wanted::At(at) => Some(format!("Back by {}", state.clock.both(at))),
        Wanted::Bout(place) => Some(match next_bout(state, &place).ok()? {
            Some(at) => format!("Back by {}, before the next bout", state.clock.both(at)),
            None => "No bout is left for this fencer there".to_owned(),
        }),
    }
}
