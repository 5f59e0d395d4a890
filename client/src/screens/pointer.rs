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
}

impl<K> Default for Pointer<K> {
    fn default() -> Self {
        Self { at: None, row: 0, gone: false }
    }
}

impl<K: Copy + PartialEq> Pointer<K> {
    /// The list has these lines now. The first is chosen as long as nobody could choose.
    pub fn settle(&mut self, rows: &[K]) {
        let place = self.at.and_then(|at| rows.iter().position(|row| *row == at));
        if let Some(place) = place {
            self.row = place;
        } else if self.at.is_some() || self.gone {
            *self = Self { at: None, row: self.row.min(rows.len()), gone: true };
        } else {
            *self = Self { at: rows.first().copied(), row: 0, gone: false };
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
    }

    /// The line that must be seen: what is chosen, or what lies where that was.
    pub fn near(&self, rows: &[K]) -> Option<K> {
        self.at.or_else(|| rows.get(self.row).or(rows.last()).copied())
    }

    /// An empty list was seen: what comes next is the first of a new one.
    pub fn rest(&mut self) {
        *self = Self::default();
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
        let gone = |row| Pointer { at: None, row, gone: true };
        assert_eq!(gone(1).near(&['a', 'b']), Some('b'));
        assert_eq!(gone(2).near(&['a', 'b']), Some('b'));
        assert_eq!(gone(0).near(&[]), None);
    }
}
