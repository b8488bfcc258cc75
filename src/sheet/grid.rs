//! Columns and rows chosen so that the pictures of a sheet come out large.

use super::area::Area;
use super::sizes::LINE;
use crate::light::Millimetres;

/// No more frames on a page than this.
const MOST: usize = 20;

/// A page is not filled further once a typical picture's long side would fall below this:
/// a frame of 35 mm film printed by contact (24 x 36 mm) is the smallest the trade judges by eye (common practice).
const SMALLEST: Millimetres = Millimetres::new(36.0);

/// Between two columns.
const GUTTER: Millimetres = Millimetres::new(4.5);

/// Narrowest column: two of the three figures fit on a line beside the mark.
const NARROWEST: Millimetres = Millimetres::new(38.0);

/// Lowest room for a picture, unless a page holds a single frame.
const LOWEST: Millimetres = Millimetres::new(15.0);

/// From the picture's lower edge to the first baseline of its caption.
pub(super) const UNDER: Millimetres = Millimetres::from_points(12.0);

/// Free lines between a row's longest caption and the row below, at least.
pub(super) const LEAST_FREE: f64 = 2.0;

/// Lines below the last baseline for its descenders.
pub(super) const DESCENDERS: f64 = 0.5;

/// Cells of one size, the same on every page of a sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Grid {
    pub(super) columns: usize,
    pub(super) rows: usize,
    /// Width of a cell, of its picture and of its caption with the mark.
    pub(super) column: Millimetres,
    /// Room for a picture's height.
    picture_height: Millimetres,
}

/// A number of columns that may be chosen.
struct Columns {
    count: usize,
    width: Millimetres,
    /// Lines of every frame's caption at this width.
    captions: Vec<usize>,
}

impl Grid {
    /// Chooses the grid for pictures of given shapes (width / height, finite and above 0) in the room of a page.
    ///
    /// First the fewest pages that hold the frames, at most 20 a page and fewer where pictures would be tiny;
    /// then the columns and rows in which the pictures' mean area (geometric, so that none pays for the others) is largest.
    /// `captions` tells how many lines each frame's caption takes in a column of a given width.
    pub(super) fn choose(shapes: &[f64], room: Area, captions: &dyn Fn(Millimetres) -> Vec<usize>) -> Self {
        let choice: Vec<Columns> = (1..=MOST)
            .map(|count| (count, (room.width + GUTTER) / count as f64 - GUTTER))
            .take_while(|(count, width)| *count == 1 || *width >= NARROWEST)
            .map(|(count, width)| Columns { count, width, captions: captions(width) })
            .collect();
        let count = shapes.len().max(1);
        (count.div_ceil(MOST)..count)
            .find_map(|pages| {
                Self::largest(count.div_ceil(pages), shapes, room, &choice)
                    .filter(|grid| grid.typical_long_side(shapes) >= SMALLEST)
            })
            .unwrap_or_else(|| Self::filling(&choice[0], 1, room))
    }

    /// The grid with the largest pictures for a number of frames a page, if any is roomy enough.
    fn largest(frames: usize, shapes: &[f64], room: Area, choice: &[Columns]) -> Option<Self> {
        let mut best: Option<(f64, Self)> = None;
        for columns in choice.iter().filter(|columns| columns.count <= frames) {
            let rows = frames.div_ceil(columns.count);
            if columns.count * rows > MOST {
                continue;
            }
            let grid = Self::filling(columns, rows, room);
            if grid.picture_height < LOWEST {
                continue;
            }
            let size = grid.mean_log_area(shapes);
            if best.as_ref().is_none_or(|(most, _)| size > most + 1e-9) {
                best = Some((size, grid));
            }
        }
        best.map(|(_, grid)| grid)
    }

    /// The grid of so many columns and rows that fills the room on the page with the longest captions.
    fn filling(columns: &Columns, rows: usize, room: Area) -> Self {
        let text = columns
            .captions
            .chunks(columns.count * rows)
            .map(|page| page.chunks(columns.count).map(text_lines).sum::<f64>())
            .fold(0.0, f64::max);
        let free = LEAST_FREE * (rows as f64 - 1.0) + DESCENDERS;
        let picture = ((room.height / LINE - text - free) / rows as f64).floor();
        Self { columns: columns.count, rows, column: columns.width, picture_height: LINE * picture - UNDER }
    }

    /// How many frames a page holds.
    pub(super) fn per_page(&self) -> usize {
        self.columns * self.rows
    }

