//! The shape of a paper's curve, whatever its contrast.

use crate::light::Monotone;

/// How print density goes from white to black: by a formula, or as it was measured.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Shape {
    /// The Richards curve `(1 + v exp(-u))^(-1/v)`, closed form both ways; v = 1 is the logistic curve.
    Richards {
        /// v.
        asymmetry: f64,
    },
    /// Print density over log exposure as it was measured, white and black its ends.
    Measured(Monotone),
}

impl Shape {
    /// The share of the way from white to black, 0 to 1, at `u`: log exposure on the shape's own scale.
    pub(super) fn way(&self, u: f64) -> f64 {
        match self {
            // The same without the power, which takes most of the time of a print's tone table.
            Self::Richards { asymmetry: 1.0 } => 1.0 / (1.0 + (-u).exp()),
            Self::Richards { asymmetry: v } => (1.0 + v * (-u).exp()).powf(-1.0 / v),
            Self::Measured(curve) => {
                let (white, black) = ends(curve);
                (curve.at(u) - white) / (black - white)
            }
        }
    }

    /// The place `u` where that share is reached, strictly between 0 and 1.
    pub(super) fn at(&self, share: f64) -> f64 {
        match self {
            Self::Richards { asymmetry: v } => -((share.powf(-v) - 1.0) / v).ln(),
            Self::Measured(curve) => {
                let (white, black) = ends(curve);
                curve.inverse(white + share * (black - white))
            }
        }
    }
}

/// Density of the first and of the last reading.
pub(super) fn ends(curve: &Monotone) -> (f64, f64) {
    let points = curve.points();
    (points[0].1, points[points.len() - 1].1)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow twin: the general formula, worked out here. A division and a power differ by the rounding of the last
    /// bit.
    #[test]
    fn the_logistic_curve_is_the_richards_curve_of_asymmetry_one() {
        for step in -4000..=4000 {
            let u = f64::from(step) / 100.0;
            let (quick, v) = (Shape::Richards { asymmetry: 1.0 }.way(u), 1.0_f64);
            let slow = (1.0 + v * (-u).exp()).powf(-1.0 / v);
            assert!((quick - slow).abs() <= 2.0 * f64::EPSILON * slow, "{u}: {quick} for {slow}");
        }
    }
}
