//! Forms: fields one below the other. What a form is for stands in [`super::open`], what becomes of it in
//! [`super::submit`].

use crossterm::event::KeyCode;
use remise_core::armoury::HandInItem;
use remise_core::gear::Complaint;
use remise_core::ids::{BenchId, CallId, JobId, OwedId};
use remise_core::tag::Tag;
use tui_input::{Input, InputRequest};

use super::field::{Choice, Choose, Entry, Field, Moved, Name, Value, edit};
use super::keys::{self, Act, Binding, Press};
use super::verb::Verb;

/// What a form is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// Nothing in particular.
    Room,
    /// A job.
    Job(JobId),
    /// A bench.
    Bench(BenchId),
    /// A call-out.
    Call(CallId),
    /// Something owed.
    Owed(OwedId),
}

/// A form.
#[derive(Clone, Debug, PartialEq)]
pub struct Form {
    /// What it does.
    pub verb: Verb,
    /// What it is about.
    pub about: Subject,
    /// Its title.
    pub title: String,
    /// Sentences above the fields: cautions, what is known.
    pub notes: Vec<String>,
    /// The fields.
    pub fields: Vec<Field>,
    /// The field that keys act on.
    pub focus: usize,
    /// Items that are filled in already, for a hand-in of several.
    pub lot: Vec<HandInItem>,
    /// Tags that were scanned, for a count.
    pub tags: Vec<Tag>,
    /// What is wrong, and with which field.
    pub problem: Option<(Option<Name>, String)>,
    /// Something was typed or chosen.
    pub touched: bool,
}

impl Form {
    /// An empty form.
    pub fn new(verb: Verb, about: Subject, title: impl Into<String>, fields: Vec<Field>) -> Self {
        Self {
            verb,
            about,
            title: title.into(),
            notes: Vec::new(),
            fields,
            focus: 0,
            lot: Vec::new(),
            tags: Vec::new(),
            problem: None,
            touched: false,
        }
    }

    /// Its keys, for the field that they act on.
    pub fn keys(&self) -> Vec<Binding> {
        let is_last = self.next_field().is_none();
        let enter = if is_last { "send" } else { "next" };
        let mut list = vec![Binding::key(KeyCode::Enter, Act::Enter, enter)];
        // On the last field too, where the foot line has no need of it: hands that know the key use it everywhere.
        list.push(Binding { foot: !is_last, ..Binding::new(Press::Ctrl('s'), Act::SendNow, "send now") });
        if self.verb == Verb::HandIn {
            list.push(Binding::new(Press::Ctrl('n'), Act::Another, "one more item"));
        }
        if self.focused().is_some_and(|field| field.completion().is_some()) {
            list.push(Binding::key(KeyCode::Tab, Act::Complete, "complete"));
        }
        list.extend([
            Binding::quiet(Press::Key(KeyCode::Tab), Act::Next, "next field"),
            Binding::quiet(Press::Key(KeyCode::Down), Act::Next, "next field"),
            Binding::quiet(Press::Key(KeyCode::BackTab), Act::Previous, "field before"),
            Binding::quiet(Press::Key(KeyCode::Up), Act::Previous, "field before"),
            Binding::key(KeyCode::Esc, Act::Back, "back"),
            Binding::key(KeyCode::F(1), Act::Help, "help"),
        ]);
        match self.focused().map(|field| &field.entry) {
            Some(Entry::Choice(_)) => list.extend([
                Binding::quiet(Press::Digit, Act::Type, "choose by number"),
                Binding::quiet(Press::Key(KeyCode::Backspace), Act::Clear, "choose nothing"),
            ]),
            _ => list.extend(keys::editing()),
        }
        list
    }

    /// The field with that name, when it is asked.
    pub fn field(&self, name: Name) -> Option<&Field> {
        self.fields.iter().find(|field| field.name == name && self.is_asked(field))
    }

    /// Whether a field is asked, as the form is filled in now.
    pub fn is_asked(&self, field: &Field) -> bool {
        let Some((name, ways)) = field.only else { return true };
        let gate = self.fields.iter().find(|other| other.name == name);
        matches!(gate.and_then(Field::value), Some(Value::Way(way)) if ways.contains(way))
    }

    /// What is chosen there.
    pub fn value(&self, name: Name) -> Option<&Value> {
        self.field(name).and_then(Field::value)
    }

    /// What is typed there, without blanks around it; `None` when empty.
    pub fn typed(&self, name: Name) -> Option<String> {
        let text = self.field(name)?.typed().trim();
        (!text.is_empty()).then(|| text.to_owned())
    }

    /// The field that keys act on.
    pub fn focused(&self) -> Option<&Field> {
        self.fields.get(self.focus)
    }

