//! Choosing a grade for a range, and placing a negative on a paper's curve.

use super::curve::Curve;
use super::grade::{Grade, GradeTable, PERMITTED};
use crate::light::{Density, LogExposure, Stops};

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
    /// effective density range. Between two grades the softer is taken, unless the harder one reaches within 3 %.
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

/// A negative placed on a paper: which net density prints as which tone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Print<'p> {
    curve: Curve<'p>,
    open: LogExposure,
}

impl<'p> Print<'p> {
    /// Placed by the highlights: the dense end `dense` prints at T, the lightest tone still there; then `stops` more
    /// exposure (darker) or less.
    pub fn by_highlights(curve: Curve<'p>, dense: Density, stops: Stops) -> Self {
        let open = LogExposure::new(curve.t().value() + dense.value()) + stops;
        Self { curve, open }
    }

    /// Placed as it was before: film base receives the log exposure `open`.
    pub fn at(curve: Curve<'p>, open: LogExposure) -> Self {
        Self { curve, open }
    }

    /// A straight proof: film base prints as the paper's black (S), whatever the frame holds (common practice).
    pub fn straight(curve: Curve<'p>) -> Self {
        Self { curve, open: curve.s() }
    }

    /// x0: the log exposure that film base receives, on the paper curve's own scale.
    pub fn open(&self) -> LogExposure {
        self.open
    }

    /// The paper curve it is placed on.
    pub fn curve(&self) -> &Curve<'p> {
        &self.curve
    }

    /// The same with so many stops more exposure.
    pub fn burnt(self, stops: Stops) -> Self {
        Self { open: self.open + stops, ..self }
    }

    /// Print density where the negative has net density `net`.
    pub fn density(&self, net: Density) -> Density {
        self.curve.density(self.open.through(net))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::lightness;
    use crate::paper::Paper;

    fn fit(range: f64) -> Fit {
        Fit::choose(&GradeTable::band_middles(), Density::new(range))
    }

    fn holds(name: &str) -> Fit {
        Fit::Holds(name.parse().unwrap())
    }

    /// ISO 6846, introduction: paper range and negative range are to be equal; a grade's own R therefore finds it.
    #[test]
    fn a_range_gets_the_hardest_grade_that_holds_it() {
        let table = GradeTable::band_middles();
        for grade in Grade::all() {
            assert_eq!(fit(table.r(grade) / 100.0), Fit::Holds(grade));
        }
        assert_eq!(fit(1.18), holds("1 1/2"), "116.25 reaches 118 within 3 %");
        assert_eq!(fit(1.21), holds("1"), "and 121 not any more");
    }

    #[test]
    fn a_range_that_no_grade_holds_is_said() {
        assert_eq!(fit(2.1), Fit::Longer(Grade::SOFTEST));
        assert_eq!(fit(0.3), Fit::Shorter(Grade::HARDEST));
    }

    /// Straight proof on the R 110 paper, film base at S: net density to print density and L* (computed).
    #[test]
    fn a_straight_proof_prints_its_known_tones() {
        let paper = Paper::glossy();
        let proof = Print::straight(paper.curve(110.0));
        let rows = [
            (0.00, 1.8950, 11.09),
            (0.10, 1.7673, 13.88),
            (0.30, 1.3403, 25.47),
            (0.50, 0.7849, 47.51),
            (0.70, 0.3684, 71.43),
            (0.90, 0.1669, 86.05),
            (1.10, 0.0900, 92.26),
            (1.30, 0.0633, 94.50),
        ];
        for (net, d, l) in rows {
            let density = proof.density(Density::new(net));
            assert!((density.value() - d).abs() <= 5e-4, "net {net}: {density:?}");
            assert!((lightness(density.transmittance()) - l).abs() <= 0.02, "net {net}");
        }
    }

    /// Common practice: a stop more is 0.30103 in log exposure, the same as a negative 0.30103 thinner.
    #[test]
    #[expect(clippy::approx_constant, reason = "the figure as published")]
    fn a_stop_more_prints_as_a_thinner_negative() {
        let paper = Paper::glossy();
        let place = |stops| Print::by_highlights(paper.curve(105.0), Density::new(1.1), Stops::new(stops));
        let (plain, more) = (place(0.0), place(1.0));
        assert!((plain.density(Density::new(1.1)).value() - 0.09).abs() < 1e-9, "the dense end prints at T");
        let difference = more.density(Density::new(0.8)) - plain.density(Density::new(0.8 - 0.301_03));
        assert!(difference.value().abs() < 1e-5);
    }
}
