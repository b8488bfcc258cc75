//! A strip divided into its frames: they are of one length, a camera's, with film between them.

use super::field::{Field, Ground, Line, TOLERANCE};
use super::fit::fit;
use super::format::{Film, Frame};
use super::known::Known;
use super::outline::{Outline, Seen, beside, span};
use super::spacing::{self, Laid, Piece, Shown, Spacing};
use crate::plane::{Overview, Point, Quad};

/// Places looked at across the film for each step along it.
const ACROSS: usize = 96;
/// Shorter than this a film holds one frame: two of the shortest (4.5 x 6, 0.74) are 1.48 (common practice).
const SINGLE: f64 = 1.45;
/// Height of a strip's frames and the nominal one may differ by this, in mm: what melts at an edge is not seen.
const HEIGHT: f64 = 3.0;
/// How far inside the film's end a strip is looked at, in pixels: past the blur of the cut.
const CUT: f64 = 6.0;
/// Most of the picture that may lie in no frame before the lengths are doubted: print and dust between them.
const LEFT_OVER: f64 = 0.05;
/// Share of its height along which a frame's end is seen: what a side of a single frame needs too.
const SEEN: f64 = 0.25;

/// The frames of a strip.
pub(super) struct Frames {
    /// One outline a frame, in reading order.
    pub(super) outlines: Vec<Outline>,
    /// Frames for which there is room, but nothing shows.
    pub(super) blank: usize,
    /// The sides on which a frame begins and ends along the strip; none where there is one frame.
    along: Option<(usize, usize)>,
}

impl Frames {
    /// Moves every frame of several to where its own edges lie.
    ///
    /// The film's long sides hold for all, and frames are of one length: that of those which show both their ends.
    pub(super) fn fit(&mut self, overview: &Overview, level: f32, tilt: f64) {
        /// Pixels by which a frame may lie off the strip's long sides: film is not quite straight.
        const ASTRAY: f64 = 3.0;
        /// Share by which frames of one gate differ in length: what a fit is good to.
        const ALIKE: f64 = 0.012;
        let Some(ends) = self.along else { return };
        let size = overview.size();
        for frame in &mut self.outlines {
            let (strip, quad) = (frame.lines, frame.quad(size));
            fit(overview, level, frame, Some(tilt));
            for i in (0..4).filter(|i| *i != ends.0 && *i != ends.1) {
                let (from, to) = span(&quad, i);
                let at_middle = |line: Line| line.depth((from + to) / 2.0, size);
                if (at_middle(frame.lines[i]) - at_middle(strip[i])).abs() > ASTRAY {
                    frame.lines[i] = strip[i];
                }
            }
        }
        let across = f64::from(self.outlines[0].lines[ends.0].side.extent(size).1);
        let seen = |frame: &Outline, i: usize| matches!(frame.seen[i], Seen::Edge { .. });
        // Depths are those in the middle of the frame: ends are not quite parallel.
        let depth = |frame: &Outline, i: usize| {
            let middle = frame.quad(size).middle();
            frame.lines[i].depth(if ends.0 == 0 { middle.x } else { middle.y }, size)
        };
        let long = |frame: &Outline| across - depth(frame, ends.0) - depth(frame, ends.1);
        let whole = self.outlines.iter().filter(|frame| seen(frame, ends.0) && seen(frame, ends.1));
        let mut lengths: Vec<f64> = whole.map(long).collect();
        lengths.sort_by(f64::total_cmp);
        let Some(length) = lengths.get(lengths.len() / 2) else { return };
        for frame in &mut self.outlines {
            // Of two ends too near or too far apart, the one that shows less is a line in the picture.
            if let [Seen::Edge { inside: a, .. }, Seen::Edge { inside: b, .. }] =
                [frame.seen[ends.0], frame.seen[ends.1]]
                && (long(frame) - length).abs() > ALIKE * length
            {
                frame.seen[if a < b { ends.0 } else { ends.1 }] = Seen::Placed;
            }
            for (i, other) in [ends, (ends.1, ends.0)] {
                if frame.seen[i] == Seen::Placed && seen(frame, other) {
                    frame.lines[i].middle += long(frame) - length;
                }
            }
        }
    }
}

