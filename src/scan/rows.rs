//! Which rows of a scan are delivered.

use std::ops::Range;

/// All rows, evenly spaced ones for an overview, or a few that follow one another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rows {
    /// Every row.
    All,
    /// Rows n/2, n/2 + n, n/2 + 2n ... (n = 0 counts as 1). A scan too low to hold row n/2 gives its last row.
    EveryNth(u32),
    /// Rows `first` to `end` (not included), as far as the scan has them; what lies elsewhere is not unpacked if it
    /// need not be.
    Between {
        /// The first.
        first: u32,
        /// The one after the last.
        end: u32,
    },
}

impl Rows {
    /// Rows from one delivered row to the next, at least 1.
    pub(super) fn step(self) -> u32 {
        match self {
            Self::All | Self::Between { .. } => 1,
            Self::EveryNth(n) => n.max(1),
        }
    }

    /// Whether none is wanted from row `next` on.
    pub(super) fn are_done(self, next: u32) -> bool {
        matches!(self, Self::Between { end, .. } if next >= end)
    }

    /// The delivered rows that lie in `span` of a scan `height` rows high, top first.
    pub(super) fn within(self, span: Range<u32>, height: u32) -> impl Iterator<Item = u32> {
        let span = match self {
            Self::Between { first, end } => span.start.max(first)..span.end.min(end),
            Self::All | Self::EveryNth(_) => span,
        };
        let step = self.step();
        let start = if step == 1 { 0 } else { (step / 2).min(height.saturating_sub(1)) };
        let skipped = span.start.saturating_sub(start).div_ceil(step);
        let first = u64::from(start) + u64::from(skipped) * u64::from(step);
        (first..u64::from(span.end)).step_by(step as usize).map(|row| row as u32)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The slow twin: asking of each row whether it is n/2 more than a multiple of n.
    #[test]
    fn spans_put_together_hold_each_wanted_row_once() {
        for (n, height) in [(1, 31), (2, 31), (7, 31), (31, 31), (60, 31)] {
            let wanted: Vec<u32> = (0..height).filter(|row| row % n == n / 2).collect();
            let spans = (0..height).step_by(5).map(|at| at..(at + 5).min(height));
            let got: Vec<u32> = spans.flat_map(|span| Rows::EveryNth(n).within(span, height)).collect();
            assert_eq!(got, wanted, "every {n} of {height}");
        }
        assert_eq!(Rows::EveryNth(100).within(0..31, 31).collect::<Vec<_>>(), [30]);
        assert_eq!(Rows::All.within(3..6, 31).collect::<Vec<_>>(), [3, 4, 5]);
        assert_eq!(Rows::EveryNth(0).within(0..2, 2).count(), 2);
        let few = Rows::Between { first: 4, end: 40 };
        assert_eq!(few.within(3..6, 31).chain(few.within(29..31, 31)).collect::<Vec<_>>(), [4, 5, 29, 30]);
        assert_eq!(few.within(0..4, 31).count(), 0);
    }
}
