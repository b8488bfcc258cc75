//! The rebate: is an outline surrounded by one, and how dense is it?

use super::field::{Field, HOLDER, TOLERANCE};
use super::outline::{Outline, Seen, span};
use crate::plane::{Point, Quad};

/// Sides on which the level must run along a straight edge: one alone may be a wall or a window's frame in the picture.
const LEAST_SIDES: usize = 2;
/// Least share of what lies around an outline that must be the level, brighter than it, or as dark as a holder.
const AROUND: f64 = 0.85;
/// ... and when three or four sides are well seen: print and the blur of a holder's edge take more of a small scan.
const AROUND_SEEN: f64 = 0.6;
/// Most of a frame that may be brighter than its base: scratches and pinholes; film is not.
const BRIGHTER_INSIDE: f64 = 0.004;
/// Least share of a scan's shorter side that a frame covers.
const LEAST_FRAME: f64 = 0.15;
/// Every such pixel is looked at when areas are compared: 10,000 and more of an overview's.
const STEP: usize = 3;

/// What lies around and inside an outline, in shares of pixels.
struct Surroundings {
    around: f64,
    brighter_inside: f64,
}

/// An outline that a level surrounds as a rebate or open light would.
pub(super) fn surrounds(field: &Field, level: f32, outline: &Outline) -> bool {
    let quad = outline.quad(field.size);
    let least = LEAST_FRAME * f64::from(field.size.width.min(field.size.height));
    let (across, down) = quad.extent();
    if outline.sides_well_seen() < LEAST_SIDES || across.min(down) < least {
        return false;
    }
    let seen = surroundings(field, level, &quad);
    let around = if outline.sides_well_seen() > LEAST_SIDES { AROUND_SEEN } else { AROUND };
    seen.around >= around && seen.brighter_inside <= BRIGHTER_INSIDE
}

fn surroundings(field: &Field, level: f32, quad: &Quad) -> Surroundings {
    /// Pixels beside the edge that belong to neither: the lens blurs them.
    const BLUR: usize = 3;
    let width = field.size.width as usize;
    let (mut around, mut outside, mut brighter, mut inside) = (0u32, 0u32, 0u32, 0u32);
    for y in (0..field.size.height as usize).step_by(STEP) {
        let row = field.row(y);
        let frame = quad.row_span(y as u32, width as u32);
        for x in (0..width).step_by(STEP) {
            let d = row[x];
            if frame.start + BLUR <= x && x + BLUR < frame.end {
                inside += 1;
                brighter += u32::from(d < level - TOLERANCE);
            } else if x + BLUR < frame.start || frame.end + BLUR <= x {
                outside += 1;
                around += u32::from(d <= level + TOLERANCE || d > HOLDER);
            }
        }
    }
    let share = |part: u32, all: u32| if all == 0 { 0.0 } else { f64::from(part) / f64::from(all) };
    // Blurred pixels at top and bottom edges count as inside: they are darker than the level, so they do no harm.
    Surroundings {
        around: if outside == 0 { 1.0 } else { share(around, outside) },
        brighter_inside: share(brighter, inside),
    }
}

/// The band between two outlines is of the inner `level` (or brighter, as perforations are), and no wider than a film's
/// rebate.
pub(super) fn is_rebate_between(field: &Field, level: f32, outer: &Quad, inner: &Quad) -> bool {
    /// Share of the band that must be so: print, notches and dust take the rest.
    const EVEN: f64 = 0.8;
    /// Widest rebate as a share of the frame's shorter side: 35 mm film, (35 - 24) / 2 over 24 mm (ISO 1007).
    const WIDEST: f64 = 0.27;
    /// Pixels by which two outlines may cross and still be taken for one in the other: each is good to a pixel.
    const OVERLAP: f64 = 2.0;
    let (width, height) = inner.extent();
    let widest = WIDEST * width.min(height);
    let gaps = gaps(outer, inner);
    let narrow = |i: usize| gaps[i] > 0.0 && gaps[i] <= widest;
    if !((narrow(0) && narrow(2)) || (narrow(1) && narrow(3))) || gaps.iter().any(|g| *g < -OVERLAP) {
        return false;
    }
    let (mut even, mut all) = (0u32, 0u32);
    for y in (0..field.size.height).step_by(STEP) {
        let (film, frame) = (outer.row_span(y, field.size.width), inner.row_span(y, field.size.width));
        for x in film.step_by(STEP).filter(|x| !frame.contains(x)) {
            let d = field.at(x, y as usize);
            all += 1;
            even += u32::from(d <= level + TOLERANCE || d > HOLDER);
        }
    }
    f64::from(even) >= EVEN * f64::from(all.max(1))
}

