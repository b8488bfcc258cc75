//! Enlarging and reducing by a windowed sinc, cut, turned and tilted on the way.

use std::ops::Range;

use super::area::{Area, Size};
use super::quad::{Point, Quad};

/// Lobes of the sinc on each side: Lanczos' window of three (Duchon, J. Appl. Meteorology 18, 1979, from memory).
const LOBES: f64 = 3.0;

/// Places of the kernel that are worked out beforehand, for each pixel; between them it is a straight line, off by at
/// most 2e-6 (computed: the second derivative stays below 10).
const STEPS: usize = 1024;

/// Where the places of one picture lie in another: a pixel further right or down there is a fixed way here.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mapping {
    /// Where the top left corner lies.
    pub origin: Point,
    /// The way of one pixel to the right.
    pub across: Point,
    /// The way of one pixel downwards.
    pub down: Point,
}

impl Mapping {
    /// Where the place lies that is `x` pixels from the left and `y` from the top.
    pub fn of(self, x: f64, y: f64) -> Point {
        Point {
            x: self.origin.x + x * self.across.x + y * self.down.x,
            y: self.origin.y + x * self.across.y + y * self.down.y,
        }
    }

    /// The way back: where what lies at `place` in the source lies in the result.
    pub fn back(self, place: Point) -> Point {
        let (x, y) = (place.x - self.origin.x, place.y - self.origin.y);
        let turn = self.across.x * self.down.y - self.across.y * self.down.x;
        Point { x: (x * self.down.y - y * self.down.x) / turn, y: (y * self.across.x - x * self.across.y) / turn }
    }
}

/// A picture made anew at another size: each pixel is the sum of the source pixels around its place, weighted by a
/// Lanczos kernel that is widened where the picture is reduced. Only pixels inside an outline count, and their weights
/// are brought to 1: what lies outside neither shows nor rings into the picture.
pub struct Resampling {
    mapping: Mapping,
    outline: Quad,
    /// Size of the source.
    from: Size,
    /// Size of the result.
    to: Size,
    /// Source pixels for each pixel of the result, across and down, at least 1.
    widened: (f64, f64),
    kernel: Vec<f32>,
}

/// The part of the source that some rows of the result are made from.
pub struct Window {
    area: Area,
    samples: Vec<f32>,
    /// Of each row the columns inside the outline, counted from the window's left.
    spans: Vec<Range<usize>>,
}

impl Resampling {
    /// From a source of size `from` to a picture of size `to`, whose places lie in the source as `mapping` says, inside
    /// `outline`.
    pub fn new(from: Size, to: Size, mapping: Mapping, outline: Quad) -> Self {
        let per_pixel = |across: f64, down: f64| across.hypot(down).max(1.0);
        let widened = (per_pixel(mapping.across.x, mapping.down.x), per_pixel(mapping.across.y, mapping.down.y));
        let steps = LOBES as usize * STEPS;
        let mut kernel: Vec<f32> = (0..steps).map(|i| lanczos(i as f64 / STEPS as f64) as f32).collect();
        // Beyond its last lobe it is nothing.
        kernel.extend([0.0, 0.0]);
        Self { mapping, outline, from, to, widened, kernel }
    }

    /// The rows of the result in blocks, top first, for each of which at most `most` pixels of the source are needed,
    /// or one row of the result each where even that needs more.
    pub fn blocks(&self, most: u64) -> Vec<Range<u32>> {
        let height = self.to.height;
        let cut = |rows: u32| (0..height).step_by(rows as usize).map(move |y| y..y.saturating_add(rows).min(height));
        let mut rows = height.max(1);
        while rows > 1 && cut(rows).any(|block| self.needs(block).size().pixels() > most) {
            rows = rows.div_ceil(2);
        }
        cut(rows).collect()
    }

    /// The area of the source that `rows` of the result are made from.
    pub fn needs(&self, rows: Range<u32>) -> Area {
        self.needs_for(Area { x: 0, y: rows.start, width: self.to.width, height: rows.end - rows.start })
    }

