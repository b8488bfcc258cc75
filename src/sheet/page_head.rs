//! Head and foot of a page, and the room they leave.

use super::area::Area;
use super::face::Face;
use super::frame::Head;
use super::page::{Ink, Item, QUIET, TextRun};
use super::page_size::PageSize;
use super::shorten::shorten;
use super::sizes::{LINE, SMALL, TEXT, TITLE};
use super::wrap::even;
use crate::light::Millimetres;

/// White at the sheet's sides, head and foot: half an inch, wide enough to hold or pin it by.
pub(super) const MARGIN: Millimetres = Millimetres::new(12.7);

/// Lines for how the frames were printed, and lines for date and paper, at most.
const MOST_LINES: usize = 2;

const BLACK: Ink = Ink(0);
const RULE_INK: Ink = Ink(110);
const RULE: Millimetres = Millimetres::from_points(0.4);

/// Head and foot, laid out once for all pages of a sheet.
pub(super) struct PageHead {
    size: PageSize,
    title: String,
    /// How the frames were printed, and then the rest.
    lines: Vec<(Face, Ink, String)>,
    foot: String,
}

impl PageHead {
    pub(super) fn new(head: &Head, size: PageSize, foot: &str) -> Self {
        let set = |facts: &[&str], face, ink| {
            let facts: Vec<&str> = facts.iter().map(|fact| fact.trim()).filter(|fact| !fact.is_empty()).collect();
            let lines = even(&facts.join(" · "), MOST_LINES, face, TEXT, width(size));
            lines.into_iter().map(move |line| (face, ink, line))
        };
        let kind = set(&[&head.kind], Face::Medium, BLACK);
        let lines =
            kind.chain(set(&[&head.date, &head.paper_and_table, &head.densities], Face::Regular, QUIET)).collect();
        let foot = shorten(foot, Face::Regular, SMALL, width(size));
        Self { size, title: title(head), lines, foot }
    }

    /// The batch's name in full.
    pub(super) fn title(&self) -> &str {
        &self.title
    }

    /// What head and foot leave for the frames.
    pub(super) fn room(&self) -> Area {
        let top = self.rule() + LINE * 2.0;
        Area { left: MARGIN, top, width: width(self.size), height: self.foot() - LINE * 2.0 - top }
    }

    /// Title, page number (counted from 1, and of how many) if there is one, facts, rule and foot of a page.
    pub(super) fn items(&self, number: Option<(usize, usize)>) -> Vec<Item> {
        let number = number.map_or_else(String::new, |(page, pages)| format!("page {page} of {pages}"));
        let number_length = Face::Regular.length(&number, TEXT);
        let room = width(self.size) - number_length - LINE * 2.0;
        let text = |left, baseline, size, face, ink, text: &str| {
            Item::Text(TextRun { left, baseline, size, face, ink, text: text.to_owned() })
        };
        let title = shorten(&self.title, Face::Medium, TITLE, room);
        let right = MARGIN + width(self.size);
        let mut items = vec![
            text(MARGIN, title_line(), TITLE, Face::Medium, BLACK, &title),
            text(right - number_length, title_line(), TEXT, Face::Regular, QUIET, &number),
        ];
        let mut baseline = title_line() + LINE * 1.5;
        for (face, ink, line) in &self.lines {
            items.push(text(MARGIN, baseline, TEXT, *face, *ink, line));
            baseline += LINE;
        }
        items.push(Item::Fill {
            area: Area { left: MARGIN, top: self.rule(), width: width(self.size), height: RULE },
            ink: RULE_INK,
        });
        items.push(text(MARGIN, self.foot(), SMALL, Face::Regular, QUIET, &self.foot));
        items
    }

    /// The rule under the head.
    fn rule(&self) -> Millimetres {
        title_line() + LINE * (1.5 + self.lines.len() as f64)
    }

    /// Baseline of the foot.
    fn foot(&self) -> Millimetres {
        self.size.height() - MARGIN
    }
}

/// The batch's name; it also goes into the PDF's XML metadata, where a control character is forbidden (XML 1.0, 2.2).
pub(super) fn title(head: &Head) -> String {
    let title = head.title.replace(char::is_control, " ");
    match title.trim() {
        "" => "proof sheet".to_owned(),
        title => title.to_owned(),
    }
}

/// Width between the margins.
fn width(size: PageSize) -> Millimetres {
    size.width() - MARGIN * 2.0
}

/// Baseline of the title: the fifth of the page's lines.
fn title_line() -> Millimetres {
    LINE * 5.0
}
