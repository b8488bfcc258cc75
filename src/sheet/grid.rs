//! Columns and rows chosen so that the pictures of a sheet come out large, or given.

use std::fmt;
use std::str::FromStr;

use super::area::Area;
use super::sizes::{INDENT, LINE};
use crate::light::Millimetres;

/// No more frames than this on a page of A4; on larger paper in proportion to it.
const MOST: usize = 20;

/// The room that an A4 page leaves, in square millimetres.
const ROOM_OF_A4: f64 = 184.6 * 246.0;

/// A page is not filled further once a typical picture's long side would fall below this:
/// a frame of 35 mm film printed by contact (24 x 36 mm) is the smallest the trade judges by eye (common practice).
const SMALLEST: Millimetres = Millimetres::new(36.0);

/// Between two columns.
const GUTTER: Millimetres = Millimetres::new(4.5);

/// Narrowest column that is chosen: two of the three figures fit on a line beside the mark.
const NARROWEST: Millimetres = Millimetres::new(38.0);

/// Narrowest column that may be given: one figure fits on a line beside the mark, "range 0.00".
const LEAST_COLUMN: Millimetres = Millimetres::new(20.0);

/// Lowest room for a picture, unless a page holds a single frame.
const LOWEST: Millimetres = Millimetres::new(15.0);

/// From the picture's lower edge to the first baseline of its caption.
pub(super) const UNDER: Millimetres = Millimetres::from_points(12.0);

/// Free lines between a row's longest caption and the row below, at least.
pub(super) const LEAST_FREE: f64 = 2.0;

/// Lines below the last baseline for its descenders.
pub(super) const DESCENDERS: f64 = 0.5;

/// Columns and rows of a page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GridSize {
    /// Frames side by side.
    pub columns: usize,
    /// Rows of them.
    pub rows: usize,
}

impl FromStr for GridSize {
    type Err = String;

    /// Reads `4x5`: columns first.
    fn from_str(word: &str) -> Result<Self, String> {
        let number = |word: &str| word.trim().parse().ok().filter(|n| (1..=40).contains(n));
        let read = word.to_lowercase();
        let read = read.split_once(['x', '\u{d7}']).and_then(|(c, r)| Some((number(c)?, number(r)?)));
        let grid = read.map(|(columns, rows)| Self { columns, rows });
        grid.ok_or_else(|| format!("\"{word}\": use columns and rows, as 4x5, each from 1 to 40"))
    }
}

impl fmt::Display for GridSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}x{}", self.columns, self.rows)
    }
}

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

/// What is laid on a grid.
pub(super) struct Laid<'a> {
    /// Shapes of the frames, width / height, finite and above 0.
    pub(super) shapes: &'a [f64],
    /// How many of them lie on each strip of film, in order. A strip begins a row of its own.
    pub(super) strips: &'a [usize],
    /// Lines of every frame's caption in a room of a given width, beside the mark.
    pub(super) captions: &'a dyn Fn(Millimetres) -> Vec<usize>,
}

impl Laid<'_> {
    /// The frames in rows of so many columns, by their place in the order; blanks fill up the last row of each strip.
    pub(super) fn slots(&self, columns: usize) -> Vec<Option<usize>> {
        let mut slots = Vec::new();
        let mut next = 0;
        for strip in self.strips {
            slots.extend((next..next + strip).map(Some));
            slots.extend(vec![None; strip.next_multiple_of(columns) - strip]);
            next += strip;
        }
        slots
    }

    fn rows(&self, columns: usize) -> usize {
        self.strips.iter().map(|strip| strip.div_ceil(columns)).sum::<usize>().max(1)
    }
}

/// A number of columns that may be chosen.
struct Columns {
    count: usize,
    width: Millimetres,
    /// Lines of the caption in each slot at this width.
    captions: Vec<usize>,
}

impl Columns {
    fn of(count: usize, laid: &Laid<'_>, room: Area) -> Self {
        let width = (room.width + GUTTER) / count as f64 - GUTTER;
        let captions = (laid.captions)(width - INDENT);
        let in_slot = |slot: Option<usize>| slot.map_or(0, |frame| captions[frame]);
        Self { count, width, captions: laid.slots(count).into_iter().map(in_slot).collect() }
    }
}

