//! A strip divided into its frames: bars of rebate across the film part them, and all frames of a strip are of one length.

use super::field::{Field, TOLERANCE};
use super::outline::{Outline, Seen};
use super::rebate::extent;
use crate::plane::{Point, Quad};

/// Places looked at across the film for each step along it.
const ACROSS: usize = 64;
/// Share of those that must be rebate for a step to lie in a bar: print, dust and scratches take the rest.
const BAR: f64 = 0.95;
/// Narrowest bar, and narrowest piece of picture, in pixels of the overview: narrower is a line, or dust.
const LEAST: f64 = 3.0;
/// Shortest frame as a share of the film's exposed height: 4.5 x 6 cm is 0.74, half-frame 35 mm 0.75 (common practice).
const SHORTEST: f64 = 0.65;
/// Shorter than this a film holds one frame: two of the shortest, with no bar, are 1.48 (common practice).
const SINGLE: f64 = 1.45;
/// Shapes of roll film frames, length along the film over height: 4.5 x 6, 6 x 6, 6 x 7, 6 x 8, 6 x 9 and 24 x 36 (common
/// practice). Panoramic ones are left out: two frames with a faint bar look just like one.
const SHAPES: [f64; 5] = [0.75, 1.0, 1.25, 1.36, 1.5];
/// Gates differ from those by this share.
const SHAPE_TOLERANCE: f64 = 0.05;
/// Frames of one strip differ in length by no more than this share: one gate exposed them all.
const ALIKE: f64 = 0.03;
/// Widest bar taken for the usual one, and the one assumed where none shows, as shares of the height.
const WIDEST_BAR: f64 = 0.2;
const USUAL_BAR: f64 = 0.05;
/// How far inside the film's end a strip is looked at, in pixels: past the blur of the cut.
const CUT: f64 = 6.0;

/// A frame along the film, in pixels from the strip's start, with how each end is known.
#[derive(Clone, Copy, Debug)]
struct Piece {
    start: f64,
    end: f64,
    start_seen: bool,
    end_seen: bool,
}

impl Piece {
    fn length(self) -> f64 {
        self.end - self.start
    }
}

/// Parts an outline into one a frame, in reading order. A single frame comes back as it was.
///
/// `film` is the film's own outline where it shows: a strip is then looked at from end to end.
pub(super) fn frames(field: &Field, level: f32, whole: Outline, film: Option<&Outline>) -> Vec<Outline> {
    let (width, height) = extent(&film.unwrap_or(&whole).quad(field.size));
    if width.max(height) < SINGLE * width.min(height) {
        return vec![whole];
    }
    let across_scan = width >= height;
    let ends = if across_scan { (3, 1) } else { (0, 2) };
    let strip = lengthened(&whole, film, ends);
    let (width, height) = extent(&strip.quad(field.size));
    let (length, height) = if across_scan { (width, height) } else { (height, width) };
    let pieces = pieces(field, level, &strip.quad(field.size), across_scan);
    let frames = alike(&pieces, height, length);
    match frames.as_slice() {
        [] => vec![whole],
        // The outline's own ends are the frame's: they were seen, and are placed already.
        [_] if whole.seen[ends.0].well() && whole.seen[ends.1].well() => vec![with_known_shape(field, whole, ends)],
        frames => frames.iter().map(|frame| part(&strip, &whole, ends, *frame, length)).collect(),
    }
}

/// The outline with its ends moved out to the film's.
fn lengthened(whole: &Outline, film: Option<&Outline>, ends: (usize, usize)) -> Outline {
    let mut strip = Outline { lines: whole.lines, seen: whole.seen };
    let Some(film) = film else { return strip };
    for i in [ends.0, ends.1] {
        let film_end = if matches!(film.seen[i], Seen::Edge { .. }) { film.lines[i].middle + CUT } else { 0.0 };
        if film_end < strip.lines[i].middle {
            strip.lines[i].middle = film_end;
        }
        strip.lines[i].slope = film.lines[i].slope;
    }
    strip
}