/// Parts an outline into one a frame, in reading order. A single frame comes back as it was.
///
/// `film` is the film's own outline where it shows: a strip is then looked at from end to end.
pub(super) fn frames(field: &Field, level: f32, whole: Outline, film: Option<&Outline>, known: Known) -> Frames {
    let one = |whole| Frames { outlines: vec![whole], blank: 0, along: None };
    let (width, height) = film.unwrap_or(&whole).quad(field.size).extent();
    if !is_long(width, height) {
        return one(whole);
    }
    let across_scan = width >= height;
    let (ends, long) = if across_scan { ((3, 1), (0, 2)) } else { ((0, 2), (3, 1)) };
    let whole = film.map_or_else(|| whole.clone(), |film| centred(field, level, &whole, film, long, known));
    let strip = lengthened(&whole, film, ends);
    let (width, height) = strip.quad(field.size).extent();
    let (length, height) = if across_scan { (width, height) } else { (height, width) };
    let mut shown = shown(field, level, strip.quad(field.size), across_scan);
    shown.cut = [ends.0, ends.1].map(|i| strip.lines[i].middle <= 0.0);
    let mut spacings = spacings(known, height);
    spacings.extend(unknown_spacings(&shown, height));
    let Some(laid) = spacing::lay(&shown, &spacings) else { return one(whole) };
    let part = |piece: &Piece| part(&strip, &whole, ends, *piece, &laid, length);
    Frames { outlines: laid.pieces.iter().map(part).collect(), blank: blank(&laid, length), along: Some(ends) }
}

/// Whether film of this size may hold more than one frame.
pub(super) fn is_long(width: f64, height: f64) -> bool {
    width.max(height) >= SINGLE * width.min(height)
}

/// The outline with long sides that are not clear as far from the film's edge as the other: cameras expose film in its
/// middle.
fn centred(field: &Field, level: f32, whole: &Outline, film: &Outline, long: (usize, usize), known: Known) -> Outline {
    let (width, height) = film.quad(field.size).extent();
    let width = width.min(height);
    let mut outline = whole.clone();
    let rebate = |i: usize| outline.lines[i].middle - film.lines[i].middle;
    let by_size = || {
        let per_mm = known.per_mm?;
        let frame = known.film.on_strip().into_iter().find(|frame| frame.lies_on(width / per_mm))?;
        Some((width - frame.across * per_mm) / 2.0)
    };
    let rebates = match [long.0, long.1].map(|i| whole.seen[i].well()) {
        [true, true] => return outline,
        [true, false] => Some(rebate(long.0)),
        [false, true] => Some(rebate(long.1)),
        [false, false] => by_size(),
    };
    let Some(rebate) = rebates.filter(|rebate| *rebate >= 0.0) else { return outline };
    for i in [long.0, long.1] {
        if !whole.seen[i].well() && matches!(film.seen[i], Seen::Edge { .. }) {
            outline.lines[i] = Line { middle: film.lines[i].middle + rebate, ..film.lines[i] };
            outline.seen[i] = Seen::Placed;
        }
    }
    for i in [long.0, long.1] {
        // Where picture begins at that place it is its edge, whatever perforations there are beside it.
        if let (Seen::Placed, Seen::Edge { inside, .. }) =
            (outline.seen[i], beside(field, Ground::Level(level), &outline, i))
            && inside >= SEEN
        {
            outline.seen[i] = Seen::Edge { outside: 1.0, inside };
        }
    }
    outline
}

