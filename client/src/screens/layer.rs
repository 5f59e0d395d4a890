//! Layers: what lies over the home layer. A dialog is a layer of its own, never a flag in the layer below.

use remise_core::armoury::Command;
use remise_core::ids::JobId;
use remise_link::Sent;

use super::advice::NextCheck;
use super::form::Form;
use super::keys::{self, Act, Binding, Press};
use super::offer;
use super::pointer::Pointer;
use super::proof::Proof;
use super::state::{Role, State};
use super::{bench, head, strip, trial};
use crossterm::event::KeyCode;
use remise_core::armoury::Showed;
use remise_core::tag::Tag;

/// One layer, and the command that it waits for.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    /// The layer.
    pub layer: Layer,
    /// The ticket of its command, while that is on its way.
    pub waiting: Option<u64>,
}

/// What a layer is.
#[derive(Clone, Debug, PartialEq)]
pub enum Layer {
    /// Every key of the layer below.
    Help(Reader),
    /// Sentences to read.
    Reader(Reader),
    /// Something that must be seen before work goes on: a refusal, an error, advice.
    Said(Said),
    /// A question to be answered with yes.
    Ask(Ask),
    /// A form.
    Form(Box<Form>),
    /// One job and what may be done with it.
    Job(JobId),
    /// Digits of a tag that are being typed or scanned.
    Scan(String),
    /// A list to choose from.
    List(List),
    /// A bench's lane and what dries.
    Lane(Pointer<JobId>),
    /// What the check of one possible fault showed.
    Finding(JobId, &'static str),
    /// What lamp or meter shows during a check.
    Check {
        /// The job in hand.
        job: JobId,
        /// The check.
        next: Box<NextCheck>,
        /// Whether the answer is sure.
        sure: bool,
    },
    /// The proof of the job in hand.
    Proof(Box<Proof>),
}

/// Sentences to read, with the first line that shows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Reader {
    /// What it is.
    pub title: String,
    /// The lines; a line that begins with a space belongs to the one above.
    pub lines: Vec<String>,
    /// First line shown.
    pub from: usize,
}

/// Something that must be seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Said {
    /// What happened.
    pub title: String,
    /// What is unharmed, what to do.
    pub lines: Vec<String>,
    /// Can be sent once more, with what it is called.
    pub again: Option<(Box<Sent>, String)>,
    /// It came from the layer below, which still shows what was typed.
    pub from_below: bool,
    /// It went wrong.
    pub bad: bool,
    /// It is only about a tag that came, and goes when the next one comes.
    pub passing: bool,
}

/// A question.
#[derive(Clone, Debug, PartialEq)]
pub struct Ask {
    /// The question.
    pub question: String,
    /// What to bear in mind.
    pub lines: Vec<String>,
    /// What yes does.
    pub yes: Yes,
}

/// What yes does.
#[derive(Clone, Debug, PartialEq)]
pub enum Yes {
    /// Sends that.
    Send(Box<Command>, String),
    /// Ends the program.
    Quit,
    /// Drops what was typed in the layer below.
    Discard,
}

/// A list to choose from.
#[derive(Clone, Debug, PartialEq)]
pub struct List {
    /// What it is.
    pub title: String,
    /// Its lines.
    pub rows: Vec<(String, Pick)>,
    /// The chosen line.
    pub row: usize,
}

/// What choosing a line does.
#[derive(Clone, Debug, PartialEq)]
pub enum Pick {
    /// Shows that job.
    Open(JobId),
    /// Sends that.
    Send(Box<Command>, String),
    /// Opens that form.
    Fill(Box<Form>),
    /// Searches for that tag.
    Look(Tag),
    /// Hands something in with that tag.
    HandIn(Tag),
}

impl Sheet {
    /// A layer that waits for nothing.
    pub fn new(layer: Layer) -> Self {
        Self { layer, waiting: None }
    }
}

impl Said {
    /// Something good to know.
    pub fn note(title: impl Into<String>, lines: Vec<String>) -> Self {
        Self { title: title.into(), lines, again: None, from_below: false, bad: false, passing: false }
    }

    /// A tag that came led nowhere.
    pub fn passing(title: impl Into<String>, lines: Vec<String>) -> Self {
        Self { passing: true, ..Self::bad(title, lines) }
    }

    /// Something that went wrong.
    pub fn bad(title: impl Into<String>, lines: Vec<String>) -> Self {
        Self { bad: true, ..Self::note(title, lines) }
    }
}

/// The keys that count now.
pub fn bindings(state: &State) -> Vec<Binding> {
    let mut list = match state.top() {
        None => home(state),
        Some(sheet) if sheet.waiting.is_some() => {
            vec![Binding::key(KeyCode::Esc, Act::Back, "do not wait for it"), tag()]
        }
        Some(sheet) => of_layer(state, &sheet.layer),
    };
    if !matches!(state.top().map(|sheet| &sheet.layer), Some(Layer::Ask(_))) {
        list.push(Binding::quiet(Press::Ctrl('c'), Act::Quit, "quit, after asking"));
    }
    list
}

