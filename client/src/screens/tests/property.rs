//! Random keys neither panic nor lead anywhere from which there is no way home.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use proptest::prelude::*;

use super::person::{Person, refusal, unsure};
use super::scene::{board, course, tag};
use super::snapshot::picture;
use crate::screens::layer::{Ask, Layer, Yes};
use crate::screens::state::{Msg, ReadFor, Role, Task};

/// More layers than a person could find the way through.
const LAYERS: usize = 12;

/// What happens to a screen.
#[derive(Clone, Debug)]
enum Step {
    Key(KeyEvent),
    Paste(String),
    Scan(String),
    Accept,
    Refuse,
    Lose,
    Board(bool),
    Read,
}

fn code() -> impl Strategy<Value = KeyCode> {
    prop_oneof![
        6 => prop::char::range('!', '~').prop_map(KeyCode::Char),
        2 => prop::char::range('0', '9').prop_map(KeyCode::Char),
        1 => any::<char>().prop_map(KeyCode::Char),
        4 => prop::sample::select(vec![
            KeyCode::Enter, KeyCode::Esc, KeyCode::Tab, KeyCode::BackTab, KeyCode::Up, KeyCode::Down, KeyCode::Left,
            KeyCode::Right, KeyCode::Home, KeyCode::End, KeyCode::Backspace, KeyCode::Delete, KeyCode::PageUp,
            KeyCode::PageDown, KeyCode::F(1), KeyCode::F(5),
        ]),
    ]
}

fn step() -> impl Strategy<Value = Step> {
    let ctrl = prop::sample::select(vec!['s', 'n', 'u', 'c']);
    prop_oneof![
        20 => code().prop_map(|code| Step::Key(KeyEvent::from(code))),
        2 => ctrl.prop_map(|c| Step::Key(KeyEvent::new(KeyCode::Char(c), KeyModifiers::CONTROL))),
        1 => ".{0,40}".prop_map(Step::Paste),
        3 => prop::sample::select(vec![tag(1034), tag(1045), tag(1021), tag(77)]).prop_map(|tag| Step::Scan(tag.digits())),
        1 => "[0-9]{5,12}".prop_map(Step::Scan),
        2 => Just(Step::Accept),
        1 => Just(Step::Refuse),
        1 => Just(Step::Lose),
        1 => any::<bool>().prop_map(Step::Board),
        1 => Just(Step::Read),
    ]
}

fn take(person: &mut Person, step: Step) {
    match step {
        Step::Key(key) => person.hear(Msg::Key(key)),
        Step::Paste(text) => person.hear(Msg::Paste(text)),
        Step::Scan(digits) => person.hear(Msg::Scan(digits)),
        Step::Accept => person.accept(),
        Step::Refuse => person.answer(&Err(refusal())),
        Step::Lose => person.answer(&Err(unsure())),
        Step::Board(in_hand) => person.hear(Msg::Board(Box::new(board(in_hand)))),
        Step::Read => {
            let why = person.tasks.iter().find_map(|task| match task {
                Task::ReadCourse(_, why) => Some(*why),
                _ => None,
            });
            person.hear(Msg::Course(why.unwrap_or(ReadFor::Bench), Box::new(Ok(course()))));
        }
    }
}

/// Esc as often as layers may lie there, and yes where the screen asks whether to drop what was typed.
fn go_home(person: &mut Person) {
    for _ in 0..2 * LAYERS {
        person.key(KeyCode::Esc);
        if matches!(person.top(), Some(Layer::Ask(Ask { yes: Yes::Discard, .. }))) {
            person.key(KeyCode::Char('y'));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn any_keys_leave_a_way_home(
        role in prop::sample::select(vec![Role::Strip, Role::Counter, Role::Bench, Role::Head]),
        in_hand in any::<bool>(),
        steps in prop::collection::vec(step(), 0..80),
        (columns, lines) in (1_u16..170, 1_u16..60),
    ) {
        let mut person = Person::with(role, board(in_hand));
        for step in steps {
            take(&mut person, step);
            if person.state.over {
                return Ok(());
            }
            prop_assert!(person.state.sheets.len() <= LAYERS, "{:?}", person.state.sheets);
            picture(&person.state, columns, lines);
        }
        picture(&person.state, 80, 24);
        go_home(&mut person);
        prop_assert!(person.state.sheets.is_empty(), "{:?}", person.state.sheets);
    }
}
