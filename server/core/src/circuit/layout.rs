//! Where the drawing of a circuit puts each place, in pixels. The lines run from the box at the left to the point
//! at the right; A above, B in the middle, C below.

use super::parts::{Line, Spot};
use crate::gear::Weapon;

/// Width of a drawing.
pub const WIDTH: i32 = 1180;
/// Height of a drawing.
pub const HEIGHT: i32 = 520;

/// A column with its name: what is drawn in it.
pub const COLUMNS: [(&str, i32, i32); 7] = [
    ("box", 30, 105),
    ("floor cable", 105, 220),
    ("reel", 220, 340),
    ("body cord", 340, 530),
    ("socket, guard", 530, 710),
    ("blade", 710, 950),
    ("point", 950, 1150),
];

/// Where a line runs.
pub fn line_y(line: Line) -> i32 {
    match line {
        Line::A => 170,
        Line::B => 250,
        Line::C => 340,
    }
}

/// Where a place is drawn.
pub fn place(weapon: Weapon, spot: Spot) -> (i32, i32) {
    let (b, c) = (line_y(Line::B), line_y(Line::C));
    let tip = if weapon == Weapon::Epee { i32::midpoint(line_y(Line::A), b) } else { b };
    match spot {
        Spot::Box(line) => (90, line_y(line)),
        Spot::ReelIn(line) => (220, line_y(line)),
        Spot::ReelOut(line) => (340, line_y(line)),
        Spot::Rear(line) => (385, line_y(line)),
        Spot::Front(line) => (505, line_y(line)),
        Spot::Socket(line) => (560, line_y(line)),
        Spot::Tail(line) => (625, line_y(line)),
        Spot::Foot(line) => (710, line_y(line)),
        Spot::Mid(line) => (825, line_y(line)),
        Spot::GrooveFace(line) => (825, line_y(line) + 34),
        Spot::Cup(line) => (955, line_y(line)),
        Spot::Tip => (1045, tip),
        Spot::Crown => (1120, tip),
        Spot::Barrel | Spot::Edge => (1045, c),
        Spot::Blade => (825, c),
        Spot::Foible => (905, c + 45),
        Spot::Guard => (650, c),
        Spot::Cover => (650, c + 45),
        Spot::ClipStrip => (600, line_y(Line::A)),
        Spot::Cloth => (735, line_y(Line::A)),
        Spot::MaskClip => (600, 115),
        Spot::MaskFace => (735, 115),
        Spot::Cuff => (735, 210),
        Spot::BoxPiste => (90, 430),
        Spot::PisteEnd => (340, 430),
        Spot::Piste => (505, 430),
    }
}

/// The name that is written beside a place, where one is, and how far from it.
pub fn name(weapon: Weapon, spot: Spot) -> Option<(&'static str, i32, i32)> {
    let sabre = weapon == Weapon::Sabre;
    Some(match spot {
        Spot::Socket(Line::C) => ("socket", 0, 20),
        Spot::Foot(Line::B) => ("wire in the groove", 58, -10),
        Spot::Tip => ("tip", 0, -12),
        Spot::Crown => ("crown", 0, -12),
        Spot::Barrel => ("barrel", 0, 22),
        Spot::Blade => ("blade", 0, 22),
        Spot::Foible => ("tape", 24, 4),
        Spot::Edge => ("edge", 0, 22),
        Spot::Guard if sabre => ("guard", 0, -10),
        Spot::Guard => ("guard", 0, 20),
        Spot::Cover => ("outside of guard and pommel", 0, 20),
        Spot::ClipStrip => ("clip", 0, 20),
        Spot::Cloth => ("jacket", 34, 4),
        Spot::MaskFace => ("mask", 30, 4),
        Spot::Cuff => ("cuff", 26, 4),
        Spot::Piste => ("piste", 30, 4),
        _ => return None,
    })
}

/// The name of a column for a weapon: a sabre has no point, its blade goes on.
pub fn column(weapon: Weapon, name: &'static str) -> &'static str {
    if weapon == Weapon::Sabre && name == "point" { "edge of the blade" } else { name }
}

/// What a place is, in words: what two places that touch are called.
pub fn title(spot: Spot) -> String {
    let line = |name: &str, line: Line| format!("{name}, line {}", line.letter());
    match spot {
        Spot::Front(at) => line("plug", at),
        Spot::Tail(at) => line("tail of the wire", at),
        Spot::Mid(at) | Spot::Foot(at) => line("wire in the groove", at),
        Spot::Cup(at) => line("wire at the barrel", at),
        Spot::Barrel => "barrel".to_owned(),
        Spot::Blade => "blade".to_owned(),
        Spot::Guard => "guard".to_owned(),
        other => format!("{other:?}").to_lowercase(),
    }
}
