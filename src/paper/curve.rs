//! The characteristic curve of a paper: print density as a function of log exposure.

use super::shape::Shape;
use crate::light::{Density, LogExposure};

/// ISO 6846:1992, 5.6.4 (quoted): the end point T lies 0.04 above Dmin ...
const T_ABOVE_WHITE: f64 = 0.04;
/// ... and S at 0.90 of the way from Dmin to Dmax.
const S_SHARE: f64 = 0.90;

/// ISO 6846 (quoted): speed is read 0.60 above Dmin.
const SPEED_ABOVE_WHITE: f64 = 0.60;

/// A paper without a grade: its tones at the two ends, and the shape between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    name: String,
    white: f64,
    black: f64,
    shape: Shape,
    figures: Vec<Figure>,
}

/// The class of ISO 6846, 6.2 (quoted) that a range R belongs to: log exposure ranges 0.35 to 0.44 are 40, 0.45 to 0.54
/// are 50 ... 1.85 to 1.94 are 190. Nothing beyond.
pub fn iso_class(r: f64) -> Option<u32> {
    let hundredths = r.round();
    (35.0..=194.0).contains(&hundredths).then(|| (hundredths as u32 + 5) / 10 * 10)
}

/// A figure of a paper or a grade table, and where it comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figure {
    /// What it is, with its value.
    pub what: String,
    /// Where it comes from.
    pub source: String,
}

impl Paper {
    /// Of its parts; white and black are far enough apart for T and S, and the shape's own where it is measured.
    pub(super) fn new(name: String, (white, black): (f64, f64), shape: Shape, figures: Vec<Figure>) -> Self {
        Self { name, white, black, shape, figures }
    }

    /// What the paper is called.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// Its figures with their sources.
    pub fn figures(&self) -> &[Figure] {
        &self.figures
    }

    /// Dmin: the density of unexposed, processed paper.
    pub const fn white(&self) -> Density {
        Density::new(self.white)
    }

    /// Dmax: the paper's deepest black.
    pub const fn black(&self) -> Density {
        Density::new(self.black)
    }

    /// Density at T: the lightest tone that is still there, Dmin + 0.04.
    pub const fn lightest(&self) -> Density {
        Density::new(self.white + T_ABOVE_WHITE)
    }

    /// Density at S: the black of a print, Dmin + 0.90 DN.
    pub const fn darkest(&self) -> Density {
        Density::new(self.white + S_SHARE * (self.black - self.white))
    }

    /// The curve whose ISO range is `r` (R = 100 (log H_S - log H_T), ISO 6846): above 0. The shape is drawn out or
    /// pushed together along log exposure; the tones at its ends stay.
    pub fn curve(&self, r: f64) -> Curve<'_> {
        Curve { paper: self, steepness: self.unit_range() / (r / 100.0) }
    }

    /// What was measured, if it was: log exposures and densities, lightest first, and the R that they have.
    pub fn measured(&self) -> Option<(&[(f64, f64)], f64)> {
        match &self.shape {
            Shape::Richards { .. } => None,
            Shape::Measured(curve) => Some((curve.points(), 100.0 * self.unit_range())),
        }
    }

    /// From T to S on the shape's own scale.
    fn unit_range(&self) -> f64 {
        self.shape.at(S_SHARE) - self.shape.at(T_ABOVE_WHITE / (self.black - self.white))
    }
}

/// A paper in one grade: `D = Dmin + DN way(k x)`, DN = Dmax - Dmin, where the way goes from 0 to 1 as the paper's
/// shape has it, and k is what gives it its ISO range.
///
/// x is log exposure relative to the curve's own zero: half-way to black for the logistic shape, the zero of the
/// readings for a measured one.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve<'p> {
    paper: &'p Paper,
    steepness: f64,
}