fn home(state: &State) -> Vec<Binding> {
    let mut list = match state.role {
        Role::Strip | Role::Counter => strip::keys(state),
        Role::Bench => bench::keys(state),
        Role::Head => head::keys(state),
    };
    if matches!(state.line, super::state::Line::Over { .. }) {
        list.push(Binding::key(KeyCode::F(5), Act::Reconnect, "connect again"));
    }
    list.extend(keys::moving());
    list.extend(keys::home_ends());
    if state.is_unchosen() && !super::update::rows(state).is_empty() {
        list.insert(0, keys::choose_again());
        list.push(Binding::quiet(Press::Any, Act::Unchosen, "nothing: choose a line first"));
    }
    list
}

fn of_layer(state: &State, layer: &Layer) -> Vec<Binding> {
    match layer {
        Layer::Help(_) => {
            let mut list = vec![Binding::key(KeyCode::Esc, Act::Back, "back")];
            list.extend(keys::moving());
            list.push(tag());
            list
        }
        Layer::Reader(_) => {
            let mut list = keys::moving();
            list.push(tag());
            with_leaving(list)
        }
        Layer::Said(said) => said_keys(said),
        Layer::Ask(ask) => ask_keys(state.role, ask),
        Layer::Form(form) => form_keys(state.role, form),
        Layer::Job(id) => job_keys(state, *id),
        Layer::Scan(_) => scan_keys(),
        Layer::List(_) => {
            let mut list = vec![Binding::key(KeyCode::Enter, Act::Enter, "choose"), tag()];
            list.extend(keys::moving());
            with_leaving(list)
        }
        Layer::Lane(pointer) => bench::lane_keys(state, pointer),
        Layer::Finding(..) => finding_keys(),
        Layer::Check { sure, .. } => check_keys(*sure),
        Layer::Proof(_) => Proof::keys(),
    }
}

fn with_leaving(mut list: Vec<Binding>) -> Vec<Binding> {
    list.extend(keys::leaving());
    list
}

fn said_keys(said: &Said) -> Vec<Binding> {
    let mut list = Vec::new();
    if said.again.is_some() {
        list.push(Binding::key(KeyCode::Char('r'), Act::Again, "send it again: nothing is done twice"));
    }
    list.push(Binding::key(KeyCode::Esc, Act::Back, "I have read it"));
    list.push(tag());
    list
}

/// On the head's form, what can be tried is tried by a key of its own.
fn form_keys(role: Role, form: &Form) -> Vec<Binding> {
    let mut list = form.keys();
    if trial::fits_form(role, form) {
        list.insert(1, Binding::new(Press::Ctrl('t'), Act::Try, "what if"));
    }
    list
}

fn ask_keys(role: Role, ask: &Ask) -> Vec<Binding> {
    let (yes, no) = match ask.yes {
        Yes::Send(..) => ("yes", "no"),
        Yes::Quit => ("yes, quit", "no, stay"),
        Yes::Discard => ("yes, drop it", "no, keep it"),
    };
    let (yes, no) =
        (Binding::key(KeyCode::Char('y'), Act::Yes, yes), Binding::key(KeyCode::Esc, Act::Back, no));
    let tried = trial::fits_ask(role, ask).then(|| Binding::key(KeyCode::Char('t'), Act::Try, "what if"));
    [yes].into_iter().chain(tried).chain([no, tag()]).collect()
}

fn job_keys(state: &State, id: JobId) -> Vec<Binding> {
    let verbs = state.job(id).map(|job| offer::job_verbs(state.role, job)).unwrap_or_default();
    let mut list: Vec<Binding> = verbs.into_iter().map(Binding::verb).collect();
    list.push(tag());
    with_leaving(list)
}

/// Digits that nothing else needs are a tag.
pub fn tag() -> Binding {
    Binding::quiet(Press::Digit, Act::Scan, "a tag, typed or scanned")
}

fn scan_keys() -> Vec<Binding> {
    vec![
        Binding::key(KeyCode::Enter, Act::Enter, "look it up"),
        Binding::quiet(Press::Digit, Act::Type, "the tag's digits"),
        Binding::quiet(Press::Key(KeyCode::Backspace), Act::Erase, "erase to the left"),
        Binding::key(KeyCode::Esc, Act::Back, "back"),
    ]
}

fn finding_keys() -> Vec<Binding> {
    let show = |key, showed: Showed| Binding::key(KeyCode::Char(key), Act::Show(showed), showed.title());
    with_leaving(vec![
        show('p', Showed::Present),
        show('a', Showed::Absent),
        show('u', Showed::Unsure),
        tag(),
    ])
}

fn check_keys(sure: bool) -> Vec<Binding> {
    let not_sure = if sure { "not quite sure" } else { "sure after all" };
    with_leaving(vec![
        Binding::new(Press::Number, Act::Pick, "what it shows"),
        Binding::key(KeyCode::Char('u'), Act::Show(Showed::Unsure), "could not be told"),
        Binding::key(KeyCode::Char('h'), Act::NotSure, not_sure),
        tag(),
    ])
}
