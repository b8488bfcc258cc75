//! Contrast grades: twelve steps.

use std::fmt;
use std::str::FromStr;

/// One of the twelve contrast steps, 00 the softest, 5 the hardest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Grade(usize);

/// The set of filters that enlargers carry.
const NAMES: [&str; 12] = ["00", "0", "1/2", "1", "1 1/2", "2", "2 1/2", "3", "3 1/2", "4", "4 1/2", "5"];

/// A name that is none of the twelve.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no grade: use one of 00, 0, 1/2, 1, 1 1/2, 2, 2 1/2, 3, 3 1/2, 4, 4 1/2, 5 (or 2.5 for 2 1/2)")]
pub struct UnknownGrade(String);

impl Grade {
    /// All twelve, softest first.
    pub fn all() -> impl DoubleEndedIterator<Item = Self> {
        (0..NAMES.len()).map(Self)
    }

    /// Its place among them, 0 for the softest.
    pub(super) const fn step(self) -> usize {
        self.0
    }

    /// Whether it is a half grade.
    pub(super) fn is_half(self) -> bool {
        NAMES[self.0].ends_with("1/2")
    }

    /// 2, the middle one by name, in which straight proofs are made (common practice).
    pub const NORMAL: Self = Self(5);
    /// 00.
    pub const SOFTEST: Self = Self(0);
    /// 5.
    pub const HARDEST: Self = Self(NAMES.len() - 1);
}

impl fmt::Display for Grade {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(NAMES[self.0])
    }
}

impl FromStr for Grade {
    type Err = UnknownGrade;

    /// Reads a name as printed, or with a decimal half: `2.5`, `0.5`.
    fn from_str(name: &str) -> Result<Self, UnknownGrade> {
        let plain = match name.trim() {
            "0.5" | ".5" => "1/2".to_owned(),
            "\u{bd}" => "1/2".to_owned(),
            other => match other.strip_suffix(".5").or(other.strip_suffix('\u{bd}')) {
                Some(whole) => format!("{} 1/2", whole.trim_end()),
                None => other.to_owned(),
            },
        };
        NAMES.iter().position(|n| *n == plain).map(Self).ok_or_else(|| UnknownGrade(name.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_people_write_them() {
        for grade in Grade::all() {
            assert_eq!(grade.to_string().parse::<Grade>().unwrap(), grade);
        }
        assert_eq!("2.5".parse::<Grade>().unwrap().to_string(), "2 1/2");
        assert_eq!("2\u{bd}".parse::<Grade>().unwrap().to_string(), "2 1/2");
        assert_eq!(".5".parse::<Grade>().unwrap().to_string(), "1/2");
        assert!("6".parse::<Grade>().unwrap_err().to_string().contains("4 1/2, 5"));
    }
}
