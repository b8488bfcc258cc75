//! The line or two above the strips, and the one below them.

use super::super::face::Face;
use super::super::frame::{Head, Part};
use super::super::page::{Ink, Item, QUIET, TextRun};
use super::super::page_head::{MARGIN, title};
use super::super::page_size::PageSize;
use super::super::shorten::shorten;
use super::super::sizes::{LINE, SMALL};
use super::super::wrap::wrap;
use super::block::Block;
use crate::light::Millimetres;

const BLACK: Ink = Ink(0);
/// Between two texts.
const APART: Millimetres = Millimetres::new(1.5);
/// Baselines of head and foot, as shares of their heights from the paper's edge: of the highest, the margin of all sheets.
const HEAD_LINE: f64 = 0.73;
const FOOT_LINE: f64 = 0.66;

/// What printers leave white at the paper's edge (common practice: 3 to 5 mm).
const EDGE: Millimetres = Millimetres::new(3.0);

const TRUE_SIZE: &str = "print at 100 %";
const FOOT: &str = "print at 100 %, not fitted to the page: frames have their true size \u{b7} marks: ring print, dot hold, stroke skip";

/// Head and foot of all pages.
#[derive(Clone)]
pub(super) struct Margins {
    title: String,
    facts: String,
    page: PageSize,
    block: Block,
}

impl Margins {
    pub(super) fn new(part: &Part, head: &Head, page: PageSize, block: Block) -> Self {
        // Without a foot the head says how to print it.
        let size = if block.foot.is_some() { "" } else { TRUE_SIZE };
        let all = [size, &part.kind, &head.date, &head.paper_and_table].map(str::trim);
        let facts: Vec<&str> = all.into_iter().filter(|fact| !fact.is_empty()).collect();
        Self { title: title(head), facts: facts.join(" \u{b7} "), page, block }
    }

    pub(super) fn items(&self, page: usize, pages: usize) -> Vec<Item> {
        let number = format!("page {page} of {pages}");
        let right = self.page.width() - MARGIN - Face::Regular.length(&number, SMALL);
        let room = right - MARGIN - APART;
        let title = shorten(&self.title, Face::Medium, SMALL, room / 3.0);
        let facts_left = MARGIN + Face::Medium.length(&title, SMALL) + APART * 1.5;
        let words: Vec<&str> = self.facts.split_whitespace().collect();
        let last = self.block.head * HEAD_LINE;
        let most = if last - LINE - SMALL >= EDGE { 2 } else { 1 };
        let facts = wrap(&words, " ", most, Face::Regular, SMALL, right - APART - facts_left);
        let first = last - LINE * (facts.len().max(1) - 1) as f64;
        let text =
            |left, baseline, face, text| Item::Text(TextRun { left, baseline, size: SMALL, face, ink: BLACK, text });
        let facts =
            (0..).zip(facts).map(|(line, fact)| text(facts_left, first + LINE * f64::from(line), Face::Regular, fact));
        let head = [text(MARGIN, first, Face::Medium, title), text(right, first, Face::Regular, number)];
        let foot = self.block.foot.map(|foot| {
            let text = shorten(FOOT, Face::Regular, SMALL, self.page.width() - MARGIN * 2.0);
            let baseline = self.page.height() - foot * FOOT_LINE;
            Item::Text(TextRun { left: MARGIN, baseline, size: SMALL, face: Face::Regular, ink: QUIET, text })
        });
        head.into_iter().chain(facts).chain(foot).collect()
    }
}
