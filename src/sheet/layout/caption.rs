//! The words under a print.

use super::super::area::Area;
use super::super::face::Face;
use super::super::page::{Ink, Item, QUIET, TextRun};
use super::super::sizes::{LINE, NAME, TEXT};
use super::super::wrap::wrap;
use super::{Captioned, Wished, marks};
use crate::light::Millimetres;

/// From the foot of a print to the first baseline, at least: a line and a half.
const CLEAR: Millimetres = Millimetres::from_points(13.5);

/// What hangs below the last baseline.
const DESCENT: Millimetres = Millimetres::from_points(2.5);

/// Lines that the title takes at most, and the facts.
const MOST_LINES: usize = 3;

const BLACK: Ink = Ink(0);

/// A caption broken to the width of its print.
pub(super) struct CaptionText {
    title: Vec<String>,
    facts: Vec<String>,
    indent: Millimetres,
    clear: Millimetres,
    /// From the foot of the print to the end of the caption; nothing where there is none.
    pub(super) height: Millimetres,
}

/// Breaks a caption to lines as long as its print is wide.
pub(super) fn set(print: &Captioned, wished: &Wished) -> CaptionText {
    let all = Millimetres::of_pixels(f64::from(print.size.width), wished.ppi);
    let room = (all - print.indent * 2.0).max(all * 0.5);
    let words: Vec<&str> = print.title.split_whitespace().collect();
    let title = wrap(&words, " ", MOST_LINES, Face::Medium, NAME, room);
    let facts = print
        .facts
        .iter()
        .map(|fact| fact.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect::<Vec<_>>()
        .join(" \u{b7} ");
    let words: Vec<&str> = facts.split(' ').collect();
    let facts = wrap(&words, " ", MOST_LINES, Face::Regular, TEXT, room);
    let clear = if wished.cut_marks { Millimetres::new(marks::REACH) + LINE } else { CLEAR };
    let lines = title.len() + facts.len();
    let height = match lines {
        // Marks reach below a print that has no caption too.
        0 if wished.cut_marks => Millimetres::new(marks::REACH),
        0 => Millimetres::default(),
        lines => clear + LINE * (lines - 1) as f64 + DESCENT,
    };
    CaptionText { title, facts, indent: (all - room) / 2.0, clear, height }
}

impl CaptionText {
    /// The lines under a print that covers `area`.
    pub(super) fn items(&self, area: Area) -> impl Iterator<Item = Item> {
        let title = self.title.iter().map(|line| (line, Face::Medium, NAME, BLACK));
        let facts = self.facts.iter().map(|line| (line, Face::Regular, TEXT, QUIET));
        title.chain(facts).enumerate().map(move |(i, (line, face, size, ink))| {
            let baseline = area.bottom() + self.clear + LINE * i as f64;
            Item::Text(TextRun { left: area.left + self.indent, baseline, size, face, ink, text: line.clone() })
        })
    }
}
