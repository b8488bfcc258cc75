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
