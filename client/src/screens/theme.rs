//! How things look. Colour only repeats what words and marks say already, and is left out with `NO_COLOR`.

use ratatui::style::{Color, Modifier, Style};

/// The look of a screen.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Theme {
    /// Whether colours may be used.
    pub colour: bool,
}

impl Theme {
    fn ink(self, colour: Color) -> Style {
        if self.colour { Style::new().fg(colour) } else { Style::new() }
    }

    /// Titles.
    pub fn strong(self) -> Style {
        Style::new().add_modifier(Modifier::BOLD)
    }

    /// What can wait.
    pub fn quiet(self) -> Style {
        Style::new().add_modifier(Modifier::DIM)
    }

    /// The row or field that keys act on.
    pub fn chosen(self) -> Style {
        Style::new().add_modifier(Modifier::REVERSED)
    }

    /// Late, refused, dangerous.
    pub fn alarm(self) -> Style {
        self.ink(Color::Red).add_modifier(Modifier::BOLD)
    }

    /// Needs somebody soon.
    pub fn heed(self) -> Style {
        self.ink(Color::Yellow).add_modifier(Modifier::BOLD)
    }

    /// Done, ready.
    pub fn good(self) -> Style {
        self.ink(Color::Green)
    }

    /// Names of keys.
    pub fn key(self) -> Style {
        self.ink(Color::Cyan).add_modifier(Modifier::BOLD)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_colour_no_style_has_one() {
        let plain = Theme { colour: false };
        for style in [
            plain.strong(),
            plain.quiet(),
            plain.chosen(),
            plain.alarm(),
            plain.heed(),
            plain.good(),
            plain.key(),
        ] {
            assert_eq!((style.fg, style.bg), (None, None));
        }
        assert_eq!(Theme { colour: true }.alarm().fg, Some(Color::Red));
    }
}
