//! Choosing a grade for a range.

use super::grade::Grade;
use super::table::{GradeTable, PERMITTED};
use crate::light::Density;

/// How a range suits a table of grades.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fit {
    /// A grade holds it.
    Holds(Grade),
    /// It is longer than the softest grade holds.
    Longer(Grade),
    /// It is shorter than the hardest grade needs.
    Shorter(Grade),
}

impl Fit {
    /// The hardest grade whose R still holds the net density range `range`, so that both ends print.
    ///
    /// ISO 6846, introduction: a very good print results where the paper's log exposure range equals the negative's
    /// effective density range. Between two grades the softer is taken, unless the harder one reaches within 3 %; a
    /// range of exactly 1.03 R is still held. Ranges of grades fall, so no two hold it equally well.
    pub fn choose(table: &GradeTable, range: Density) -> Self {
        let too_short = 100.0 * range.value() * PERMITTED < table.r(Grade::HARDEST);
        match Grade::all().rev().find(|grade| table.holds(*grade, range)) {
            Some(Grade::HARDEST) if too_short => Self::Shorter(Grade::HARDEST),
            Some(grade) => Self::Holds(grade),
            None => Self::Longer(Grade::SOFTEST),
        }
    }

    /// The grade, the nearest where none holds the range.
    pub fn grade(self) -> Grade {
        match self {
            Self::Holds(grade) | Self::Longer(grade) | Self::Shorter(grade) => grade,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::shelf;

    fn bands() -> &'static GradeTable {
        shelf::table("bands").unwrap()
    }

    fn fit(range: f64) -> Fit {
        Fit::choose(bands(), Density::new(range))
    }

    fn holds(name: &str) -> Fit {
        Fit::Holds(name.parse().unwrap())
    }

    /// ISO 6846, introduction: paper range and negative range are to be equal; a grade's own R therefore finds it.
    #[test]
    fn a_range_gets_the_hardest_grade_that_holds_it() {
        for grade in Grade::all() {
            assert_eq!(fit(bands().r(grade) / 100.0), Fit::Holds(grade));
        }
        assert_eq!(fit(1.18), holds("1 1/2"), "116.25 reaches 118 within 3 %");
        assert_eq!(fit(1.21), holds("1"), "and 121 not any more");
        assert_eq!(fit(1.05 * PERMITTED), holds("2"), "the limit itself is held");
    }

    #[test]
    fn a_range_that_no_grade_holds_is_said() {
        assert_eq!(fit(2.1), Fit::Longer(Grade::SOFTEST));
        assert_eq!(fit(0.3), Fit::Shorter(Grade::HARDEST));
    }
}
