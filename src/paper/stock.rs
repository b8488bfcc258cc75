//! What a negative is printed on: a paper, and the table that gives its grades their range.

use std::fmt;

use super::curve::{Curve, Paper};
use super::grade::Grade;
use super::table::GradeTable;
use crate::light::{Density, LogExposure};

/// So close to white and black a sampled curve reaches.
const NEAR: Density = Density::new(0.0005);

/// A paper and a table of grades. Neither means much without the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Stock {
    paper: Paper,
    table: GradeTable,
}

impl Stock {
    /// Of both.
    pub const fn new(paper: Paper, table: GradeTable) -> Self {
        Self { paper, table }
    }

    /// The paper.
    pub const fn paper(&self) -> &Paper {
        &self.paper
    }

    /// The table of grades.
    pub const fn table(&self) -> &GradeTable {
        &self.table
    }

    /// The paper's curve in a grade.
    pub fn curve(&self, grade: Grade) -> Curve<'_> {
        self.paper.curve(self.table.r(grade))
    }

    /// A log exposure on the scale that all grades share, as one on the scale of a grade's own curve.
    ///
    /// On the shared scale 0 prints 0.60 above white in every grade that is matched in speed; a slower grade needs as
    /// much more as its table says. So with one exposure a change of grade leaves that tone where it is (makers' data
    /// sheets, quoted).
    pub fn own(&self, grade: Grade, shared: LogExposure) -> LogExposure {
        LogExposure::new(shared.value() + self.offset(grade))
    }

    /// The way back of [`Stock::own`].
    pub fn shared(&self, grade: Grade, own: LogExposure) -> LogExposure {
        LogExposure::new(own.value() - self.offset(grade))
    }

    /// A grade's curve on the scale that all grades share, every hundredth from half a thousandth of a D above white to
    /// as much below black.
    pub fn sampled(&self, grade: Grade) -> Vec<(LogExposure, Density)> {
        let curve = self.curve(grade);
        let reached = |density| (self.shared(grade, curve.exposure(density)).value() * 100.0).round() as i64;
        let [from, to] = [self.paper.white() + NEAR, self.paper.black() - NEAR].map(reached);
        let at = |hundredth: i64| {
            let shared = LogExposure::new(hundredth as f64 / 100.0);
            (shared, curve.density(self.own(grade, shared)))
        };
        (from..=to).map(at).collect()
    }

    fn offset(&self, grade: Grade) -> f64 {
        self.curve(grade).speed_point().value() - self.table.slower(grade).log_exposure()
    }
}

/// "neutral glossy, grades after ANSI PH2.2-1966 band middles".
impl fmt::Display for Stock {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}, grades after {}", self.paper.name(), self.table.name())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::shelf;

    /// Makers' data sheets (quoted): speed-matched filters agree in exposure at 0.60 above white; 4 to 5 cost one stop
    /// more.
    #[test]
    #[expect(clippy::approx_constant, reason = "a stop as published")]
    fn grades_agree_at_the_speed_point_and_some_are_a_stop_slower() {
        for paper in shelf::PAPERS {
            for table in shelf::TABLES {
                let stock = Stock::new(shelf::paper(paper).unwrap().clone(), shelf::table(table).unwrap().clone());
                for grade in Grade::all() {
                    let one_stop = table != "bands" && grade >= "4".parse().unwrap();
                    let shared = LogExposure::new(if one_stop { 0.30103 } else { 0.0 });
                    let density = stock.curve(grade).density(stock.own(grade, shared));
                    let above_white = density - stock.paper().white();
                    assert!((above_white.value() - 0.60).abs() < 1e-4, "{paper}, {table}, grade {grade}");
                    let there_and_back = stock.shared(grade, stock.own(grade, LogExposure::new(0.3)));
                    assert!((there_and_back.value() - 0.3).abs() < 1e-12);
                }
            }
        }
    }

    #[test]
    fn half_a_grade_harder_darkens_what_is_dark_and_lightens_what_is_light() {
        let stock = Stock::new(shelf::paper("glossy").unwrap().clone(), shelf::table("bands").unwrap().clone());
        let density = |grade: &str, x: f64| -> Density {
            let grade = grade.parse().unwrap();
            stock.curve(grade).density(stock.own(grade, LogExposure::new(x)))
        };
        assert!(density("2 1/2", 0.3) > density("2", 0.3) && density("2 1/2", -0.3) < density("2", -0.3));
    }
}
