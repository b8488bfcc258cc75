//! What cannot be read in a field, and where it stands.

use std::fmt;

/// A field that cannot be read. Nothing else is refused for it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Slip {
    /// Its dotted name below `[shot]`.
    pub key: String,
    /// Line and column, 1 for the first.
    pub place: (usize, usize),
    /// What stands there, without quotes.
    pub text: String,
    /// What is wrong, and how to write it.
    pub what: String,
}

impl fmt::Display for Slip {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (line, column) = self.place;
        write!(f, "line {line}, column {column}: {}: {}", self.key, self.what)
    }
}

/// Where the lines of a text begin.
pub(in crate::notes) struct Lines<'t> {
    text: &'t str,
    starts: Vec<usize>,
}

impl<'t> Lines<'t> {
    pub(in crate::notes) fn of(text: &'t str) -> Self {
        let starts = std::iter::once(0).chain(text.match_indices('\n').map(|(at, _)| at + 1)).collect();
        Self { text, starts }
    }

    /// Line and column of a byte.
    pub(in crate::notes) fn place(&self, at: usize) -> (usize, usize) {
        let line = self.starts.partition_point(|start| *start <= at);
        let start = self.starts[line - 1];
        let before = self.text.get(start..at).or(self.text.get(start..)).unwrap_or_default();
        (line, before.chars().count() + 1)
    }
}
