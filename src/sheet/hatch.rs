//! Hatchings that tell regions apart without colour: each differs from all others in its direction or its kind.

use crate::film::Region;

/// What a hatching is made of.
const INK: f32 = 0.75;

/// The ink of a region's hatching at a pixel of the page, 0 to 1.
pub(super) fn ink(region: Region, x: i64, y: i64) -> f32 {
    let drawn = match region {
        Region::Picture => false,
        // Lines that rise.
        Region::Rebate => (x + y).rem_euclid(8) == 0,
        // Dots, every other row between those of the one before.
        Region::OpenLight => {
            let (row, column) = (y.div_euclid(6), y.rem_euclid(6) < 2);
            column && (x + 6 * row).rem_euclid(12) < 2
        }
        // Lines crossed, upright and level.
        Region::Holder => x.rem_euclid(5) == 0 || y.rem_euclid(5) == 0,
        // Broken level lines.
        Region::OtherFilm => y.rem_euclid(6) == 0 && (x + 6 * y).rem_euclid(10) < 6,
    };
    if drawn { INK } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Shares of ink in a swatch, worked out by hand; no two alike, so that they differ from afar as well.
    #[test]
    fn hatchings_differ_in_how_dark_they_are() {
        let share = |region| {
            let drawn = (0..120).flat_map(|y| (0..120).map(move |x| (x, y))).filter(|(x, y)| ink(region, *x, *y) > 0.0);
            drawn.count() as f64 / 14_400.0
        };
        assert_eq!(share(Region::Picture), 0.0);
        assert!((share(Region::Rebate) - 1.0 / 8.0).abs() < 1e-9);
        assert!((share(Region::OpenLight) - 4.0 / 72.0).abs() < 1e-9);
        assert!((share(Region::Holder) - 9.0 / 25.0).abs() < 1e-9);
        assert!((share(Region::OtherFilm) - 0.6 / 6.0).abs() < 1e-9);
    }
}
