//! What the signs on a drawn picture mean.

use super::canvas::PixelArea;
use super::face::Face;
use super::hatch;
use super::lettering::{SMALL, line};
use super::page::{Ink, QUIET};
use super::pen::{BLACK, Pen, WHITE, length, points};
use crate::film::Region;
use crate::plane::Point;

/// A swatch, and white after it and after its words.
const SWATCH: (f64, f64) = (38.0, 26.0);
const OFF: f64 = 8.0;
const APART: f64 = 18.0;

/// A sign.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Sign {
    Hatching(Region),
    Line,
    Dashes,
    Ring,
    /// Strokes of a ruler.
    Ruler,
    /// A number in a white box.
    White,
    /// A number in a black box.
    Black,
}

impl Sign {
    fn width(self) -> f64 {
        match self {
            Self::Ring => 16.0,
            Self::White | Self::Black => boxed(NUMBER).0,
            Self::Dashes => SWATCH.0 + 24.0,
            _ => SWATCH.0,
        }
    }
}

/// The number that stands for any.
const NUMBER: &str = "1";

/// Signs and their words, in rows.
pub(super) struct Legend(Vec<(Sign, &'static str)>);

impl Legend {
    pub(super) fn new(entries: Vec<(Sign, &'static str)>) -> Self {
        Self(entries)
    }

    /// What it takes of the height in a room so wide.
    pub(super) fn height(&self, width: f64) -> f64 {
        let last = self.places(width).last().map_or(0, |place| place.1);
        SWATCH.1 + row() * f64::from(last)
    }

    /// Draws it from a place downwards.
    pub(super) fn draw(&self, pen: &mut Pen, left: f64, top: f64, width: f64) {
        for ((sign, text), (along, row_number)) in self.0.iter().zip(self.places(width)) {
            let (left, top) = (left + along, top + row() * f64::from(row_number));
            drawn(pen, *sign, left, top);
            let baseline = top + SWATCH.1 / 2.0 + points(SMALL) * 0.36;
            pen.text(left + sign.width() + OFF, baseline, SMALL, Face::Regular, BLACK, text);
        }
    }

    /// From the left, and in which row, each stands.
    fn places(&self, width: f64) -> Vec<(f64, u32)> {
        let (mut along, mut row) = (0.0, 0);
        let place = |(sign, text): &(Sign, &'static str)| {
            let wide = sign.width() + OFF + length(text, Face::Regular, SMALL);
            if along > 0.0 && along + wide > width {
                (along, row) = (0.0, row + 1);
            }
            let at = (along, row);
            along += wide + APART;
            at
        };
        self.0.iter().map(place).collect()
    }
}

fn row() -> f64 {
    line() * 1.4
}

fn drawn(pen: &mut Pen, sign: Sign, left: f64, top: f64) {
    let middle = top + SWATCH.1 / 2.0;
    let (from, to) = (Point { x: left, y: middle }, Point { x: left + sign.width(), y: middle });
    match sign {
        Sign::Hatching(region) => {
            let area = PixelArea { left, top, right: left + SWATCH.0, bottom: top + SWATCH.1 };
            for y in area.top as i64..area.bottom as i64 {
                for x in area.left as i64..area.right as i64 {
                    pen.touch(x, y, BLACK, hatch::ink(region, x, y));
                }
            }
            pen.border(area, 1.0, QUIET);
        }
        Sign::Line => pen.line(from, to, 2.0, BLACK),
        Sign::Dashes => pen.dashes(from, to, 14.0, 3.0, BLACK),
        Sign::Ring => ringed(pen, Point { x: left + 8.0, y: middle }, 7.0, 1.4),
        Sign::Ruler => {
            let foot = middle + 6.0;
            pen.line(Point { x: left, y: foot }, Point { x: left + SWATCH.0, y: foot }, 1.0, QUIET);
            for i in 0..=6 {
                let x = left + 1.0 + 6.0 * f64::from(i);
                let long = if i == 3 { 12.0 } else { 6.0 };
                pen.line(Point { x, y: foot }, Point { x, y: foot - long }, 1.2, QUIET);
            }
        }
        Sign::White => tag(pen, left, middle - boxed(NUMBER).1 / 2.0, WHITE, NUMBER),
        Sign::Black => tag(pen, left, middle - boxed(NUMBER).1 / 2.0, BLACK, NUMBER),
    }
}

/// A ring that shows on any tone.
pub(super) fn ringed(pen: &mut Pen, middle: Point, radius: f64, weight: f64) {
    pen.ring(middle, radius, weight + 2.0, WHITE);
    pen.ring(middle, radius, weight, BLACK);
}

/// Width and height of a number in a box.
pub(super) fn boxed(text: &str) -> (f64, f64) {
    (length(text, Face::Medium, SMALL) + 10.0, points(SMALL) * 1.12)
}

/// A number in a box, black on white or white on black.
pub(super) fn tag(pen: &mut Pen, left: f64, top: f64, ground: Ink, text: &str) {
    let (width, height) = boxed(text);
    let area = PixelArea { left, top, right: left + width, bottom: top + height };
    pen.fill(area, ground);
    pen.border(area, 1.0, BLACK);
    let ink = if ground == WHITE { BLACK } else { WHITE };
    pen.text(left + 5.0, area.bottom - points(SMALL) * 0.21, SMALL, Face::Medium, ink, text);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_row_is_wider_than_its_room() {
        let words = [(Sign::Hatching(Region::Rebate), "rebate"), (Sign::Line, "frame"), (Sign::Ring, "dust")];
        let legend = Legend::new(words.to_vec());
        assert_eq!(legend.height(2000.0), SWATCH.1);
        assert!((legend.height(200.0) - SWATCH.1 - row()).abs() < 1e-9);
        for width in [150.0, 200.0, 400.0] {
            for ((sign, text), (along, _)) in words.iter().zip(legend.places(width)) {
                assert!(along + sign.width() + OFF + length(text, Face::Regular, SMALL) <= width, "{text} in {width}");
            }
        }
    }
}
