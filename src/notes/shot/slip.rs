//! What cannot be read in a field, and where it stands.

use std::fmt;

/// A field that cannot be read. Nothing else is refused for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// Its dotted name below `[shot]`.
    pub key: String,
    /// Line and column, 1 for the first.
    pub place: (usize, usize),
    /// What is wrong, and how to write it.
    pub what: String,
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = self.place;
        write!(f, "line {line}, column {column}: {}: {}", self.key, self.what)
    }
}

/// Line and column of a byte of a text.
pub(in crate::notes) fn place(text: &str, at: usize) -> (usize, usize) {
    let before = text.get(..at).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |i| i + 1);
    (before.matches('\n').count() + 1, before[line_start..].chars().count() + 1)
}
