//! Charts: axes in densities laid over an area of a page, and what is drawn into them.

use super::area::Area;
use super::face::Face;
use super::page::{Ink, Item, QUIET, TextRun};
use super::sizes::TEXT;
use crate::light::Millimetres;

const RULE: Millimetres = Millimetres::from_points(0.4);
const GRID_INK: Ink = Ink(205);
const RULE_INK: Ink = Ink(110);
/// A curve is drawn in straight pieces as wide as this, in mm: where it bends to a radius of 5 mm, they lie 0.01 mm
/// beside it.
const STEP: f64 = 0.4;
/// Side of the box that marks a point, and the weight of its line.
const MARK: f64 = 1.9;
const MARK_LINE: Millimetres = Millimetres::from_points(0.8);
/// Width of a stem, width and height of its foot.
const STEM: f64 = 1.0;
const FOOT: (f64, f64) = (2.4, 0.5);

/// A chart of y over x. Both axes hold plain numbers.
pub(super) struct Plot {
    pub(super) area: Area,
    pub(super) x: (f64, f64),
    pub(super) y: (f64, f64),
}

impl Plot {
    /// Where `x` lies across the page, in millimetres.
    fn across(&self, x: f64) -> f64 {
        self.area.left.value() + self.area.width.value() * (x - self.x.0) / (self.x.1 - self.x.0)
    }

    /// Where `y` lies down the page, in millimetres.
    fn down(&self, y: f64) -> f64 {
        self.area.bottom().value() - self.area.height.value() * (y - self.y.0) / (self.y.1 - self.y.0)
    }

    /// A place in the chart as one on the page.
    pub(super) fn place(&self, x: f64, y: f64) -> (Millimetres, Millimetres) {
        (Millimetres::new(self.across(x)), Millimetres::new(self.down(y)))
    }

    /// Lines across and up, `apart` from one another, with the numbers of both axes.
    pub(super) fn grid(&self, apart: (f64, f64), decimals: usize) -> Vec<Item> {
        let mut items = Vec::new();
        for x in ticks(self.x, apart.0) {
            let line =
                mm(self.across(x) - RULE.value() / 2.0, self.area.top.value(), RULE.value(), self.area.height.value());
            items.push(Item::Fill { area: line, ink: GRID_INK });
            // Adding zero turns the -0 of the middle into 0.
            let text = format!("{:.1}", x + 0.0).replace('-', "\u{2212}");
            let left = Millimetres::new(self.across(x)) - Face::Regular.length(&text, TEXT) / 2.0;
            items.push(words(left, self.area.bottom() + TEXT * 1.5, Face::Regular, QUIET, text));
        }
        items.extend(self.levels(apart.1, decimals));
        items
    }

    /// Lines across alone, `apart` from one another, with their numbers, and the frame: for a level axis of names.
    pub(super) fn levels(&self, apart: f64, decimals: usize) -> Vec<Item> {
        let mut items = Vec::new();
        for y in ticks(self.y, apart) {
            let line =
                mm(self.area.left.value(), self.down(y) - RULE.value() / 2.0, self.area.width.value(), RULE.value());
            items.push(Item::Fill { area: line, ink: GRID_INK });
            // Adding zero turns the -0 of the middle into 0.
            let text = format!("{:.decimals$}", y + 0.0).replace('-', "\u{2212}");
            let left = self.area.left - TEXT * 0.7 - Face::Regular.length(&text, TEXT);
            items.push(words(left, Millimetres::new(self.down(y)) + TEXT * 0.36, Face::Regular, QUIET, text));
        }
        items.push(Item::Outline { area: self.area, weight: RULE, ink: RULE_INK });
        items
    }

