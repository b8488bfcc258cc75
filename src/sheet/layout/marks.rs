//! What is drawn around a print for the knife and for the eye.

use super::super::area::Area;
use super::super::page::{Ink, Item};
use crate::light::{Millimetres, PixelsPerInch};

/// Cut marks begin so far from a print, so that none is left on it when the knife strays (common practice: 2 to 3 mm).
const BEGIN: Millimetres = Millimetres::new(2.0);
/// How far they end from a print's corner, in mm: 2.5 mm of line are enough to lay a ruler on.
const END: f64 = 4.5;
/// White beside a print that has them, and between two: their marks must not join into one line.
pub(super) const REACH: f64 = 5.0;
pub(super) const BETWEEN: f64 = 2.0 * REACH;
/// A quarter of a point, as fine as printers draw well (common practice).
const MARK: Millimetres = Millimetres::from_points(0.25);
/// The line around a picture.
const KEY_LINE: Millimetres = Millimetres::from_points(0.5);

const BLACK: Ink = Ink(0);

/// A line around a print, outside it: no pixel is covered.
pub(super) fn key_line(area: Area, ppi: PixelsPerInch) -> Item {
    let weight = whole(KEY_LINE, ppi);
    Item::Outline { area: area.grown(weight), weight, ink: BLACK }
}

/// Eight short lines that lengthen the edges of a print beyond its corners; the cut runs along the side that faces the
/// print.
pub(super) fn cut_marks(area: Area, ppi: PixelsPerInch) -> impl Iterator<Item = Item> {
    let (weight, long) = (whole(MARK, ppi), Millimetres::new(END) - BEGIN);
    let [before_left, before_top] = [area.left, area.top].map(|edge| edge - BEGIN - long);
    let [behind_right, behind_bottom] = [area.right(), area.bottom()].map(|edge| edge + BEGIN);
    let level = [area.top - weight, area.bottom()]
        .into_iter()
        .flat_map(move |top| [before_left, behind_right].map(|left| Area { left, top, width: long, height: weight }));
    let upright = [area.left - weight, area.right()]
        .into_iter()
        .flat_map(move |left| [before_top, behind_bottom].map(|top| Area { left, top, width: weight, height: long }));
    level.chain(upright).map(|area| Item::Fill { area, ink: BLACK })
}

/// A weight in whole pixels, at least one: half-covered pixels print as a grey line.
fn whole(weight: Millimetres, ppi: PixelsPerInch) -> Millimetres {
    Millimetres::of_pixels(weight.pixels(ppi).round().max(1.0), ppi)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_mark_touches_a_print_and_none_reaches_too_far() {
        let mm = Millimetres::new;
        let print = Area { left: mm(20.0), top: mm(30.0), width: mm(50.0), height: mm(40.0) };
        let marks: Vec<Area> = cut_marks(print, PixelsPerInch::new(300.0).unwrap())
            .map(|item| match item {
                Item::Fill { area, .. } => area,
                _ => panic!("a mark is filled"),
            })
            .collect();
        assert_eq!(marks.len(), 8);
        let far = print.grown(mm(END + 1e-9));
        // Those of a neighbour, as near as prints with marks may lie, begin 1 mm behind them.
        let beside = Area { left: print.right() + mm(BETWEEN), ..print };
        let ppi = PixelsPerInch::new(300.0).unwrap();
        let neighbours = cut_marks(beside, ppi).filter_map(|item| match item {
            Item::Fill { area, .. } => Some(area),
            _ => None,
        });
        let first = neighbours.map(|mark| mark.left).reduce(Millimetres::min).unwrap();
        let last = marks.iter().map(|mark| mark.right()).reduce(Millimetres::max).unwrap();
        assert!((first - last).value() > 0.99, "{first:?} {last:?}");
        for mark in marks {
            let beside = mark.right() < print.left || mark.left > print.right();
            assert!(beside || mark.bottom() < print.top || mark.top > print.bottom());
            assert!(
                mark.left >= far.left
                    && mark.top >= far.top
                    && mark.right() <= far.right()
                    && mark.bottom() <= far.bottom()
            );
        }
    }
}