/// What lies between the bars, along the film.
fn pieces(field: &Field, level: f32, quad: &Quad, across_scan: bool) -> Vec<Piece> {
    /// Share of the film's width left out at either edge: outlines are good to a few pixels.
    const EDGE: f64 = 0.02;
    let (width, height) = extent(quad);
    let steps = (if across_scan { width } else { height }).floor() as usize;
    let is_bar = |step: usize| {
        let s = (step as f64 + 0.5) / steps as f64;
        let rebate = (0..ACROSS).filter(|&k| {
            let t = EDGE + (1.0 - 2.0 * EDGE) * (k as f64 + 0.5) / ACROSS as f64;
            let (u, v) = if across_scan { (s, t) } else { (t, s) };
            field.under(inside(quad, u, v)).is_some_and(|d| d <= level + TOLERANCE)
        });
        rebate.count() as f64 >= BAR * ACROSS as f64
    };
    // 1. runs of picture
    let mut runs: Vec<(f64, f64)> = Vec::new();
    let mut begun = None;
    for step in 0..=steps {
        match (step == steps || is_bar(step), begun) {
            (false, None) => begun = Some(step),
            (true, Some(first)) => {
                runs.push((first as f64, step as f64));
                begun = None;
            }
            _ => {}
        }
    }
    // 2. thin bars are lines in the picture, thin pieces dust
    let mut joined: Vec<(f64, f64)> = Vec::new();
    for run in runs {
        match joined.last_mut() {
            Some(last) if run.0 - last.1 < LEAST => last.1 = run.1,
            _ => joined.push(run),
        }
    }
    let piece = |(start, end): (f64, f64)| Piece { start, end, start_seen: true, end_seen: true };
    joined.into_iter().filter(|run| run.1 - run.0 >= LEAST).map(piece).collect()
}

/// The place at shares `u` across and `v` down a quad.
fn inside(quad: &Quad, u: f64, v: f64) -> Point {
    let [a, b, c, d] = quad.0;
    let mix = |a: f64, b: f64, c: f64, d: f64| (1.0 - v) * ((1.0 - u) * a + u * b) + v * ((1.0 - u) * d + u * c);
    Point { x: mix(a.x, b.x, c.x, d.x), y: mix(a.y, b.y, c.y, d.y) }
}

/// Frames of one length from pieces, of which some are only what shows of a frame that melts into its bars.
fn alike(pieces: &[Piece], height: f64, length: f64) -> Vec<Piece> {
    let long = pieces.iter().map(|p| p.length()).fold(0.0, f64::max);
    if long < SHORTEST * height {
        return Vec::new();
    }
    let known_shape = has_known_shape(long / height);
    let full: Vec<Piece> = pieces.iter().copied().filter(|p| p.length() >= (1.0 - ALIKE) * long).collect();
    let mut bars: Vec<f64> = full.windows(2).map(|pair| pair[1].start - pair[0].end).collect();
    bars.retain(|bar| *bar < WIDEST_BAR * height);
    bars.sort_by(f64::total_cmp);
    let bar = bars.get(bars.len() / 2).copied().unwrap_or(USUAL_BAR * height);
    // 1. whole frames as they are, and slots for others before, between and after them
    let mut slots = Vec::new();
    let mut from = full[0].start;
    while from - bar - long > -ALIKE * long {
        from -= bar + long;
        slots.push(from);
    }
    for pair in full.windows(2) {
        let space = pair[1].start - pair[0].end;
        let fit = ((space - bar) / (long + bar)).round().max(0.0);
        let gap = (space - fit * long) / (fit + 1.0);
        slots.extend((0..fit as usize).map(|k| pair[0].end + gap + k as f64 * (long + gap)));
    }
    let mut to = full[full.len() - 1].end + bar;
    while to + long < length + ALIKE * long {
        slots.push(to);
        to += long + bar;
    }
    // 2. a slot in which something shows is a frame; its ends are the pieces' where these are near
    let short: Vec<Piece> = pieces.iter().copied().filter(|p| p.length() < (1.0 - ALIKE) * long).collect();
    let mut frames = full;
    let mut used = vec![false; short.len()];
    for slot in slots {
        let shows = |p: &Piece| (p.start + p.end) / 2.0 > slot && (p.start + p.end) / 2.0 < slot + long;
        let inside: Vec<usize> = (0..short.len()).filter(|&i| shows(&short[i])).collect();
        if let (Some(&first), Some(&last)) = (inside.first(), inside.last()) {
            inside.iter().for_each(|&i| used[i] = true);
            frames.push(snapped(slot, long, short[first].start, short[last].end));
        }
    }
    frames.sort_by(|a, b| a.start.total_cmp(&b.start));
    // 3. pieces that belong to no slot, or an unknown shape: the length may be wrong, so no end is certain
    let left_over = short.iter().zip(&used).any(|(p, used)| !used && p.length() > USUAL_BAR * height);
    if left_over || (!known_shape && frames.len() > 1) {
        for frame in &mut frames {
            (frame.start_seen, frame.end_seen) = (false, false);
        }
    }
    frames
}

