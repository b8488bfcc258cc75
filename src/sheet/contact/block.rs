//! Where the strips of a contact sheet lie on their paper: all pages alike, as the fullest needs it.

use super::super::page_size::PageSize;
use super::film::{Row, row_wide, rows_high};
use crate::light::Millimetres;

/// Height of the head: its one line of small type, as little as four sheets of 4x5 leave of 8 x 10 in paper (3 mm).
const HEAD: Millimetres = Millimetres::new(3.0);
/// Where there is room, head and foot are as high as leaves the margin of all sheets above and below their line.
const MOST: Millimetres = Millimetres::new(19.0);
/// Between two strips, at most, and the share of what is free that goes there: a head at the very edge is not printed.
const GAP: Millimetres = Millimetres::new(2.0);
const OF_FREE: f64 = 0.3;
/// A foot is no lower.
const LEAST_FOOT: Millimetres = Millimetres::new(5.0);

/// What the head leaves of the paper: a contact sheet is printed to its edges.
pub(super) fn room(page: PageSize) -> (Millimetres, Millimetres) {
    (page.width(), page.height() - HEAD)
}

/// Where the strips lie.
#[derive(Clone, Copy, Debug)]
pub(super) struct Block {
    /// Height of the head.
    pub(super) head: Millimetres,
    /// Where the first row begins.
    pub(super) top: Millimetres,
    /// Where all rows begin.
    pub(super) left: Millimetres,
    /// Between two rows.
    pub(super) gap: Millimetres,
    /// Height of the foot, if there is room for one.
    pub(super) foot: Option<Millimetres>,
}

impl Block {
    /// In the middle of what head and foot leave.
    pub(super) fn of(pages: &[Vec<Row>], page: PageSize) -> Self {
        let (width, height) = room(page);
        let used = pages.iter().map(|rows| rows_high(rows)).fold(Millimetres::default(), Millimetres::max);
        let rows = pages.iter().map(Vec::len).max().unwrap_or_default().max(1) as f64;
        let free = (height - used).max(Millimetres::default());
        let gap = GAP.min(free * OF_FREE / rows);
        let free = free - gap * (rows - 1.0);
        // The head first: a foot is worth having only where the head stands well.
        let head = HEAD + (MOST - HEAD).min(free);
        let free = free + HEAD - head;
        let foot = MOST.min(free);
        let whole = |row: &Row| row_wide(row) + gap_across(row, page) * (row.len() as f64 - 1.0);
        let widest = pages.iter().flatten().map(whole).fold(Millimetres::default(), Millimetres::max);
        Self {
            head,
            top: head + (free - foot) / 2.0,
            left: (width - widest) / 2.0,
            gap,
            foot: (foot >= LEAST_FOOT).then_some(foot),
        }
    }
}

/// Between two strips of a row.
pub(super) fn gap_across(row: &Row, page: PageSize) -> Millimetres {
    let free = page.width() - row_wide(row);
    GAP.min(free / (row.len() as f64 + 1.0)).max(Millimetres::default())
}
