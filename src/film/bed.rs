//! Several pieces of film on one bed: sheets or strips side by side, with holder or open light between them.

use super::field::{Field, HOLDER, TOLERANCE};
use super::outline::OPEN_LIGHT;
use crate::plane::{Area, Size};

/// Share of the scan's border that is bed, when film lies on it.
const BORDER: f64 = 0.6;
/// Share of a row or column that is bed where film is parted: dust and hairs take the rest.
const CLEAR: f64 = 0.98;
/// Least gap between two pieces, in pixels: more than the blur of two edges.
const LEAST_GAP: u32 = 6;
/// Bed left around a piece, in pixels: enough to see its edge, tilted too.
const MARGIN: u32 = 24;
/// Share of the scan beyond which film's far edge lies out of reach of what looks for it from the scan's edge.
const FAR: f64 = 0.4;
/// Least side of a piece, as a share of the scan's shorter side.
const LEAST_PIECE: f64 = 0.12;
/// Least share of that which film covers: perforations and notches take the rest.
const FILLED: f64 = 0.4;

/// What film lies on.
#[derive(Clone, Copy)]
enum Bed {
    Holder,
    /// Light as bright as this density.
    Open(f32),
}

impl Bed {
    fn holds(self, density: f32) -> bool {
        match self {
            Self::Holder => density > HOLDER,
            Self::Open(level) => density <= level + TOLERANCE,
        }
    }
}

/// The pieces in reading order, each with some bed around it. None where film lies in one piece about the middle of the
/// scan, or fills it.
pub(super) fn pieces(field: &Field) -> Vec<Area> {
    let Some(bed) = bed(field) else { return Vec::new() };
    let mut pieces = Vec::new();
    part(field, bed, field.size.whole(), true, &mut pieces);
    pieces.retain(|piece| is_film(field, bed, *piece));
    match pieces.as_slice() {
        [one] if !is_off_centre(*one, field.size) => Vec::new(),
        _ => pieces,
    }
}

fn is_off_centre(area: Area, size: Size) -> bool {
    let far = |from: u32, length: u32, all: u32| f64::from(from.max(all - from - length)) > FAR * f64::from(all);
    far(area.x, area.width, size.width) || far(area.y, area.height, size.height)
}

/// Film fills the box around it; dust and hairs do not, and are small.
fn is_film(field: &Field, bed: Bed, area: Area) -> bool {
    let least = LEAST_PIECE * f64::from(field.size.width.min(field.size.height));
    let at = |x: u32, y: u32| !bed.holds(field.at(x as usize, y as usize));
    let (columns, rows) = (area.x..area.x + area.width, area.y..area.y + area.height);
    let across = |y: u32| columns.clone().filter(|&x| at(x, y)).count();
    let counts: Vec<usize> = rows.map(across).collect();
    let covered: usize = counts.iter().sum();
    let high = counts.iter().filter(|count| **count > 0).count();
    let wide = counts.iter().copied().max().unwrap_or(0);
    (high.min(wide)) as f64 >= least && covered as f64 >= FILLED * (high * wide) as f64
}

fn bed(field: &Field) -> Option<Bed> {
    let open = field.levels().first().copied().filter(|level| *level <= OPEN_LIGHT).map(Bed::Open);
    [Some(Bed::Holder), open].into_iter().flatten().find(|bed| along_border(field, *bed) >= BORDER)
}

fn along_border(field: &Field, bed: Bed) -> f64 {
    let Size { width, height } = field.size;
    let (right, below) = (width as usize - 1, height as usize - 1);
    let across = (0..=right).flat_map(|x| [(x, 0), (x, below)]);
    let down = (0..=below).flat_map(|y| [(0, y), (right, y)]);
    let held = across.chain(down).filter(|&(x, y)| bed.holds(field.at(x, y))).count();
    held as f64 / (2 * (right + below + 2)) as f64
}

/// Cuts an area along gaps across it, by rows and by columns in turn, until neither way shows one.
fn part(field: &Field, bed: Bed, area: Area, rows: bool, pieces: &mut Vec<Area>) {
    let parts = cut(field, bed, area, rows);
    match parts.as_slice() {
        [] => {}
        // Cut the other way once; what is whole both ways is a piece.
        [whole] if rows => part(field, bed, *whole, false, pieces),
        [whole] if cut(field, bed, *whole, true).len() < 2 => pieces.push(*whole),
        parts => parts.iter().for_each(|piece| part(field, bed, *piece, true, pieces)),
    }
}

/// What lies between the gaps of an area, along its rows or its columns.
fn cut(field: &Field, bed: Bed, area: Area, rows: bool) -> Vec<Area> {
    let (steps, across) = if rows { (area.height, area.width) } else { (area.width, area.height) };
    let mut held = vec![0u32; steps as usize];
    for y in area.rows() {
        let row = &field.row(y as usize)[area.columns()];
        if rows {
            held[(y - area.y) as usize] = row.iter().filter(|d| bed.holds(**d)).count() as u32;
        } else {
            held.iter_mut().zip(row).for_each(|(held, d)| *held += u32::from(bed.holds(*d)));
        }
    }
    let is_bed = |step: u32| f64::from(held[step as usize]) >= CLEAR * f64::from(across);
    // 1. runs of film, joined over gaps that are none
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for step in (0..steps).filter(|step| !is_bed(*step)) {
        match runs.last_mut() {
            Some(last) if step - last.1 < LEAST_GAP => last.1 = step + 1,
            _ => runs.push((step, step + 1)),
        }
    }
    // 2. each with bed around it, at most half the gap to its neighbours
    let before = |i: usize| if i == 0 { runs[0].0 } else { (runs[i].0 - runs[i - 1].1) / 2 };
    let after = |i: usize| runs.get(i + 1).map_or(steps - runs[i].1, |next| (next.0 - runs[i].1) / 2);
    (0..runs.len())
        .map(|i| {
            let from = runs[i].0 - before(i).min(MARGIN);
            let to = runs[i].1 + after(i).min(MARGIN);
            if rows {
                Area { y: area.y + from, height: to - from, ..area }
            } else {
                Area { x: area.x + from, width: to - from, ..area }
            }
        })
        .collect()
}
