//! The words over a drawn picture: a title and lines below it.

use super::face::Face;
use super::page::QUIET;
use super::pen::{BLACK, Pen, length, on_paper, points};
use super::shorten::shorten;
use super::wrap::wrap;
use crate::light::Millimetres;

/// Sizes in points.
pub(super) const TITLE: f64 = 11.0;
pub(super) const SMALL: f64 = 7.0;

/// Lines that one paragraph takes, at most.
const MOST_LINES: usize = 3;

/// Distance of two lines in pixels.
pub(super) fn line() -> f64 {
    points(9.5)
}

/// A title, what stands at its right, and paragraphs below it, broken into lines.
pub(super) struct Lettering {
    title: String,
    beside: String,
    lines: Vec<(String, bool)>,
}

impl Lettering {
    /// Breaks the words to `width` pixels; those of `loud` are set black, the others grey.
    pub(super) fn new(title: &str, beside: &str, quiet: &[String], loud: &[String], width: f64) -> Self {
        let room = on_paper(width);
        let (small, large) = (Millimetres::from_points(SMALL), Millimetres::from_points(TITLE));
        let title =
            shorten(title, Face::Medium, large, on_paper(width - length(beside, Face::Regular, SMALL) - line()));
        let broken = |text: &String, black: bool| {
            let words: Vec<&str> = text.split(' ').collect();
            let lines = wrap(&words, " ", MOST_LINES, Face::Regular, small, room);
            lines.into_iter().map(move |line| (line, black)).collect::<Vec<_>>()
        };
        let quiet = quiet.iter().flat_map(|text| broken(text, false));
        let lines = quiet.chain(loud.iter().flat_map(|text| broken(text, true))).collect();
        Self { title, beside: beside.to_owned(), lines }
    }

    /// What it takes from the top of the page.
    pub(super) fn height(&self) -> f64 {
        points(TITLE) + line() * (self.lines.len() as f64 + 0.6)
    }

    pub(super) fn draw(&self, pen: &mut Pen, left: f64, top: f64, right: f64) {
        let mut baseline = top + points(TITLE) * 0.8;
        pen.text(left, baseline, TITLE, Face::Medium, BLACK, &self.title);
        let beside = right - length(&self.beside, Face::Regular, SMALL);
        pen.text(beside, baseline, SMALL, Face::Regular, QUIET, &self.beside);
        baseline += line() * 0.3;
        for (text, black) in &self.lines {
            baseline += line();
            pen.text(left, baseline, SMALL, Face::Regular, if *black { BLACK } else { QUIET }, text);
        }
    }
}