    fn asked_from(&self, from: usize) -> Option<usize> {
        (from..self.fields.len()).find(|at| self.is_asked(&self.fields[*at]))
    }

    fn next_field(&self) -> Option<usize> {
        self.asked_from(self.focus + 1)
    }

    /// On to the next field; `false` when this is the last.
    pub fn next(&mut self) -> bool {
        let Some(at) = self.next_field() else { return false };
        self.focus = at;
        true
    }

    /// Back to the field before.
    pub fn previous(&mut self) {
        if let Some(at) = (0..self.focus).rev().find(|at| self.is_asked(&self.fields[*at])) {
            self.focus = at;
        }
    }

    /// To that field.
    pub fn go_to(&mut self, name: Name) {
        let at = self.fields.iter().position(|field| field.name == name && self.is_asked(field));
        self.focus = at.unwrap_or(self.focus);
    }

    /// Says what is wrong, at the field where it is.
    pub fn refuse(&mut self, name: Option<Name>, why: String) {
        if let Some(name) = name {
            self.go_to(name);
        }
        self.problem = Some((name, why));
    }

    /// A letter or digit for the field.
    pub fn put(&mut self, c: char) -> Moved {
        let Some(field) = self.fields.get_mut(self.focus) else { return Moved::Stays };
        self.problem = None;
        let fresh = std::mem::take(&mut field.fresh);
        let moved = match &mut field.entry {
            Entry::Text(input, most) => {
                if fresh {
                    input.reset();
                }
                if input.value().chars().count() < *most && !c.is_control() {
                    input.handle(InputRequest::InsertChar(c));
                    self.touched = true;
                }
                Moved::Stays
            }
            Entry::Choice(choice) => {
                self.touched = true;
                choice.put(c)
            }
        };
        self.settle();
        self.follow_fault();
        moved
    }

    /// The work of a repair follows the fault as it is chosen; it can be changed afterwards.
    fn follow_fault(&mut self) {
        let chosen = self.focused().filter(|field| field.name == Name::Fault).and_then(Field::value);
        let Some(Value::Fault(code)) = chosen else { return };
        let Some(fault) = remise_core::gear::fault(code) else { return };
        let work = self.fields.iter_mut().find(|field| field.name == Name::Work);
        if let Some(Entry::Choice(choice)) = work.map(|field| &mut field.entry) {
            choice.chosen = choice.options.iter().position(|option| option.value == Value::Work(fault.work));
        }
    }

    /// Puts a whole text into a field, in place of what is there.
    pub fn put_text(&mut self, name: Name, text: &str) {
        let asked = self.fields.iter().position(|field| field.name == name && self.is_asked(field));
        let Some(field) = asked.and_then(|at| self.fields.get_mut(at)) else { return };
        if let Entry::Text(input, _) = &mut field.entry {
            *input = Input::new(text.to_owned());
            field.fresh = false;
            self.problem = None;
            self.touched = true;
        }
    }

    /// Edits the field.
    pub fn edit(&mut self, act: Act) {
        let Some(field) = self.fields.get_mut(self.focus) else { return };
        self.problem = None;
        let fresh = std::mem::take(&mut field.fresh);
        match &mut field.entry {
            Entry::Choice(choice) if act == Act::Clear => {
                choice.chosen = None;
                choice.typed.clear();
            }
            Entry::Choice(_) => {}
            Entry::Text(input, _) if fresh && matches!(act, Act::Erase | Act::Delete) => input.reset(),
            Entry::Text(input, _) => edit(input, act),
        }
        self.settle();
    }

    /// Takes the completion.
    pub fn complete(&mut self) {
        let known = self.focused().and_then(|field| field.completion().map(str::to_owned));
        if let (Some(known), Some(field)) = (known, self.fields.get_mut(self.focus)) {
            field.entry = Entry::Text(Input::new(known), remise_core::text::NAME_MAX);
            self.touched = true;
        }
    }

    /// Makes the options fit what was chosen before them: complaints follow the kind.
    fn settle(&mut self) {
        let Some(Value::Kind(kind)) = self.value(Name::Kind).cloned() else { return };
        let Some(field) = self.fields.iter_mut().find(|field| field.name == Name::Complaint) else { return };
        let options: Vec<_> =
            Complaint::for_kind(kind).iter().map(|complaint| complaint_option(*complaint)).collect();
        if let Entry::Choice(choice) = &mut field.entry
            && choice.options != options
        {
            *choice = Choice { options, ..Choice::default() };
        }
    }
}

/// A complaint as an option.
pub fn complaint_option(complaint: Complaint) -> Choose {
    Choose { label: complaint.title().to_owned(), value: Value::Complaint(complaint) }
}
