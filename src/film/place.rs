//! A frame of known size, put where most of its edges show: for pictures that melt into their rebate on some sides.

use super::field::{Field, Ground, Line, Side, TOLERANCE};
use super::known::{Known, Nominal};
use super::outline::{Outline, Seen, beside};
use crate::plane::{Point, Size};

/// Cells along the longer edge of the scan in which places are compared: a fifth of a millimetre on a 4 x 5 in sheet.
const CELLS: f64 = 620.0;
/// A cell of picture left outside a frame weighs as much as this many edges' cells of a side.
const LEFT_OUT: f64 = 4.0;
/// Pull to the middle of the film, and of the scan where no film's edge shows, in cells of a side for a cell off it: it
/// decides where nothing else does.
const TO_MIDDLE: (f64, f64) = (0.5, 0.05);
/// Pull to the larger frame, in cells for a cell of perimeter: a person crops a scan around the frame.
const TO_LARGE: f64 = 0.02;
/// Tilts tried where nothing tells it, in steps and degrees a step: film laid by hand is straighter than 2.
const TILTS: std::ops::RangeInclusive<i32> = -10..=10;
const TILT_STEP: f64 = 0.2;
/// Least share of the perimeter along which an edge shows.
const LEAST_EDGE: f64 = 0.03;
/// Most of what lies between frame and film's edge that may be dark: print, dust.
const MOST_OUTSIDE: f64 = 0.15;
/// ... where nothing else tells that there is a frame.
const MOST_OUTSIDE_FAINT: f64 = 0.06;

/// An outline and which of its sides are clear: top, right, bottom, left.
pub(super) type Clear<'a> = (&'a Outline, [bool; 4]);

/// Puts a single frame of a known size on film of this base. `film` is the film's own outline and `seen` what was found
/// of the frame, where they show. `None` when no place shows enough of an edge, or picture is left over everywhere.
pub(super) fn single(
    field: &Field,
    level: f32,
    film: Option<&Outline>,
    seen: Option<Clear>,
    known: &Known,
) -> Option<Outline> {
    let tilts = match (film, seen) {
        (Some(film), _) => vec![film.tangent()],
        (None, Some((outline, clear))) if clear.contains(&true) => vec![outline.tangent()],
        _ => TILTS.map(|step| (f64::from(step) * TILT_STEP).to_radians().tan()).collect(),
    };
    let mut sizes = known.sizes(film.map(|film| film.quad(field.size).extent()));
    if let Some((outline, clear)) = seen {
        // A length that is seen from edge to edge is the frame's.
        let (width, height) = outline.quad(field.size).extent();
        sizes.retain(|size| {
            (!(clear[1] && clear[3]) || size.is_wide(width)) && (!(clear[0] && clear[2]) || size.is_high(height))
        });
    }
    let most_outside = if seen.is_some() { MOST_OUTSIDE } else { MOST_OUTSIDE_FAINT };
    let best = tilts.into_iter().filter_map(|tangent| {
        let map = Map::turned(field, level, film, tangent);
        let (at, score) = map.best(&sizes, most_outside)?;
        Some((score, map.outline(&at, field.size, tangent)))
    });
    let mut outline = best.max_by(|a, b| a.0.total_cmp(&b.0))?.1;
    for i in 0..4 {
        outline.seen[i] = match beside(field, Ground::Level(level), &outline, i) {
            seen @ Seen::Edge { inside, .. } if inside >= LEAST_EDGE => seen,
            _ => Seen::Placed,
        };
    }
    Some(outline)
}

/// A place in cells: columns and rows from and to.
#[derive(Clone, Copy, Debug)]
struct At([usize; 4]);

impl At {
    fn extent(&self) -> (usize, usize) {
        (self.0[2] - self.0[0], self.0[3] - self.0[1])
    }
}

/// What one cell of the turned field is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Cell {
    Outside,
    Bright,
    Base,
    Picture,
}

/// The field turned upright by a tilt, as sums from which any place is judged at once.
struct Map {
    step: f64,
    columns: usize,
    rows: usize,
    /// Columns and rows from and to within which the film lies.
    film: [usize; 4],
    film_shows: bool,
    /// Sums of picture over all cells above and to the left; one more column and row than cells.
    picture: Vec<u32>,
    /// Edges of each side (top, right, bottom, left) at each row or column, summed along it.
    edges: [Vec<i32>; 4],
}

