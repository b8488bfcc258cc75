//! Lines, rings and letters on a canvas, in pixels.

use image::GrayImage;

use super::canvas::{Canvas, PixelArea};
use super::face::Face;
use super::page::{Ink, TextRun};
use super::raster::draw_text;
use super::reduce::stretch;
use crate::light::{Millimetres, PixelsPerInch};
use crate::plane::Point;

/// Pixels an inch of pictures that are drawn in pixels: their 1600 pixels then print on a page of A4 or letter size.
pub const PICTURE_PPI: f64 = 200.0;

pub(super) const BLACK: Ink = Ink(0);
pub(super) const WHITE: Ink = Ink(255);

/// Draws on white paper. Places and weights are in pixels, sizes of letters in points.
pub(super) struct Pen {
    canvas: Canvas,
}

/// Resolution at which a drawn picture prints.
pub(super) fn ppi() -> PixelsPerInch {
    PixelsPerInch::new(PICTURE_PPI).expect("a picture has pixels")
}

/// Pixels of a length in points.
pub(super) fn points(points: f64) -> f64 {
    Millimetres::from_points(points).pixels(ppi())
}

/// A length in pixels as one on paper.
pub(super) fn on_paper(pixels: f64) -> Millimetres {
    Millimetres::of_pixels(pixels, ppi())
}

/// Length of a line of letters in pixels.
pub(super) fn length(text: &str, face: Face, size: f64) -> f64 {
    face.length(text, Millimetres::from_points(size)).pixels(ppi())
}

impl Pen {
    pub(super) fn new(width: f64, height: f64) -> Self {
        Self { canvas: Canvas::new(width.round() as u32, height.round() as u32) }
    }

    pub(super) fn into_image(self) -> GrayImage {
        self.canvas.into_image()
    }

    pub(super) fn picture(&mut self, area: PixelArea, picture: &GrayImage) {
        stretch(&mut self.canvas, area, picture);
    }

    /// One pixel, by a share of 0 to 1.
    pub(super) fn touch(&mut self, x: i64, y: i64, ink: Ink, share: f32) {
        self.canvas.cover(x, y, ink, share);
    }

    pub(super) fn fill(&mut self, area: PixelArea, ink: Ink) {
        self.canvas.fill(area, ink);
    }

    /// A frame inside the edges of an area.
    pub(super) fn border(&mut self, area: PixelArea, weight: f64, ink: Ink) {
        let PixelArea { left, top, right, bottom } = area;
        self.fill(PixelArea { bottom: top + weight, ..area }, ink);
        self.fill(PixelArea { top: bottom - weight, ..area }, ink);
        self.fill(PixelArea { right: left + weight, ..area }, ink);
        self.fill(PixelArea { left: right - weight, ..area }, ink);
    }

    pub(super) fn line(&mut self, from: Point, to: Point, weight: f64, ink: Ink) {
        let (dx, dy) = (to.x - from.x, to.y - from.y);
        let square = (dx * dx + dy * dy).max(1e-9);
        let away = |x: f64, y: f64| {
            let along = (((x - from.x) * dx + (y - from.y) * dy) / square).clamp(0.0, 1.0);
            (x - from.x - along * dx).hypot(y - from.y - along * dy)
        };
        let low = Point { x: from.x.min(to.x), y: from.y.min(to.y) };
        let high = Point { x: from.x.max(to.x), y: from.y.max(to.y) };
        self.stroke(low, high, weight, ink, away);
    }

    /// A line of dashes, whole ones at both ends.
    pub(super) fn dashes(&mut self, from: Point, to: Point, dash: f64, weight: f64, ink: Ink) {
        let long = (to.x - from.x).hypot(to.y - from.y);
        let count = ((long / dash - 1.0) / 2.0).round().max(0.0) as u32;
        let parts = f64::from(2 * count + 1);
        let at = |part: u32| {
            let share = f64::from(part) / parts;
            Point { x: from.x + share * (to.x - from.x), y: from.y + share * (to.y - from.y) }
        };
        for i in 0..=count {
            self.line(at(2 * i), at(2 * i + 1), weight, ink);
        }
    }

    pub(super) fn ring(&mut self, middle: Point, radius: f64, weight: f64, ink: Ink) {
        let low = Point { x: middle.x - radius, y: middle.y - radius };
        let high = Point { x: middle.x + radius, y: middle.y + radius };
        self.stroke(low, high, weight, ink, |x, y| ((x - middle.x).hypot(y - middle.y) - radius).abs());
    }

    pub(super) fn disc(&mut self, middle: Point, radius: f64, ink: Ink) {
        self.ring(middle, radius / 2.0, radius, ink);
    }

    /// Letters on a baseline.
    pub(super) fn text(&mut self, left: f64, baseline: f64, size: f64, face: Face, ink: Ink, text: &str) {
        let (left, baseline, size) = (on_paper(left), on_paper(baseline), Millimetres::from_points(size));
        draw_text(&mut self.canvas, &TextRun { left, baseline, size, face, ink, text: text.to_owned() }, ppi());
    }

    /// Covers what is within half a weight of a curve; `away` is the distance from it, `low` and `high` its bounds.
    fn stroke(&mut self, low: Point, high: Point, weight: f64, ink: Ink, away: impl Fn(f64, f64) -> f64) {
        let reach = weight / 2.0 + 1.0;
        let span = |low: f64, high: f64, most: u32| {
            let from = (low - reach).floor().max(0.0) as i64;
            from..((high + reach).ceil().min(f64::from(most)) as i64)
        };
        for y in span(low.y, high.y, self.canvas.height()) {
            for x in span(low.x, high.x, self.canvas.width()) {
                let share = weight / 2.0 + 0.5 - away(x as f64 + 0.5, y as f64 + 0.5);
                if share > 0.0 {
                    self.canvas.cover(x, y, ink, share as f32);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ink(draw: impl Fn(&mut Pen)) -> f64 {
        let mut pen = Pen::new(200.0, 200.0);
        draw(&mut pen);
        pen.into_image().pixels().map(|pixel| 1.0 - f64::from(pixel.0[0]) / 255.0).sum()
    }

    #[test]
    fn a_line_and_a_ring_take_as_much_ink_as_their_length_times_their_weight() {
        let (from, to) = (Point { x: 20.0, y: 30.0 }, Point { x: 170.0, y: 140.0 });
        let long = 150.0f64.hypot(110.0);
        let line = ink(|pen| pen.line(from, to, 3.0, BLACK));
        assert!((line / (3.0 * long + 7.0) - 1.0).abs() < 0.02, "{line}");
        let ring = ink(|pen| pen.ring(Point { x: 100.0, y: 100.0 }, 50.0, 3.0, BLACK));
        assert!((ring / (3.0 * std::f64::consts::TAU * 50.0) - 1.0).abs() < 0.01, "{ring}");
        let dashes = ink(|pen| pen.dashes(from, to, 12.0, 3.0, BLACK));
        assert!(dashes > 0.5 * line && dashes < 0.75 * line, "{dashes} of {line}");
    }
}
