//! One speck of dust or one hair.

use crate::plane::{Point, Quad};

/// A speck or a hair, in pixels of the scan. Its soft edges do not count.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speck {
    /// Its middle, which of a bent hair may lie beside it.
    pub middle: Point,
    /// From the middle to what of it is farthest away.
    pub radius: f64,
    /// Pixels that it darkens.
    pub area: f64,
    /// The upright box around it.
    pub bounds: Quad,
}

impl Speck {
    /// Of the overview's pixels that it darkens; `scale` is scan pixels to one of them, across and down.
    pub(super) fn of(pixels: &[(u32, u32)], scale: (f64, f64)) -> Self {
        let place = |x: f64, y: f64| Point { x: x * scale.0, y: y * scale.1 };
        let mean = |of: fn(&(u32, u32)) -> u32| {
            pixels.iter().map(|pixel| f64::from(of(pixel)) + 0.5).sum::<f64>() / pixels.len() as f64
        };
        let middle = place(mean(|pixel| pixel.0), mean(|pixel| pixel.1));
        let away = |(x, y): &(u32, u32)| {
            let pixel = place(f64::from(*x) + 0.5, f64::from(*y) + 0.5);
            (pixel.x - middle.x).hypot(pixel.y - middle.y)
        };
        let farthest = pixels.iter().map(away).fold(0.0, f64::max);
        // To the outer corner of the farthest pixel, not to its middle.
        let radius = farthest + scale.0.hypot(scale.1) / 2.0;
        let edges = |of: fn(&(u32, u32)) -> u32| {
            let (low, high) = pixels.iter().map(of).fold((u32::MAX, 0), |(low, high), v| (low.min(v), high.max(v)));
            (f64::from(low), f64::from(high) + 1.0)
        };
        let ((left, right), (top, bottom)) = (edges(|pixel| pixel.0), edges(|pixel| pixel.1));
        let bounds = Quad([place(left, top), place(right, top), place(right, bottom), place(left, bottom)]);
        Self { middle, radius, area: pixels.len() as f64 * scale.0 * scale.1, bounds }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_speck_is_measured_in_pixels_of_the_scan() {
        let speck = Speck::of(&[(10, 20), (11, 20), (10, 21), (11, 21)], (2.0, 3.0));
        assert_eq!(speck.middle, Point { x: 22.0, y: 63.0 });
        assert_eq!(speck.area, 24.0);
        assert_eq!((speck.bounds.0[0], speck.bounds.0[2]), (Point { x: 20.0, y: 60.0 }, Point { x: 24.0, y: 66.0 }));
        assert!((speck.radius - 2.0f64.hypot(3.0)).abs() < 1e-12, "{}", speck.radius);
    }
}
