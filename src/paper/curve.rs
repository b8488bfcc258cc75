//! The characteristic curve of a paper: print density as a function of log exposure.

use crate::light::{Density, LogExposure};

/// ISO 6846:1992, 5.6.4 (quoted): the end point T lies 0.04 above Dmin ...
const T_ABOVE_WHITE: f64 = 0.04;
/// ... and S at 0.90 of the way from Dmin to Dmax.
const S_SHARE: f64 = 0.90;

/// A paper without a grade: its tones at the two ends, and the shape between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Paper {
    name: &'static str,
    white: f64,
    black: f64,
    asymmetry: f64,
}

impl Paper {
    /// The built-in paper: neutral, glossy. Dmin 0.05 and Dmax 2.10 lie within what data sheets and handbooks give for
    /// glossy papers (0.02 to 0.10; 2.0 to 2.2); v = 1 makes it the logistic curve.
    pub const fn glossy() -> Self {
        Self { name: "neutral glossy", white: 0.05, black: 2.10, asymmetry: 1.0 }
    }

    /// What the paper is called.
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// Dmin: the density of unexposed, processed paper.
    pub const fn white(&self) -> Density {
        Density::new(self.white)
    }

    /// Dmax: the paper's deepest black.
    pub const fn black(&self) -> Density {
        Density::new(self.black)
    }

    /// The curve whose ISO range is `r` (R = 100 (log H_S - log H_T), ISO 6846): above 0.
    pub fn curve(&self, r: f64) -> Curve<'_> {
        let scale = self.black - self.white;
        let ends = self.unit_exposure(S_SHARE) - self.unit_exposure(T_ABOVE_WHITE / scale);
        Curve { paper: self, steepness: ends / (r / 100.0) }
    }

    /// k x at which the curve has covered `share` of its way from white to black.
    fn unit_exposure(&self, share: f64) -> f64 {
        let v = self.asymmetry;
        -((share.powf(-v) - 1.0) / v).ln()
    }
}

/// A paper in one grade: the Richards curve `D = Dmin + DN (1 + v exp(-k x))^(-1/v)`, DN = Dmax - Dmin.
///
/// Closed form both ways; x is log exposure relative to the curve's own zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve<'p> {
    paper: &'p Paper,
    steepness: f64,
}

impl Curve<'_> {
    /// The paper it belongs to.
    pub fn paper(&self) -> &Paper {
        self.paper
    }

    /// Print density at log exposure `x`.
    pub fn density(&self, x: LogExposure) -> Density {
        let Paper { white, black, asymmetry: v, .. } = *self.paper;
        let way = (1.0 + v * (-self.steepness * x.value()).exp()).powf(-1.0 / v);
        Density::new(white + (black - white) * way)
    }

    /// Log exposure that prints `density`, which lies strictly between Dmin and Dmax.
    pub fn exposure(&self, density: Density) -> LogExposure {
        let share = (density.value() - self.paper.white) / (self.paper.black - self.paper.white);
        LogExposure::new(self.paper.unit_exposure(share) / self.steepness)
    }

    /// The end point T: the lightest tone that is still there (Dmin + 0.04).
    pub fn t(&self) -> LogExposure {
        self.exposure(Density::new(self.paper.white + T_ABOVE_WHITE))
    }

    /// The end point S: the paper's black in a print (Dmin + 0.90 DN).
    pub fn s(&self) -> LogExposure {
        self.exposure(Density::new(self.paper.white + S_SHARE * (self.paper.black - self.paper.white)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed-form values for Dmin 0.05, DN 2.05, computed: k = [logit 0.9 - logit(0.04/DN)]/(R/100).
    #[test]
    fn the_logistic_paper_has_its_exact_values() {
        let paper = Paper::glossy();
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
        let mut skewed = Paper::glossy();
        skewed.asymmetry = 0.5;
        for paper in [Paper::glossy(), skewed] {
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

    /// Average gradient between T and S, computed: (0.90 DN - 0.04)/LER.
    #[test]
    fn average_gradients_are_the_published_ones() {
        let paper = Paper::glossy();
        for (r, gradient) in [(160.0, 1.13), (130.0, 1.39), (110.0, 1.64), (90.0, 2.01), (70.0, 2.58), (50.0, 3.61)] {
            let curve = paper.curve(r);
            let rise = curve.density(curve.s()).value() - curve.density(curve.t()).value();
            assert!((rise / (curve.s() - curve.t()) - gradient).abs() < 0.006, "R {r}");
        }
    }
}