    /// The area of the source that a part of the result is made from.
    pub fn needs_for(&self, part: Area) -> Area {
        let (left, right) = (f64::from(part.x) + 0.5, f64::from(part.x + part.width) - 0.5);
        let (top, bottom) = (f64::from(part.y) + 0.5, f64::from(part.y + part.height) - 0.5);
        let corners = [(left, top), (right, top), (right, bottom), (left, bottom)].map(|(x, y)| self.mapping.of(x, y));
        let inside = self.outline.bounds(self.from);
        let span = |values: [f64; 4], widened: f64, first: u32, count: u32| {
            let reach = LOBES * widened + 1.0;
            let low = values.into_iter().fold(f64::INFINITY, f64::min) - reach;
            let high = values.into_iter().fold(f64::NEG_INFINITY, f64::max) + reach;
            let (least, most) = (f64::from(first), f64::from(first + count));
            let low = low.floor().clamp(least, most - 1.0) as u32;
            (low, high.ceil().clamp(f64::from(low + 1), most) as u32 - low)
        };
        let (x, width) = span(corners.map(|p| p.x), self.widened.0, inside.x, inside.width);
        let (y, height) = span(corners.map(|p| p.y), self.widened.1, inside.y, inside.height);
        Area { x, y, width, height }
    }

    /// The samples of an area of the source, row after row.
    ///
    /// # Panics
    /// If they are not as many as the area has pixels.
    pub fn window(&self, area: Area, samples: Vec<f32>) -> Window {
        assert_eq!(samples.len() as u64, area.size().pixels(), "a window is full");
        let in_area = |column: usize| column.saturating_sub(area.x as usize).min(area.width as usize);
        let span = |y| {
            let span = self.outline.row_span(y, self.from.width);
            in_area(span.start)..in_area(span.end)
        };
        Window { area, samples, spans: area.rows().map(span).collect() }
    }

    /// Row `y` of the result from a window that holds all it needs. Rows are independent: call it in parallel.
    pub fn row(&self, y: u32, window: &Window) -> Vec<f32> {
        self.part_of_row(y, 0..self.to.width, window)
    }

    /// Some `columns` of row `y`, the same as the whole row has there.
    pub fn part_of_row(&self, y: u32, columns: Range<u32>, window: &Window) -> Vec<f32> {
        let (mut across, mut down) = (Taps::default(), Taps::default());
        let pixel = |x: u32| {
            let at = self.mapping.of(f64::from(x) + 0.5, f64::from(y) + 0.5);
            across.around(at.x - f64::from(window.area.x), self.widened.0, &self.kernel);
            down.around(at.y - f64::from(window.area.y), self.widened.1, &self.kernel);
            weighted(&across, &down, window)
        };
        columns.map(pixel).collect()
    }
}

/// The kernel: sinc(t) sinc(t/3) for t below 3.
fn lanczos(t: f64) -> f64 {
    let sinc = |t: f64| if t == 0.0 { 1.0 } else { (std::f64::consts::PI * t).sin() / (std::f64::consts::PI * t) };
    if t.abs() < LOBES { sinc(t) * sinc(t / LOBES) } else { 0.0 }
}

/// Weights of the pixels of a row, or of a column, around a place.
#[derive(Default)]
struct Taps {
    at: f64,
    first: i64,
    weights: Vec<f32>,
    sum: f32,
}

impl Taps {
    fn around(&mut self, at: f64, widened: f64, kernel: &[f32]) {
        // In a picture that is not tilted one of the two stays the same all along a row.
        if self.at == at && !self.weights.is_empty() {
            return;
        }
        self.at = at;
        let reach = LOBES * widened;
        self.first = (at - reach - 0.5).ceil() as i64;
        let last = (at + reach - 0.5).floor() as i64;
        let scale = STEPS as f64 / widened;
        let weight = |i: i64| {
            let t = ((i as f64 + 0.5 - at) * scale).abs();
            let step = (t as usize).min(kernel.len() - 2);
            let (low, high) = (kernel[step], kernel[step + 1]);
            low + (high - low) * (t - step as f64) as f32
        };
        self.weights.clear();
        self.weights.extend((self.first..=last).map(weight));
        self.sum = self.weights.iter().sum();
    }

    /// The part of them that lies in `span`, and where it begins there.
    fn within(&self, span: &Range<usize>) -> (usize, &[f32]) {
        let index = |at: usize| (at as i64 - self.first).clamp(0, self.weights.len() as i64) as usize;
        let (from, to) = (index(span.start), index(span.end));
        (((self.first + from as i64).max(0)) as usize, &self.weights[from..to.max(from)])
    }
}

fn weighted(columns: &Taps, rows: &Taps, window: &Window) -> f32 {
    let width = window.area.width as usize;
    let (mut sum, mut all) = (0.0, 0.0);
    let (top, down) = rows.within(&(0..window.area.height as usize));
    for (y, row_weight) in (top..).zip(down) {
        let (left, across) = columns.within(&window.spans[y]);
        let samples = &window.samples[y * width + left..][..across.len()];
        let weight = if across.len() == columns.weights.len() { columns.sum } else { across.iter().sum() };
        sum += row_weight * product(across, samples);
        all += row_weight * weight;
    }
    sum / all
}

