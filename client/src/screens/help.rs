//! The help of a layer: its own list of keys, each with what it does.

use super::keys::{Act, Binding};
use super::layer::{self, Layer, Reader, Sheet};
use super::state::{Role, State, Task};
use super::text::{capital, pad};

/// Columns of the names of keys.
const KEYS: usize = 11;

/// Puts the help of the topmost layer over it.
pub fn open(state: &mut State) -> Vec<Task> {
    let lines = lines(state);
    state.sheets.push(Sheet::new(Layer::Help(Reader { title: "Keys".to_owned(), lines, from: 0 })));
    Vec::new()
}

fn lines(state: &State) -> Vec<String> {
    let mut lines = vec![about(state).to_owned(), String::new()];
    let bindings = layer::bindings(state);
    let mut seen: Vec<Act> = Vec::new();
    for binding in &bindings {
        if !seen.contains(&binding.act) {
            seen.push(binding.act);
            lines.push(line(&bindings, binding));
        }
    }
    lines
}

/// All keys that do the same stand on one line.
fn line(bindings: &[Binding], first: &Binding) -> String {
    let same = bindings.iter().filter(|binding| binding.act == first.act);
    let names: Vec<String> = same.map(Binding::name).collect();
    let says = match first.act {
        Act::Do(verb) => verb.help().to_owned(),
        _ => capital(first.label),
    };
    format!("{} {says}", pad(&names.join(" "), KEYS))
}

fn about(state: &State) -> &'static str {
    match (state.top().map(|sheet| &sheet.layer), state.role) {
        (Some(Layer::Form(_)), _) => "Fill in line by line. Enter goes on; on the last line it sends.",
        (Some(Layer::Proof(_)), _) => {
            "Type the reading, or p for pass and f for fail; Enter records that one check."
        }
        (Some(Layer::Job(_)), _) => "One item and what may be done with it.",
        (Some(_), _) => "Keys that count here.",
        (None, Role::Strip) => "What this strip handed in and when it is back. Times are the hall's clock.",
        (None, Role::Counter) => "What comes in and goes out at the counter. Scan a tag at any time.",
        (None, Role::Bench) => "Your bench: the job in hand, or what to take next.",
        (None, Role::Head) => "The whole room. Tab goes from one list to the next.",
    }
}
