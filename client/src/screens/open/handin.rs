//! Handing in.

use remise_core::armoury::{Need, Spot};
use remise_core::tag::Tag;
use remise_core::text::{NAME_MAX, NOTE_MAX};

use crate::screens::board;
use crate::screens::field::{Choose, Entry, Field, Name, Value};
use crate::screens::form::{Form, Subject};
use crate::screens::options::{kinds, option};
use crate::screens::state::{Role, State, Task};
use crate::screens::verb::Verb;
use crate::screens::wanted;

/// Whose it is: a fencer's.
pub const FENCER: u8 = 1;
/// A team's.
pub const TEAM: u8 = 2;
/// Nobody knows yet.
pub const UNKNOWN: u8 = 3;
/// The tournament's own.
pub const HOUSE: u8 = 4;

fn whose() -> Vec<Choose> {
    vec![
        option("that fencer's", Value::Way(FENCER)),
        option("that team's", Value::Way(TEAM)),
        option("nobody knows yet", Value::Way(UNKNOWN)),
        option("the tournament's own", Value::Way(HOUSE)),
    ]
}

fn needs() -> Vec<Choose> {
    vec![
        option("none left that works", Value::Need(Need::NoneLeft)),
        option("one left that works", Value::Need(Need::OneLeft)),
        option("two or more left", Value::Need(Need::TwoOrMore)),
        option("the strip stands still (apparatus only)", Value::Need(Need::StripStopped)),
    ]
}

/// Opens the hand-in, with a tag that was scanned already.
pub fn open(state: &mut State, tag: Option<Tag>) -> Vec<Task> {
    let form = form(state, tag);
    super::form(state, form)
}

fn form(state: &State, tag: Option<Tag>) -> Form {
    let in_room = state.role != Role::Strip;
    let person = "Whose gear it is: the fencer's name. Leave it empty for a reel, a cable or a box.";
    let tag_hint = if in_room {
        "Tie a tag to it now: type its five digits or scan it."
    } else {
        "If a tag is on it already; empty otherwise."
    };
    let digits = tag.map(Tag::digits).unwrap_or_default();
    let mut fields = vec![
        Field::text(Name::Person, "Fencer", person, NAME_MAX).knowing(board::people(&state.board)),
        Field::choice(Name::Kind, "Item", kinds()),
        Field::choice(Name::Complaint, "Complaint", Vec::new()),
        Field::choice(Name::Need, "Still has", needs()),
    ];
    fields.extend(wanted::fields(state, wanted::NOBODY_SAID));
    fields.push(Field::text(Name::Tag, "Tag", tag_hint, 20).filled(&digits));
    if in_room {
        let hint = "The strip's number, or c for the counter.";
        fields.push(Field::text(Name::Spot, "Goes back to", hint, NAME_MAX).filled("c"));
    }
    fields.extend(seldom());
    let title = match state.spot {
        Some(spot @ Spot::Strip(_)) => format!("Hand in from {}", board::spot(state.venue.as_ref(), spot)),
        _ => "Hand in here".to_owned(),
    };
    Form::new(Verb::HandIn, Subject::Room, title, fields)
}

/// What is seldom asked, at the end.
fn seldom() -> Vec<Field> {
    let text = |name, label, hint| Field::text(name, label, hint, NAME_MAX);
    vec![
        Field::text(Name::Note, "Remark", "In your own words; may be empty.", NOTE_MAX),
        Field::choice(Name::Whose, "It is", whose()).chosen(&Value::Way(FENCER)),
        text(Name::Bringer, "Brought by", "If somebody else brings it; may be empty."),
        text(Name::Owner, "Owned by", "If it is somebody else's; may be empty."),
        text(Name::Official, "Official", "Who hands it in at the strip; may be empty."),
        text(Name::Item, "Item number", "Its number for life, when it was here before; may be empty."),
    ]
}

/// Empties what belongs to one item, for the next one of the same fencer.
pub fn another(form: &mut Form) {
    for field in &mut form.fields {
        match (&mut field.entry, field.name) {
            (Entry::Choice(choice), Name::Kind | Name::Complaint | Name::Need) => {
                choice.chosen = None;
                choice.typed.clear();
            }
            (Entry::Text(input, _), Name::Tag | Name::Note | Name::Item) => input.reset(),
            _ => {}
        }
    }
    form.go_to(Name::Kind);
}