/// The sum of weighted samples: eight at a time, which processors do at once.
fn product(weights: &[f32], samples: &[f32]) -> f32 {
    let (weights_by_eight, samples_by_eight) = (weights.chunks_exact(8), samples.chunks_exact(8));
    let rest = weights_by_eight.remainder().iter().zip(samples_by_eight.remainder());
    let rest: f32 = rest.map(|(weight, sample)| weight * sample).sum();
    let mut sums = [0.0f32; 8];
    for (weights, samples) in weights_by_eight.zip(samples_by_eight) {
        for ((sum, weight), sample) in sums.iter_mut().zip(weights).zip(samples) {
            *sum += weight * sample;
        }
    }
    rest + sums.iter().sum::<f32>()
}

#[cfg(test)]
mod tests {
    use super::*;
    use fast_image_resize::pixels::F32;
    use fast_image_resize::{FilterType, ResizeAlg, ResizeOptions, Resizer, images::TypedImage};

    /// A picture with edges and a texture finer than the result can hold.
    fn source(size: Size) -> Vec<f32> {
        let value = |x: u32, y: u32| {
            let edge = if (x / 13 + y / 17).is_multiple_of(2) { 0.8 } else { 0.1 };
            edge + 0.1 * ((x * 911 + y * 577 + x * y * 13) % 1000) as f32 / 1000.0
        };
        (0..size.height).flat_map(|y| (0..size.width).map(move |x| value(x, y))).collect()
    }

    fn resampled(resampling: &Resampling, samples: &[f32], most: u64) -> Vec<f32> {
        let from = resampling.from;
        let mut rows = Vec::new();
        for block in resampling.blocks(most) {
            let area = resampling.needs(block.clone());
            let part = area.rows().flat_map(|y| &samples[(y * from.width) as usize..][area.columns()]).copied();
            let window = resampling.window(area, part.collect());
            rows.extend(block.flat_map(|y| resampling.row(y, &window)));
        }
        rows
    }

    fn upright(origin: (f64, f64), step: (f64, f64)) -> Mapping {
        Mapping {
            origin: Point { x: origin.0, y: origin.1 },
            across: Point { x: step.0, y: 0.0 },
            down: Point { x: 0.0, y: step.1 },
        }
    }

