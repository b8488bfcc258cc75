//! A smooth curve through measured points that never turns back.

/// A piecewise cubic through points of rising x and rising y: smooth (C1), and rising wherever the points rise.
///
/// Between the points it is the monotone cubic of Fritsch and Carlson (SIAM J. Numer. Anal. 17, 1980), with the slopes
/// of Fritsch and Butland (SIAM J. Sci. Stat. Comput. 5, 1984): the weighted harmonic mean of the two chords at a
/// point, and at the ends three points' one-sided slope. Both papers quoted. Beyond the ends it keeps the end's value.
#[derive(Clone, Debug, PartialEq)]
pub struct Monotone {
    points: Vec<(f64, f64)>,
    slopes: Vec<f64>,
}

/// Least rise from one point to the next, on both axes: densities are written down to this, in D.
const LEAST_RISE: f64 = 1e-4;

impl Monotone {
    /// Through at least three points, both coordinates rising strictly and finite. `None` if they do not.
    pub fn through(points: &[(f64, f64)]) -> Option<Self> {
        let rises = |from: f64, to: f64| to - from >= LEAST_RISE * 0.999;
        let rising = points.windows(2).all(|w| rises(w[0].0, w[1].0) && rises(w[0].1, w[1].1));
        let finite = points.iter().all(|(x, y)| x.is_finite() && y.is_finite());
        (points.len() >= 3 && rising && finite).then(|| Self { points: points.to_vec(), slopes: slopes(points) })
    }

    /// The same with both ends level, so that it stays smooth where it keeps the end's value.
    pub fn levelling_off(points: &[(f64, f64)]) -> Option<Self> {
        let mut curve = Self::through(points)?;
        let last = curve.slopes.len() - 1;
        (curve.slopes[0], curve.slopes[last]) = (0.0, 0.0);
        Some(curve)
    }

    /// y at `x`.
    pub fn at(&self, x: f64) -> f64 {
        let last = self.points.len() - 1;
        let x = x.clamp(self.points[0].0, self.points[last].0);
        // Cubic Hermite form on the interval that holds x.
        let i = self.points.partition_point(|(at, _)| *at <= x).clamp(1, last) - 1;
        let ((x0, y0), (x1, y1)) = (self.points[i], self.points[i + 1]);
        let (wide, t) = (x1 - x0, (x - x0) / (x1 - x0));
        let from_start =
            (1.0 + 2.0 * t) * (1.0 - t) * (1.0 - t) * y0 + t * (1.0 - t) * (1.0 - t) * wide * self.slopes[i];
        let from_end = t * t * (3.0 - 2.0 * t) * y1 - t * t * (1.0 - t) * wide * self.slopes[i + 1];
        from_start + from_end
    }

    /// x at which it reaches `y`; at the nearer end where it never does. Halved until nothing is left to halve.
    pub fn inverse(&self, y: f64) -> f64 {
        let last = self.points.len() - 1;
        let i = self.points.partition_point(|(_, at)| *at <= y).clamp(1, last) - 1;
        let (mut low, mut high) = (self.points[i].0, self.points[i + 1].0);
        for _ in 0..f64::MANTISSA_DIGITS {
            let middle = low.midpoint(high);
            if self.at(middle) < y { low = middle } else { high = middle }
        }
        low.midpoint(high)
    }

    /// The points it was drawn through.
    pub fn points(&self) -> &[(f64, f64)] {
        &self.points
    }

    /// The slope at the first point.
    pub(super) fn first_slope(&self) -> f64 {
        self.slopes[0]
    }

    /// The slope at the last point.
    pub(super) fn last_slope(&self) -> f64 {
        self.slopes[self.slopes.len() - 1]
    }
}

fn slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let wide: Vec<f64> = points.windows(2).map(|w| w[1].0 - w[0].0).collect();
    let chord: Vec<f64> = points.windows(2).zip(&wide).map(|(w, h)| (w[1].1 - w[0].1) / h).collect();
    let last = chord.len() - 1;
    let inner = (1..points.len() - 1).map(|i| {
        let (before, after) = (2.0 * wide[i] + wide[i - 1], wide[i] + 2.0 * wide[i - 1]);
        (before + after) / (before / chord[i - 1] + after / chord[i])
    });
    std::iter::once(at_end(wide[0], wide[1], chord[0], chord[1]))
        .chain(inner)
        .chain(std::iter::once(at_end(wide[last], wide[last - 1], chord[last], chord[last - 1])))
        .collect()
}

