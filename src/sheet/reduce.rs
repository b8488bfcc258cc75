//! A picture brought to the pixels of a page.

use std::ops::Range;

use image::GrayImage;

use super::canvas::{Canvas, PixelArea, shares};
use super::linear::{code, light};
use super::page::Ink;

/// Draws a picture stretched over a rectangle of the canvas.
///
/// A smaller picture is the area mean of its source in linear light: every source pixel counts by the part of it that
/// falls into the page's pixel. A larger one is drawn between neighbouring source pixels in straight lines.
pub(super) fn stretch(canvas: &mut Canvas, area: PixelArea, source: &GrayImage) {
    let across = taps(area.left, area.right, 0..canvas.width(), source.width());
    let down = taps(area.top, area.bottom, canvas.rows(), source.height());
    let mut row = vec![0.0f32; across.len()];
    for vertical in &down {
        row.fill(0.0);
        for (y, weight) in vertical.sources() {
            let codes = line(source, y);
            for (sum, horizontal) in row.iter_mut().zip(&across) {
                let mean: f32 = horizontal.sources().map(|(x, weight)| light(codes[x]) * weight).sum();
                *sum += mean * weight;
            }
        }
        for (sum, horizontal) in row.iter().zip(&across) {
            let share = horizontal.share * vertical.share;
            let ink = Ink(code(*sum));
            canvas.cover(horizontal.pixel, vertical.pixel, ink, share);
        }
    }
}

/// Which source pixels make one pixel of the page, along one axis.
struct Taps {
    /// The page's pixel.
    pixel: i64,
    /// The share of it that the picture covers.
    share: f32,
    /// The first source pixel.
    first: usize,
    /// Weights of the source pixels from the first on; their sum is 1.
    weights: Vec<f32>,
}

impl Taps {
    fn sources(&self) -> impl Iterator<Item = (usize, f32)> {
        self.weights.iter().enumerate().map(|(at, weight)| (self.first + at, *weight))
    }
}

/// The taps of all pixels that a picture of `count` source pixels touches between two places on the page.
fn taps(from: f64, to: f64, within: Range<u32>, count: u32) -> Vec<Taps> {
    let scale = f64::from(count) / (to - from);
    shares(from, to, within)
        .filter(|(_, share)| *share > 0.0)
        .map(|(pixel, share)| {
            let low = (from.max(pixel as f64) - from) * scale;
            let high = (to.min(pixel as f64 + 1.0) - from) * scale;
            let (first, weights) =
                if scale > 1.0 { means(low, high, count) } else { between((low + high) / 2.0, count) };
            Taps { pixel, share: share as f32, first, weights }
        })
        .collect()
}

/// The share of each source pixel in an interval.
fn means(low: f64, high: f64, count: u32) -> (usize, Vec<f32>) {
    let parts: Vec<(i64, f64)> = shares(low, high, 0..count).collect();
    let whole: f64 = parts.iter().map(|(_, part)| part).sum();
    match parts.first() {
        Some((first, _)) if whole > 0.0 => {
            (*first as usize, parts.iter().map(|(_, part)| (part / whole) as f32).collect())
        }
        // Rounding left nothing of a sliver at the far edge: its pixel is the last.
        _ => (count as usize - 1, vec![1.0]),
    }
}

/// The two source pixels on either side of a place, nearer ones heavier.
fn between(place: f64, count: u32) -> (usize, Vec<f32>) {
    let last = count as usize - 1;
    let centre = (place - 0.5).clamp(0.0, last as f64);
    let first = (centre.floor() as usize).min(last);
    let part = (centre - first as f64) as f32;
    if first == last { (first, vec![1.0]) } else { (first, vec![1.0 - part, part]) }
}

/// One row of codes.
fn line(source: &GrayImage, y: usize) -> &[u8] {
    let width = source.width() as usize;
    &source.as_raw()[y * width..(y + 1) * width]
}

#[cfg(test)]
mod tests {
    use image::{GrayImage, Luma};

    use super::{Canvas, PixelArea, code, light, stretch};

    fn drawn(source: &GrayImage, width: f64, height: f64) -> GrayImage {
        let mut canvas = Canvas::new(width.ceil() as u32, height.ceil() as u32);
        let area = PixelArea { left: 0.0, top: 0.0, right: width, bottom: height };
        stretch(&mut canvas, area, source);
        canvas.into_image()
    }

    #[test]
    fn black_and_white_halves_reduced_to_a_pixel_send_half_the_light() {
        let chequer = GrayImage::from_fn(8, 8, |x, y| Luma([((x + y) % 2 * 255) as u8]));
        let page = drawn(&chequer, 2.0, 2.0);
        assert!(page.pixels().all(|pixel| pixel.0 == [code(0.5)]));
    }

    #[test]
    fn reducing_keeps_the_mean_light_whatever_the_size() {
        let ramp = GrayImage::from_fn(97, 61, |x, y| Luma([(x * 2 + y) as u8]));
        let mean = |image: &GrayImage| {
            image.pixels().map(|pixel| light(pixel.0[0])).sum::<f32>() / (image.width() * image.height()) as f32
        };
        for (width, height) in [(13.0, 7.0), (31.0, 60.0), (96.0, 11.0)] {
            let small = drawn(&ramp, width, height);
            // Codes are whole: a page pixel is off by half a code at most, 0.0045 of the light at the bright end.
            assert!((mean(&small) - mean(&ramp)).abs() < 0.0045);
        }
    }

    #[test]
    fn at_its_own_size_a_picture_comes_back_unchanged() {
        let ramp = GrayImage::from_fn(16, 16, |x, y| Luma([(x * 16 + y) as u8]));
        assert_eq!(drawn(&ramp, 16.0, 16.0), ramp);
    }

    #[test]
    fn an_enlarged_picture_stays_between_its_neighbours() {
        let edge = GrayImage::from_fn(2, 1, |x, _| Luma([(x * 200) as u8]));
        let page = drawn(&edge, 40.0, 10.0);
        let row: Vec<u8> = (0..40).map(|x| page.get_pixel(x, 5).0[0]).collect();
        assert!(row.is_sorted());
        assert_eq!((row[0], row[39]), (0, 200));
    }
}
