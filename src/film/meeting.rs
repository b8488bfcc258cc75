//! The meeting of the ends: the smallest part of a frame that holds thin and dense places, as a test print wants it.

use crate::light::Density;
use crate::plane::{Area, Size};

/// A place belongs to an end that lies within this share of the range from it (house: a fifth is about a zone and a
/// half).
const NEAR: f64 = 0.2;
/// Shares of a window that each end must fill: first the one, and if no window does, the other.
const FILLED: [f64; 2] = [0.05, 0.005];
/// The smallest window's shorter side, as a share of the frame's shorter one: less is hardly known again.
const SMALLEST: f64 = 0.18;
/// From one size to the next.
const GROWTH: f64 = 1.2;

/// A part of a frame reduced to a small picture, row after row: net densities, no number where dust lies or the frame
/// ends.
pub struct Nets<'d> {
    /// Its size.
    pub size: Size,
    /// Its densities.
    pub net: &'d [f32],
}

/// The smallest window of the shape width/height `shape` in which both ends fill a twentieth each; of several the one
/// in which the lesser of the two fills most. Where the ends never meet, the largest window in the middle.
///
/// # Panics
/// If there is not a density for each pixel, or no pixel.
pub fn meeting(seen: &Nets<'_>, thin: Density, dense: Density, shape: f64) -> Area {
    let Size { width, height } = seen.size;
    assert!(seen.net.len() as u64 == seen.size.pixels() && !seen.net.is_empty(), "a density for each pixel");
    let near = NEAR * (dense - thin).value();
    let (low, high) = ((thin.value() + near) as f32, (dense.value() - near) as f32);
    let [thins, denses, all] =
        [Sums::of(seen, |n| n <= low), Sums::of(seen, |n| n >= high), Sums::of(seen, |n| !n.is_nan())];
    let (wide, tall) = (f64::from(width), f64::from(height));
    // The largest window that fits, and the smallest that is tried.
    let largest = (wide / shape.max(1.0)).min(tall * shape.min(1.0));
    let smallest = (SMALLEST * wide.min(tall)).min(largest);
    let sized = |unit: f64| {
        let side = |length: f64, most: u32| (length.round() as u32).clamp(1, most);
        Size { width: side(unit * shape.max(1.0), width), height: side(unit / shape.min(1.0), height) }
    };
    let sizes = || std::iter::successors(Some(smallest), |unit| (unit * GROWTH <= largest).then_some(unit * GROWTH));
    let of_size =
        |window: Size| {
            let step = (window.width.min(window.height) / 8).max(1) as usize;
            let tops = (0..=height - window.height).step_by(step);
            tops.flat_map(move |y| (0..=width - window.width).step_by(step).map(move |x| (x, y)))
                .map(move |(x, y)| Area { x, y, width: window.width, height: window.height })
        };
    // Half a window of dust, or of what lies beyond a tilted frame, is none.
    let whole = |area: &Area| 2 * u64::from(all.within(*area)) > area.size().pixels();
    let filled = |area: &Area| f64::from(thins.within(*area).min(denses.within(*area))) / area.size().pixels() as f64;
    let found = FILLED.into_iter().find_map(|least| {
        sizes().find_map(|unit| {
            let best = of_size(sized(unit)).filter(whole).max_by(|a, b| filled(a).total_cmp(&filled(b)));
            best.filter(|best| filled(best) >= least)
        })
    });
    found.unwrap_or_else(|| {
        let window = sized(largest);
        let (x, y) = ((width - window.width) / 2, (height - window.height) / 2);
        Area { x, y, width: window.width, height: window.height }
    })
}

/// How many pixels of a kind lie above and left of each corner, so that those in any window are told at once.
struct Sums {
    across: usize,
    sums: Vec<u32>,
}

impl Sums {
    fn of(seen: &Nets<'_>, is: impl Fn(f32) -> bool) -> Self {
        let (width, across) = (seen.size.width as usize, seen.size.width as usize + 1);
        let mut sums = vec![0; across];
        for (y, row) in seen.net.chunks_exact(width).enumerate() {
            let mut in_row = 0;
            sums.push(0);
            for (x, net) in row.iter().enumerate() {
                in_row += u32::from(is(*net));
                sums.push(sums[y * across + x + 1] + in_row);
            }
        }
        Self { across, sums }
    }

    fn within(&self, area: Area) -> u32 {
        let at = |x: usize, y: usize| self.sums[y * self.across + x];
        let (columns, rows) = (area.columns(), area.y as usize..area.rows().end as usize);
        at(columns.end, rows.end) + at(columns.start, rows.start)
            - at(columns.start, rows.end)
            - at(columns.end, rows.start)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SIZE: Size = Size { width: 200, height: 160 };

    fn net(of: impl Fn(u32, u32) -> f32) -> Vec<f32> {
        (0..SIZE.height).flat_map(|y| (0..SIZE.width).map(move |x| (x, y))).map(|(x, y)| of(x, y)).collect()
    }

    fn met(net: &[f32], shape: f64) -> Area {
        meeting(&Nets { size: SIZE, net }, Density::new(0.1), Density::new(1.3), shape)
    }

    #[test]
    fn the_window_lies_where_thin_and_dense_meet() {
        // A dark corner far from a bright one, and a small place where both lie side by side.
        let picture = net(|x, y| match (x, y) {
            (0..40, 0..40) => 0.12,
            (160.., 120..) => 1.28,
            (114..128, 24..56) => 0.12,
            (128..142, 24..56) => 1.28,
            _ => 0.6,
        });
        for shape in [0.8, 1.0, 1.25] {
            let window = met(&picture, shape);
            assert!(window.columns().contains(&127) && window.columns().contains(&128), "{shape}: {window:?}");
            assert!(window.width < 60 && window.rows().start < 56 && window.rows().end > 24, "{shape}: {window:?}");
            let got = f64::from(window.width) / f64::from(window.height);
            assert!((got / shape - 1.0).abs() < 0.1, "{shape}: {window:?}");
        }
    }

    #[test]
    fn ends_far_apart_take_a_large_window_and_none_at_all_the_middle() {
        let apart = net(|x, _| {
            if x < 20 {
                0.12
            } else if x >= 180 {
                1.28
            } else {
                0.6
            }
        });
        assert!(met(&apart, 1.25).width >= 170);
        let even = met(&net(|_, _| 0.6), 1.0);
        assert_eq!((even.x, even.y, even.width, even.height), (20, 0, 160, 160));
        let dust = met(&net(|_, _| f32::NAN), 1.0);
        assert_eq!(dust.width, 160);
    }
}
