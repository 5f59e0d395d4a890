//! Keys: one list a layer, from which come what a key does, the foot line and the help. A key that is not listed
//! does nothing.

use crossterm::event::{KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use remise_core::armoury::Showed;

use super::verb::Verb;

/// What a key press does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// One layer back.
    Back,
    /// Show the help.
    Help,
    /// End the program, after asking.
    Quit,
    /// One line up.
    Up,
    /// One line down.
    Down,
    /// A page up.
    PageUp,
    /// A page down.
    PageDown,
    /// The next field or section.
    Next,
    /// The field or section before.
    Previous,
    /// Open, go on, send.
    Enter,
    /// Send what is filled in.
    SendNow,
    /// One more item in the same hand-in.
    Another,
    /// A letter or digit goes into the field.
    Type,
    /// A digit begins a tag.
    Scan,
    /// A letter that would act on a line, while none is chosen.
    Unchosen,
    /// A digit chooses a line.
    Pick,
    /// Take the completion.
    Complete,
    /// Erase to the left.
    Erase,
    /// Erase to the right.
    Delete,
    /// Empty the field.
    Clear,
    /// Caret to the left.
    CaretLeft,
    /// Caret to the right.
    CaretRight,
    /// Caret to the start.
    CaretStart,
    /// Caret to the end.
    CaretEnd,
    /// Yes to the question.
    Yes,
    /// Send the same once more.
    Again,
    /// Ask what it would change, before it is done.
    Try,
    /// Connect once more.
    Reconnect,
    /// What the check showed.
    Show(Showed),
    /// The next answer is not quite sure, or sure again.
    NotSure,
    /// Something of the work.
    Do(Verb),
}

/// Which keys.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Press {
    /// One key.
    Key(KeyCode),
    /// A key with Ctrl.
    Ctrl(char),
    /// Any letter, digit or sign.
    Any,
    /// Any digit.
    Digit,
    /// The digits from 1.
    Number,
}

/// One line of a layer's list.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Binding {
    /// Which keys.
    pub press: Press,
    /// What they do.
    pub act: Act,
    /// What the foot line and the help say.
    pub label: &'static str,
    /// Whether the foot line shows it.
    pub foot: bool,
}

impl Binding {
    /// A key that the foot line shows.
    pub fn new(press: Press, act: Act, label: &'static str) -> Self {
        Self { press, act, label, foot: true }
    }

    /// A key that only the help shows.
    pub fn quiet(press: Press, act: Act, label: &'static str) -> Self {
        Self { foot: false, ..Self::new(press, act, label) }
    }

    /// A named key.
    pub fn key(code: KeyCode, act: Act, label: &'static str) -> Self {
        Self::new(Press::Key(code), act, label)
    }

    /// The verb's own key.
    pub fn verb(verb: Verb) -> Self {
        Self::new(Press::Key(KeyCode::Char(verb.key())), Act::Do(verb), verb.label())
    }

    /// How the key is called.
    pub fn name(&self) -> String {
        match self.press {
            Press::Key(code) => code_name(code),
            Press::Ctrl(c) => format!("Ctrl-{}", c.to_ascii_uppercase()),
            Press::Any => "letters".to_owned(),
            Press::Digit => "digits".to_owned(),
            Press::Number => "1-9".to_owned(),
        }
    }

    fn fits(&self, key: KeyEvent) -> bool {
        let ctrl = key.modifiers.contains(KeyModifiers::CONTROL);
        let alt = key.modifiers.contains(KeyModifiers::ALT);
        match (self.press, key.code) {
            (Press::Ctrl(c), KeyCode::Char(pressed)) => ctrl && pressed.eq_ignore_ascii_case(&c),
            (Press::Key(KeyCode::Char(c)), KeyCode::Char(pressed)) => !ctrl && !alt && pressed == c,
            (Press::Key(code), pressed) => code == pressed && !matches!(pressed, KeyCode::Char(_)),
            // Some keyboards reach their third level with Ctrl and Alt together.
            (Press::Any, KeyCode::Char(pressed)) => ctrl == alt && !pressed.is_control(),
            (Press::Digit, KeyCode::Char(pressed)) => !ctrl && !alt && pressed.is_ascii_digit(),
            (Press::Number, KeyCode::Char(pressed)) => !ctrl && !alt && ('1'..='9').contains(&pressed),
            _ => false,
        }
    }
}