/// The outline with its ends moved out to the film's.
fn lengthened(whole: &Outline, film: Option<&Outline>, ends: (usize, usize)) -> Outline {
    let mut strip = whole.clone();
    let Some(film) = film else { return strip };
    for i in [ends.0, ends.1] {
        let film_end = if matches!(film.seen[i], Seen::Edge { .. }) { film.lines[i].middle + CUT } else { 0.0 };
        if film_end < strip.lines[i].middle || strip.seen[i] == Seen::ScanEdge {
            strip.lines[i].middle = film_end;
        }
        strip.lines[i].slope = film.lines[i].slope;
    }
    strip
}

/// Lengths and gaps of frames on a strip whose frames are `height` pixels high. Where the scale is not known, the
/// height tells it for each film.
fn spacings(known: Known, height: f64) -> Vec<Spacing> {
    /// Steps in which lengths within a gate's tolerance are tried, to either side.
    const STEPS: i32 = 6;
    let lengths = |frame: Frame, per_mm: f64| {
        let pixels = move |mm: f64| (mm * per_mm).round().max(0.0) as usize;
        (-STEPS..=STEPS).map(move |step| {
            let off = f64::from(step) / f64::from(STEPS);
            let gap = (pixels(frame.gap.0).max(1), pixels(frame.gap.1));
            Spacing { length: pixels(frame.along + off * frame.gate), gap, known: true, off: off.abs() }
        })
    };
    let frames = if known.film.on_strip().is_empty() { Film::Auto.on_strip() } else { known.film.on_strip() };
    let high = |frame: &Frame, per_mm: f64| (height / per_mm - frame.across).abs() <= HEIGHT;
    let known_scale = known.per_mm.filter(|per_mm| frames.iter().any(|frame| high(frame, *per_mm)));
    let scaled: Vec<(Frame, f64)> = match known_scale {
        Some(per_mm) => frames.into_iter().filter(|frame| high(frame, per_mm)).map(|frame| (frame, per_mm)).collect(),
        None => frames.into_iter().map(|frame| (frame, height / frame.across)).collect(),
    };
    scaled.into_iter().flat_map(|(frame, per_mm)| lengths(frame, per_mm)).collect()
}

/// Lengths that no known camera makes, as they lie between bars of rebate.
fn unknown_spacings(shown: &Shown, height: f64) -> Vec<Spacing> {
    /// Most picture in a bar: print, dust and scratches.
    const BAR: f32 = 0.05;
    /// Shortest and longest frame, and widest gap, as shares of the height: half-frames to panoramas.
    const LENGTHS: (f64, f64) = (0.6, 3.2);
    const WIDEST: f64 = 0.25;
    let bars: Vec<usize> = (0..shown.picture.len()).filter(|&i| shown.picture[i] <= BAR).collect();
    let ends = std::iter::once(None).chain(bars.iter().copied().map(Some));
    let begins = bars.iter().copied().map(|bar| bar as isize).chain(std::iter::once(shown.picture.len() as isize));
    let lengths = ends.zip(begins).map(|(from, to)| to - from.map_or(-1, |bar| bar as isize) - 1);
    let fits = |length: &isize| (LENGTHS.0 * height..=LENGTHS.1 * height).contains(&(*length as f64));
    let gap = (1, (WIDEST * height) as usize);
    lengths.filter(fits).map(|length| Spacing { length: length as usize, gap, known: false, off: 0.0 }).collect()
}

/// Whole frames for which there is room between frames and beyond them.
fn blank(laid: &Laid, length: f64) -> usize {
    let frame = laid.spacing.length as f64;
    let gap = laid.spacing.gap.0 as f64;
    let begins = laid.pieces.iter().map(|p| p.start - gap).chain(std::iter::once(length));
    let ends = std::iter::once(0.0).chain(laid.pieces.iter().map(|p| p.end + gap));
    ends.zip(begins).map(|(from, to)| ((to - from + gap) / (frame + gap)).floor().max(0.0) as usize).sum()
}

