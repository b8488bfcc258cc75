//! Dust and hairs: thin, sharp and darker than what surrounds them. They are left out of a frame's ends, nothing else.

use std::ops::Range;

use crate::plane::Overview;

/// Half the widest speck or hair, in pixels of the overview: a fifth of a millimetre on a 4 x 5 in sheet, as dust is.
const RADIUS: usize = 3;
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
/// Light below which a ratio says nothing, of full scale: density 4.
const LEAST_LIGHT: f32 = 1e-4;

/// Where dust lies on a scan, as spans of the overview's rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Dust {
    /// For each row of the overview, columns from and to (not included).
    rows: Vec<Vec<(u32, u32)>>,
    scale: (f64, f64),
}

impl Dust {
    /// Looks for dust in an overview. What is finer than the overview's pixels is found while it still darkens one.
    pub fn of(overview: &Overview) -> Self {
        let (width, height) = (overview.size().width as usize, overview.size().height as usize);
        let contrast = contrast(overview.light(), width, height);
        let limits = limits(&contrast, width, height);
        let squares = width.div_ceil(SQUARE);
        let mut dusty = vec![false; width * height];
        for y in 0..height {
            for x in 0..width {
                if contrast[y * width + x] < limits[y / SQUARE * squares + x / SQUARE] {
                    continue;
                }
                for row in y.saturating_sub(EDGE)..(y + EDGE + 1).min(height) {
                    dusty[row * width..][x.saturating_sub(EDGE)..(x + EDGE + 1).min(width)].fill(true);
                }
            }
        }
        Self { rows: dusty.chunks_exact(width.max(1)).map(runs).collect(), scale: overview.scale() }
    }

    /// The parts of `columns` of the scan's row `y` that are free of dust.
    pub fn clear(&self, y: u32, columns: Range<usize>) -> impl Iterator<Item = Range<usize>> + '_ {
        let row = ((f64::from(y) + 0.5) / self.scale.1) as usize;
        let runs = self.rows.get(row).map_or(&[] as &[_], Vec::as_slice);
        let scale = self.scale.0;
        let (start, end) = (columns.start, columns.end);
        let dusty = move |run: &(u32, u32)| {
            ((f64::from(run.0) * scale).floor() as usize, (f64::from(run.1) * scale).ceil() as usize)
        };
        let begins = std::iter::once(start).chain(runs.iter().map(move |run| dusty(run).1));
        let ends = runs.iter().map(move |run| dusty(run).0).chain(std::iter::once(end));
        begins.zip(ends).map(move |(from, to)| from.max(start)..to.min(end)).filter(|span| span.start < span.end)
    }
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
    let closed = window(&brightest, width, height, |a, b| if b < a { b } else { a });
    closed.iter().zip(light).map(|(around, here)| around / here.max(LEAST_LIGHT) - 1.0).collect()
}

/// The extreme over a square window around each pixel, rows first, then columns.
fn window(values: &[f32], width: usize, height: usize, extreme: impl Fn(f32, f32) -> f32) -> Vec<f32> {
    let take = |into: &mut [f32], from: &[f32]| {
        for (value, near) in into.iter_mut().zip(from) {
            *value = extreme(*value, *near);
        }
    };
    let mut across = values.to_vec();
    for (into, row) in across.chunks_exact_mut(width.max(1)).zip(values.chunks_exact(width.max(1))) {
        for shift in 1..=RADIUS.min(width - 1) {
            take(&mut into[shift..], &row[..width - shift]);
            take(&mut into[..width - shift], &row[shift..]);
        }
    }
    let mut down = across.clone();
    for (y, into) in down.chunks_exact_mut(width.max(1)).enumerate() {
        for near in y.saturating_sub(RADIUS)..(y + RADIUS + 1).min(height) {
            take(into, &across[near * width..][..width]);
        }
    }
    down
}

/// For each square the contrast from which a pixel is dust, row of squares after row.
fn limits(contrast: &[f32], width: usize, height: usize) -> Vec<f32> {
    let mut limits = Vec::new();
    for top in (0..height).step_by(SQUARE) {
        for left in (0..width).step_by(SQUARE) {
            let columns = left..(left + SQUARE).min(width);
            let mut square: Vec<f32> = (top..(top + SQUARE).min(height))
                .flat_map(|y| contrast[y * width..][columns.clone()].iter().copied())
                .collect();
            let rank = ((square.len() - 1) as f64 * TEXTURE) as usize;
            let texture = *square.select_nth_unstable_by(rank, f32::total_cmp).1;
            limits.push(LEAST_CONTRAST.max(OUTSTANDING * texture));
        }
    }
    limits
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
