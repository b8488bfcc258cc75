//! A picture parted into named sectors, as on a map: letters across, numbers down.

use crate::plane::Point;

/// Sectors along the long edge of a picture that has the page to itself, and of one that shares it.
pub(super) const ALONE: f64 = 8.0;
pub(super) const SHARED: f64 = 4.0;
/// Sectors along the short edge at least.
const LEAST: f64 = 3.0;
/// Letters of the alphabet.
const MOST: f64 = 26.0;

/// Sectors of a picture, nearly square and all of one size.
pub(super) struct Sectors {
    pub(super) columns: u32,
    pub(super) rows: u32,
    /// Width and height of each.
    pub(super) side: (f64, f64),
}

impl Sectors {
    /// Parts a picture of this size; so many sectors along its long edge.
    pub(super) fn of((width, height): (f64, f64), along: f64) -> Self {
        let (long, short) = (width.max(height), width.min(height));
        let side = (long / along).min(short / LEAST).max(long / MOST);
        let count = |edge: f64| (edge / side).round().max(1.0);
        let (columns, rows) = (count(width), count(height));
        Self { columns: columns as u32, rows: rows as u32, side: (width / columns, height / rows) }
    }

    /// Column and row of the sector that a place lies in.
    pub(super) fn holding(&self, place: Point) -> (u32, u32) {
        let index = |at: f64, side: f64, count: u32| ((at / side).max(0.0) as u32).min(count - 1);
        (index(place.x, self.side.0, self.columns), index(place.y, self.side.1, self.rows))
    }

    /// Its name, as in "C4".
    pub(super) fn name(&self, place: Point) -> String {
        let (column, row) = self.holding(place);
        format!("{}{}", Self::letter(column), row + 1)
    }

    /// Letter of a column.
    pub(super) fn letter(column: u32) -> char {
        char::from(b'A' + (column % 26) as u8)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_has_forty_eight_sectors_and_a_narrow_picture_three_rows() {
        let sheet = Sectors::of((960.0, 1200.0), ALONE);
        assert_eq!((sheet.columns, sheet.rows), (6, 8));
        assert_eq!(sheet.name(Point { x: 959.0, y: 0.0 }), "F1");
        assert_eq!(sheet.name(Point { x: 400.0, y: 1200.0 }), "C8");
        let strip = Sectors::of((1250.0, 207.0), ALONE);
        assert_eq!((strip.columns, strip.rows), (18, 3));
        let frame = Sectors::of((360.0, 240.0), SHARED);
        assert_eq!((frame.columns, frame.rows), (5, 3));
        assert_eq!(Sectors::of((5000.0, 20.0), ALONE).columns, 26, "never more than there are letters");
    }
}
