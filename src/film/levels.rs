//! The bright levels of a scan: densities at which much of it is calm.

use crate::plane::Size;

/// Width of a bin in D: a fifth of what a lamp commonly varies over a flatbed.
const BIN: f32 = 0.004;
/// Base + fog of any usable film, stained or tinted ones too, lies below this (common practice), in D.
const DENSEST_BASE: f32 = 1.0;
/// A calm pixel differs from its neighbours by no more than this, in D: about three times a flatbed's noise.
const CALM: f32 = 0.015;
/// How far away those neighbours are, in pixels: beyond the reach of the 3 x 3 mean.
const NEIGHBOUR: usize = 2;
/// Least share of the scan that a level must cover; the rebate of a roll film strip, at the least, has ten times this.
const LEAST_SHARE: f64 = 0.003;
/// Levels looked at, from the brightest: open light and base are among the first two, a cluttered shadow adds some.
const MOST_LEVELS: usize = 8;

/// Peaks of the histogram of calm densities of a field of `size`, brightest first.
pub(super) fn levels(density: &[f32], size: Size) -> Vec<f32> {
    let bins = (DENSEST_BASE / BIN) as usize;
    let mut counts = vec![0u32; bins];
    let (width, height) = (size.width as usize, size.height as usize);
    let columns = width.saturating_sub(2 * NEIGHBOUR);
    for y in (NEIGHBOUR..height.saturating_sub(NEIGHBOUR)).filter(|_| columns > 0) {
        let row = |y: usize, x: usize| &density[y * width + x..][..columns];
        let (left, here, right) = (row(y, 0), row(y, NEIGHBOUR), row(y, 2 * NEIGHBOUR));
        let (above, below) = (row(y - NEIGHBOUR, NEIGHBOUR), row(y + NEIGHBOUR, NEIGHBOUR));
        let rows = here.iter().zip(left).zip(right).zip(above).zip(below);
        for ((((d, left), right), above), below) in rows {
            let calm = [left, right, above, below].map(|n| (n - d).abs() <= CALM);
            if *d < DENSEST_BASE && calm == [true; 4] {
                counts[((d / BIN).max(0.0) as usize).min(bins - 1)] += 1;
            }
        }
    }
    // A triangular window of five bins: as wide as lamp and noise spread one level.
    let smooth: Vec<f64> = (0..bins)
        .map(|i| {
            let at = |k: usize| i.checked_add(k).and_then(|j| j.checked_sub(2)).and_then(|j| counts.get(j)).copied();
            [1.0, 2.0, 3.0, 2.0, 1.0].iter().enumerate().map(|(k, w)| w * f64::from(at(k).unwrap_or(0))).sum::<f64>()
                / 3.0
        })
        .collect();
    let least = LEAST_SHARE * (width * height) as f64;
    (0..bins)
        .filter(|&i| {
            let around = &smooth[i.saturating_sub(3)..(i + 4).min(bins)];
            smooth[i] >= least && around.iter().all(|v| *v <= smooth[i]) && (i == 0 || smooth[i - 1] < smooth[i])
        })
        .map(|i| centre(&counts, i))
        .take(MOST_LEVELS)
        .collect()
}

/// The counted mean density within two bins of a peak.
fn centre(counts: &[u32], peak: usize) -> f32 {
    let range = peak.saturating_sub(2)..(peak + 3).min(counts.len());
    let total: f32 = counts[range.clone()].iter().map(|c| *c as f32).sum();
    let sum: f32 = range.map(|i| counts[i] as f32 * (i as f32 + 0.5) * BIN).sum();
    sum / total.max(1.0)
}
