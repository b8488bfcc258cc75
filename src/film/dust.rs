//! Dust and hairs: thin, sharp and darker than what surrounds them. They are left out of a frame's ends, and counted.

use std::ops::Range;

use rayon::prelude::*;

use super::apart::stands_apart;
use super::patch::{Patch, patches};
use super::speck::Speck;
use crate::plane::{Overview, Quad};

/// Half the widest speck or hair, in pixels of the overview: a fifth of a millimetre on a 4 x 5 in sheet, as dust is.
const RADIUS: usize = 3;
/// By how much each comparison looks ahead, so that all together reach over a window of 2 `RADIUS` + 1.
const STEPS: [usize; 3] = [1, 2, 3];
/// Rows that are worked on together, so that they stay in the processor's own memory.
const ROWS: usize = 32;
/// Side of the squares in which a picture's own texture is judged, in pixels.
const SQUARE: usize = 48;
/// Share of a square's pixels that set its texture; dust covers far less than the rest.
const TEXTURE: f64 = 0.9;
/// Least contrast (light around over light under it, less 1) of dust: 0.11 D, a tenth of a negative's range.
const LEAST_CONTRAST: f32 = 0.3;
/// Dust stands out from the texture by this factor: below it, it cannot be told from the picture.
const OUTSTANDING: f32 = 4.0;
/// The soft edge of a speck, left out with it, in pixels.
const EDGE: usize = 2;
/// Dark pixels this near to one another are one speck, in pixels: a hair is seldom seen without gaps.
const REACH: usize = 2;
/// Light below which a ratio says nothing, of full scale: density 4.
const LEAST_LIGHT: f32 = 1e-4;

/// Where dust lies on a scan: as spans of the overview's rows, soft edges included, and speck by speck.
#[derive(Clone, Debug, PartialEq)]
pub struct Dust {
    /// For each row of the overview, columns from and to (not included).
    rows: Vec<Vec<(u32, u32)>>,
    scale: (f64, f64),
    specks: Vec<Speck>,
}

impl Dust {
    /// Looks for dust in an overview. What is finer than the overview's pixels is found while it still darkens one.
    pub fn of(overview: &Overview) -> Self {
        let (width, height) = (overview.size().width as usize, overview.size().height as usize);
        let contrast = contrast(overview.light(), width, height);
        let limits = limits(&contrast, width, height);
        let mut dark = Vec::new();
        for (y, row) in contrast.chunks_exact(width.max(1)).enumerate() {
            let limits = &limits[y / SQUARE * width.div_ceil(SQUARE)..];
            for ((square, piece), limit) in row.chunks(SQUARE).enumerate().zip(limits) {
                let beyond = piece.iter().enumerate().filter(|(_, contrast)| *contrast >= limit);
                dark.extend(beyond.map(|(x, _)| ((square * SQUARE + x) as u32, y as u32)));
            }
        }
        let mut dusty = vec![false; width * height];
        for &(x, y) in &dark {
            let (x, y) = (x as usize, y as usize);
            for row in y.saturating_sub(EDGE)..(y + EDGE + 1).min(height) {
                dusty[row * width..][x.saturating_sub(EDGE)..(x + EDGE + 1).min(width)].fill(true);
            }
        }
        let scale = overview.scale();
        let certain = |patch: &Patch| stands_apart(patch, overview.light(), &dusty, width);
        let patches = patches(&dark, (width, height), REACH).into_par_iter().filter(certain);
        let specks = patches.map(|patch| Speck::of(&patch, scale)).collect();
        Self { rows: dusty.chunks_exact(width.max(1)).map(runs).collect(), scale, specks }
    }

    /// All specks and hairs of the scan, row by row.
    pub fn specks(&self) -> &[Speck] {
        &self.specks
    }

    /// Those that lie wholly in a frame with these corners, its soft edges left out.
    pub fn within(&self, corners: Quad) -> impl Iterator<Item = &Speck> {
        let frame = super::margin::inset(corners);
        self.specks.iter().filter(move |speck| speck.bounds.0.iter().all(|corner| frame.holds(*corner)))
    }

