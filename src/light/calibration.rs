//! From scanner density to density: what a scanned step tablet teaches.

use super::density::Density;
use super::monotone::Monotone;

/// Beyond its steps a calibration follows its end slope for this much, in D: one stop. Further out it goes as the
/// scanner does, D for D: stray light makes the slope steep there, and a steep line far out would only enlarge noise.
const TRUSTED_BEYOND: f64 = std::f64::consts::LOG10_2;

/// Least slope beyond the ends: a curve's end may be flat, and yet must rise.
const LEAST_SLOPE: f64 = 0.1;

/// Steps that make a curve, at least.
pub const LEAST_STEPS: usize = 3;

/// What a scanner's densities really are: a monotone cubic through the steps of a tablet.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration(Monotone);

/// Steps through which no rising curve goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("it has no {LEAST_STEPS} steps that rise, each denser than the one before both on the tablet and in the scan")]
pub struct NoCurve;

impl Calibration {
    /// Through `steps`, thinnest first: the density that the scanner reads, and the tablet's own.
    ///
    /// # Errors
    /// When there are fewer than [`LEAST_STEPS`], or one of the two densities does not rise from each to the next.
    pub fn through(steps: &[(Density, Density)]) -> Result<Self, NoCurve> {
        let points: Vec<_> = steps.iter().map(|(scanner, true_one)| (scanner.value(), true_one.value())).collect();
        Monotone::through(&points).map(Self).ok_or(NoCurve)
    }

    /// The density for which the scanner reads `scanner`. It rises with it.
    pub fn density(&self, scanner: Density) -> Density {
        let points = self.0.points();
        let (first, last) = (points[0], points[points.len() - 1]);
        let x = scanner.value();
        let beyond = |by: f64, slope: f64| {
            let slope = slope.max(LEAST_SLOPE);
            let near = by.min(TRUSTED_BEYOND / slope);
            near * slope + (by - near)
        };
        Density::new(if x > last.0 {
            last.1 + beyond(x - last.0, self.0.last_slope())
        } else if x < first.0 {
            first.1 - beyond(first.0 - x, self.0.first_slope())
        } else {
            self.0.at(x)
        })
    }

    /// Density of the tablet's thinnest and densest step: as far as it was measured.
    pub fn range(&self) -> (Density, Density) {
        let points = self.0.points();
        (Density::new(points[0].1), Density::new(points[points.len() - 1].1))
    }

    /// Its steps: scanner density and density, thinnest first.
    pub fn steps(&self) -> impl Iterator<Item = (Density, Density)> + '_ {
        self.0.points().iter().map(|(x, y)| (Density::new(*x), Density::new(*y)))
    }

    /// For each step, how far its density lies above what the curve through all *other* steps says: what the curve
    /// would have been off there, had the tablet not had this step. The two outermost have none: beyond the others
    /// there is nothing to read. With three steps no other curve can be drawn, and none has.
    pub fn residuals(&self) -> Vec<Option<f64>> {
        let points = self.0.points();
        let residual = |i: usize| {
            let mut others = points.to_vec();
            let (x, y) = others.remove(i);
            Some(y - Monotone::through(&others)?.at(x))
        };
        (0..points.len()).map(|i| if i == 0 || i + 1 == points.len() { None } else { residual(i) }).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Stray light f, arithmetic: D' = -log10((10^-D + f)/(1 + f)).
    fn with_stray_light(d: f64, f: f64) -> f64 {
        -((10f64.powf(-d) + f) / (1.0 + f)).log10()
    }

    fn tablet(steps: usize, apart: f64, f: f64) -> Calibration {
        let steps: Vec<_> = (0..steps)
            .map(|i| 0.05 + apart * i as f64)
            .map(|d| (Density::new(with_stray_light(d, f)).noted(), Density::new(d).noted()))
            .collect();
        Calibration::through(&steps).unwrap()
    }

    /// Stray light of 0.3 %, computed: D 1.00, 1.30, 2.00 and 3.00 read 0.988, 1.276, 1.887
    /// and 2.399. A tablet scanned with that stray light undoes them.
    #[test]
    fn stray_light_is_undone() {
        for calibration in [tablet(21, 0.15, 0.003), tablet(31, 0.10, 0.003), tablet(41, 0.10, 0.003)] {
            // Half a thousandth is all that the figures themselves leave open; at D 3 a thousandth there is four here.
            for (reads, d, open) in
                [(0.988, 1.00, 0.001), (1.276, 1.30, 0.001), (1.887, 2.00, 0.001), (2.399, 3.00, 0.002)]
            {
                let got = calibration.density(Density::new(reads)).value();
                assert!((got - d).abs() <= open, "{reads} reads {got}, not {d}");
            }
        }
    }

    #[test]
    fn between_the_steps_nothing_is_off_by_a_hundredth() {
        for f in [0.0, 0.001, 0.003, 0.01] {
            let calibration = tablet(21, 0.15, f);
            for i in 5..=250 {
                let d = f64::from(i) / 100.0;
                let got = calibration.density(Density::new(with_stray_light(d, f))).value();
                assert!((got - d).abs() < 0.01, "{d} with {f} comes back as {got}");
            }
        }
    }

    #[test]
    fn it_rises_everywhere_and_stays_sober_beyond_its_steps() {
        let calibration = tablet(31, 0.10, 0.003);
        let values: Vec<f64> =
            (-1000..=5000).map(|i| calibration.density(Density::new(f64::from(i) / 1000.0)).value()).collect();
        assert!(values.windows(2).all(|w| w[0] < w[1]));
        let (thin, dense) = calibration.range();
        assert_eq!((thin.value(), dense.value()), (0.05, 3.05));
        // A thousandth of the light more than nothing, D' 3: 0.59 beyond the last step as the scanner reads it.
        assert!(calibration.density(Density::new(3.0)).value() < 3.05 + 0.59 + TRUSTED_BEYOND);
        let near = calibration.density(Density::new(with_stray_light(3.15, 0.003))).value();
        assert!((near - 3.15).abs() < 0.02, "a little beyond the last step it is still near: {near}");
    }

    #[test]
    fn a_residual_is_what_the_other_steps_say() {
        let mut steps: Vec<_> =
            (0..21).map(|i| 0.05 + 0.15 * f64::from(i)).map(|d| (Density::new(d), Density::new(d))).collect();
        steps[10].1 = Density::new(steps[10].1.value() + 0.03);
        let residuals = Calibration::through(&steps).unwrap().residuals();
        assert_eq!((residuals[0], residuals[20]), (None, None));
        assert!((residuals[10].unwrap() - 0.03).abs() < 1e-9, "{residuals:?}");
        assert!(residuals[5].unwrap().abs() < 1e-9);
    }

    #[test]
    fn steps_that_do_not_rise_are_refused() {
        let step = |x, y| (Density::new(x), Density::new(y));
        assert_eq!(Calibration::through(&[step(0.1, 0.1), step(0.2, 0.2)]), Err(NoCurve));
        assert_eq!(Calibration::through(&[step(0.1, 0.1), step(0.1, 0.2), step(0.3, 0.3)]), Err(NoCurve));
    }
}
