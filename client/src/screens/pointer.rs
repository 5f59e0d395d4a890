//! Which line of a list keys act on. It stays with what was chosen however the list moves. When what was chosen leaves
//! the list, nothing is chosen any more, so that no key acts on something that nobody has looked at.

/// The chosen line of a list whose lines come and go.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Pointer<K> {
    /// What keys act on.
    pub at: Option<K>,
    /// Its place in the list; when it has gone, the place of what stood below it.
    pub row: usize,
    /// What was chosen has left the list, and nothing was chosen since.
    pub gone: bool,
    /// A person has moved it or chosen with it.
    pub moved: bool,
    /// Ticks since what was chosen has left, or has ceased to be the first although nobody chose it.
    ticks: u8,
}

/// Ticks of a second after which a person has seen that a list has changed. Ours.
const SEEN: u8 = 2;

impl<K> Default for Pointer<K> {
    fn default() -> Self {
        Self { at: None, row: 0, gone: false, moved: false, ticks: 0 }
    }
}

impl<K: Copy + PartialEq> Pointer<K> {
    /// The list has these lines now. The first is chosen as long as nobody could choose.
    pub fn settle(&mut self, rows: &[K]) {
        let place = self.at.and_then(|at| rows.iter().position(|row| *row == at));
        if let Some(place) = place {
            self.row = place;
        } else if self.at.is_some() || self.gone {
            (self.at, self.row, self.gone) = (None, self.row.min(rows.len()), true);
        } else {
            *self = Self { at: rows.first().copied(), ..Self::default() };
        }
    }

    /// So many lines down, or up. After something has gone, one down is what has taken its place.
    pub fn step(&mut self, by: isize, rows: &[K]) {
        let by = if self.gone && by > 0 { by - 1 } else { by };
        self.row = self.row.saturating_add_signed(by);
        self.choose(rows);
    }

    /// Chooses the line at its place, or the last.
    pub fn choose(&mut self, rows: &[K]) {
        self.row = self.row.min(rows.len().saturating_sub(1));
        self.at = rows.get(self.row).copied();
        self.gone &= self.at.is_none();
        (self.moved, self.ticks) = (true, 0);
    }

    /// The line that must be seen: what is chosen, or what lies where that was.
    pub fn near(&self, rows: &[K]) -> Option<K> {
        self.at.or_else(|| rows.get(self.row).or(rows.last()).copied())
    }

    /// Forgets what was chosen: what comes next is the first.
    pub fn rest(&mut self) {
        *self = Self::default();
    }

    /// A second has passed. Whether a person has seen by now that the list has changed: that what was chosen has gone, or
    /// that another line stands first while nobody has chosen.
    pub fn tick(&mut self, rows: &[K]) -> bool {
        let passed_over = !self.moved && self.at != rows.first().copied();
        self.ticks = if self.gone || passed_over { self.ticks.saturating_add(1) } else { 0 };
        self.ticks >= SEEN
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A list of letters, the chosen one in upper case; `-` stands where something has gone.
    fn shown(pointer: &Pointer<char>, rows: &[char]) -> String {
        let mut text: Vec<String> = rows.iter().map(char::to_string).collect();
        if pointer.gone {
            text.insert(pointer.row, "-".to_owned());
        } else if pointer.at.is_some() {
            text[pointer.row] = text[pointer.row].to_uppercase();
        }
        text.concat()
    }

    #[test]
    fn what_is_chosen_stays_chosen_and_what_goes_leaves_nothing_chosen() {
        let mut pointer = Pointer::default();
        for (rows, by, expected) in [
            ("", 0, ""),
            ("abcd", 0, "Abcd"),
            ("abcd", 2, "abCd"),
            ("xcabd", 0, "xCabd"),
            ("xabd", 0, "x-abd"),
            ("xabde", 0, "x-abde"),
            ("xabde", 1, "xAbde"),
            ("xbde", 0, "x-bde"),
            ("xbde", -1, "Xbde"),
            ("xbde", 10, "xbdE"),
            ("xbd", 0, "xbd-"),
            ("xbd", -1, "xbD"),
            ("", 0, "-"),
            ("", 1, "-"),
            ("a", 0, "-a"),
            ("a", 1, "A"),
        ] {
            let rows: Vec<char> = rows.chars().collect();
            if by == 0 {
                pointer.settle(&rows);
            } else {
                pointer.step(by, &rows);
            }
            assert_eq!(shown(&pointer, &rows), expected, "{rows:?} {by}");
        }
    }

    #[test]
    fn what_lies_where_something_was_is_near() {
        let gone = |row| Pointer { row, gone: true, ..Pointer::default() };
        assert_eq!(gone(1).near(&['a', 'b']), Some('b'));
        assert_eq!(gone(2).near(&['a', 'b']), Some('b'));
        assert_eq!(gone(0).near(&[]), None);
    }
}
