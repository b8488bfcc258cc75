//! The flat law: lightness as a function of net density, straight between the ends, never clipping.

use crate::light::Density;

/// L* at the thin end and at the dense end of a frame. House values: a flat picture that leaves 15 units of lightness
/// below and 10 above for what lies beyond the ends.
const LOW: f64 = 15.0;
const HIGH: f64 = 90.0;

/// Least distance of the two ends in D. A blank frame has no range of its own, and stretching its grain over the whole
/// scale would show a picture that is not there. About the first step a film prints (common practice: speed point
/// 0.10).
const LEAST_RANGE: f64 = 0.10;

/// ```text
/// n < t        L* = lo exp(s (n - t)/lo)
/// t <= n <= d  L* = lo + s (n - t)               s = (hi - lo)/(d - t)
/// n > d        L* = 100 - (100 - hi) exp(-s (n - d)/(100 - hi))
/// ```
/// Value and slope meet at both ends (C1), it rises everywhere, and it reaches neither 0 nor 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    thin: f64,
    slope: f64,
    dense: f64,
}

impl Law {
    /// The law between the net densities `thin` and `dense`. Ends closer than 0.10 D are set 0.10 D apart.
    pub fn between(thin: Density, dense: Density) -> Self {
        let (thin, dense) = (thin.value(), dense.value().max(thin.value() + LEAST_RANGE));
        Self { thin, slope: (HIGH - LOW) / (dense - thin), dense }
    }

    /// The thin end as placed.
    pub fn thin(&self) -> Density {
        Density::new(self.thin)
    }

    /// The dense end as placed.
    pub fn dense(&self) -> Density {
        Density::new(self.dense)
    }

    /// L* at the two ends.
    pub const fn ends() -> (f64, f64) {
        (LOW, HIGH)
    }

    /// L* of a net density.
    pub fn lightness(&self, net: Density) -> f64 {
        let (n, s) = (net.value(), self.slope);
        if n < self.thin {
            LOW * (s * (n - self.thin) / LOW).exp()
        } else if n <= self.dense {
            LOW + s * (n - self.thin)
        } else {
            100.0 - (100.0 - HIGH) * (-s * (n - self.dense) / (100.0 - HIGH)).exp()
        }
    }

    /// Net density of an L* above 0 and below 100: the inverse of [`Law::lightness`].
    pub fn net(&self, lightness: f64) -> Density {
        let (l, s) = (lightness, self.slope);
        Density::new(if l < LOW {
            self.thin + (l / LOW).ln() * LOW / s
        } else if l <= HIGH {
            self.thin + (l - LOW) / s
        } else {
            self.dense - ((100.0 - l) / (100.0 - HIGH)).ln() * (100.0 - HIGH) / s
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_rises_smoothly_without_clipping_and_comes_back(thin in -0.1..0.6f64, range in 0.1..2.4f64, n in -0.3..4.0f64) {
            let law = Law::between(Density::new(thin), Density::new(thin + range));
            let at = |n: f64| law.lightness(Density::new(n));
            prop_assert!((0.0..=100.0).contains(&at(n)));
            prop_assert!(at(n + 1e-4) >= at(n));
            // Nearer to 0 or 100 than any 16-bit code can say, the last bits of a double are lost too.
            if (1e-4..99.9999).contains(&at(n)) {
                prop_assert!((law.net(at(n)).value() - n).abs() < 1e-6);
            }
        }
    }

    #[test]
    fn value_and_slope_meet_at_both_ends() {
        let law = Law::between(Density::new(0.2), Density::new(1.4));
        let slope = |n: f64| (law.lightness(Density::new(n + 1e-6)) - law.lightness(Density::new(n - 1e-6))) / 2e-6;
        for (end, l) in [(0.2, 15.0), (1.4, 90.0)] {
            assert!((law.lightness(Density::new(end)) - l).abs() < 1e-9);
            assert!((slope(end) - 75.0 / 1.2).abs() < 1e-3, "slope {} at {end}", slope(end));
        }
    }

    #[test]
    fn a_blank_frame_is_not_stretched_over_the_whole_scale() {
        let law = Law::between(Density::new(0.03), Density::new(0.04));
        assert!((law.lightness(Density::new(0.04)) - 22.5).abs() < 1e-9);
    }
}
