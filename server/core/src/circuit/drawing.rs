//! The circuit of one side as an SVG drawing, with what a fault changes marked by colour and by a word.

use super::fault::{Change, Way};
use super::layout::{self, COLUMNS, HEIGHT, WIDTH};
use super::parts::{Line, Part, Spot};
use super::wiring::{self, Joined};
use crate::gear::Weapon;

const INK: &str = "#1a1a1a";
const FAINT: &str = "#6b6b6b";
const BAND: &str = "#f1f3f5";
const FAULT: &str = "#c0182b";

/// A place in the drawing.
type Point = (i32, i32);

/// A line that is drawn over the sound circuit, with its word.
struct Mark {
    from: Point,
    to: Point,
    word: &'static str,
    what: String,
    shape: Shape,
    comes_and_goes: bool,
}

/// How a mark is drawn.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Shape {
    /// Along the part.
    Along,
    /// Along the part, with a cross in its middle.
    Broken,
    /// A bow beside the lines that it passes, from one place to another.
    Bow,
}

/// Draws the circuit of a weapon from box to point with the changes of a way marked; `title` stands above it.
pub fn svg(weapon: Weapon, title: &str, way: &Way) -> String {
    let marks = marks(weapon, way);
    let mut svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" width=\"{WIDTH}\" \
         height=\"{HEIGHT}\" font-family=\"sans-serif\" font-size=\"13\" role=\"img\">\n<title>{}</title>\n\
         <rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"white\"/>\n",
        escape(title)
    );
    svg.push_str(&text((30, 32), "start", INK, 17, title));
    columns(&mut svg, weapon);
    for joined in parts(weapon) {
        sound_part(&mut svg, weapon, joined, way);
    }
    names(&mut svg, weapon);
    let mut written = Vec::new();
    for mark in &marks {
        marked(&mut svg, mark, &mut written);
    }
    legend(&mut svg, &marks);
    svg.push_str("</svg>\n");
    svg
}

fn parts(weapon: Weapon) -> Vec<Joined> {
    let mut parts = wiring::side(weapon);
    parts.extend(wiring::PISTE);
    parts
}