    /// The parts of `columns` of the scan's row `y` that are free of dust.
    pub fn clear(&self, y: u32, columns: Range<usize>) -> impl Iterator<Item = Range<usize>> + '_ {
        let row = ((f64::from(y) + 0.5) / self.scale.1) as usize;
        let scale = self.scale.0;
        let dusty = move |(from, to): &(u32, u32)| {
            ((f64::from(*from) * scale).floor() as usize, (f64::from(*to) * scale).ceil() as usize)
        };
        clear_of(self.rows.get(row).map_or(&[], Vec::as_slice), columns, dusty)
    }

    /// The parts of `columns` of the overview's row `y` that are free of dust.
    pub(super) fn clear_of_overview(&self, y: u32, columns: Range<usize>) -> impl Iterator<Item = Range<usize>> + '_ {
        clear_of(&self.rows[y as usize], columns, |(from, to)| (*from as usize, *to as usize))
    }
}

/// What of `columns` lies between runs of dust.
fn clear_of<'a>(
    runs: &'a [(u32, u32)],
    columns: Range<usize>,
    dusty: impl Fn(&(u32, u32)) -> (usize, usize) + Copy + 'a,
) -> impl Iterator<Item = Range<usize>> + 'a {
    let Range { start, end } = columns;
    let begins = std::iter::once(start).chain(runs.iter().map(move |run| dusty(run).1));
    let ends = runs.iter().map(move |run| dusty(run).0).chain(std::iter::once(end));
    begins.zip(ends).map(move |(from, to)| from.max(start)..to.min(end)).filter(|span| span.start < span.end)
}

fn runs(row: &[bool]) -> Vec<(u32, u32)> {
    let mut runs = Vec::new();
    let mut begun = None;
    for (x, dusty) in row.iter().copied().chain(std::iter::once(false)).enumerate() {
        match (dusty, begun) {
            (true, None) => begun = Some(x as u32),
            (false, Some(first)) => {
                runs.push((first, x as u32));
                begun = None;
            }
            _ => {}
        }
    }
    runs
}

/// Light after what is narrow and dark has been closed (brightest, then darkest of a square window) over light, less 1.
fn contrast(light: &[f32], width: usize, height: usize) -> Vec<f32> {
    // Plain comparisons, which compile to vector instructions; light is never NaN.
    let brightest = window(light, width, height, |a, b| if b > a { b } else { a });
    let mut closed = window(&brightest, width, height, |a, b| if b < a { b } else { a });
    closed.par_iter_mut().zip(light).with_min_len(width * ROWS).for_each(|(around, here)| {
        *around = *around / here.max(LEAST_LIGHT) - 1.0;
    });
    closed
}

/// The extreme over a square window around each pixel.
///
/// Of 7 values the extreme is that of 4 and the 4 that end 3 later, of 4 that of 2 and the next 2: three comparisons a
/// pixel each way. Beyond the edge the last pixel repeats, which changes no extreme.
fn window(values: &[f32], width: usize, height: usize, extreme: impl Fn(f32, f32) -> f32 + Sync) -> Vec<f32> {
    let mut out = vec![0.0; values.len()];
    let of_rows = |(block, out): (usize, &mut [f32])| {
        let take = |into: &mut [f32], near: &[f32]| {
            for (value, near) in into.iter_mut().zip(near) {
                *value = extreme(*value, *near);
            }
        };
        let (top, rows) = (block * ROWS, out.len() / width);
        let mut padded = vec![0.0; width + 2 * RADIUS];
        let mut later = padded.clone();
        let mut across = Vec::with_capacity((rows + 2 * RADIUS) * width);
        for y in 0..rows + 2 * RADIUS {
            let row = &values[(top + y).saturating_sub(RADIUS).min(height - 1) * width..][..width];
            padded[..RADIUS].fill(row[0]);
            padded[RADIUS..RADIUS + width].copy_from_slice(row);
            padded[RADIUS + width..].fill(row[width - 1]);
            for step in STEPS {
                let end = padded.len() - step;
                later[..end].copy_from_slice(&padded[step..]);
                take(&mut padded[..end], &later[..end]);
            }
            across.extend_from_slice(&padded[..width]);
        }
        for step in STEPS {
            for y in 0..rows + 2 * RADIUS - step {
                let (before, after) = across.split_at_mut((y + step) * width);
                take(&mut before[y * width..][..width], &after[..width]);
            }
        }
        out.copy_from_slice(&across[..rows * width]);
    };
    out.par_chunks_mut((ROWS * width).max(1)).enumerate().for_each(of_rows);
    out
}

