//! Light from few rays, smoothed over what faces the same way at the same distance.

use rayon::prelude::*;

use crate::camera::Gathered;

/// The fill light, smoothed widely.
pub(crate) fn settle_fill(points: &[Gathered], width: usize) -> Vec<f64> {
    let alike = |_: &[f64], _: usize, _: usize| 1.0;
    let fill = points.iter().map(|p| p.fill).collect();
    settle(points, fill, width, &[1, 2, 4, 6], alike)
}

/// The light straight from the light, smoothed only where its rays disagree: in soft shadows.
pub(crate) fn settle_key(points: &[Gathered], width: usize) -> Vec<f64> {
    let unsure = neighbourly(points, width);
    let alike = |key: &[f64], here: usize, there: usize| {
        let apart = key[there] - key[here];
        1.0 / (1.0 + apart * apart / (2.0 * unsure[here] + 1e-12))
    };
    let key = points.iter().map(|p| p.key).collect();
    settle(points, key, width, &[1, 2, 3], alike)
}

/// How unsure the light is about each point: rays that agree by luck are no surer than their neighbours.
fn neighbourly(points: &[Gathered], width: usize) -> Vec<f64> {
    let height = points.len() / width;
    let mean = |at: usize| {
        let (x, y) = (at % width, at / width);
        let (mut sum, mut count) = (0.0, 0.0);
        for j in y.saturating_sub(2)..(y + 3).min(height) {
            for i in x.saturating_sub(2)..(x + 3).min(width) {
                sum += points[j * width + i].unsure;
                count += 1.0;
            }
        }
        sum / count
    };
    (0..points.len()).into_par_iter().map(mean).collect()
}

/// One pass a hole between the taps, each weighed by how alike two points are
/// (an edge-avoiding à-trous filter, Dammertz and others 2010, from memory).
fn settle(
    points: &[Gathered],
    mut light: Vec<f64>,
    width: usize,
    holes: &[isize],
    alike: impl Fn(&[f64], usize, usize) -> f64 + Sync,
) -> Vec<f64> {
    const TAPS: [f64; 5] = [1.0, 4.0, 6.0, 4.0, 1.0];
    let height = (points.len() / width) as isize;
    for &hole in holes {
        let before = light.clone();
        light.par_iter_mut().enumerate().for_each(|(here, value)| {
            let (x, y) = ((here % width) as isize, (here / width) as isize);
            let point = points[here];
            let (mut sum, mut weight) = (0.0, 0.0);
            for (k, tap) in (0..25).map(|k| (k, TAPS[k / 5] * TAPS[k % 5])) {
                let (i, j) = (x + (k as isize % 5 - 2) * hole, y + (k as isize / 5 - 2) * hole);
                if i < 0 || j < 0 || i >= width as isize || j >= height {
                    continue;
                }
                let there = j as usize * width + i as usize;
                let turned = point.facing.dot(points[there].facing).max(0.0).powi(8);
                let apart = (points[there].far - point.far) / (0.02 * point.far + 1e-6);
                let w = tap * turned * alike(&before, here, there) / (1.0 + apart * apart);
                sum += w * before[there];
                weight += w;
            }
            if weight > 0.0 {
                *value = sum / weight;
            }
        });
    }
    light
}
