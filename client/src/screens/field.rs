//! Fields of forms: typed into, or chosen from by number.

use remise_core::armoury::{HoldReason, Lasting, Need, OwedEnd, Place, Spot};
use remise_core::gear::{Complaint, ItemKind, Work};
use remise_core::ids::{BenchId, FindingId, OwedId, RepairId, StripId};
use tui_input::{Input, InputRequest};

use super::keys::Act;

/// What a field is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Name {
    /// A person.
    Person,
    /// Whose it is: a fencer's, a team's, nobody's.
    Whose,
    /// Kind of item.
    Kind,
    /// Complaint.
    Complaint,
    /// What still works.
    Need,
    /// A tag.
    Tag,
    /// The other tag.
    OtherTag,
    /// Several tags.
    Tags,
    /// A remark, a reason, a place in words.
    Note,
    /// How a wanted-by time is said.
    How,
    /// A time.
    Time,
    /// Minutes.
    Minutes,
    /// Fencers in the pool, or lines of the table.
    Size,
    /// The fencer's number or line.
    Place,
    /// The bout or relay that is running.
    Running,
    /// Strips side by side.
    Parallel,
    /// Lines that are taken.
    Entrants,
    /// A strip or the counter.
    Spot,
    /// Where an item lies.
    Where,
    /// A bench.
    Bench,
    /// A kind of work.
    Work,
    /// A fault.
    Fault,
    /// Whether it lasts.
    Lasting,
    /// Something owed.
    Owed,
    /// Why it is held.
    Reason,
    /// How something owed ended.
    End,
    /// What a mistake was about.
    Mistake,
    /// A finding or repair.
    Record,
    /// Item number.
    Item,
    /// What was taken from the stock.
    Stock,
    /// Who brings it.
    Bringer,
    /// Whose property it is.
    Owner,
    /// The official who hands it in.
    Official,
    /// The pool's order of bouts.
    Order,
}

/// What an option stands for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Value {
    /// Left open.
    Nothing,
    /// Kind of item.
    Kind(ItemKind),
    /// Complaint.
    Complaint(Complaint),
    /// What still works.
    Need(Need),
    /// A bench.
    Bench(BenchId),
    /// A strip or the counter.
    Spot(Spot),
    /// A strip.
    Strip(StripId),
    /// Where an item lies.
    Place(Place),
    /// A kind of work.
    Work(Work),
    /// A fault, by its code.
    Fault(&'static str),
    /// Whether it lasts.
    Lasting(Lasting),
    /// Something owed.
    Owed(OwedId),
    /// Why it is held.
    Reason(HoldReason),
    /// How something owed ended.
    End(OwedEnd),
    /// One of a form's own ways.
    Way(u8),
    /// A finding.
    Finding(FindingId),
    /// A repair.
    Repair(RepairId),
}

/// One option of a choice.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choose {
    /// What people read.
    pub label: String,
    /// What it stands for.
    pub value: Value,
}

/// A choice by number.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Choice {
    /// The options.
    pub options: Vec<Choose>,
    /// The chosen one.
    pub chosen: Option<usize>,
    /// Digits typed so far.
    pub typed: String,
}

/// How a field is filled in.
#[derive(Clone, Debug)]
pub enum Entry {
    /// Typed; at most so many characters.
    Text(Input, usize),
    /// Chosen.
    Choice(Choice),
}

impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Text(a, _), Self::Text(b, _)) => a.value() == b.value() && a.cursor() == b.cursor(),
            (Self::Choice(a), Self::Choice(b)) => a == b,
            _ => false,
        }
    }
}

