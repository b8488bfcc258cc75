//! A table of grades: which exposure range each has, and how fast it is.

use super::curve::Figure;
use super::grade::Grade;
use crate::light::{Density, Stops};

/// ISO 6846, 6.2 (quoted): the error permitted in R is 3 %. A grade is taken to hold a range to within it.
pub(super) const PERMITTED: f64 = 1.03;

/// What each grade's ISO range R is. ISO 6846 gives R no grade numbers, so a grade means nothing without its table.
#[derive(Clone, Debug, PartialEq)]
pub struct GradeTable {
    name: String,
    rows: [GradeRow; 12],
    figures: Vec<Figure>,
}

/// One grade of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct GradeRow {
    /// ISO range R.
    pub(super) r: f64,
    /// How much more exposure it needs, 0.60 above white, than grades that are matched in speed.
    pub(super) slower: Stops,
}

impl GradeTable {
    /// Of its rows, softest first, R falling from each to the next.
    pub(super) fn new(name: String, rows: [GradeRow; 12], figures: Vec<Figure>) -> Self {
        Self { name, rows, figures }
    }

    /// The table's name, to be printed wherever one of its grades is.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its figures with their sources.
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// ISO range R of a grade.
    pub fn r(&self, grade: Grade) -> f64 {
        self.rows[grade.step()].r
    }

    /// How much more exposure a grade needs, 0.60 above white, than those that are matched in speed.
    pub fn slower(&self, grade: Grade) -> Stops {
        self.rows[grade.step()].slower
    }

    /// Whether a grade holds a net density range, to within the permitted error.
    pub fn holds(&self, grade: Grade, range: Density) -> bool {
        holds(self.r(grade), range)
    }

    /// How far a net density range goes beyond an R that does not hold it: that much of dodging or burning in would
    /// bring it back. Nothing where it is held, to within the permitted error.
    pub fn excess(r: f64, range: Density) -> Option<Stops> {
        let excess = Stops::of_log_exposure(range.value() - r / 100.0);
        (!holds(r, range)).then_some(excess)
    }

    /// The grade whose R is nearest to `r`, by their ratio; the softer one of two that are equally near.
    pub fn nearest(&self, r: f64) -> Grade {
        let off = |grade: &Grade| (self.r(*grade) / r).ln().abs();
        Grade::all().min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(Grade::NORMAL)
    }
}

fn holds(r: f64, range: Density) -> bool {
    r * PERMITTED >= 100.0 * range.value()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::lightness;
    use crate::paper::{shelf, stock::Stock};

    fn table(name: &str) -> &'static GradeTable {
        shelf::table(name).unwrap()
    }

    fn all(table: &GradeTable) -> Vec<f64> {
        Grade::all().map(|g| table.r(g)).collect()
    }

    /// ANSI PH2.2-1966 bands (quoted): each whole grade lies in the middle of its band.
    #[test]
    fn whole_grades_lie_in_their_bands() {
        let bands = [
            ("0", 1.40, 1.70),
            ("1", 1.15, 1.40),
            ("2", 0.95, 1.15),
            ("3", 0.80, 0.95),
            ("4", 0.65, 0.80),
            ("5", 0.50, 0.65),
        ];
        for (name, low, high) in bands {
            let ler = table("bands").r(name.parse().unwrap()) / 100.0;
            assert!((ler - (low + high) / 2.0).abs() < 1e-9, "grade {name}");
        }
    }

    /// Makers' data sheets (quoted): R of the filters 00, 0, 1, 2, 3, 4, 5 of one RC paper, of its successor, of a
    /// fibre paper.
    #[test]
    fn data_sheets_are_as_published() {
        for (name, published) in [
            ("rc", [180.0, 160.0, 130.0, 110.0, 90.0, 60.0, 40.0]),
            ("rc-later", [160.0, 130.0, 110.0, 90.0, 70.0, 60.0, 50.0]),
            ("fibre", [170.0, 140.0, 110.0, 95.0, 80.0, 60.0, 50.0]),
        ] {
            let whole = [0, 1, 3, 5, 7, 9, 11].map(|step| all(table(name))[step]);
            assert_eq!(whole, published, "{name}");
            let slower = Grade::all().map(|grade| table(name).slower(grade).value()).collect::<Vec<_>>();
            assert_eq!(slower, [[0.0; 9].as_slice(), &[1.0; 3]].concat(), "{name}: 4 to 5 cost one stop more");
        }
    }

    #[test]
    fn half_grades_lie_between_their_neighbours_and_harder_ones_have_shorter_ranges() {
        for name in shelf::TABLES {
            let all = all(table(name));
            assert!(all.windows(2).all(|pair| pair[0] > pair[1]), "{name}");
            for half in [2, 4, 6, 8, 10] {
                assert!((all[half] - (all[half - 1] + all[half + 1]) / 2.0).abs() < 1e-9, "{name}");
            }
        }
    }

    /// House: from grade 0 on, half a grade of the default table changes the lightness of tones half a stop to one and
    /// a half stops either side of the speed point by much the same amount everywhere. (The step from 00 to 0 is a
    /// whole one.) A data sheet's steps are its maker's, and wider at the hard end; here only none of them is lost.
    #[test]
    fn steps_are_even_to_the_eye() {
        for paper in shelf::PAPERS {
            for name in shelf::TABLES {
                let stock = Stock::new(shelf::paper(paper).unwrap().clone(), table(name).clone());
                let tones = |grade: Grade| {
                    let curve = stock.curve(grade);
                    let at = |stops: f64| curve.density(curve.speed_point() + Stops::new(stops));
                    [-1.5, -1.0, -0.5, 0.5, 1.0, 1.5].map(|stops| lightness(at(stops).transmittance()))
                };
                let grades: Vec<Grade> = Grade::all().skip(1).collect();
                let apart = |pair: &[Grade]| -> f64 {
                    tones(pair[0]).iter().zip(tones(pair[1])).map(|(a, b)| (a - b).abs()).sum::<f64>() / 6.0
                };
                let steps: Vec<f64> = grades.windows(2).map(apart).collect();
                let mean = steps.iter().sum::<f64>() / steps.len() as f64;
                // Of a tone, one L* is about what the eye tells side by side (common practice).
                assert!(steps.iter().all(|step| *step > 0.5), "{paper}, {name}: {steps:?}");
                if name == "bands" {
                    assert!(steps.iter().all(|step| (0.67..1.5).contains(&(step / mean))), "{paper}: {steps:?}");
                }
            }
        }
    }

    /// Common practice: one stop is 0.30103 D, so 0.30 D too much is a stop of burning in.
    #[test]
    fn what_no_grade_holds_is_told_in_stops() {
        let excess = |range| GradeTable::excess(180.0, Density::new(range)).map(Stops::value);
        assert!((excess(2.1).unwrap() - 0.9966).abs() < 1e-4);
        assert_eq!((excess(1.7), excess(1.8), excess(1.85)), (None, None, None), "to within 3 %");
        assert!(excess(1.86).is_some());
    }

    #[test]
    fn the_nearest_grade_is_the_nearest_by_ratio() {
        assert_eq!(table("bands").nearest(104.0).to_string(), "2");
        assert_eq!(table("bands").nearest(101.0).to_string(), "2", "101 is 3.9 % from 105 and 4.8 % from 96.25");
        assert_eq!(table("bands").nearest(500.0), Grade::SOFTEST);
    }
}