impl Map {
    fn turned(field: &Field, level: f32, film: Option<&Outline>, tangent: f64) -> Self {
        let size = field.size;
        let step = (f64::from(size.width.max(size.height)) / CELLS).max(1.0);
        let (columns, rows) = ((f64::from(size.width) / step) as usize, (f64::from(size.height) / step) as usize);
        let turn = Turn::new(size, tangent);
        let cells: Vec<Cell> = (0..columns * rows)
            .map(|i| {
                let (u, v) = ((i % columns) as f64 + 0.5, (i / columns) as f64 + 0.5);
                match field.under(turn.onto_scan(u * step, v * step)) {
                    None => Cell::Outside,
                    Some(d) if d < level - TOLERANCE => Cell::Bright,
                    Some(d) if d <= level + TOLERANCE => Cell::Base,
                    Some(_) => Cell::Picture,
                }
            })
            .collect();
        let bounds = film_bounds(film, size, &turn, step).unwrap_or([0, 0, columns, rows]);
        let bounds = [bounds[0], bounds[1], bounds[2].min(columns), bounds[3].min(rows)];
        let at = |u: usize, v: usize| cells[v * columns + u];
        Self {
            step,
            columns,
            rows,
            film: bounds,
            film_shows: film.is_some(),
            picture: picture_sums(columns, rows, at),
            edges: Side::ALL.map(|side| edge_sums(side, columns, rows, at)),
        }
    }

    fn picture_in(&self, [u0, v0, u1, v1]: [usize; 4]) -> f64 {
        let wide = self.columns + 1;
        let at = |u: usize, v: usize| i64::from(self.picture[v * wide + u]);
        (at(u1, v1) + at(u0, v0) - at(u0, v1) - at(u1, v0)) as f64
    }

    fn edges(&self, at: &At) -> f64 {
        let [u0, v0, u1, v1] = at.0;
        let run = |i: usize, across: usize, from: usize, to: usize| {
            let along = if i % 2 == 1 { self.rows } else { self.columns };
            let sums = &self.edges[i][across * (along + 1)..];
            f64::from((sums[to] - sums[from]).max(0))
        };
        run(0, v0, u0, u1) + run(1, u1, v0, v1) + run(2, v1, u0, u1) + run(3, u0, v0, v1)
    }

    fn score(&self, at: &At) -> f64 {
        let (width, height) = at.extent();
        let side = (width + height) as f64 / 2.0;
        let left_out = self.picture_in(self.film) - self.picture_in(at.0);
        let off =
            |from: usize, to: usize, low: usize, high: usize| ((from + to) as f64 - (low + high) as f64).abs() / 2.0;
        let off = off(at.0[0], at.0[2], self.film[0], self.film[2]) + off(at.0[1], at.0[3], self.film[1], self.film[3]);
        let pull = if self.film_shows { TO_MIDDLE.0 } else { TO_MIDDLE.1 };
        self.edges(at) - LEFT_OUT * left_out / side - pull * off + TO_LARGE * 4.0 * side
    }

    /// The best place and its score.
    fn best(&self, sizes: &[Nominal], most_outside: f64) -> Option<(At, f64)> {
        const STRIDE: usize = 2;
        let cells = |pixels: f64| (pixels / self.step).round() as usize;
        let mut best: Option<(At, f64)> = None;
        for size in sizes {
            let (width, height) = (cells(size.width), cells(size.height));
            let [u0, v0, u1, v1] = self.film;
            let fits = u0 + width <= u1 && v0 + height <= v1 && width > 0 && height > 0;
            if !fits {
                continue;
            }
            let places =
                (v0..=v1 - height).step_by(STRIDE).flat_map(|v| (u0..=u1 - width).step_by(STRIDE).map(move |u| (u, v)));
            let scored = places.map(|(u, v)| At([u, v, u + width, v + height])).map(|at| (at, self.score(&at)));
            let Some(coarse) = scored.max_by(|a, b| a.1.total_cmp(&b.1)) else { continue };
            let fine = self.climbed(coarse, (width, height), cells(size.gate) as isize);
            if self.is_sound(&fine.0, most_outside) && best.is_none_or(|b| fine.1 > b.1) {
                best = Some(fine);
            }
        }
        best
    }