    fn most_apart(a: &[f32], b: &[f32]) -> f32 {
        assert_eq!(a.len(), b.len());
        a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max)
    }

    /// Held against the `fast_image_resize` library: reduced, and enlarged, with its own Lanczos filter of three lobes.
    #[test]
    fn a_whole_picture_comes_out_as_from_an_independent_library() {
        let from = Size { width: 211, height: 157 };
        let samples = source(from);
        for to in [Size { width: 90, height: 67 }, Size { width: 53, height: 30 }, Size { width: 300, height: 230 }] {
            let step = (f64::from(from.width) / f64::from(to.width), f64::from(from.height) / f64::from(to.height));
            let ours = Resampling::new(from, to, upright((0.0, 0.0), step), Quad::of(from.whole()));
            let pixels: Vec<F32> = samples.iter().map(|v| F32::new(*v)).collect();
            let image = TypedImage::from_pixels(from.width, from.height, pixels).unwrap();
            let mut theirs = TypedImage::<F32>::new(to.width, to.height);
            let options = ResizeOptions::new().resize_alg(ResizeAlg::Convolution(FilterType::Lanczos3));
            Resizer::new().resize_typed(&image, &mut theirs, &options).unwrap();
            let theirs: Vec<f32> = theirs.pixels().iter().map(|p| p.0).collect();
            let apart = most_apart(&resampled(&ours, &samples, u64::MAX), &theirs);
            assert!(apart < 2e-5, "{to:?}: {apart}");
        }
    }

    /// The slow twin: the formula itself at every pixel of the source, in double precision.
    #[test]
    fn a_tilted_outline_comes_out_as_the_formula_says() {
        let from = Size { width: 120, height: 90 };
        let samples = source(from);
        let (sin, cos) = 3.0f64.to_radians().sin_cos();
        for step in [1.7, 0.8] {
            let mapping = Mapping {
                origin: Point { x: 14.0, y: 9.0 },
                across: Point { x: step * cos, y: step * sin },
                down: Point { x: -step * sin, y: step * cos },
            };
            let to = Size { width: (90.0 / step) as u32, height: (64.0 / step) as u32 };
            let (w, h) = (f64::from(to.width), f64::from(to.height));
            let outline = Quad([mapping.of(0.0, 0.0), mapping.of(w, 0.0), mapping.of(w, h), mapping.of(0.0, h)]);
            let got = resampled(&Resampling::new(from, to, mapping, outline), &samples, u64::MAX);
            let widened = step.max(1.0);
            for (i, got) in got.iter().enumerate() {
                let (x, y) = (i as u32 % to.width, i as u32 / to.width);
                let at = mapping.of(f64::from(x) + 0.5, f64::from(y) + 0.5);
                let (mut sum, mut all) = (0.0, 0.0);
                for (j, sample) in samples.iter().enumerate() {
                    let (u, v) = ((j as u32 % from.width) as f64 + 0.5, (j as u32 / from.width) as f64 + 0.5);
                    if outline.holds(Point { x: u, y: v }) {
                        let weight = lanczos((u - at.x) / widened) * lanczos((v - at.y) / widened);
                        sum += weight * f64::from(*sample);
                        all += weight;
                    }
                }
                assert!((f64::from(*got) - sum / all).abs() < 1e-4, "step {step}, pixel {x}, {y}: {got}");
            }
        }
    }

    #[test]
    fn a_place_finds_its_way_back() {
        let mapping = Mapping {
            origin: Point { x: 14.0, y: 9.0 },
            across: Point { x: 0.2, y: 1.7 },
            down: Point { x: -1.6, y: 0.1 },
        };
        for (x, y) in [(0.0, 0.0), (3.5, 70.0), (-2.0, 11.0)] {
            let back = mapping.back(mapping.of(x, y));
            assert!((back.x - x).abs() < 1e-9 && (back.y - y).abs() < 1e-9);
        }
    }

    #[test]
    fn blocks_change_nothing_and_need_no_more_than_they_may() {
        let from = Size { width: 120, height: 90 };
        let samples = source(from);
        let to = Size { width: 40, height: 50 };
        // Turned by a quarter: rows of the result are columns of the source.
        let mapping = Mapping {
            origin: Point { x: 118.0, y: 2.0 },
            across: Point { x: 0.0, y: 2.1 },
            down: Point { x: -2.2, y: 0.0 },
        };
        let resampling = Resampling::new(from, to, mapping, Quad::of(from.whole()));
        let whole = resampled(&resampling, &samples, u64::MAX);
        let blocks = resampling.blocks(4000);
        assert!(blocks.len() > 2 && blocks.iter().all(|b| resampling.needs(b.clone()).size().pixels() <= 4000));
        assert_eq!(resampled(&resampling, &samples, 4000), whole);
    }

    #[test]
    fn a_part_is_what_the_whole_has_there() {
        let from = Size { width: 120, height: 90 };
        let samples = source(from);
        let mapping = Mapping {
            origin: Point { x: 4.0, y: 3.0 },
            across: Point { x: 2.1, y: 0.1 },
            down: Point { x: -0.1, y: 2.2 },
        };
        let to = Size { width: 50, height: 35 };
        let resampling = Resampling::new(from, to, mapping, Quad::of(from.whole()));
        let whole = resampled(&resampling, &samples, u64::MAX);
        let part = Area { x: 11, y: 20, width: 17, height: 9 };
        let area = resampling.needs_for(part);
        assert!(area.size().pixels() < from.pixels() / 4);
        let needed = area.rows().flat_map(|y| &samples[(y * from.width) as usize..][area.columns()]).copied();
        let window = resampling.window(area, needed.collect());
        for y in part.rows() {
            let row = resampling.part_of_row(y, part.x..part.x + part.width, &window);
            assert!(most_apart(&row, &whole[(y * to.width) as usize..][part.columns()]) < 1e-6, "row {y}");
        }
    }

    /// Nothing outside the outline reaches the result, and an even field stays even up to its edge.
    #[test]
    fn the_surroundings_of_a_frame_do_not_ring_into_it() {
        let from = Size { width: 100, height: 80 };
        let frame = Area { x: 20, y: 15, width: 60, height: 50 };
        let inside = |x: u32, y: u32| frame.columns().contains(&(x as usize)) && frame.rows().contains(&y);
        let samples: Vec<f32> = (0..from.height)
            .flat_map(|y| (0..from.width).map(move |x| if inside(x, y) { 0.25 } else { 1.0 }))
            .collect();
        for step in [2.5, 0.6] {
            let to = Size { width: (60.0 / step) as u32, height: (50.0 / step) as u32 };
            let mapping = upright((20.0, 15.0), (60.0 / f64::from(to.width), 50.0 / f64::from(to.height)));
            let got = resampled(&Resampling::new(from, to, mapping, Quad::of(frame)), &samples, u64::MAX);
            assert!(got.iter().all(|v| (v - 0.25).abs() < 1e-6), "step {step}");
        }
    }
}