fn has_known_shape(length_over_height: f64) -> bool {
    SHAPES.iter().any(|shape| (length_over_height / shape - 1.0).abs() <= SHAPE_TOLERANCE)
}

/// A lone frame; of a shape that no camera makes it may be several, so its ends are not certain.
fn with_known_shape(field: &Field, mut whole: Outline, ends: (usize, usize)) -> Outline {
    let (width, height) = extent(&whole.quad(field.size));
    let shape = width.max(height) / width.min(height);
    if shape > SINGLE && !has_known_shape(shape) {
        whole.seen[ends.0] = Seen::Melted;
        whole.seen[ends.1] = Seen::Melted;
    }
    whole
}

/// A slot moved to the ends of what shows in it.
fn snapped(slot: f64, long: f64, start: f64, end: f64) -> Piece {
    /// Pieces' ends this near a slot's, as a share of its length, are the frame's: winding differs from frame to frame.
    const NEAR: f64 = 0.06;
    let start_seen = (start - slot).abs() <= NEAR * long;
    let end_seen = (end - slot - long).abs() <= NEAR * long;
    match (start_seen, end_seen) {
        (true, true) if (end - start - long).abs() > ALIKE * long => {
            Piece { start: slot, end: slot + long, start_seen: false, end_seen: false }
        }
        (true, true) => Piece { start, end, start_seen, end_seen },
        (true, false) => Piece { start, end: start + long, start_seen, end_seen },
        (false, true) => Piece { start: end - long, end, start_seen, end_seen },
        (false, false) => Piece { start: slot, end: slot + long, start_seen, end_seen },
    }
}

/// The outline of one frame; depth goes inwards from either side of the scan, so both ends move by what is cut off.
fn part(strip: &Outline, whole: &Outline, ends: (usize, usize), frame: Piece, length: f64) -> Outline {
    let mut outline = Outline { lines: whole.lines, seen: whole.seen };
    let end = |seen: bool| if seen { Seen::Edge { outside: 1.0, inside: 1.0 } } else { Seen::Melted };
    let at_scan_edge = |i: usize, off: f64| off < LEAST && strip.lines[i].middle == 0.0;
    for (i, off, seen) in [(ends.0, frame.start, frame.start_seen), (ends.1, length - frame.end, frame.end_seen)] {
        outline.lines[i] = strip.lines[i];
        outline.lines[i].middle += off;
        outline.seen[i] = if at_scan_edge(i, off) { Seen::ScanEdge } else { end(seen) };
    }
    outline
}
