//! The film's own outline, which helps where a picture melts into its rebate.

use super::field::{Field, Ground, HOLDER, TOLERANCE};
use super::outline::{Outline, Seen, outline, span};

/// Sides of the film that must show, and along which the base must run, before it is taken without a frame's edges.
const LEAST_SIDES: usize = 3;
/// How far inside the film's edge the base is looked for, in pixels: past the blur of the edge.
const INSIDE: [f64; 4] = [4.0, 5.0, 6.0, 7.0];
/// Share of a side along which it must be there: notches and the holder's clips take the rest.
const ALONG: f64 = 0.75;
/// Most of the film that may be brighter than its base: pinholes, scratches, the blur around perforations.
const BRIGHTER: f64 = 0.02;
/// Share of the film's height and width left out of that on each side: the blur of its edges, and notches.
const MARGIN: f64 = 0.02;
/// Longest piece of film that holds one frame, length over width (6 x 9 is 1.5; common practice).
const SINGLE: f64 = 1.6;
/// Rebate of a sheet as a share of its shorter side: 4 x 5 in, (100.5 - 96) / 2 over 100.5 mm (common practice).
const SHEET_REBATE: f64 = 0.0225;
/// A rebate this many times wider than the others is no rebate but a part of the picture that melted.
const UNLIKE: f64 = 2.5;

/// The outline of film in a black holder; `None` where there is no holder.
pub(super) fn in_holder(field: &Field) -> Option<Outline> {
    outline(field, Ground::Holder).filter(|film| film.sides_well_seen() >= LEAST_SIDES)
}

/// The brightest level that runs along the inside of a film's edges: base, where no frame's edge shows.
pub(super) fn level_inside(field: &Field, levels: &[f32], open: Option<f32>, film: &Outline) -> Option<f32> {
    let outside_film = open.map_or(f32::NEG_INFINITY, |level| level + TOLERANCE);
    levels
        .iter()
        .copied()
        .filter(|level| level - TOLERANCE > outside_film)
        .find(|&level| sides_along(field, level, film) >= LEAST_SIDES && is_brightest(field, level, outside_film, film))
}

fn sides_along(field: &Field, level: f32, film: &Outline) -> usize {
    let quad = film.quad(field.size);
    (0..4)
        .filter(|&i| {
            let (from, to) = span(&quad, i);
            let line = film.lines[i];
            let steps = from.ceil() as i64..to.floor() as i64;
            let all = steps.clone().count().max(1);
            let there = steps.filter(|along| {
                let along = *along as f64 + 0.5;
                let depth = line.depth(along, field.size);
                let under = |inside: f64| field.under(line.side.place(along, depth + inside, field.size));
                INSIDE.iter().filter_map(|k| under(*k)).any(|d| Ground::Level(level).holds(d))
            });
            matches!(film.seen[i], Seen::Edge { .. }) && there.count() as f64 >= ALONG * all as f64
        })
        .count()
}

fn is_brightest(field: &Field, level: f32, outside_film: f32, film: &Outline) -> bool {
    const STEP: usize = 3;
    let quad = film.quad(field.size).drawn_in(MARGIN, MARGIN);
    let (mut brighter, mut all) = (0u32, 0u32);
    for y in (0..field.size.height).step_by(STEP) {
        for x in quad.row_span(y, field.size.width).step_by(STEP) {
            let d = field.at(x, y as usize);
            all += u32::from(d < HOLDER);
            brighter += u32::from(d < level - TOLERANCE && d > outside_film && is_calm(field, x, y as usize));
        }
    }
    f64::from(brighter) <= BRIGHTER * f64::from(all)
}

/// Not on the blurred edge of a notch or a perforation.
fn is_calm(field: &Field, x: usize, y: usize) -> bool {
    let (right, below) = (field.size.width as usize - 1, field.size.height as usize - 1);
    let around = [(x.saturating_sub(2), y), ((x + 2).min(right), y), (x, y.saturating_sub(2)), (x, (y + 2).min(below))];
    around.iter().all(|&(u, v)| (field.at(u, v) - field.at(x, y)).abs() <= 2.0 * TOLERANCE)
}

/// Puts the unclear sides of a single frame where the rebate is as wide as on its clear ones, or as a sheet's is.
pub(super) fn place_unclear(field: &Field, frame: &mut Outline, film: &Outline) {
    let (width, height) = film.quad(field.size).extent();
    if width.max(height) > SINGLE * width.min(height) {
        return;
    }
    let quad = frame.quad(field.size);
    // Rebate at the middle of each side.
    let rebate: [f64; 4] = std::array::from_fn(|i| {
        let (from, to) = span(&quad, i);
        let middle = (from + to) / 2.0;
        frame.lines[i].depth(middle, field.size) - film.lines[i].depth(middle, field.size)
    });
    let typical = SHEET_REBATE * width.min(height);
    let mut clear: Vec<f64> = (0..4).filter(|&i| frame.seen[i].well() && rebate[i] > 0.0).map(|i| rebate[i]).collect();
    clear.sort_by(f64::total_cmp);
    let usual = clear.first().copied().unwrap_or(typical).min(typical * UNLIKE);
    for (i, &wide) in rebate.iter().enumerate() {
        let shown = matches!(film.seen[i], Seen::Edge { .. });
        let unlike = wide > UNLIKE * usual.max(typical) + INSIDE[0] || wide < 0.0;
        let unclear = !frame.seen[i].well();
        if shown && (unlike || (unclear && !matches!(frame.seen[i], Seen::Edge { .. }))) {
            let moved = usual - wide;
            frame.lines[i].middle += moved;
            frame.seen[i] = Seen::Melted;
        }
    }
}
