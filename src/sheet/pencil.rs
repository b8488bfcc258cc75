//! Marks as a grease pencil leaves them: told apart by their form, not by a colour.

use std::f64::consts::TAU;

use super::area::Area;
use super::page::{Ink, Item};
use crate::light::Millimetres;

/// A mark in the box of a frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pencil {
    /// To be printed.
    Ring,
    /// To be looked at again.
    Dot,
    /// To be left out.
    Stroke,
}

/// Corners of what stands for a circle: a box of 5 mm shows none of them.
const CORNERS: u32 = 48;

/// Weight of a line, radius of the ring and of the dot, as shares of the box's side.
const WEIGHT: f64 = 0.11;
const RING: f64 = 0.38;
const DOT: f64 = 0.2;
/// From the box's edge to the stroke's end.
const INSET: f64 = 0.14;

impl Pencil {
    /// The mark in its box.
    pub(super) fn draw(self, area: Area, ink: Ink) -> Item {
        let side = area.width.min(area.height);
        let (through, weight) = match self {
            Self::Ring => (circle(area, side * RING), side * WEIGHT),
            // A line as wide as it is far from the middle leaves no hole.
            Self::Dot => (circle(area, side * (DOT / 2.0)), side * DOT),
            Self::Stroke => {
                let inset = side * INSET;
                let (from, to) = ((area.left + inset, area.bottom() - inset), (area.right() - inset, area.top + inset));
                (vec![from, to], side * WEIGHT)
            }
        };
        Item::Line { through, weight, ink }
    }
}

/// A circle around the middle of an area; it goes on a little over its start, so that it closes.
fn circle(area: Area, radius: Millimetres) -> Vec<(Millimetres, Millimetres)> {
    let (x, y) = (area.left + area.width / 2.0, area.top + area.height / 2.0);
    let place = |corner: u32| {
        let angle = TAU * f64::from(corner) / f64::from(CORNERS);
        (x + radius * angle.cos(), y + radius * angle.sin())
    };
    (0..=CORNERS + 1).map(place).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::PixelsPerInch;
    use crate::sheet::page::Page;
    use crate::sheet::page_size::PageSize;
    use crate::sheet::raster;

    /// Ink at the middle of the box, half-way to its edge, and at its corners: the three forms differ there.
    #[test]
    fn the_marks_differ_in_form() {
        let area = Area {
            left: Millimetres::new(20.0),
            top: Millimetres::new(20.0),
            width: Millimetres::new(10.0),
            height: Millimetres::new(10.0),
        };
        let dark = |pencil: Pencil, across: f64, down: f64| {
            let items = vec![pencil.draw(area, Ink(0))];
            let page = Page { size: PageSize::A4.into(), part: None, bookmark: String::new(), items };
            let page = raster::draw(&page, PixelsPerInch::new(254.0).unwrap()).unwrap();
            page.get_pixel((across * 10.0) as u32, (down * 10.0) as u32).0[0] < 128
        };
        for (pencil, expected) in [
            (Pencil::Ring, [false, true, false]),
            (Pencil::Dot, [true, false, false]),
            (Pencil::Stroke, [true, false, true]),
        ] {
            assert_eq!(
                [(25.0, 25.0), (28.8, 25.0), (28.4, 21.6)].map(|(x, y)| dark(pencil, x, y)),
                expected,
                "{pencil:?}"
            );
        }
    }
}
