//! What is shown of every way in which a kind of item fails, during all that is tried on it, while the fault is stirred
//! and while it happens not to be. It follows from the circuit alone, so that it is worked out when it is first asked
//! for and then kept.

use std::borrow::Cow;
use std::sync::OnceLock;

use super::action::Action;
use super::fault::{SOUND, Way, fault_modes_of};
use super::lamps::Lamps;
use super::states::{Item, states};
use super::table::Measured;
use super::tried::tried;
use crate::gear::{ItemKind, Weapon};

/// What one way shows during one action.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Shown {
    /// The apparatus, stirred and calm.
    pub(crate) apparatus: [Lamps; 2],
    /// Lamp and meter on the bench, stirred and calm; the usual place first.
    pub(crate) bench: [Vec<Measured>; 2],
}

impl Shown {
    pub(super) fn of(item: &mut Item, way: &Way, action: Action) -> Self {
        let all = states(&[way], &[action]);
        Self {
            apparatus: [&all, &all[..1]].map(|states| item.apparatus(states, action)),
            bench: [&all, &all[..1]].map(|states| item.measured(states, action)),
        }
    }
}

/// Every way with what it shows, action by action.
type Kept = Vec<(&'static Way, Vec<(Action, Shown)>)>;

static KEPT: [[OnceLock<Kept>; Weapon::ALL.len()]; ItemKind::ALL.len()] =
    [const { [const { OnceLock::new() }; Weapon::ALL.len()] }; ItemKind::ALL.len()];

fn all(kind: ItemKind, weapon: Weapon) -> Kept {
    let mut item = Item::new(kind, weapon);
    let actions = tried(kind, weapon);
    let mut of = |way: &'static Way| {
        let shown = |action: &Action| (*action, Shown::of(&mut item, way, *action));
        (way, actions.iter().map(shown).collect())
    };
    let ways =
        fault_modes_of(kind).filter(|fault| fault.is_electrical()).flat_map(|fault| fault.ways(weapon));
    std::iter::once(&SOUND).chain(ways).map(&mut of).collect()
}

/// What a way shows during an action.
pub(crate) fn shown(kind: ItemKind, weapon: Weapon, way: &Way, action: Action) -> Cow<'static, Shown> {
    let kept = KEPT[kind as usize][weapon as usize].get_or_init(|| all(kind, weapon));
    let of_way = kept.iter().find(|(known, _)| *known == way).map(|(_, of_way)| of_way);
    let known = of_way.and_then(|of_way| of_way.iter().find(|(known, _)| *known == action));
    match known {
        Some((_, shown)) => Cow::Borrowed(shown),
        // Another kind's fault, or what is not tried on this one.
        None => Cow::Owned(Shown::of(&mut Item::new(kind, weapon), way, action)),
    }
}
