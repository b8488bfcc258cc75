//! A grey page of pixels that takes ink.

use image::{GrayImage, Luma};

use super::page::Ink;

/// White paper to draw on.
///
/// Along edges ink and ground are mixed in sRGB codes, as PDF viewers do it: the page looks alike in both, and small
/// letters keep their weight, which they lose when mixed in light.
pub(super) struct Canvas(GrayImage);

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
        Self(GrayImage::from_pixel(width, height, Luma([255])))
    }

    /// The finished page.
    pub(super) fn into_image(self) -> GrayImage {
        self.0
    }

    pub(super) fn width(&self) -> u32 {
        self.0.width()
    }

    pub(super) fn height(&self) -> u32 {
        self.0.height()
    }

    /// Covers a share (0 to 1) of a pixel with an ink; a pixel outside the canvas is left out.
    pub(super) fn cover(&mut self, x: i64, y: i64, ink: Ink, share: f32) {
        let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y)) else {
            return;
        };
        if let Some(pixel) = self.0.get_pixel_mut_checked(x, y) {
            let share = share.clamp(0.0, 1.0);
            let under = f32::from(pixel.0[0]);
            pixel.0[0] = (under + (f32::from(ink.0) - under) * share).round() as u8;
        }
    }

    /// Fills a rectangle; a pixel on its edge takes the share that is covered.
    pub(super) fn fill(&mut self, area: PixelArea, ink: Ink) {
        for (y, down) in shares(area.top, area.bottom, self.height()) {
            for (x, across) in shares(area.left, area.right, self.width()) {
                self.cover(x, y, ink, (across * down) as f32);
            }
        }
    }
}

/// The pixels an interval touches, each with the share of it that is covered, inside 0 to `most`.
pub(super) fn shares(from: f64, to: f64, most: u32) -> impl Iterator<Item = (i64, f64)> {
    let first = from.floor().max(0.0) as i64;
    let end = to.ceil().min(f64::from(most)) as i64;
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