    /// The line of a function where it runs through the chart, from one x to another; dashed if it is only for
    /// comparison.
    pub(super) fn line(&self, x: (f64, f64), weight: f64, ink: Ink, dashed: bool, y: impl Fn(f64) -> f64) -> Vec<Item> {
        let (start, end) = (self.across(x.0.max(self.x.0)), self.across(x.1.min(self.x.1)));
        let back = |at: f64| self.x.0 + (self.x.1 - self.x.0) * (at - self.area.left.value()) / self.area.width.value();
        let steps = ((end - start) / STEP).ceil().max(1.0);
        let at = |step: f64| {
            let across = start + (end - start) * step / steps;
            let down = self.down(y(back(across))).clamp(self.area.top.value(), self.area.bottom().value());
            (Millimetres::new(across), Millimetres::new(down))
        };
        let through: Vec<_> = (0..=steps as usize).map(|step| at(step as f64)).collect();
        let line = |through: &[_]| Item::Line { through: through.to_vec(), weight: Millimetres::new(weight), ink };
        if dashed {
            // A dash is as long as four steps and a gap as three.
            return through
                .chunks(7)
                .filter(|part| part.len() > 1)
                .map(|part| line(&part[..part.len().min(5)]))
                .collect();
        }
        vec![line(&through)]
    }

    /// A white box on a point.
    pub(super) fn mark(&self, x: f64, y: f64) -> [Item; 2] {
        let area = mm(self.across(x) - MARK / 2.0, self.down(y) - MARK / 2.0, MARK, MARK);
        [Item::Fill { area, ink: Ink(255) }, Item::Outline { area, weight: MARK_LINE, ink: Ink(0) }]
    }

    /// A stem from 0 to `y`, on a foot that shows where there is no stem to see.
    pub(super) fn stem(&self, x: f64, y: f64) -> [Item; 2] {
        let (from, to, x) = (self.down(0.0), self.down(y), self.across(x));
        let stem = mm(x - STEM / 2.0, from.min(to), STEM, (from - to).abs());
        let foot = mm(x - FOOT.0 / 2.0, from - FOOT.1 / 2.0, FOOT.0, FOOT.1);
        [stem, foot].map(|area| Item::Fill { area, ink: Ink(0) })
    }

    /// What the upright axis shows, over its head.
    pub(super) fn title(&self, text: &str) -> Item {
        words(self.area.left, self.area.top - TEXT * 0.8, Face::Medium, Ink(0), text.to_owned())
    }

    /// What the level axis shows, under its right end.
    pub(super) fn foot(&self, text: &str) -> Item {
        let left = self.area.right() - Face::Medium.length(text, TEXT);
        words(left, self.area.bottom() + TEXT * 3.0, Face::Medium, Ink(0), text.to_owned())
    }

    /// Words beside a place in the chart.
    pub(super) fn note(&self, x: f64, y: f64, text: &str) -> Item {
        let at = self.place(x, y);
        words(at.0, at.1, Face::Regular, QUIET, text.to_owned())
    }
}

fn words(left: Millimetres, baseline: Millimetres, face: Face, ink: Ink, text: String) -> Item {
    Item::Text(TextRun { left, baseline, size: TEXT, face, ink, text })
}

fn mm(left: f64, top: f64, width: f64, height: f64) -> Area {
    let [left, top, width, height] = [left, top, width, height].map(Millimetres::new);
    Area { left, top, width, height }
}

fn ticks((from, to): (f64, f64), apart: f64) -> impl Iterator<Item = f64> {
    let first = (from / apart - 1e-9).ceil() as i64;
    let last = (to / apart + 1e-9).floor() as i64;
    (first..=last).map(move |i| i as f64 * apart)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A chart of 100 x 40 mm from -0.02 to 0.02: a millimetre is 0.001.
    #[test]
    fn a_residual_of_nothing_has_a_mark_too() {
        let chart = Plot { area: mm(10.0, 20.0, 100.0, 40.0), x: (0.0, 3.0), y: (-0.02, 0.02) };
        for (residual, height) in [(0.0, FOOT.1), (0.01, 10.0 + FOOT.1 / 2.0), (-0.01, 10.0 + FOOT.1 / 2.0)] {
            let inked: Vec<Area> = chart
                .stem(1.5, residual)
                .into_iter()
                .map(|item| match item {
                    Item::Fill { area, .. } => area,
                    _ => panic!("a stem is filled"),
                })
                .collect();
            let top = inked.iter().map(|area| area.top.value()).fold(f64::INFINITY, f64::min);
            let bottom = inked.iter().map(|area| area.bottom().value()).fold(0.0, f64::max);
            assert!((bottom - top - height).abs() < 1e-9, "{residual}: {top} to {bottom}");
            assert!((top..bottom).contains(&40.0), "it stands on the line of zero");
        }
    }
}