    /// Each side moved to where it scores best, while the size stays within `slack` of the nominal one.
    fn climbed(&self, (mut at, mut score): (At, f64), nominal: (usize, usize), slack: isize) -> (At, f64) {
        const ROUNDS: usize = 3;
        let (low, high) = ([self.film[0], self.film[1]], [self.film[2], self.film[3]]);
        for _ in 0..ROUNDS {
            for i in 0..4 {
                let start = at;
                for by in -slack - 2..=slack + 2 {
                    let Some(moved) = start.0[i].checked_add_signed(by) else { continue };
                    let mut tried = start;
                    tried.0[i] = moved;
                    let axis = i % 2;
                    if tried.0[axis] < low[axis] || tried.0[axis + 2] > high[axis] || tried.0[axis] >= tried.0[axis + 2]
                    {
                        continue;
                    }
                    let (width, height) = tried.extent();
                    let near = |is: usize, should: usize| (is as isize - should as isize).abs() <= slack;
                    if near(width, nominal.0) && near(height, nominal.1) && self.score(&tried) > score {
                        (at, score) = (tried, self.score(&tried));
                    }
                }
            }
        }
        (at, score)
    }

    fn is_sound(&self, at: &At, most_outside: f64) -> bool {
        let (width, height) = at.extent();
        let perimeter = 2.0 * (width + height) as f64;
        let all = ((self.film[2] - self.film[0]) * (self.film[3] - self.film[1])) as f64;
        let outside = all - (width * height) as f64;
        let left_out = self.picture_in(self.film) - self.picture_in(at.0);
        self.edges(at) >= LEAST_EDGE * perimeter && left_out <= most_outside * outside
    }

    fn outline(&self, at: &At, size: Size, tangent: f64) -> Outline {
        let cosine = tangent.atan().cos();
        let lines = Side::ALL.map(|side| {
            let (cell, across) = match side {
                Side::Top => (at.0[1], size.height),
                Side::Right => (at.0[2], size.width),
                Side::Bottom => (at.0[3], size.height),
                Side::Left => (at.0[0], size.width),
            };
            let half = f64::from(across) / 2.0;
            let place = half + (cell as f64 * self.step - half) / cosine;
            let middle = if matches!(side, Side::Top | Side::Left) { place } else { f64::from(across) - place };
            Line { side, middle, slope: side.slope(tangent) }
        });
        Outline { lines, seen: [Seen::Placed; 4] }
    }
}

fn picture_sums(columns: usize, rows: usize, at: impl Fn(usize, usize) -> Cell) -> Vec<u32> {
    let wide = columns + 1;
    let mut sums = vec![0; wide * (rows + 1)];
    for v in 0..rows {
        let mut row = 0;
        for u in 0..columns {
            row += u32::from(at(u, v) == Cell::Picture);
            sums[(v + 1) * wide + u + 1] = sums[v * wide + u + 1] + row;
        }
    }
    sums
}

/// For a left or right side, edges at each column, summed over the rows; for top and bottom with the two exchanged.
///
/// A frame cuts what it shows straight off. Dust is not as deep; round things that only touch the line widen behind it,
/// so cells where picture begins late are taken off.
fn edge_sums(side: Side, columns: usize, rows: usize, at: impl Fn(usize, usize) -> Cell) -> Vec<i32> {
    let upright = matches!(side, Side::Left | Side::Right);
    let outer_first = matches!(side, Side::Left | Side::Top);
    let (across, along) = if upright { (columns, rows) } else { (rows, columns) };
    let mut sums = vec![0; (across + 1) * (along + 1)];
    for edge in 0..=across {
        let mut sum = 0;
        for place in 0..along {
            // Cells counted inwards from the edge, 0 being the first inside.
            let cell = |k: isize| {
                let index = if outer_first { edge as isize + k } else { edge as isize - 1 - k };
                let there = (0..across as isize).contains(&index);
                there.then(|| if upright { at(index as usize, place) } else { at(place, index as usize) })
            };
            let base = |k: isize| matches!(cell(k), Some(Cell::Base | Cell::Bright));
            let picture = |k: isize| cell(k) == Some(Cell::Picture);
            // The cells at the edge itself are blurred.
            if base(-2) || base(-3) {
                let cut = picture(1) && picture(2) && picture(5);
                sum += i32::from(cut) - i32::from(!picture(1) && !picture(2) && picture(8));
            }
            sums[edge * (along + 1) + place + 1] = sum;
        }
    }
    sums
}

