//! Film that frames lie on: pieces, strips, and what of them a page holds.

use super::super::area::Area;
use super::super::error::Error;
use super::super::frame::{Frame, Lay, OnFilm};
use super::super::grid::GridSize;
use super::super::page_size::PageSize;
use super::block::room;
use crate::film::{Piece, Run};
use crate::light::Millimetres;

/// Lengths that differ by less are one: a micrometre.
const SAME: Millimetres = Millimetres::new(0.001);

/// Strips in a row.
pub(super) type Row = Vec<Strip>;

/// Frames that lie on one strip of film, or one sheet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Strip {
    /// The first of its frames, and how many there are.
    pub(super) first: usize,
    pub(super) count: usize,
    /// What each of them takes up.
    pub(super) piece: Piece,
}

impl Strip {
    /// Width and height.
    pub(super) fn size(&self) -> (Millimetres, Millimetres) {
        let ((width, height), count) = (self.piece.size, self.count as f64);
        match self.piece.run {
            Run::Across => (width * count, height),
            Run::Down => (width, height * count),
            Run::Alone => (width, height),
        }
    }

    /// Where its frame of a number lies, from 0 on.
    pub(super) fn piece(&self, corner: (Millimetres, Millimetres), number: usize) -> Area {
        let (width, height) = self.piece.size;
        let (across, down) = match self.piece.run {
            Run::Across => (width * number as f64, Millimetres::default()),
            Run::Down => (Millimetres::default(), height * number as f64),
            Run::Alone => (Millimetres::default(), Millimetres::default()),
        };
        Area { left: corner.0 + across, top: corner.1 + down, width, height }
    }
}

/// Strips in rows, rows on pages: as they were cut, evenly where one is too long for the paper; or all frames one after
/// another, as many on a strip as there is room for, where a grid is given or that takes fewer pages.
///
/// # Errors
/// When the paper does not hold a frame, or the grid, with one that does; or a size on film is not known.
pub(super) fn on_pages(frames: &[Frame], lay: &Lay) -> Result<Vec<Vec<Row>>, Error> {
    let pieces = pieces(frames)?;
    let flowing = packed(strips(frames, &pieces, lay, false)?, lay);
    if lay.grid.is_some() {
        return Ok(flowing);
    }
    let as_cut = packed(strips(frames, &pieces, lay, true)?, lay);
    Ok(if flowing.len() < as_cut.len() { flowing } else { as_cut })
}

/// The piece of film of each frame; what has no picture takes that of the first that has.
fn pieces(frames: &[Frame]) -> Result<Vec<Piece>, Error> {
    if let Some(unknown) = frames.iter().find(|frame| frame.shown().is_some() && frame.on_film.is_none()) {
        return Err(Error::SizeUnknown(unknown.name.clone()));
    }
    let known = |frame: &Frame| frame.on_film.map(|OnFilm { exposed, .. }| Piece::holding(exposed.0, exposed.1));
    let usual = frames.iter().find_map(known).unwrap_or(Piece::holding(Millimetres::new(36.0), Millimetres::new(24.0)));
    Ok(frames.iter().map(|frame| known(frame).unwrap_or(usual)).collect())
}

/// Frames one after another on strips, cut to what the page holds; `as_cut` keeps strips apart, and cuts one that is
/// too long evenly.
fn strips(frames: &[Frame], pieces: &[Piece], lay: &Lay, as_cut: bool) -> Result<Vec<Strip>, Error> {
    let all: Vec<(&Frame, Piece)> = frames.iter().zip(pieces.iter().copied()).collect();
    let mut strips = Vec::new();
    let mut first = 0;
    let together = |(a, of_a): &(&Frame, Piece), (b, of_b): &(&Frame, Piece)| {
        of_a == of_b && of_a.run != Run::Alone && (!as_cut || a.strip == b.strip)
    };
    for together in all.chunk_by(together) {
        let piece = together[0].1;
        let most = most(piece, lay)?;
        let cut = match together[0].0.strip {
            Some(_) if as_cut => together.len().div_ceil(together.len().div_ceil(most)),
            _ => most,
        };
        for frames in together.chunks(cut) {
            strips.push(Strip { first, count: frames.len(), piece });
            first += frames.len();
        }
    }
    Ok(strips)
}