/// One line of a form.
#[derive(Clone, Debug, PartialEq)]
pub struct Field {
    /// What it is for.
    pub name: Name,
    /// What people read.
    pub label: String,
    /// What to fill in.
    pub hint: String,
    /// How it is filled in.
    pub entry: Entry,
    /// Only asked when that field has one of these ways.
    pub only: Option<(Name, &'static [u8])>,
    /// Completions.
    pub known: Vec<String>,
    /// Filled in beforehand: the first letter typed takes its place.
    pub fresh: bool,
}

impl Field {
    /// A field to type into.
    pub fn text(name: Name, label: &str, hint: &str, most: usize) -> Self {
        let entry = Entry::Text(Input::default(), most);
        Self {
            name,
            label: label.into(),
            hint: hint.into(),
            entry,
            only: None,
            known: Vec::new(),
            fresh: false,
        }
    }

    /// A field to choose from.
    pub fn choice(name: Name, label: &str, options: Vec<Choose>) -> Self {
        let entry = Entry::Choice(Choice { options, ..Choice::default() });
        let hint = "Type its number.".to_owned();
        Self { name, label: label.into(), hint, entry, only: None, known: Vec::new(), fresh: false }
    }

    /// The same, asked only when `name` has one of these ways.
    #[must_use]
    pub fn only(mut self, name: Name, ways: &'static [u8]) -> Self {
        self.only = Some((name, ways));
        self
    }

    /// The same, with that text in it.
    #[must_use]
    pub fn filled(mut self, text: &str) -> Self {
        if let Entry::Text(input, _) = &mut self.entry {
            *input = Input::new(text.to_owned());
            self.fresh = !text.is_empty();
        }
        self
    }

    /// The same, with that option chosen.
    #[must_use]
    pub fn chosen(mut self, value: &Value) -> Self {
        if let Entry::Choice(choice) = &mut self.entry {
            choice.chosen = choice.options.iter().position(|option| option.value == *value);
        }
        self
    }

    /// The same, with completions.
    #[must_use]
    pub fn knowing(mut self, known: Vec<String>) -> Self {
        self.known = known;
        self
    }

    /// What is typed in it.
    pub fn typed(&self) -> &str {
        match &self.entry {
            Entry::Text(input, _) => input.value(),
            Entry::Choice(_) => "",
        }
    }

    /// The completion that Tab or Right would take.
    pub fn completion(&self) -> Option<&str> {
        let typed = remise_core::text::folded(self.typed());
        if typed.is_empty() {
            return None;
        }
        let fits = |name: &&String| {
            let name = remise_core::text::folded(name);
            name != typed
                && (name.starts_with(&typed) || name.split(' ').any(|part| part.starts_with(&typed)))
        };
        self.known.iter().find(fits).map(String::as_str)
    }

    /// What is chosen in it.
    pub fn value(&self) -> Option<&Value> {
        match &self.entry {
            Entry::Choice(choice) => choice.chosen.and_then(|at| choice.options.get(at)).map(|o| &o.value),
            Entry::Text(..) => None,
        }
    }
}

/// What typing did.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moved {
    /// It stays in the field.
    Stays,
    /// The field is done.
    Done,
}

/// Edits one line of text.
pub fn edit(input: &mut Input, act: Act) {
    let request = match act {
        Act::Erase => InputRequest::DeletePrevChar,
        Act::Delete => InputRequest::DeleteNextChar,
        Act::Clear => InputRequest::DeleteLine,
        Act::CaretLeft => InputRequest::GoToPrevChar,
        Act::CaretRight => InputRequest::GoToNextChar,
        Act::CaretStart => InputRequest::GoToStart,
        Act::CaretEnd => InputRequest::GoToEnd,
        _ => return,
    };
    input.handle(request);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_completed_from_any_of_their_words() {
        let known = vec!["Ida Test".to_owned(), "Tess Invented".to_owned()];
        let of = |typed: &str| {
            let field = Field::text(Name::Person, "Fencer", "", 80).knowing(known.clone()).filled(typed);
            field.completion().map(str::to_owned)
        };
        assert_eq!(of("id").as_deref(), Some("Ida Test"));
        assert_eq!(of("INV").as_deref(), Some("Tess Invented"));
        assert_eq!(of("tes").as_deref(), Some("Ida Test"), "the first that fits");
        assert_eq!(of("ida test"), None, "complete already");
        assert_eq!(of(""), None);
    }
}
