//! Burning in the edges of a print, as every printer does it with a card: each side in turn gets more light.

use crate::light::Stops;

/// How far in from an edge the burn reaches, as a share of the picture's shorter side (house).
const REACH: f64 = 1.0 / 3.0;

/// More exposure towards the edges of a picture.
///
/// The card moves over each side in turn, so at a place the exposures of the sides add to the first one: `stops =
/// log2(1 + e (s(a/w) + s(b/w)))`, with a and b the distances from the nearest upright and level edge, w the reach, `e
/// = 2^amount - 1`, and `s(t) = (1 - t)^2 (1 + 2 t)` below t = 1, smooth at both ends (C1). In the middle of a side
/// that is the amount at its edge, in a corner more.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct EdgeBurn(Stops);

impl EdgeBurn {
    /// `stops` more at the middle of each side, from none to two; `None` otherwise.
    pub fn new(stops: Stops) -> Option<Self> {
        (0.0..=2.0).contains(&stops.value()).then_some(Self(stops))
    }

    /// The amount at the middle of a side.
    pub fn amount(self) -> Stops {
        self.0
    }

    /// What a corner gets, the most of all places.
    pub fn most(self) -> Stops {
        self.added(2.0)
    }

    /// What a place gets that is `x` from the left and `y` from the top of a picture of `width` and `height`, in any
    /// unit.
    pub fn at(self, (x, y): (f64, f64), (width, height): (f64, f64)) -> Stops {
        let reach = REACH * width.min(height);
        let shade = |at: f64, side: f64| {
            let t = (at.min(side - at) / reach).clamp(0.0, 1.0);
            (1.0 - t) * (1.0 - t) * (1.0 + 2.0 * t)
        };
        self.added(shade(x, width) + shade(y, height))
    }

    /// Exposures add: so many times the amount of one side, to one of the whole sheet.
    fn added(self, sides: f64) -> Stops {
        Stops::new((1.0 + (self.0.value().exp2() - 1.0) * sides).log2())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHEET: (f64, f64) = (300.0, 240.0);

    fn at(x: f64, y: f64) -> f64 {
        EdgeBurn::new(Stops::new(0.25)).unwrap().at((x, y), SHEET).value()
    }

    /// Arithmetic of added exposures: a quarter stop is 1.189 times the light, twice that extra is 1.378 times, 0.463
    /// stop.
    #[test]
    fn sides_get_the_amount_and_corners_more() {
        assert_eq!(at(150.0, 120.0), 0.0);
        for side in [(0.0, 120.0), (300.0, 120.0), (150.0, 0.0), (150.0, 240.0)] {
            assert!((at(side.0, side.1) - 0.25).abs() < 1e-12);
        }
        assert!((at(0.0, 0.0) - 0.4630).abs() < 1e-4 && (at(300.0, 240.0) - 0.4630).abs() < 1e-4);
    }

    #[test]
    fn it_falls_off_smoothly_and_ends_a_third_of_the_shorter_side_in() {
        let along: Vec<f64> = (0..=150).map(|x| at(f64::from(x), 120.0)).collect();
        assert!(along.windows(2).all(|w| w[1] <= w[0]));
        assert_eq!(along.iter().position(|s| *s == 0.0), Some(80));
        let steps: Vec<f64> = along.windows(2).map(|w| w[0] - w[1]).collect();
        assert!(steps.windows(2).all(|w| (w[1] - w[0]).abs() < 2.5e-4), "no kink");
    }

    #[test]
    fn an_amount_is_none_to_two_stops() {
        for wrong in [-0.25, 2.5, f64::NAN] {
            assert!(EdgeBurn::new(Stops::new(wrong)).is_none());
        }
        assert_eq!(EdgeBurn::default().most().value(), 0.0);
    }
}
