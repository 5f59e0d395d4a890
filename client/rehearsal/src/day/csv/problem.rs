//! What is wrong with a line of a recorded log.

use std::fmt;

use serde::Serialize;

macro_rules! columns {
    ($($(#[$doc:meta])* $name:ident = $code:literal;)*) => {
        /// A column of the log, or the part of the file that a problem lies in.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Column { $($(#[$doc])* $name,)* /// The line as a whole.
            Line, /// The line that names the columns.
            Header, /// The file as a whole.
            File }

        impl Column {
            /// The columns of the log, in the order in which they are written.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// What the first line calls it.
            pub fn code(self) -> &'static str {
                match self { $(Self::$name => $code,)* Self::Line => "line", Self::Header => "first line", Self::File => "file" }
            }
        }
    };
}

columns! {
    /// When it was handed in: local time, ISO 8601.
    At = "at";
    /// The strip, by name or number, or `counter`.
    Strip = "strip";
    /// The fencer; may be empty.
    Fencer = "fencer";
    /// `foil`, `epee`, `sabre` or `none`.
    Weapon = "weapon";
    /// What it is.
    Item = "item";
    /// What the strip saw.
    Complaint = "complaint";
    /// What the fencer still had working of that kind.
    Need = "need";
    /// When it was wanted; may be empty.
    WantedBy = "wanted_by";
    /// Hands-on minutes that the repair took; may be empty.
    Minutes = "minutes";
}

/// One thing that is wrong. Nothing of a file with such a thing is played.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct LineProblem {
    /// The line, from 1, as an editor counts them.
    pub line: usize,
    /// The column.
    pub column: Column,
    /// Why it is refused, and what to do about it.
    pub why: String,
}

impl fmt::Display for LineProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.column {
            Column::File => f.write_str(&self.why),
            Column::Line => write!(f, "line {}: {}", self.line, self.why),
            column => write!(f, "line {}, {}: {}", self.line, column.code(), self.why),
        }
    }
}