/// For each square the contrast from which a pixel is dust, row of squares after row.
fn limits(contrast: &[f32], width: usize, height: usize) -> Vec<f32> {
    let squares: Vec<(usize, usize)> =
        (0..height).step_by(SQUARE).flat_map(|top| (0..width).step_by(SQUARE).map(move |left| (left, top))).collect();
    let limit = |(left, top): (usize, usize)| {
        let columns = left..(left + SQUARE).min(width);
        let mut square: Vec<f32> = (top..(top + SQUARE).min(height))
            .flat_map(|y| contrast[y * width..][columns.clone()].iter().copied())
            .collect();
        let rank = ((square.len() - 1) as f64 * TEXTURE) as usize;
        let texture = *square.select_nth_unstable_by(rank, f32::total_cmp).1;
        LEAST_CONTRAST.max(OUTSTANDING * texture)
    };
    squares.into_par_iter().map(limit).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::Size;

    fn overview(pixel: impl Fn(u32, u32) -> f32) -> Overview {
        let size = Size { width: 120, height: 100 };
        let light = (0..100).flat_map(|y| (0..120).map(move |x| (x, y))).map(|(x, y)| pixel(x, y)).collect();
        Overview::new(size, light, Size { width: 240, height: 200 })
    }

    #[test]
    fn a_speck_and_a_hair_on_a_calm_sky_are_left_out_and_a_broad_shape_is_not() {
        let dust = Dust::of(&overview(|x, y| {
            let speck = x.abs_diff(30) < 2 && y.abs_diff(40) < 2;
            let hair = y == x / 2 + 20 && (60..90).contains(&x);
            let shape = (90..115).contains(&x) && (5..40).contains(&y);
            if speck || hair || shape { 0.01 } else { 0.2 }
        }));
        let clear: Vec<_> = dust.clear(80, 0..240).collect();
        assert_eq!(clear.first().map(|span| span.start), Some(0));
        assert!(clear.iter().all(|span| !span.contains(&60)), "the speck: {clear:?}");
        assert!(dust.clear(110, 0..240).all(|span| !span.contains(&140)), "the hair");
        assert_eq!(dust.clear(30, 150..240).collect::<Vec<_>>(), vec![150..240], "the shape");
    }

    /// The slow way: every pixel of every window.
    #[test]
    fn the_extreme_of_a_window_is_that_of_all_its_pixels() {
        for (width, height) in [(1, 1), (2, 50), (50, 2), (71, 67)] {
            let values: Vec<f32> = (0..width * height).map(|i| ((i * 7919 + i * i * 31) % 1009) as f32).collect();
            let fast = window(&values, width, height, f32::max);
            for (i, found) in fast.iter().enumerate() {
                let near = |at: usize, most: usize| at.saturating_sub(RADIUS)..(at + RADIUS + 1).min(most);
                let rows = near(i / width, height).flat_map(|y| near(i % width, width).map(move |x| (x, y)));
                let slow = rows.map(|(x, y)| values[y * width + x]).fold(0.0, f32::max);
                assert_eq!(*found, slow, "{width} x {height}, pixel {i}");
            }
        }
    }

    #[test]
    fn the_specks_that_were_drawn_on_a_calm_sky_are_counted() {
        let specks = [(20, 20), (50, 30), (80, 40), (30, 70), (100, 80), (64, 64)];
        let dust = Dust::of(&overview(|x, y| {
            let speck = specks.iter().any(|(u, v)| x.abs_diff(*u) + y.abs_diff(*v) < 2);
            let hair = (70..95).contains(&x) && y == 10 + (x - 70) * (x - 70) / 60;
            let board = y == 95;
            if speck || hair || board { 0.02 } else { 0.2 + 0.0005 * ((x * 7 + y * 13) % 11) as f32 }
        }));
        assert_eq!(dust.specks().len(), specks.len() + 1, "{:?}", dust.specks());
        let first = dust.specks().iter().find(|speck| speck.middle.x < 50.0).unwrap();
        // Drawn as a cross of five pixels, each of two by two of the scan.
        assert_eq!((first.area, first.middle.x, first.middle.y), (20.0, 41.0, 41.0));
        let half = Quad::of(crate::plane::Area { x: 0, y: 0, width: 120, height: 200 });
        assert_eq!(dust.within(half).count(), 3, "by frame");
    }

    #[test]
    fn the_texture_of_a_picture_is_not_dust() {
        let dust = Dust::of(&overview(|x, y| if (x / 2 + y / 2) % 3 == 0 { 0.05 } else { 0.2 }));
        assert!(dust.rows.iter().all(Vec::is_empty));
    }

    #[test]
    fn an_overview_of_one_pixel_has_no_dust() {
        let size = Size { width: 1, height: 1 };
        let dust = Dust::of(&Overview::new(size, vec![0.0], size));
        assert_eq!(dust.clear(0, 0..1).collect::<Vec<_>>(), vec![0..1]);
    }
}