/// How many frames go on one strip.
fn most(piece: Piece, lay: &Lay) -> Result<usize, Error> {
    let (width, height) = room(lay.page);
    let (across, down) = piece.size;
    let fits = |(w, h): (Millimetres, Millimetres), page| {
        let (width, height) = room(page);
        w <= width + SAME && h <= height + SAME
    };
    let refused = |what: String, size: (Millimetres, Millimetres)| {
        let page = lay.page;
        let [w, h, width, height] = [size.0, size.1, width, height].map(Millimetres::value);
        let why = format!("{page} is too small for {what}: that takes {w:.1} x {h:.1} mm");
        let instead = PageSize::named().find(|other| fits(size, *other));
        let instead = instead
            .map_or_else(|| "give a larger one, as --page 60x90cm".to_owned(), |other| format!("use --page {other}"));
        Error::TooSmall(format!("{why}, and it has {width:.1} x {height:.1} below its head: {instead}"))
    };
    if !fits(piece.size, lay.page) {
        return Err(refused("one frame in its true size".to_owned(), piece.size));
    }
    if let Some(GridSize { columns, rows }) = lay.grid {
        let (c, r) = (columns as f64, rows as f64);
        let (what, needed) = match piece.run {
            Run::Across => (format!("{rows} strips of {columns} frames"), (across * c, down * r)),
            Run::Down => (format!("{rows} strips of {columns} frames"), (across * r, down * c)),
            Run::Alone => (format!("{columns} by {rows} frames"), (across * c, down * r)),
        };
        return if fits(needed, lay.page) { Ok(columns) } else { Err(refused(what, needed)) };
    }
    Ok(match piece.run {
        Run::Across => ((width + SAME) / across).floor() as usize,
        Run::Down => ((height + SAME) / down).floor() as usize,
        Run::Alone => 1,
    })
}

/// Strips in rows, rows on pages.
fn packed(strips: Vec<Strip>, lay: &Lay) -> Vec<Vec<Row>> {
    let (width, height) = room(lay.page);
    let mut pages: Vec<Vec<Row>> = Vec::new();
    for strip in strips {
        // Strips in a row and rows on a page, at most, where that is given.
        let (in_row, on_page) = match (lay.grid, strip.piece.run) {
            (None, _) => (usize::MAX, usize::MAX),
            (Some(grid), Run::Across) => (1, grid.rows),
            (Some(grid), Run::Down) => (grid.rows, 1),
            (Some(grid), Run::Alone) => (grid.columns, grid.rows),
        };
        let (wide, tall) = strip.size();
        let beside = pages.last().and_then(|rows| rows.last().map(|row| (rows, row))).is_some_and(|(rows, row)| {
            let other_rows = rows_high(rows) - high(row);
            row_wide(row) + wide <= width + SAME
                && other_rows + high(row).max(tall) <= height + SAME
                && row.len() < in_row
        });
        let below = pages.last().is_some_and(|rows| rows_high(rows) + tall <= height + SAME && rows.len() < on_page);
        match (pages.last_mut(), beside, below) {
            (Some(rows), true, _) => rows.last_mut().into_iter().for_each(|row| row.push(strip.clone())),
            (Some(rows), false, true) => rows.push(vec![strip]),
            _ => pages.push(vec![vec![strip]]),
        }
    }
    pages
}

/// Width of a row of strips.
pub(super) fn row_wide(row: &[Strip]) -> Millimetres {
    row.iter().fold(Millimetres::default(), |sum, strip| sum + strip.size().0)
}

/// Height of a row of strips.
pub(super) fn high(row: &[Strip]) -> Millimetres {
    row.iter().map(|strip| strip.size().1).fold(Millimetres::default(), Millimetres::max)
}

/// Height of all rows.
pub(super) fn rows_high(rows: &[Row]) -> Millimetres {
    rows.iter().fold(Millimetres::default(), |sum, row| sum + high(row))
}