    /// The largest picture of a shape in a cell whose top left corner is given.
    pub(super) fn picture(&self, left: Millimetres, top: Millimetres, shape: f64) -> Area {
        let width = self.column.min(self.picture_height * shape);
        let height = self.picture_height.min(self.column / shape);
        Area { left, top, width, height }
    }

    /// From a cell's left edge to the next one's.
    pub(super) fn column_pitch(&self) -> Millimetres {
        self.column + GUTTER
    }

    fn mean_log_area(&self, shapes: &[f64]) -> f64 {
        let sum: f64 = self.pictures(shapes).map(|area| (area.width.value() * area.height.value()).ln()).sum();
        sum / shapes.len() as f64
    }

    /// Long side of the middle one of the pictures, put in order of size.
    fn typical_long_side(&self, shapes: &[f64]) -> Millimetres {
        let mut sides: Vec<f64> = self.pictures(shapes).map(|area| area.width.max(area.height).value()).collect();
        sides.sort_by(f64::total_cmp);
        Millimetres::new(sides[sides.len() / 2])
    }

    fn pictures(&self, shapes: &[f64]) -> impl Iterator<Item = Area> {
        let corner = Millimetres::default();
        shapes.iter().map(move |shape| self.picture(corner, corner, *shape))
    }
}

/// Lines a row's captions take below their first baseline; none is lower than its mark, two lines.
pub(super) fn text_lines(captions: &[usize]) -> f64 {
    captions.iter().fold(2, |most, lines| most.max(*lines)) as f64 - 1.0
}

#[cfg(test)]
mod tests {
    use super::{Area, Grid, Millimetres};

    /// About the room an A4 page leaves.
    const ROOM: Area = Area {
        left: Millimetres::new(12.7),
        top: Millimetres::new(28.6),
        width: Millimetres::new(184.6),
        height: Millimetres::new(246.0),
    };

    fn chosen_grid(shapes: &[f64]) -> Grid {
        Grid::choose(shapes, ROOM, &|_| vec![2; shapes.len()])
    }

    fn chosen(shapes: &[f64]) -> (usize, usize) {
        let grid = chosen_grid(shapes);
        (grid.columns, grid.rows)
    }

    #[test]
    fn one_frame_takes_the_whole_page() {
        assert_eq!(chosen(&[0.8]), (1, 1));
    }

    #[test]
    fn landscape_sheets_stand_two_by_three_and_three_by_four() {
        assert_eq!(chosen(&[1.25; 6]), (2, 3));
        assert_eq!(chosen(&[1.25; 12]), (3, 4));
    }

    #[test]
    fn upright_sheets_stand_three_by_two_and_four_by_three() {
        assert_eq!(chosen(&[0.8; 6]), (3, 2));
        assert_eq!(chosen(&[0.8; 12]), (4, 3));
    }

    #[test]
    fn square_frames_of_a_roll_stand_three_by_four() {
        assert_eq!(chosen(&[1.0; 12]), (3, 4));
    }

    #[test]
    fn more_than_a_page_of_frames_is_shared_out_evenly() {
        let grid = chosen_grid(&[1.25; 24]);
        assert_eq!(grid.per_page(), 12);
        let grid = chosen_grid(&[0.8; 40]);
        assert_eq!(grid.per_page(), 16, "20 would be under 36 mm");
    }

    #[test]
    fn no_other_grid_of_one_page_gives_larger_pictures() {
        // Counted anew: a row is a picture, 12 pt to the caption, one more line of text; two lines between rows.
        let fits = |columns: usize, rows: usize, shape: f64| {
            let width = (184.6 + 4.5) / columns as f64 - 4.5;
            let line = 25.4 / 8.0;
            let height = (246.0 - line * (3.0 * rows as f64 - 1.5)) / rows as f64 - 25.4 / 6.0;
            let long = width.min(height * shape);
            if width >= 38.0 { long * long / shape } else { 0.0 }
        };
        for count in 1..=16 {
            for shape in [0.667, 0.8, 1.0, 1.25, 1.5] {
                let grid = chosen_grid(&vec![shape; count]);
                assert!(grid.per_page() >= count);
                let zero = Millimetres::default();
                let picture = grid.picture(zero, zero, shape);
                let area = picture.width.value() * picture.height.value();
                for columns in 1..=count {
                    let other = fits(columns, count.div_ceil(columns), shape);
                    // Rows are whole lines, which costs a row up to a line.
                    let line = 25.4 / 8.0 / picture.height.value();
                    assert!(other <= area * (1.0 + line) * (1.0 + line), "{count} of {shape} in {columns} columns");
                }
            }
        }
    }
}
