//! An edge placed to a fraction of a pixel: where the light has fallen half way from the level to the picture.

use super::field::Line;
use super::outline::{Outline, Seen, span};
use crate::plane::{Overview, Point};

/// Places along a side below which a line through them is chance.
const LEAST_POINTS: f64 = 8.0;

/// How far from the first guess an edge is looked for, in pixels.
const REACH: i32 = 7;
/// Pixels at the inner end of that reach whose mean stands for the picture.
const PLATEAU: usize = 3;
/// Least fall of light across an edge, as a share of the level's: some ten times a flatbed's noise.
const LEAST_FALL: f64 = 0.05;
/// Distances from the line beyond which a place is left out of the fit, in pixels, round by round.
const TRIMS: [f64; 4] = [3.0, 1.5, 0.8, 0.8];
/// Fewest places that make a line of their own, as a share of the side; fewer only place it.
const LEAST_SHARE: f64 = 0.3;
/// ... where the tilt is known.
const LEAST_SHARE_TILTED: f64 = 0.6;
/// Edges of one frame differ in direction by no more than this, as a tangent: 0.3 degrees, a film gate being square.
const SQUARE: f64 = 0.005;

/// Moves each line that shows an edge to where the light falls. A `tilt` (a tangent) that is known holds for all sides
/// but those that show their own within a gate's squareness.
pub(super) fn fit(overview: &Overview, level: f32, outline: &mut Outline, tilt: Option<f64>) {
    let level = 10f64.powf(-f64::from(level));
    let quad = outline.quad(overview.size());
    let places: [Vec<(f64, f64)>; 4] = std::array::from_fn(|i| match outline.seen[i] {
        Seen::Edge { .. } => {
            let (from, to) = span(&quad, i);
            falls(overview, level, outline.lines[i], from, to)
        }
        Seen::ScanEdge | Seen::Melted | Seen::Placed => Vec::new(),
    });
    let lines = outline.lines;
    let fits: [Option<(Line, f64)>; 4] = std::array::from_fn(|i| straight(&places[i], lines[i], overview));
    // 1. the tilt that the sides agree on, weighted by how much of each is seen
    let turn = |line: Line| line.side.slope(line.slope);
    let weight: f64 = fits.iter().flatten().map(|f| f.1 * f.1).sum();
    if weight == 0.0 {
        return;
    }
    let agreed = fits.iter().flatten().map(|f| turn(f.0) * f.1 * f.1).sum::<f64>() / weight;
    let tangent = tilt.unwrap_or(agreed);
    let least = if tilt.is_some() { LEAST_SHARE_TILTED } else { LEAST_SHARE };
    // 2. each side: its own line where it is well seen and square with the others, else the common tilt
    for i in 0..4 {
        let length = {
            let (from, to) = span(&quad, i);
            to - from
        };
        match fits[i] {
            Some((line, count)) if count >= least * length && (turn(line) - tangent).abs() <= SQUARE => {
                outline.lines[i] = line;
            }
            _ if outline.seen[i] == Seen::ScanEdge => {}
            _ => {
                outline.lines[i] =
                    placed(&places[i], Line { slope: lines[i].side.slope(tangent), ..lines[i] }, overview)
            }
        }
    }
}

/// Places (along, depth) of the half-way fall on rays across a line.
fn falls(overview: &Overview, level: f64, line: Line, from: f64, to: f64) -> Vec<(f64, f64)> {
    let size = overview.size();
    (from.ceil() as i64..to.floor() as i64)
        .filter_map(|along| {
            let along = along as f64 + 0.5;
            let start = line.depth(along, size).round();
            let profile: Vec<f64> = (-REACH..REACH)
                .filter_map(|k| light(overview, line.side.place(along, start + f64::from(k) + 0.5, size)))
                .collect();
            // Rays cut by the scan's edge begin later.
            let first = f64::from(REACH) * 2.0 - profile.len() as f64;
            if profile.len() < REACH as usize + PLATEAU {
                return None;
            }
            let picture = profile[profile.len() - PLATEAU..].iter().sum::<f64>() / PLATEAU as f64;
            if level - picture < LEAST_FALL * level {
                return None;
            }
            let half = (level + picture) / 2.0;
            // The fall nearest the guess: print, dust or the film's own edge may fall before it.
            let middle = profile.len() - REACH as usize;
            let k = (0..profile.len() - 1)
                .filter(|&k| profile[k] >= half && profile[k + 1] < half)
                .min_by_key(|k| (k + 1).abs_diff(middle))?;
            let fraction = (profile[k] - half) / (profile[k] - profile[k + 1]);
            Some((along, start - f64::from(REACH) + first + k as f64 + 0.5 + fraction))
        })
        .collect()
}

fn light(overview: &Overview, place: Point) -> Option<f64> {
    let size = overview.size();
    let inside =
        place.x >= 0.0 && place.y >= 0.0 && place.x < f64::from(size.width) && place.y < f64::from(size.height);
    inside.then(|| f64::from(overview.at(place.x as u32, place.y as u32)))
}

/// A trimmed least-squares line through places, and how many it rests on.
fn straight(places: &[(f64, f64)], guess: Line, overview: &Overview) -> Option<(Line, f64)> {
    let half = f64::from(guess.side.extent(overview.size()).0) / 2.0;
    let mut line = placed(places, guess, overview);
    let mut kept = 0.0;
    for trim in TRIMS {
        let near = places.iter().filter(|p| (p.1 - line.depth(p.0, overview.size())).abs() <= trim);
        let (mut n, mut sx, mut sy, mut sxx, mut sxy) = (0.0, 0.0, 0.0, 0.0, 0.0);
        for &(along, depth) in near {
            let x = along - half;
            n += 1.0;
            sx += x;
            sy += depth;
            sxx += x * x;
            sxy += x * depth;
        }
        let spread = n * sxx - sx * sx;
        if n < LEAST_POINTS || spread <= 0.0 {
            return None;
        }
        line.slope = (n * sxy - sx * sy) / spread;
        line.middle = (sy - line.slope * sx) / n;
        kept = n;
    }
    Some((line, kept))
}

/// The line moved by the median distance of the places near it.
fn placed(places: &[(f64, f64)], line: Line, overview: &Overview) -> Line {
    let mut off: Vec<f64> = places.iter().map(|p| p.1 - line.depth(p.0, overview.size())).collect();
    off.retain(|d| d.abs() <= TRIMS[0]);
    off.sort_by(f64::total_cmp);
    match off.get(off.len() / 2) {
        Some(median) => Line { middle: line.middle + median, ..line },
        None => line,
    }
}