/// Distances of the inner quad's edges from the outer's: top, right, bottom, left.
fn gaps(outer: &Quad, inner: &Quad) -> [f64; 4] {
    std::array::from_fn(|i| {
        let middle = |q: &Quad| {
            let (a, b) = (q.0[i], q.0[(i + 1) % 4]);
            Point { x: (a.x + b.x) / 2.0, y: (a.y + b.y) / 2.0 }
        };
        let (o, n) = (middle(outer), middle(inner));
        match i {
            0 => n.y - o.y,
            1 => o.x - n.x,
            2 => o.y - n.y,
            _ => n.x - o.x,
        }
    })
}

/// What the rebate around an outline reads.
pub(super) struct Reading {
    /// Density, the mean of the sides' medians.
    pub(super) density: f64,
    /// Largest difference between two sides, in D.
    pub(super) spread: f64,
    /// Sides read.
    pub(super) sides: usize,
    /// Of these, sides that show a frame's edge; the rest melt.
    pub(super) edges: usize,
    /// The side with most pixels, as a strip beside the frame.
    pub(super) patch: Quad,
}

/// Nearest and farthest pixels read beside an edge: past the blur, and not so far that the lamp has changed.
const READ: (usize, usize) = (4, 24);
/// Pixels left out at the far edge of the rebate: its blur.
const EDGE: usize = 3;
/// Fewest pixels of a side that are a reading.
const LEAST_PIXELS: usize = 40;

/// Reads the rebate on each side where it runs along an edge.
pub(super) fn read(field: &Field, level: f32, outline: &Outline) -> Option<Reading> {
    let quad = outline.quad(field.size);
    let mut medians = Vec::new();
    let (mut edges, mut best) = (0, None::<(usize, usize, f64)>);
    for i in 0..4 {
        match outline.seen[i] {
            Seen::Edge { outside, .. } if outside >= 0.5 => {}
            Seen::Melted | Seen::Placed => {}
            Seen::Edge { .. } | Seen::ScanEdge => continue,
        }
        let (from, to) = span(&quad, i);
        let mut read = Vec::new();
        for along in from.ceil() as i64..to.floor() as i64 {
            let along = along as f64 + 0.5;
            let depth = outline.lines[i].depth(along, field.size);
            let first = read.len();
            for out in READ.0..READ.1 {
                let place = outline.lines[i].side.place(along, depth - out as f64, field.size);
                match field.under(place) {
                    Some(d) if (d - level).abs() <= TOLERANCE => read.push(d),
                    Some(_) => {
                        // The band's own edge is blurred too.
                        read.truncate(first.max(read.len().saturating_sub(EDGE)));
                        break;
                    }
                    None => break,
                }
            }
        }
        if read.len() < LEAST_PIXELS {
            continue;
        }
        read.sort_by(f32::total_cmp);
        edges += usize::from(outline.seen[i].well());
        medians.push(f64::from(read[read.len() / 2]));
        if best.is_none_or(|b| b.1 < read.len()) {
            best = Some((i, read.len(), read.len() as f64 / (to - from)));
        }
    }
    let (side, _, wide) = best?;
    let low = medians.iter().copied().fold(f64::INFINITY, f64::min);
    let high = medians.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    Some(Reading {
        density: medians.iter().sum::<f64>() / medians.len() as f64,
        spread: high - low,
        sides: medians.len(),
        edges,
        patch: strip_beside(field, outline, side, wide),
    })
}

fn strip_beside(field: &Field, outline: &Outline, i: usize, wide: f64) -> Quad {
    let (from, to) = span(&outline.quad(field.size), i);
    let line = outline.lines[i];
    let near = READ.0 as f64;
    let at = |along: f64, out: f64| line.side.place(along, line.depth(along, field.size) - out, field.size);
    let [a, b, c, d] = [at(from, near + wide), at(to, near + wide), at(to, near), at(from, near)];
    // Clockwise from top left, whichever side the strip lies on.
    match i {
        0 => Quad([a, b, c, d]),
        1 => Quad([d, a, b, c]),
        2 => Quad([d, c, b, a]),
        _ => Quad([a, d, c, b]),
    }
}