/// What shows along a strip: picture, and edges across it.
fn shown(field: &Field, level: f32, quad: Quad, across_scan: bool) -> Shown {
    /// Share of the film's width left out at either edge: outlines are good to a few pixels.
    const EDGE: f64 = 0.02;
    /// Pixels beside an edge where base must show (one of them), and where picture must, past the blur.
    const BEFORE: [usize; 3] = [2, 3, 4];
    const BEHIND: [usize; 2] = [2, 4];
    /// Round things only touch a line: their picture begins late.
    const LATE: usize = 9;
    let (width, height) = quad.extent();
    let (length, height) = if across_scan { (width, height) } else { (height, width) };
    let steps = length.floor().max(1.0) as usize;
    let rows: Vec<Vec<bool>> = (0..ACROSS)
        .map(|k| {
            let t = EDGE + (1.0 - 2.0 * EDGE) * (k as f64 + 0.5) / ACROSS as f64;
            let dark = |step: usize| {
                let s = (step as f64 + 0.5) / steps as f64;
                let (u, v) = if across_scan { (s, t) } else { (t, s) };
                field.under(inside(&quad, u, v)).is_some_and(|d| d > level + TOLERANCE)
            };
            (0..steps).map(dark).collect()
        })
        .collect();
    let share = |count: usize| count as f32 / ACROSS as f32;
    let picture = (0..steps).map(|step| share(rows.iter().filter(|row| row[step]).count())).collect();
    // An edge at `step` lies before that pixel; `at` counts from it, away from the base.
    let edges = |towards_end: bool| -> Vec<f32> {
        (0..=steps)
            .map(|step| {
                let at = |row: &[bool], k: usize, inwards: bool| {
                    let index = if inwards == towards_end { step.checked_add(k) } else { step.checked_sub(k + 1) };
                    index.and_then(|i| row.get(i)).copied()
                };
                let (mut cut, mut late) = (0usize, 0usize);
                for row in &rows {
                    if !BEFORE.iter().any(|&k| at(row, k, false) == Some(false)) {
                        continue;
                    }
                    let behind = BEHIND.map(|k| at(row, k, true) == Some(true));
                    cut += usize::from(behind == [true; 2]);
                    late += usize::from(behind == [false; 2] && at(row, LATE, true) == Some(true));
                }
                share(cut.saturating_sub(late))
            })
            .collect()
    };
    Shown { picture, begins: edges(true), ends: edges(false), cut: [false; 2], height }
}

/// The place at shares `u` across and `v` down a quad.
fn inside(quad: &Quad, u: f64, v: f64) -> Point {
    let [a, b, c, d] = quad.0;
    let mix = |a: f64, b: f64, c: f64, d: f64| (1.0 - v) * ((1.0 - u) * a + u * b) + v * ((1.0 - u) * d + u * c);
    Point { x: mix(a.x, b.x, c.x, d.x), y: mix(a.y, b.y, c.y, d.y) }
}

/// The outline of one frame; depth goes inwards from either side of the scan, so both ends move by what is cut off.
fn part(strip: &Outline, whole: &Outline, ends: (usize, usize), piece: Piece, laid: &Laid, length: f64) -> Outline {
    let mut outline = whole.clone();
    let doubtful = laid.left_over > LEFT_OVER || (!laid.spacing.known && laid.pieces.len() > 1);
    let end = |seen: f64| match seen >= SEEN {
        _ if doubtful => Seen::Melted,
        true => Seen::Edge { outside: 1.0, inside: seen },
        false => Seen::Placed,
    };
    for (i, off, seen) in [(ends.0, piece.start, piece.start_seen), (ends.1, length - piece.end, piece.end_seen)] {
        outline.lines[i] = strip.lines[i];
        outline.lines[i].middle += off;
        outline.seen[i] = if outline.lines[i].middle <= 0.0 { Seen::ScanEdge } else { end(seen) };
        outline.lines[i].middle = outline.lines[i].middle.max(0.0);
    }
    outline
}
