//! Contrast grades: twelve steps, and the table that gives each its exposure range.

use std::fmt;
use std::str::FromStr;

use crate::light::Density;

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

/// ISO 6846, 6.2 (quoted): the error permitted in R is 3 %. A grade is taken to hold a range to within it.
pub(super) const PERMITTED: f64 = 1.03;

/// What each grade's ISO range R is. ISO 6846 gives R no grade numbers, so a grade means nothing without its table.
#[derive(Clone, Debug, PartialEq)]
pub struct GradeTable {
    name: &'static str,
    r: [f64; 12],
}

impl GradeTable {
    /// The default: middles of the log exposure range bands of ANSI PH2.2-1966 (quoted in the Focal Encyclopedia of
    /// Photography; ends read, inner edges quoted): 0 1.55, 1 1.275, 2 1.05, 3 0.875, 4 0.725, 5 0.575.
    /// Half grades are published nowhere: mean of the neighbours. The bands have no 00: R 180, as one maker's data
    /// sheet of a variable-contrast paper has it (quoted).
    pub const fn band_middles() -> Self {
        Self {
            name: "ANSI PH2.2-1966 band middles",
            r: [180.0, 155.0, 141.25, 127.5, 116.25, 105.0, 96.25, 87.5, 80.0, 72.5, 65.0, 57.5],
        }
    }

    /// The table's name, to be printed wherever one of its grades is.
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// ISO range R of a grade.
    pub fn r(&self, grade: Grade) -> f64 {
        self.r[grade.0]
    }

    /// Whether a grade holds a net density range, to within the permitted error.
    pub fn holds(&self, grade: Grade, range: Density) -> bool {
        self.r(grade) * PERMITTED >= 100.0 * range.value()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ANSI PH2.2-1966 bands (quoted): each whole grade lies inside its band, halves between their neighbours.
    #[test]
    fn whole_grades_lie_in_their_bands() {
        let table = GradeTable::band_middles();
        let bands = [
            ("0", 1.40, 1.70),
            ("1", 1.15, 1.40),
            ("2", 0.95, 1.15),
            ("3", 0.80, 0.95),
            ("4", 0.65, 0.80),
            ("5", 0.50, 0.65),
        ];
        for (name, low, high) in bands {
            let ler = table.r(name.parse().unwrap()) / 100.0;
            assert!((ler - (low + high) / 2.0).abs() < 1e-9, "grade {name}");
        }
        let all: Vec<f64> = Grade::all().map(|g| table.r(g)).collect();
        assert!(all.windows(2).all(|pair| pair[0] > pair[1]), "harder grades have shorter ranges");
        for half in [2, 4, 6, 8, 10] {
            assert!((all[half] - (all[half - 1] + all[half + 1]) / 2.0).abs() < 1e-9);
        }
    }

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