/// The one-sided slope of the parabola through the last three points, held between flat and three chords.
fn at_end(wide: f64, next_wide: f64, chord: f64, next_chord: f64) -> f64 {
    let slope = ((2.0 * wide + next_wide) * chord - wide * next_chord) / (wide + next_wide);
    slope.clamp(0.0, 3.0 * chord)
}

#[cfg(test)]
mod tests {
    use super::*;

    const UNEVEN: [(f64, f64); 7] =
        [(0.0, 0.05), (0.1, 0.2), (0.35, 0.41), (0.5, 0.8), (1.2, 1.4), (1.25, 2.2), (2.0, 2.31)];

    /// Values of `scipy.interpolate.PchipInterpolator` (SciPy 1.17.1) at the same points.
    #[test]
    fn it_agrees_with_an_independent_library() {
        let curve = Monotone::through(&UNEVEN).unwrap();
        for (x, y) in [
            (0.03, 0.100_152_53),
            (0.1, 0.2),
            (0.2, 0.282_485_37),
            (0.42, 0.586_735_27),
            (0.5, 0.8),
            (0.9, 1.054_874_1),
            (1.22, 1.695_465_87),
            (1.6, 2.290_058_04),
            (1.99, 2.309_995_44),
        ] {
            assert!((curve.at(x) - y).abs() < 1e-8, "{x}: {}", curve.at(x));
        }
        let slopes = [1.688_571_43, 1.122_137_4, 1.326_315_79, 1.446_545_45, 2.197_355_04, 0.407_309_19, 0.0];
        assert!(curve.slopes.iter().zip(slopes).all(|(a, b)| (a - b).abs() < 1e-8), "{:?}", curve.slopes);
    }

    #[test]
    fn it_rises_wherever_its_points_rise() {
        let curve = Monotone::through(&UNEVEN).unwrap();
        let values: Vec<f64> = (0..=2000).map(|i| curve.at(f64::from(i) / 1000.0)).collect();
        assert!(values.windows(2).all(|w| w[0] <= w[1]));
    }

    #[test]
    fn the_way_back_leads_to_where_it_came_from() {
        for curve in [Monotone::through(&UNEVEN).unwrap(), Monotone::levelling_off(&UNEVEN).unwrap()] {
            for i in 1..200 {
                let y = 0.05 + 2.26 * f64::from(i) / 200.0;
                assert!((curve.at(curve.inverse(y)) - y).abs() < 1e-12, "{y}");
            }
            assert!((curve.inverse(-1.0) - 0.0).abs() < 1e-12 && (curve.inverse(9.0) - 2.0).abs() < 1e-12);
        }
    }

    /// Beyond its ends it keeps their values, so a slope of nothing there makes it smooth (C1).
    #[test]
    fn level_ends_are_level() {
        let curve = Monotone::levelling_off(&UNEVEN).unwrap();
        for (end, inside) in [(0.0, 1e-4), (2.0, 2.0 - 1e-4)] {
            assert!(((curve.at(inside) - curve.at(end)) / 1e-4).abs() < 1e-2);
        }
        assert!(UNEVEN.iter().all(|(x, y)| (curve.at(*x) - y).abs() < 1e-12));
    }

    #[test]
    fn points_that_turn_back_make_no_curve() {
        assert_eq!(Monotone::through(&UNEVEN[..2]), None);
        assert_eq!(Monotone::through(&[(0.0, 0.0), (1.0, 2.0), (2.0, 2.0)]), None);
        assert_eq!(Monotone::through(&[(0.0, 0.0), (0.0, 2.0), (2.0, 3.0)]), None);
        assert_eq!(Monotone::through(&[(0.0, 0.0), (1.0, 2.0), (2.0, f64::NAN)]), None);
    }
}
