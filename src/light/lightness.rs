//! CIE lightness L* and relative luminance Y.

/// CIE 15: above epsilon = 216/24389 lightness follows the cube root, below it a straight line of slope kappa =
/// 24389/27.
const EPSILON: f64 = 216.0 / 24389.0;
const KAPPA: f64 = 24389.0 / 27.0;

/// L* (0 to 100) of a relative luminance Y (0 to 1). CIE 15.
pub fn lightness(y: f64) -> f64 {
    if y > EPSILON { 116.0 * y.cbrt() - 16.0 } else { KAPPA * y }
}

/// Relative luminance Y (0 to 1) of a lightness L* (0 to 100). CIE 15, the inverse of [`lightness`].
pub fn luminance(l: f64) -> f64 {
    if l > KAPPA * EPSILON { ((l + 16.0) / 116.0).powi(3) } else { l / KAPPA }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Density;
    use palette::{FromColor, Lab, Xyz, white_point::D50};

    /// Reflection density to L*, computed with an independent colour library (colour-science 0.4.7).
    #[test]
    fn reflection_densities_have_their_published_lightness() {
        for (d, l) in
            [(0.05, 95.63), (0.30, 76.14), (0.60, 57.19), (1.00, 37.84), (1.40, 23.61), (2.00, 8.99), (2.10, 7.17)]
        {
            assert!((lightness(Density::new(d).transmittance()) - l).abs() < 0.006, "D {d}");
        }
    }

    /// Held against the `palette` crate over the whole range.
    #[test]
    fn lightness_agrees_with_an_independent_library() {
        for i in 0..=1000 {
            let y = f64::from(i) / 1000.0;
            let lab = Lab::<D50, f64>::from_color(Xyz::<D50, f64>::new(0.9642 * y, y, 0.8251 * y));
            assert!((lightness(y) - lab.l).abs() < 1e-3, "Y {y}");
            assert!((luminance(lightness(y)) - y).abs() < 1e-12);
        }
    }
}