/// Text made safe for XML; control characters, which XML forbids, become spaces.
pub fn escape(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

fn text((x, y): Point, anchor: &str, colour: &str, size: i32, words: &str) -> String {
    format!(
        "<text x=\"{x}\" y=\"{y}\" text-anchor=\"{anchor}\" fill=\"{colour}\" font-size=\"{size}\">{}</text>\n",
        escape(words)
    )
}

fn stroke(from: Point, to: Point, colour: &str, width: i32, dashes: bool) -> String {
    let dashes = if dashes { " stroke-dasharray=\"5 5\"" } else { "" };
    format!(
        "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" stroke=\"{colour}\" stroke-width=\"{width}\"{dashes}/>\n",
        from.0, from.1, to.0, to.1
    )
}

fn rect(x: i32, y: i32, width: i32, height: i32, colour: &str) -> String {
    format!("<rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" fill=\"{colour}\"/>\n")
}

fn dot(x: i32, y: i32, colour: &str) -> String {
    format!("<circle cx=\"{x}\" cy=\"{y}\" r=\"3\" fill=\"{colour}\"/>\n")
}

/// Shaded bands with what lies in them, and the letters of the lines.
fn columns(svg: &mut String, weapon: Weapon) {
    for (at, (name, left, right)) in COLUMNS.iter().enumerate() {
        if at % 2 == 0 {
            let width = right - left;
            svg.push_str(&rect(*left, 50, width, 405, BAND));
        }
        svg.push_str(&text(
            (i32::midpoint(*left, *right), 70),
            "middle",
            FAINT,
            13,
            layout::column(weapon, name),
        ));
    }
    for line in Line::ALL {
        let letter = line.letter().to_string();
        svg.push_str(&text((60, layout::line_y(line) + 5), "middle", INK, 16, &letter));
    }
    svg.push_str(&text((60, 435), "middle", INK, 13, "piste"));
}

/// A part as it is when sound. Insulation is dashed; a wire that ends at another pin is left to its mark.
fn sound_part(svg: &mut String, weapon: Weapon, (part, a, b): Joined, way: &Way) {
    let moved = way.changes().any(|change| match (change, part) {
        (Change::Exchange(one, two), Part::Cord(line)) => line == *one || line == *two,
        _ => false,
    });
    if moved {
        return;
    }
    let insulates = matches!(part, Part::Insulation(_) | Part::FoibleTape | Part::Cover);
    let (from, to) = (layout::place(weapon, a), layout::place(weapon, b));
    let colour = if insulates { FAINT } else { INK };
    svg.push_str(&stroke(from, to, colour, 2, insulates));
    for (x, y) in [from, to] {
        svg.push_str(&dot(x, y, colour));
    }
}

fn names(svg: &mut String, weapon: Weapon) {
    let mut spots: Vec<Spot> = parts(weapon).into_iter().flat_map(|(_, a, b)| [a, b]).collect();
    spots.sort_unstable();
    spots.dedup();
    for spot in spots {
        if let Some((name, right, down)) = layout::name(weapon, spot) {
            let (x, y) = layout::place(weapon, spot);
            svg.push_str(&text((x + right, y + down), "middle", FAINT, 13, name));
        }
    }
}

/// A marked line: thick, in colour, with its word beside it.
fn marked(svg: &mut String, mark: &Mark, written: &mut Vec<Point>) {
    let (from, to) = (mark.from, mark.to);
    let (x, y) = (i32::midpoint(from.0, to.0), i32::midpoint(from.1, to.1));
    match mark.shape {
        Shape::Bow => svg.push_str(&bow(from, to)),
        Shape::Along => svg.push_str(&stroke(from, to, FAULT, 5, false)),
        Shape::Broken => {
            svg.push_str(&stroke(from, to, FAULT, 5, true));
            svg.push_str(&stroke((x - 8, y - 8), (x + 8, y + 8), FAULT, 4, false));
            svg.push_str(&stroke((x - 8, y + 8), (x + 8, y - 8), FAULT, 4, false));
        }
    }
    let (at, anchor) = if mark.shape == Shape::Bow {
        ((x + BOW / 2 + 8, y + 15), "start")
    } else if from.1 == to.1 {
        ((x, y - 28), "middle")
    } else if x > RIGHT {
        ((x - 22, y + 5), "end")
    } else {
        ((x + 22, y + 5), "start")
    };
    // Two wires that cross have one word between them.
    if !written.contains(&at) {
        svg.push_str(&text(at, anchor, FAULT, 14, mark.word));
        written.push(at);
    }
}

/// From here on a word stands to the left of its mark, so that it does not leave the picture.
const RIGHT: i32 = 950;
/// How far a bow leans out, in pixels.
const BOW: i32 = 70;

fn bow(from: Point, to: Point) -> String {
    let (x, y) = (from.0.max(to.0) + BOW, i32::midpoint(from.1, to.1));
    format!(
        "<path d=\"M {} {} Q {x} {y} {} {}\" fill=\"none\" stroke=\"{FAULT}\" stroke-width=\"5\"/>\n",
        from.0, from.1, to.0, to.1
    )
}

/// One line for each mark, in words.
fn legend(svg: &mut String, marks: &[Mark]) {
    let said = |mark: &Mark| {
        let comes = if mark.comes_and_goes { ", comes and goes" } else { "" };
        format!("FAULT: {}: {}{comes}", mark.what, mark.word)
    };
    let mut lines: Vec<String> = marks.iter().map(said).collect();
    lines.dedup();
    if lines.is_empty() {
        lines.push("Nothing is marked: the circuit is as in a sound item.".to_owned());
    }
    let colour = if marks.is_empty() { INK } else { FAULT };
    for (at, line) in lines.iter().take(3).enumerate() {
        svg.push_str(&text((30, 477 + 18 * at as i32), "start", colour, 14, line));
    }
}

fn marks(weapon: Weapon, way: &Way) -> Vec<Mark> {
    let always = way.always.iter().flat_map(|change| mark(weapon, change));
    let stirred = way.stirred.iter().flat_map(|change| mark(weapon, change));
    always.chain(stirred.map(|mark| Mark { comes_and_goes: true, ..mark })).collect()
}

fn mark(weapon: Weapon, change: &Change) -> Vec<Mark> {
    let on = |part: Part, word, shape| on_part(weapon, |candidate| candidate == part, word, shape);
    let tip =
        |word| on_part(weapon, |part| matches!(part, Part::TipSeat | Part::Contact(_)), word, Shape::Along);
    match change {
        Change::Open(part) => on(*part, "open", Shape::Broken),
        Change::Become(part @ (Part::Insulation(_) | Part::FoibleTape | Part::Cover), _) => {
            on(*part, "bare", Shape::Along)
        }
        Change::Become(part, _) => on(*part, "film of dirt", Shape::Along),
        Change::Add(part, _) => on(*part, "high resistance", Shape::Along),
        Change::Join(a, b) => vec![touching(weapon, *a, *b)],
        Change::Exchange(one, two) => exchanged(weapon, *one, *two),
        Change::ExchangeSides => {
            on_part(weapon, |part| matches!(part, Part::Floor(_)), "at the other side's input", Shape::Along)
        }
        Change::StuckUp => tip("stuck up"),
        Change::StuckDown => tip("stuck down"),
        Change::MassStays => tip("stays down under the mass"),
        Change::LightsEarly => tip("closes too early"),
    }
}

fn touching(weapon: Weapon, a: Spot, b: Spot) -> Mark {
    Mark {
        from: layout::place(weapon, a),
        to: layout::place(weapon, b),
        word: "touching",
        what: format!("{} and {}", layout::title(a), layout::title(b)),
        shape: Shape::Bow,
        comes_and_goes: false,
    }
}

fn exchanged(weapon: Weapon, one: Line, two: Line) -> Vec<Mark> {
    let wire = |from: Line, to: Line| Mark {
        from: layout::place(weapon, Spot::Rear(from)),
        to: layout::place(weapon, Spot::Front(to)),
        word: "exchanged",
        what: format!("wires {} and {} of the body cord", one.letter(), two.letter()),
        shape: Shape::Along,
        comes_and_goes: false,
    };
    vec![wire(one, two), wire(two, one)]
}

/// Marks on the parts that are meant; none when the weapon has none such.
fn on_part(weapon: Weapon, meant: impl Fn(Part) -> bool, word: &'static str, shape: Shape) -> Vec<Mark> {
    let parts = parts(weapon).into_iter().filter(|(part, ..)| meant(*part));
    parts
        .map(|(part, a, b)| Mark {
            from: layout::place(weapon, a),
            to: layout::place(weapon, b),
            word,
            what: part.title(),
            shape,
            comes_and_goes: false,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::circuit::fault::{SOUND, fault_modes};

    const WEAPONS: [Weapon; 3] = [Weapon::Foil, Weapon::Epee, Weapon::Sabre];

    /// Every `<` opens or closes something known, and every text is closed.
    fn is_well_formed(svg: &str) {
        let known = [
            "<svg ", "</svg>", "<rect ", "<line ", "<circle ", "<path ", "<text ", "</text>", "<title>",
            "</title>",
        ];
        for (at, _) in svg.match_indices('<') {
            assert!(known.iter().any(|tag| svg[at..].starts_with(tag)), "{}", &svg[at..at + 20]);
        }
        assert_eq!(svg.matches("<text ").count(), svg.matches("</text>").count());
    }

    #[test]
    fn a_sound_circuit_is_drawn_without_marks() {
        for weapon in WEAPONS {
            let svg = svg(weapon, "sound", &SOUND);
            is_well_formed(&svg);
            assert!(svg.contains("Nothing is marked") && !svg.contains(FAULT));
            for (name, ..) in COLUMNS {
                let name = layout::column(weapon, name);
                assert!(svg.contains(&format!(">{name}</text>")), "{name}");
            }
        }
    }

    /// Colour and word, for every way of every fault that changes the circuit.
    #[test]
    fn every_fault_is_marked_by_colour_and_word() {
        for fault in fault_modes().filter(|fault| fault.is_electrical()) {
            for (kind, weapon) in fault.kinds().map(|kind| (kind, crate::circuit::usual_weapon(kind))) {
                for way in fault.ways(weapon).into_iter().filter(|way| way.changes().next().is_some()) {
                    let svg = svg(weapon, fault.title(), way);
                    is_well_formed(&svg);
                    let marked = svg.contains(FAULT) && svg.contains(">FAULT: ");
                    assert!(marked, "{}#{} on {}", fault.id, way.code, kind.code());
                }
            }
        }
    }

    /// A spring that is broken is weak all the time, and open at times.
    #[test]
    fn what_comes_and_goes_is_told_from_what_stays() {
        let spring = crate::circuit::fault_mode("foil-weak-or-broken-pressure-spring").unwrap();
        let broken = spring.ways(Weapon::Foil).into_iter().find(|way| way.code == "broken").unwrap();
        let svg = svg(Weapon::Foil, spring.title(), broken);
        assert!(svg.contains(">FAULT: tip on screws and barrel: stays down under the mass</text>"));
        assert!(svg.contains(">FAULT: pressure spring: open, comes and goes</text>"));
    }

    #[test]
    fn foreign_text_is_made_safe() {
        let svg = svg(Weapon::Foil, "</title><script>&\"'\u{1b}", &SOUND);
        is_well_formed(&svg);
        assert!(svg.contains("&lt;/title&gt;&lt;script&gt;&amp;&quot;&#39; </title>"));
    }

    /// Nothing is drawn outside the picture.
    #[test]
    fn all_places_lie_within_the_picture() {
        for weapon in WEAPONS {
            for (_, a, b) in parts(weapon) {
                for (x, y) in [layout::place(weapon, a), layout::place(weapon, b)] {
                    assert!((30..WIDTH).contains(&x) && (90..HEIGHT - 60).contains(&y));
                }
            }
        }
    }
}
