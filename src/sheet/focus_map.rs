//! A focus map: the print, pale, and on it a mark for each pane, the larger the sharper; none where there is nothing to
//! focus on.

use image::{GrayImage, Luma};

use super::area::Area;
use super::face::Face;
use super::linear::{code, light};
use super::page::{Ink, Item, TextRun};
use super::pixels::Pixels;
use super::sizes::{LINE, SMALL};
use crate::light::{Millimetres, lightness, luminance};

/// Of the print's lightness so much is left under the marks, and so much is the darkest of it.
const PALE: f64 = 0.42;
const DARKEST: f64 = 56.0;
/// A mark's side as a share of its pane, for what is as sharp as the sharpest, and for less: each with the least
/// sharpness that has it, as a share of the sharpest.
const MARKS: [(f64, f64, &str); 4] =
    [(0.80, 0.84, "sharpest"), (0.50, 0.58, "half as sharp"), (0.30, 0.38, "a third"), (0.0, 0.2, "less")];
/// White around a mark.
const AROUND: Millimetres = Millimetres::new(0.14);
/// A pane as it is drawn in the legend.
const SAMPLE: Millimetres = Millimetres::new(2.6);

const BLACK: Ink = Ink(0);
const WHITE: Ink = Ink(255);

/// A pane of which something is told.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FocusMark {
    /// Its middle, as shares of the picture's width and height.
    pub middle: (f64, f64),
    /// Its side as a share of the picture's width.
    pub side: f64,
    /// How sharp it is, against the sharpest places: 0 to 1.
    pub sharpness: f64,
}

/// Draws the map over an area.
pub(super) fn focus_map(items: &mut Vec<Item>, area: Area, print: &GrayImage, marks: &[FocusMark]) {
    items.push(Item::Pixels { area, pixels: Pixels::of(pale(print)) });
    for mark in marks {
        let middle = (area.left + area.width * mark.middle.0, area.top + area.height * mark.middle.1);
        draw(items, middle, area.width * mark.side, mark.sharpness);
    }
}

/// White between a mark of the legend and its words, and after them.
const BEFORE_WORDS: Millimetres = Millimetres::new(0.9);
const AFTER_WORDS: Millimetres = Millimetres::new(2.2);
const NO_MARK: &str = "no mark: nothing to focus on";

/// What the marks mean, in one line.
pub(super) fn legend(items: &mut Vec<Item>, left: Millimetres, baseline: Millimetres) {
    let mut left = left;
    let say = |items: &mut Vec<Item>, left: Millimetres, text: &str| {
        let run = TextRun { left, baseline, size: SMALL, face: Face::Regular, ink: BLACK, text: text.to_owned() };
        items.push(Item::Text(run));
        left + Face::Regular.length(text, SMALL)
    };
    for (sharpness, _, words) in MARKS {
        draw(items, (left + SAMPLE * 0.5, baseline - SMALL * 0.36), SAMPLE, sharpness);
        left = say(items, left + SAMPLE + BEFORE_WORDS, words) + AFTER_WORDS;
    }
    say(items, left, NO_MARK);
}

/// How long it is.
pub(super) fn legend_length() -> Millimetres {
    let words = |words: &str| Face::Regular.length(words, SMALL);
    let marks = MARKS.iter().map(|(.., word)| SAMPLE + BEFORE_WORDS + words(word) + AFTER_WORDS);
    marks.fold(words(NO_MARK), |sum, mark| sum + mark)
}

/// Lines that the legend takes.
pub(super) const LEGEND: Millimetres = LINE;

fn draw(items: &mut Vec<Item>, (x, y): (Millimetres, Millimetres), pane: Millimetres, sharpness: f64) {
    let share = MARKS.iter().find(|(least, ..)| sharpness >= *least).map_or(0.0, |(_, share, _)| *share);
    let side = pane * share;
    let mark = Area { left: x - side * 0.5, top: y - side * 0.5, width: side, height: side };
    items.push(Item::Fill { area: mark.grown(AROUND.min(pane * 0.06)), ink: WHITE });
    items.push(Item::Fill { area: mark, ink: BLACK });
}

fn pale(print: &GrayImage) -> GrayImage {
    let paler = |code_of: u8| {
        let l = lightness(f64::from(light(code_of)));
        code(luminance(DARKEST + PALE * l) as f32)
    };
    let table: Vec<u8> = (0..=u8::MAX).map(paler).collect();
    let mut pale = print.clone();
    for Luma([pixel]) in pale.pixels_mut() {
        *pixel = table[usize::from(*pixel)];
    }
    pale
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sharper_pane_has_the_larger_mark_and_the_print_stands_back() {
        let area = Area {
            left: Millimetres::new(10.0),
            top: Millimetres::new(10.0),
            width: Millimetres::new(80.0),
            height: Millimetres::new(60.0),
        };
        let marks = [1.0, 0.6, 0.35, 0.1].map(|sharpness| FocusMark { middle: (0.5, 0.5), side: 0.05, sharpness });
        let mut items = Vec::new();
        let print = GrayImage::from_fn(40, 30, |x, _| Luma([(x * 6) as u8]));
        focus_map(&mut items, area, &print, &marks);
        let black = |item: &Item| match item {
            Item::Fill { area, ink: BLACK } => Some(area.width.value()),
            _ => None,
        };
        let sides: Vec<f64> = items.iter().filter_map(black).collect();
        assert!(sides.len() == 4 && sides.windows(2).all(|pair| pair[0] > 1.3 * pair[1]), "{sides:?}");
        assert!(sides[0] < 4.0, "marks of neighbours do not touch");
        assert!(pale(&print).pixels().all(|p| p.0[0] > 120));
    }
}