impl<'p> Curve<'p> {
    /// The paper it belongs to.
    pub fn paper(&self) -> &'p Paper {
        self.paper
    }

    /// Print density at log exposure `x`.
    pub fn density(&self, x: LogExposure) -> Density {
        let Paper { white, black, ref shape, .. } = *self.paper;
        Density::new(white + (black - white) * shape.way(self.steepness * x.value()))
    }

    /// Log exposure that prints `density`, which lies strictly between Dmin and Dmax.
    pub fn exposure(&self, density: Density) -> LogExposure {
        let share = (density.value() - self.paper.white) / (self.paper.black - self.paper.white);
        LogExposure::new(self.paper.shape.at(share) / self.steepness)
    }

    /// The end point T: the lightest tone that is still there (Dmin + 0.04).
    pub fn t(&self) -> LogExposure {
        self.exposure(self.paper.lightest())
    }

    /// The end point S: the paper's black in a print (Dmin + 0.90 DN).
    pub fn s(&self) -> LogExposure {
        self.exposure(self.paper.darkest())
    }

    /// The speed point (Dmin + 0.60).
    pub fn speed_point(&self) -> LogExposure {
        self.exposure(Density::new(self.paper.white + SPEED_ABOVE_WHITE))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::paper::shelf;

    fn glossy() -> Paper {
        shelf::paper("glossy").unwrap().clone()
    }

    /// Closed-form values for Dmin 0.05, DN 2.05, computed: k = [logit 0.9 - logit(0.04/DN)]/(R/100).
    #[test]
    fn the_logistic_paper_has_its_exact_values() {
        let paper = glossy();
        for (r, k) in [(160.0, 3.8214), (110.0, 5.5584), (90.0, 6.7936), (50.0, 12.2285)] {
            assert!((paper.curve(r).steepness - k).abs() < 5e-5, "R {r}");
        }
        for (r, t, s) in [(160.0, -1.0250, 0.5750), (110.0, -0.7047, 0.3953), (50.0, -0.3203, 0.1797)] {
            assert!((paper.curve(r).t().value() - t).abs() < 5e-5, "R {r}");
            assert!((paper.curve(r).s().value() - s).abs() < 5e-5, "R {r}");
        }
    }

    /// ISO 6846 end points (quoted) found on the curve's own output, sampled every 0.001, not from its parameters.
    #[test]
    fn the_range_measured_on_the_output_is_the_range_asked_for() {
        let mut skewed = glossy();
        skewed.shape = Shape::Richards { asymmetry: 0.5 };
        for paper in [glossy(), skewed] {
            for r in [40.0, 57.5, 87.5, 116.25, 155.0, 180.0] {
                let curve = paper.curve(r);
                let crossing = |level: f64| {
                    let x = |i: i32| f64::from(i) / 1000.0;
                    let above = (-6000..6000).find(|i| curve.density(LogExposure::new(x(*i))).value() >= level);
                    x(above.expect("the curve reaches the level"))
                };
                let (t, s) = (crossing(0.05 + 0.04), crossing(0.05 + 0.9 * 2.05));
                assert!((100.0 * (s - t) - r).abs() < 0.2, "R {r} measured {}", 100.0 * (s - t));
            }
        }
    }

    /// ISO 6846, 6.2 (quoted).
    #[test]
    fn ranges_have_their_published_classes() {
        for (r, class) in [(35.0, 40), (44.0, 40), (45.0, 50), (54.4, 50), (110.2, 110), (185.0, 190), (194.0, 190)] {
            assert_eq!(iso_class(r), Some(class), "{r}");
        }
        assert_eq!((iso_class(34.0), iso_class(195.0)), (None, None));
    }

    /// Average gradient between T and S, computed: (0.90 DN - 0.04)/LER.
    #[test]
    fn average_gradients_are_the_published_ones() {
        let paper = glossy();
        for (r, gradient) in [(160.0, 1.13), (130.0, 1.39), (110.0, 1.64), (90.0, 2.01), (70.0, 2.58), (50.0, 3.61)] {
            let curve = paper.curve(r);
            let rise = curve.density(curve.s()).value() - curve.density(curve.t()).value();
            assert!((rise / (curve.s() - curve.t()) - gradient).abs() < 0.006, "R {r}");
        }
    }
}