impl Grid {
    /// Chooses the grid for frames in the room of a page.
    ///
    /// First the fewest pages that hold the frames, at most 20 a page of A4 and fewer where pictures would be tiny;
    /// then the columns and rows in which the pictures' mean area (geometric, so that none pays for the others) is
    /// largest.
    pub(super) fn choose(laid: &Laid<'_>, room: Area) -> Self {
        let most = ((room.width.value() * room.height.value() / ROOM_OF_A4 * MOST as f64).round() as usize).max(MOST);
        let width = |count: usize| (room.width + GUTTER) / count as f64 - GUTTER;
        let choice: Vec<Columns> = (1..=most)
            .take_while(|count| *count == 1 || width(*count) >= NARROWEST)
            .map(|count| Columns::of(count, laid, room))
            .collect();
        let count = laid.shapes.len().max(1);
        (count.div_ceil(most)..count)
            .find_map(|pages| {
                Self::largest(pages, most, laid, room, &choice)
                    .filter(|grid| grid.typical_long_side(laid.shapes) >= SMALLEST)
            })
            .unwrap_or_else(|| Self::filling(&choice[0], 1, room))
    }

    /// The grid of given columns and rows.
    ///
    /// # Errors
    /// When its cells would be too small for a picture and its caption: the columns and rows that still go.
    pub(super) fn given(size: GridSize, laid: &Laid<'_>, room: Area) -> Result<Self, GridSize> {
        let width = |count: usize| (room.width + GUTTER) / count as f64 - GUTTER;
        let columns =
            (1..=size.columns).take_while(|count| *count == 1 || width(*count) >= LEAST_COLUMN).count().max(1);
        let of = Columns::of(columns, laid, room);
        let roomy = |rows: &usize| *rows == 1 || Self::filling(&of, *rows, room).picture_height >= LOWEST;
        let rows = (1..=size.rows).take_while(roomy).count().max(1);
        let still = GridSize { columns, rows };
        if still == size { Ok(Self::filling(&of, rows, room)) } else { Err(still) }
    }

    /// The grid with the largest pictures for a number of pages, if any is roomy enough.
    fn largest(pages: usize, most: usize, laid: &Laid<'_>, room: Area, choice: &[Columns]) -> Option<Self> {
        let frames = laid.shapes.len().max(1).div_ceil(pages);
        let mut best: Option<(f64, Self)> = None;
        for columns in choice.iter().filter(|columns| columns.count <= frames) {
            let rows = laid.rows(columns.count).div_ceil(pages);
            if columns.count * rows > most {
                continue;
            }
            let grid = Self::filling(columns, rows, room);
            if grid.picture_height < LOWEST {
                continue;
            }
            let size = grid.mean_log_area(laid.shapes);
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
    use super::{Area, Grid, GridSize, Laid, Millimetres};

    /// About the room an A4 page leaves.
    const ROOM: Area = Area {
        left: Millimetres::new(12.7),
        top: Millimetres::new(28.6),
        width: Millimetres::new(184.6),
        height: Millimetres::new(246.0),
    };

    fn chosen_grid(shapes: &[f64]) -> Grid {
        let captions = |_| vec![2; shapes.len()];
        Grid::choose(&Laid { shapes, strips: &[shapes.len()], captions: &captions }, ROOM)
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
    fn a_strip_begins_a_row_of_its_own() {
        let shapes = [1.5; 9];
        let laid = Laid { shapes: &shapes, strips: &[4, 3, 2], captions: &|_| vec![2; 9] };
        let slots = [Some(0), Some(1), Some(2), Some(3), None, None, Some(4), Some(5), Some(6), Some(7), Some(8), None];
        assert_eq!(laid.slots(3), slots);
        // Six frames of a strip that do not go side by side are halved, not cut 4 and 2.
        let shapes = [1.5; 12];
        let laid = Laid { shapes: &shapes, strips: &[6, 6], captions: &|_| vec![2; 12] };
        assert_eq!(Grid::choose(&laid, ROOM).columns, 3);
    }

    #[test]
    fn a_grid_that_is_given_is_taken_or_told_what_still_goes() {
        let shapes = [0.8; 30];
        let laid = Laid { shapes: &shapes, strips: &[30], captions: &|_| vec![2; 30] };
        let grid = Grid::given(GridSize { columns: 5, rows: 6 }, &laid, ROOM).unwrap();
        assert_eq!((grid.columns, grid.rows), (5, 6));
        let still = Grid::given(GridSize { columns: 12, rows: 30 }, &laid, ROOM).unwrap_err();
        // (184.6 + 4.5)/7 - 4.5 is 22.5 mm, an eighth column 19.1; a row of 15 mm takes 15 + 4.23 + 3.18 and two lines.
        assert_eq!(still, GridSize { columns: 7, rows: 8 });
    }

    #[test]
    fn columns_and_rows_are_read_as_they_are_said() {
        assert_eq!("4x5".parse(), Ok(GridSize { columns: 4, rows: 5 }));
        assert_eq!("4 X 5".parse::<GridSize>().unwrap().to_string(), "4x5");
        for wrong in ["4", "0x5", "4x", "4x5x6", "41x1", "-1x3"] {
            assert!(wrong.parse::<GridSize>().unwrap_err().contains("as 4x5"), "{wrong}");
        }
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
