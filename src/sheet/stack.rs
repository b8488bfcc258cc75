//! The rows of a grid stacked on pages.

use super::area::Area;
use super::grid::{DESCENDERS, Grid, LEAST_FREE, UNDER, text_lines};
use super::sizes::LINE;
use crate::light::Millimetres;

/// Free lines between a row's longest caption and the row below, at most; what is left stays white at the page's foot,
/// for writing on.
const MOST_FREE: f64 = 5.0;

/// Where a frame goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Place {
    pub(super) picture: Area,
    /// First baseline of the caption.
    pub(super) baseline: Millimetres,
}

/// Places frames, given as shapes and caption lines, page by page, from left to right and from top to bottom. What has
/// no shape is left blank.
///
/// Pictures stand on the lower edge of their row and at the left edge of their column. A row is as high as its tallest
/// picture and its longest caption, in whole lines, so that all captions of a page stand on one grid of baselines; the
/// white between rows is the same on all pages.
pub(super) fn stack(grid: &Grid, room: Area, shapes: &[Option<f64>], captions: &[usize]) -> Vec<Vec<Option<Place>>> {
    let pages: Vec<Vec<Row<'_>>> = shapes
        .chunks(grid.per_page())
        .zip(captions.chunks(grid.per_page()))
        .map(|(shapes, captions)| {
            shapes
                .chunks(grid.columns)
                .zip(captions.chunks(grid.columns))
                .map(|(shapes, captions)| Row::new(grid, shapes, captions))
                .collect()
        })
        .collect();
    let free = pages.iter().map(|rows| free_lines(rows, room)).fold(MOST_FREE, f64::min);
    pages
        .iter()
        .map(|rows| {
            let mut line = 0.0;
            let mut places = Vec::new();
            for row in rows {
                let baseline = room.top + LINE * (line + row.picture);
                places.extend(row.places(grid, room.left, baseline));
                line += row.picture + row.text + free;
            }
            places
        })
        .collect()
}

/// A row of frames, its height in whole lines.
struct Row<'a> {
    shapes: &'a [Option<f64>],
    /// From the row's top to its first baseline.
    picture: f64,
    /// From the first baseline to the last.
    text: f64,
}

impl<'a> Row<'a> {
    fn new(grid: &Grid, shapes: &'a [Option<f64>], captions: &[usize]) -> Self {
        let corner = Millimetres::default();
        let tallest = shapes
            .iter()
            .flatten()
            .map(|shape| grid.picture(corner, corner, *shape).height)
            .fold(corner, Millimetres::max);
        Self {
            shapes,
            // Rounding must not cost a line: 1e-9 lines are far below what a printer resolves.
            picture: ((tallest + UNDER) / LINE - 1e-9).ceil(),
            text: text_lines(captions),
        }
    }

    fn places(&self, grid: &Grid, left: Millimetres, baseline: Millimetres) -> impl Iterator<Item = Option<Place>> {
        let foot = baseline - UNDER;
        self.shapes.iter().enumerate().map(move |(column, shape)| {
            let left = left + grid.column_pitch() * column as f64;
            let area = grid.picture(left, foot, (*shape)?);
            Some(Place { picture: Area { top: foot - area.height, ..area }, baseline })
        })
    }
}

/// The whole lines that can go between two rows of a page.
fn free_lines(rows: &[Row<'_>], room: Area) -> f64 {
    let used: f64 = rows.iter().map(|row| row.picture + row.text).sum();
    let left = room.height / LINE - DESCENDERS - used;
    match rows.len() {
        0 | 1 => MOST_FREE,
        // The grid has left at least `LEAST_FREE`; rounding must not take it away.
        rows => (left / (rows as f64 - 1.0) + 1e-9).floor().max(LEAST_FREE),
    }
}
