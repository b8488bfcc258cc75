//! A grey page of pixels that takes ink.

use std::ops::Range;

use image::{GrayImage, Luma};

use super::page::Ink;

/// White paper to draw on.
///
/// Along edges ink and ground are mixed in sRGB codes, as PDF viewers do it: the page looks alike in both, and small
/// letters keep their weight, which they lose when mixed in light.
///
/// It may be a band of a larger page: places are those of the page, and what lies above or below the band is left out.
pub(super) struct Canvas {
    image: GrayImage,
    top: u32,
}

/// A rectangle in pixels, fractions kept.
#[derive(Debug, Clone, Copy)]
pub(super) struct PixelArea {
    pub(super) left: f64,
    pub(super) top: f64,
    pub(super) right: f64,
    pub(super) bottom: f64,
}

impl Canvas {
    /// White paper, width x height pixels.
    pub(super) fn new(width: u32, height: u32) -> Self {
        Self::band(width, 0..height)
    }

    /// These rows of a page of white paper.
    pub(super) fn band(width: u32, rows: Range<u32>) -> Self {
        Self { image: GrayImage::from_pixel(width, rows.len() as u32, Luma([255])), top: rows.start }
    }

    /// The finished page.
    pub(super) fn into_image(self) -> GrayImage {
        self.image
    }

    pub(super) fn width(&self) -> u32 {
        self.image.width()
    }

    pub(super) fn height(&self) -> u32 {
        self.image.height()
    }

    /// The rows of the page that it holds.
    pub(super) fn rows(&self) -> Range<u32> {
        self.top..self.top + self.image.height()
    }

    /// Covers a share (0 to 1) of a pixel with an ink; a pixel outside the canvas is left out.
    pub(super) fn cover(&mut self, x: i64, y: i64, ink: Ink, share: f32) {
        let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y - i64::from(self.top))) else {
            return;
        };
        if let Some(pixel) = self.image.get_pixel_mut_checked(x, y) {
            let share = share.clamp(0.0, 1.0);
            let under = f32::from(pixel.0[0]);
            pixel.0[0] = (under + (f32::from(ink.0) - under) * share).round() as u8;
        }
    }

    /// Fills a rectangle; a pixel on its edge takes the share that is covered.
    pub(super) fn fill(&mut self, area: PixelArea, ink: Ink) {
        for (y, down) in shares(area.top, area.bottom, self.rows()) {
            for (x, across) in shares(area.left, area.right, 0..self.width()) {
                self.cover(x, y, ink, (across * down) as f32);
            }
        }
    }
}

/// The pixels an interval touches, each with the share of it that is covered, as far as they are `within`.
pub(super) fn shares(from: f64, to: f64, within: Range<u32>) -> impl Iterator<Item = (i64, f64)> {
    let first = from.floor().max(f64::from(within.start)) as i64;
    let end = to.ceil().min(f64::from(within.end)) as i64;
    (first..end).map(move |pixel| {
        let low = from.max(pixel as f64);
        let high = to.min(pixel as f64 + 1.0);
        (pixel, (high - low).max(0.0))
    })
}

#[cfg(test)]
mod tests {
    use super::{Canvas, Ink, PixelArea};

    #[test]
    fn a_pixel_half_covered_with_black_is_half_way_to_it() {
        let mut canvas = Canvas::new(3, 3);
        canvas.fill(PixelArea { left: 0.5, top: 0.0, right: 2.0, bottom: 1.0 }, Ink(0));
        let page = canvas.into_image();
        assert_eq!(page.get_pixel(0, 0).0, [128]);
        assert_eq!(page.get_pixel(1, 0).0, [0]);
        assert_eq!(page.get_pixel(2, 0).0, [255]);
        assert_eq!(page.get_pixel(1, 1).0, [255]);
    }

    #[test]
    fn what_lies_outside_the_page_is_left_out() {
        let mut canvas = Canvas::new(2, 2);
        canvas.fill(PixelArea { left: -50.0, top: -50.0, right: 50.0, bottom: 50.0 }, Ink(0));
        assert!(canvas.into_image().pixels().all(|pixel| pixel.0 == [0]));
    }
}
