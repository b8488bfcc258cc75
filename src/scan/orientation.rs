//! How a scan must be turned to stand upright.

use crate::plane::{Point, Size};

/// TIFF 6.0 and Exif 2.32, tag 274: where the stored first row and first column lie in the upright picture.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Orientation {
    /// 1: row 0 is the top, column 0 the left.
    #[default]
    TopLeft,
    /// 2: row 0 is the top, column 0 the right.
    TopRight,
    /// 3: row 0 is the bottom, column 0 the right.
    BottomRight,
    /// 4: row 0 is the bottom, column 0 the left.
    BottomLeft,
    /// 5: row 0 is the left, column 0 the top.
    LeftTop,
    /// 6: row 0 is the right, column 0 the top.
    RightTop,
    /// 7: row 0 is the right, column 0 the bottom.
    RightBottom,
    /// 8: row 0 is the left, column 0 the bottom.
    LeftBottom,
}

const ALL: [Orientation; 8] = [
    Orientation::TopLeft,
    Orientation::TopRight,
    Orientation::BottomRight,
    Orientation::BottomLeft,
    Orientation::LeftTop,
    Orientation::RightTop,
    Orientation::RightBottom,
    Orientation::LeftBottom,
];

impl Orientation {
    /// From the tag's value; `None` unless it is 1 to 8.
    pub fn new(value: u16) -> Option<Self> {
        ALL.get(usize::from(value).checked_sub(1)?).copied()
    }

    /// The tag's value, 1 to 8.
    pub fn value(self) -> u16 {
        self as u16 + 1
    }

    /// Whether the upright picture's rows are the stored columns.
    pub fn swaps_axes(self) -> bool {
        self.value() >= 5
    }

    /// Size of the upright picture of a scan stored with `size`.
    pub fn upright(self, size: Size) -> Size {
        if self.swaps_axes() { Size { width: size.height, height: size.width } } else { size }
    }

    /// Column and row in the file, stored with `size`, of what lies at column `x`, row `y` of the upright picture.
    ///
    /// # Panics
    /// In debug builds, if the place lies outside the upright picture.
    pub fn stored(self, x: u32, y: u32, size: Size) -> (u32, u32) {
        let (column, row) = if self.swaps_axes() { (y, x) } else { (x, y) };
        let (from_right, from_below) = self.flips();
        let column = if from_right { size.width - 1 - column } else { column };
        let row = if from_below { size.height - 1 - row } else { row };
        (column, row)
    }

    /// Where a place of the stored picture, of `size`, lies in the upright one.
    pub fn upright_place(self, place: Point, size: Size) -> Point {
        let (from_right, from_below) = self.flips();
        let x = if from_right { f64::from(size.width) - place.x } else { place.x };
        let y = if from_below { f64::from(size.height) - place.y } else { place.y };
        if self.swaps_axes() { Point { x: y, y: x } } else { Point { x, y } }
    }

    /// Whether stored columns run from the right, and stored rows from below.
    fn flips(self) -> (bool, bool) {
        (
            matches!(self, Self::TopRight | Self::BottomRight | Self::RightBottom | Self::LeftBottom),
            matches!(self, Self::BottomRight | Self::BottomLeft | Self::RightTop | Self::RightBottom),
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// TIFF 6.0, Orientation, quoted: "The 0th row represents the visual top of the image, and the 0th column
    /// represents the visual left-hand side" and so on: where the stored first pixel and the end of its row must show.
    #[test]
    fn the_first_row_and_column_lie_where_the_standard_says() {
        let size = Size { width: 3, height: 2 };
        // Value; upright place of the stored pixel (0, 0), and of the stored pixel (2, 0), the end of row 0.
        let standard = [
            (1, (0, 0), (2, 0)),
            (2, (2, 0), (0, 0)),
            (3, (2, 1), (0, 1)),
            (4, (0, 1), (2, 1)),
            (5, (0, 0), (0, 2)),
            (6, (1, 0), (1, 2)),
            (7, (1, 2), (1, 0)),
            (8, (0, 2), (0, 0)),
        ];
        for (value, first, end) in standard {
            let orientation = Orientation::new(value).unwrap();
            assert_eq!(orientation.stored(first.0, first.1, size), (0, 0), "{value}");
            assert_eq!(orientation.stored(end.0, end.1, size), (2, 0), "{value}");
            assert_eq!(orientation.upright(size).width, if value >= 5 { 2 } else { 3 });
            assert_eq!(orientation.value(), value);
        }
        assert_eq!(Orientation::new(0), None);
        assert_eq!(Orientation::new(9), None);
    }

    #[test]
    fn a_place_is_turned_as_its_pixel_is() {
        let size = Size { width: 5, height: 3 };
        for orientation in ALL {
            let upright = orientation.upright(size);
            for (x, y) in (0..upright.height).flat_map(|y| (0..upright.width).map(move |x| (x, y))) {
                let (column, row) = orientation.stored(x, y, size);
                let place = Point { x: f64::from(column) + 0.25, y: f64::from(row) + 0.25 };
                let turned = orientation.upright_place(place, size);
                assert_eq!((turned.x as u32, turned.y as u32), (x, y), "{orientation:?}");
            }
        }
    }
}