fn code_name(code: KeyCode) -> String {
    let name = match code {
        KeyCode::Char(' ') => "Space",
        KeyCode::Char(c) => return c.to_string(),
        KeyCode::Enter => "Enter",
        KeyCode::Esc => "Esc",
        KeyCode::Tab => "Tab",
        KeyCode::BackTab => "Shift-Tab",
        KeyCode::Up => "Up",
        KeyCode::Down => "Down",
        KeyCode::Left => "Left",
        KeyCode::Right => "Right",
        KeyCode::PageUp => "PgUp",
        KeyCode::PageDown => "PgDn",
        KeyCode::Home => "Home",
        KeyCode::End => "End",
        KeyCode::Backspace => "Backspace",
        KeyCode::Delete => "Del",
        KeyCode::F(n) => return format!("F{n}"),
        _ => "?",
    };
    name.to_owned()
}

/// What a key does in this list. The first line that fits counts.
pub fn act_of(list: &[Binding], key: KeyEvent) -> Option<Act> {
    if key.kind == KeyEventKind::Release {
        return None;
    }
    list.iter().find(|binding| binding.fits(key)).map(|binding| binding.act)
}

/// Up and down, by line and page.
pub fn moving() -> Vec<Binding> {
    vec![
        Binding::quiet(Press::Key(KeyCode::Up), Act::Up, "one line up"),
        Binding::quiet(Press::Key(KeyCode::Down), Act::Down, "one line down"),
        Binding::quiet(Press::Key(KeyCode::PageUp), Act::PageUp, "a page up"),
        Binding::quiet(Press::Key(KeyCode::PageDown), Act::PageDown, "a page down"),
    ]
}

/// What was chosen has left the list: chooses what stands in its place.
pub fn choose_again() -> Binding {
    Binding::key(KeyCode::Enter, Act::Enter, "choose again: what you had chosen has gone")
}

/// Keys of every layer that takes no letters: back and help.
pub fn leaving() -> Vec<Binding> {
    vec![Binding::key(KeyCode::Esc, Act::Back, "back"), Binding::key(KeyCode::Char('?'), Act::Help, "help")]
}

/// Keys of every home layer.
pub fn home_ends() -> Vec<Binding> {
    vec![
        Binding::key(KeyCode::Char('?'), Act::Help, "help"),
        Binding::key(KeyCode::Char('q'), Act::Quit, "quit"),
    ]
}

/// Keys that edit one line of text.
pub fn editing() -> Vec<Binding> {
    vec![
        Binding::quiet(Press::Any, Act::Type, "goes into the field"),
        Binding::quiet(Press::Key(KeyCode::Backspace), Act::Erase, "erase to the left"),
        Binding::quiet(Press::Key(KeyCode::Delete), Act::Delete, "erase to the right"),
        Binding::quiet(Press::Ctrl('u'), Act::Clear, "empty the field"),
        Binding::quiet(Press::Key(KeyCode::Left), Act::CaretLeft, "caret to the left"),
        Binding::quiet(Press::Key(KeyCode::Right), Act::CaretRight, "caret to the right"),
        Binding::quiet(Press::Key(KeyCode::Home), Act::CaretStart, "caret to the start"),
        Binding::quiet(Press::Key(KeyCode::End), Act::CaretEnd, "caret to the end"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn press(code: KeyCode, modifiers: KeyModifiers) -> KeyEvent {
        KeyEvent::new(code, modifiers)
    }

    #[test]
    fn only_what_is_listed_does_something() {
        let list = [Binding::verb(Verb::HandIn), Binding::new(Press::Ctrl('s'), Act::SendNow, "send")];
        let of = |code, modifiers| act_of(&list, press(code, modifiers));
        assert_eq!(of(KeyCode::Char(Verb::HandIn.key()), KeyModifiers::NONE), Some(Act::Do(Verb::HandIn)));
        assert_eq!(of(KeyCode::Char(Verb::HandIn.key()), KeyModifiers::CONTROL), None);
        assert_eq!(of(KeyCode::Char('s'), KeyModifiers::CONTROL), Some(Act::SendNow));
        assert_eq!(of(KeyCode::Char('s'), KeyModifiers::NONE), None);
        assert_eq!(of(KeyCode::Enter, KeyModifiers::NONE), None);
    }

    #[test]
    fn third_level_letters_are_typed_and_releases_are_not() {
        let list = editing();
        let altgr = press(KeyCode::Char('@'), KeyModifiers::CONTROL | KeyModifiers::ALT);
        assert_eq!(act_of(&list, altgr), Some(Act::Type));
        assert_eq!(act_of(&list, press(KeyCode::Char('x'), KeyModifiers::CONTROL)), None);
        let mut release = press(KeyCode::Char('x'), KeyModifiers::NONE);
        release.kind = KeyEventKind::Release;
        assert_eq!(act_of(&list, release), None);
    }
}
