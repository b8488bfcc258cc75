//! The lines above the strips, and the one below them.

use super::super::face::{CAPITAL_HEIGHT, Face};
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
/// Baselines of head and foot, as shares of their heights from the paper's edge: of the highest, the margin of all
/// sheets.
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
    /// The facts at full length, and then in fewer and fewer words.
    wordings: Vec<String>,
    page: PageSize,
    block: Block,
}

impl Margins {
    pub(super) fn new(part: &Part, head: &Head, page: PageSize, block: Block) -> Self {
        // Without a foot the head says how to print it.
        let size = if block.foot.is_some() { "" } else { TRUE_SIZE };
        let paper = &head.paper_and_table;
        let wording = |facts: [&str; 5]| {
            let facts: Vec<&str> = facts.into_iter().map(str::trim).filter(|fact| !fact.is_empty()).collect();
            facts.join(DOT)
        };
        let wordings = vec![
            wording([size, &part.kind, &head.date, paper, &head.densities]),
            wording([size, part.name, &head.date, paper, &head.densities]),
            wording([size, part.name, &head.date, paper, ""]),
            wording([size, part.name, "", paper, ""]),
        ];
        Self { title: title(head), wordings, page, block }
    }

    pub(super) fn items(&self, page: usize, pages: usize) -> Vec<Item> {
        let number = format!("page {page} of {pages}");
        let right = self.page.width() - MARGIN - Face::Regular.length(&number, SMALL);
        let room = right - MARGIN - APART;
        let title = shorten(&self.title, Face::Medium, SMALL, room / 3.0);
        let facts_left = MARGIN + Face::Medium.length(&title, SMALL) + APART * 1.5;
        let last = self.block.head * HEAD_LINE;
        // As many lines as stand below what printers leave white.
        let most = ((last - EDGE - SMALL * CAPITAL_HEIGHT) / LINE).max(0.0).floor() as usize + 1;
        let facts = self.facts(most, right - APART - facts_left);
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

    /// The facts in at most so many lines: in the fullest words that are not cut off; in the fewest, cut off, if none
    /// are whole.
    fn facts(&self, most: usize, room: Millimetres) -> Vec<String> {
        let set = |wording: &String, most: usize| {
            let words: Vec<&str> = wording.split_whitespace().collect();
            wrap(&words, " ", most, Face::Regular, SMALL, room)
        };
        let is_whole = |wording: &&String| set(wording, usize::MAX).len() <= most;
        let wording = self.wordings.iter().find(is_whole).or(self.wordings.last());
        wording.map(|wording| set(wording, most)).unwrap_or_default()
    }
}

/// Between two facts.
const DOT: &str = " \u{b7} ";