/// The film's outline in cells, without the blur of its edges.
fn film_bounds(film: Option<&Outline>, size: Size, turn: &Turn, step: f64) -> Option<[usize; 4]> {
    /// Pixels of blur.
    const BLUR: f64 = 4.0;
    let corners = film?.quad(size).0.map(|p| turn.upright(p));
    let mean = |a: f64, b: f64| (a + b) / 2.0;
    let [a, b, c, d] = corners;
    let sides = [mean(a.x, d.x) + BLUR, mean(a.y, b.y) + BLUR, mean(b.x, c.x) - BLUR, mean(c.y, d.y) - BLUR];
    let cells = sides.map(|side| (side / step).max(0.0) as usize);
    (cells[0] < cells[2] && cells[1] < cells[3]).then_some(cells)
}

/// Turning about the middle of the scan.
struct Turn {
    middle: Point,
    sine: f64,
    cosine: f64,
}

impl Turn {
    fn new(size: Size, tangent: f64) -> Self {
        let (sine, cosine) = tangent.atan().sin_cos();
        Self { middle: Point { x: f64::from(size.width) / 2.0, y: f64::from(size.height) / 2.0 }, sine, cosine }
    }

    fn onto_scan(&self, u: f64, v: f64) -> Point {
        let (u, v) = (u - self.middle.x, v - self.middle.y);
        Point { x: self.middle.x + self.cosine * u - self.sine * v, y: self.middle.y + self.sine * u + self.cosine * v }
    }

    fn upright(&self, p: Point) -> Point {
        let (x, y) = (p.x - self.middle.x, p.y - self.middle.y);
        Point { x: self.middle.x + self.cosine * x + self.sine * y, y: self.middle.y - self.sine * x + self.cosine * y }
    }
}

#[cfg(test)]
mod tests {
    use super::super::drawn::{BASE, HOLDER_LIGHT, SIZE, Sheet};
    use super::super::format::Film;
    use super::*;
    use crate::plane::Overview;

    /// A sheet of 4 x 5 in on a holder, 96 x 120 mm on 100.5 x 125.5 mm (format tables), at this many pixels a
    /// millimetre.
    const PER_MM: f64 = 3.0;

    fn sheet(degrees: f64) -> Sheet {
        let film = [50.0, 60.0, 100.5 * PER_MM, 125.5 * PER_MM];
        let frame = [film[0] + 2.3 * PER_MM, film[1] + 2.8 * PER_MM, 96.0 * PER_MM, 120.0 * PER_MM];
        Sheet::one(HOLDER_LIGHT, film, frame, degrees)
    }

    /// The frame's half towards one side of the film as thin as the rebate.
    fn with_a_blank_half(sheet: &Sheet, side: Side) -> Overview {
        let whole = sheet.overview();
        let base = 10f64.powf(-BASE) as f32;
        let light = whole.light().iter().enumerate().map(|(i, light)| {
            let (x, y) = (i as u32 % SIZE.width, i as u32 / SIZE.width);
            let blank = match side {
                Side::Top => y < SIZE.height / 2,
                Side::Bottom => y >= SIZE.height / 2,
                Side::Left => x < SIZE.width / 2,
                Side::Right => x >= SIZE.width / 2,
            };
            if blank && *light > 2.0 * HOLDER_LIGHT { base } else { *light }
        });
        Overview::new(SIZE, light.collect(), SIZE)
    }

    #[test]
    fn a_blank_half_is_placed_on_every_side_and_at_either_tilt() {
        let known = Known { per_mm: Some(PER_MM), film: Film::Sheet4x5 };
        for degrees in [-1.2, 0.0, 1.2] {
            let sheet = sheet(degrees);
            for (i, side) in Side::ALL.into_iter().enumerate() {
                let field = Field::of(&with_a_blank_half(&sheet, side));
                let film = super::super::film_edge::in_holder(&field).expect("film shows in a holder");
                let placed = single(&field, BASE as f32, Some(&film), None, &known).expect("a place");
                assert_eq!(placed.seen[i], Seen::Placed, "{side:?} at {degrees}");
                for (got, truth) in placed.quad(SIZE).0.iter().zip(sheet.corners(0)) {
                    // Corners are told in pixels of a scan twice the overview's; two millimetres, as sizes are good to
                    // 1.6.
                    let off = (got.x - truth.x / 2.0).hypot(got.y - truth.y / 2.0);
                    assert!(off < 2.0 * PER_MM, "{side:?} at {degrees}: {got:?} for {truth:?}");
                }
            }
        }
    }

    #[test]
    fn a_picture_larger_than_any_frame_of_the_film_has_no_place() {
        let field = Field::of(&sheet(0.0).overview());
        let known = Known { per_mm: Some(PER_MM), film: Film::Small35 };
        assert!(single(&field, BASE as f32, None, None, &known).is_none());
    }
}
