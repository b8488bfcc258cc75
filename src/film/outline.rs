//! The outline of what lies inside a level: four straight edges where the scan turns darker, and how well each is seen.

use super::field::{Field, Ground, Line, Side, TOLERANCE};
use crate::plane::{Point, Quad, Size};

/// Open light reads at most this, in D: scanners set it a little below full scale (common practice), film lies above.
pub(super) const OPEN_LIGHT: f32 = 0.085;
/// Pixels of the level that a ray must cross before an edge counts: narrower is grain, a scratch or an edge's blur.
const RUN: usize = 3;
/// Pixels that must stay darker behind an edge: narrower is dust or a hair.
const STAY: usize = 3;
/// Edges noted on one ray, from outside: the frame's, and some for print, notches and perforations before it.
const EDGES_A_RAY: usize = 5;
/// How far rays go, as a share of the scan: to the middle.
const REACH: f64 = 0.5;
/// Tilt looked for, in degrees: a film laid by hand is straighter than 2.
const MOST_TILT: f64 = 2.5;
/// Steps of tilt, in degrees: 0.1 is 2 pixels over an overview; finer comes with the fit.
const TILT_STEP: f64 = 0.1;
/// Every such edge place votes on the tilt: hundreds are enough, and it is the slowest step.
const THINNED: usize = 3;
/// Share of the scan's side that must vote for an edge.
const LEAST_VOTES: f64 = 0.12;
/// ... and when the tilt is known.
const LEAST_VOTES_TILTED: f64 = 0.05;
/// An edge further out is taken before the strongest one if it has this share of the strongest one's votes.
const OUTER_SHARE: f64 = 0.4;
/// Pixels outside an edge at one of which the level must be seen: beyond most of the blur, within a narrow rebate.
const NEAR: [f64; 3] = [2.0, 3.0, 4.0];
/// Pixels inside an edge where the level must not be seen: beyond the blur of the lens.
const BESIDE: f64 = 4.0;
/// A side counts as seen when the level runs along this share of it.
const SEEN_OUTSIDE: f64 = 0.75;
/// ... and when it is darker inside along this share.
const SEEN_INSIDE: f64 = 0.25;

/// How one side of an outline is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Seen {
    /// An edge: the level runs outside along the first share of it, darker film inside along the second.
    Edge { outside: f64, inside: f64 },
    /// The level is not there: the picture runs to the edge of the scan.
    ScanEdge,
    /// The level is there but no edge: picture and level melt into each other.
    Melted,
    /// No edge either, but a frame of known size ends here.
    Placed,
}

impl Seen {
    /// Both level and picture are there along enough of the side.
    pub(super) fn well(self) -> bool {
        matches!(self, Self::Edge { outside, inside } if outside >= SEEN_OUTSIDE && inside >= SEEN_INSIDE)
    }
}

/// Four lines clockwise from the top, each with how it is known.
#[derive(Clone)]
pub(super) struct Outline {
    pub(super) lines: [Line; 4],
    pub(super) seen: [Seen; 4],
}

impl Outline {
    pub(super) fn quad(&self, size: Size) -> Quad {
        let [top, right, bottom, left] = self.lines;
        Quad([
            top.crossing(left, size),
            top.crossing(right, size),
            bottom.crossing(right, size),
            bottom.crossing(left, size),
        ])
    }

    /// The tilt of its sides, as a tangent.
    pub(super) fn tangent(&self) -> f64 {
        let turned = |line: &Line| line.side.slope(line.slope);
        self.lines.iter().map(turned).max_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or(0.0)
    }

    pub(super) fn sides_well_seen(&self) -> usize {
        self.seen.iter().filter(|s| s.well()).count()
    }
}

/// Finds the outline inside `ground`, at whatever tilt shows most; `None` when no side shows an edge.
pub(super) fn outline(field: &Field, ground: Ground) -> Option<Outline> {
    let edges = edges(field, ground);
    let tangent = tilt(&edges, field.size)?;
    let found = at_tilt(field, ground, &edges, tangent, LEAST_VOTES);
    found.seen.iter().any(|seen| matches!(seen, Seen::Edge { .. })).then_some(found)
}

/// Finds the outline inside `ground` on film whose tilt is known: weaker edges count then.
pub(super) fn outline_tilted(field: &Field, ground: Ground, tangent: f64) -> Outline {
    let edges = edges(field, ground);
    at_tilt(field, ground, &edges, tangent, LEAST_VOTES_TILTED)
}

fn at_tilt(field: &Field, ground: Ground, edges: &[Vec<(u32, u32)>; 4], tangent: f64, least: f64) -> Outline {
    let middles: [Option<f64>; 4] = std::array::from_fn(|i| {
        let side = Side::ALL[i];
        outermost(&votes(&edges[i], side, tangent, field.size), least * f64::from(side.extent(field.size).0))
    });
    let line = |i: usize, middle: f64| Line { side: Side::ALL[i], middle, slope: Side::ALL[i].slope(tangent) };
    let lines: [Line; 4] = std::array::from_fn(|i| line(i, middles[i].unwrap_or(0.0)));
    let mut found = Outline { lines, seen: [Seen::ScanEdge; 4] };
    for (i, middle) in middles.into_iter().enumerate() {
        found.seen[i] = match middle {
            Some(_) => beside(field, ground, &found, i),
            None if runs_along(field, ground, Side::ALL[i]) => Seen::Melted,
            None => Seen::ScanEdge,
        };
    }
    settle_unseen(&mut found, field.size);
    found
}

fn edges(field: &Field, ground: Ground) -> [Vec<(u32, u32)>; 4] {
    let [top, right, bottom, left] = Side::ALL;
    let both = |a, b| rayon::join(|| edges_along(field, ground, a), || edges_along(field, ground, b));
    let ((top, bottom), (right, left)) = rayon::join(|| both(top, bottom), || both(right, left));
    [top, right, bottom, left]
}

/// Places (along, depth) where rays from a side leave the level for something darker.
fn edges_along(field: &Field, ground: Ground, side: Side) -> Vec<(u32, u32)> {
    let (length, across) = side.extent(field.size);
    let reach = (f64::from(across) * REACH) as usize;
    let (mut edges, mut ray) = (Vec::new(), Vec::new());
    for along in 0..length as usize {
        field.ray(side, along, reach + STAY, &mut ray);
        let (mut run, mut noted) = (0, 0);
        for (depth, density) in ray.iter().take(reach).enumerate() {
            if ground.holds(*density) {
                run += 1;
                continue;
            }
            let stays = |behind: &[f32]| behind.iter().all(|d| ground.is_left_at(*d));
            if run >= RUN && ray.get(depth..depth + STAY).is_some_and(stays) {
                edges.push((along as u32, depth as u32));
                noted += 1;
                if noted == EDGES_A_RAY {
                    break;
                }
            }
            run = 0;
        }
    }
    edges
}

/// Votes for each whole-pixel depth at the middle of a side.
fn votes(edges: &[(u32, u32)], side: Side, tangent: f64, size: Size) -> Vec<u32> {
    let (length, across) = side.extent(size);
    let slope = side.slope(tangent);
    let half = f64::from(length) / 2.0;
    let mut votes = vec![0u32; across as usize];
    for &(along, depth) in edges {
        let middle = f64::from(depth) - slope * (f64::from(along) + 0.5 - half);
        if let Some(vote) = votes.get_mut(middle.round().max(0.0) as usize) {
            *vote += 1;
        }
    }
    let three = |i: usize| votes[i.saturating_sub(1)..(i + 2).min(votes.len())].iter().sum();
    (0..votes.len()).map(three).collect()
}

/// The tilt for which straight edges gather most votes, as a tangent; all sides share it.
fn tilt(edges: &[Vec<(u32, u32)>; 4], size: Size) -> Option<f64> {
    let thinned: [Vec<(u32, u32)>; 4] = std::array::from_fn(|i| edges[i].iter().copied().step_by(THINNED).collect());
    let steps = (MOST_TILT / TILT_STEP).round() as i32;
    let score = |step: i32| {
        let tangent = (f64::from(step) * TILT_STEP).to_radians().tan();
        let side = |i: usize| {
            let best = votes(&thinned[i], Side::ALL[i], tangent, size).into_iter().max().unwrap_or(0);
            f64::from(best).powi(2)
        };
        ((0..4).map(side).sum::<f64>(), tangent)
    };
    (-steps..=steps).map(score).max_by(|a, b| a.0.total_cmp(&b.0)).filter(|best| best.0 > 0.0).map(|best| best.1)
}

/// The outermost depth with enough votes, in pixels at the middle of the side.
fn outermost(votes: &[u32], least: f64) -> Option<f64> {
    let most = f64::from(votes.iter().copied().max()?);
    let least = least.max(OUTER_SHARE * most);
    let first = votes.iter().position(|v| f64::from(*v) >= least)?;
    // From the first that suffices, climb to the top of the same peak.
    let peak = (first..(first + 3).min(votes.len())).max_by_key(|i| (votes[*i], usize::MAX - i))?;
    Some(peak as f64)
}

/// Looks along a side, inside the corners of the outline, at what lies on either hand of the edge.
pub(super) fn beside(field: &Field, ground: Ground, outline: &Outline, i: usize) -> Seen {
    let (from, to) = span(&outline.quad(field.size), i);
    let line = outline.lines[i];
    let (mut outside, mut inside, mut all) = (0.0, 0.0, 0.0f64);
    let mut beyond = 0.0;
    for along in from.ceil() as i64..to.floor() as i64 {
        let along = along as f64 + 0.5;
        let depth = line.depth(along, field.size);
        let at = |d: f64| field.under(line.side.place(along, depth + d, field.size));
        all += 1.0;
        let near = NEAR.map(|d| at(-d));
        if near.iter().all(Option::is_none) {
            beyond += 1.0;
        } else if near.iter().flatten().any(|d| ground.holds(*d) || is_open(*d, ground)) {
            outside += 1.0;
        }
        inside += f64::from(at(BESIDE).is_some_and(|d| ground.is_left_at(d)));
    }
    Seen::Edge { outside: outside / (all - beyond).max(all / 2.0).max(1.0), inside: inside / all.max(1.0) }
}

/// Open light beside a level that is not: a perforation or a notch in its rebate.
fn is_open(density: f32, ground: Ground) -> bool {
    matches!(ground, Ground::Level(level) if level > OPEN_LIGHT + TOLERANCE) && density <= OPEN_LIGHT
}

/// Where along its side the edge `i` of a quad begins and ends, a little in from the corners.
pub(super) fn span(quad: &Quad, i: usize) -> (f64, f64) {
    /// Share of an edge left out at either corner: cameras round them.
    const CORNER: f64 = 0.02;
    let (a, b) = (quad.0[i], quad.0[(i + 1) % 4]);
    let along = |p: Point| if i == 0 || i == 2 { p.x } else { p.y };
    let (low, high) = (along(a).min(along(b)), along(a).max(along(b)));
    let inset = CORNER * (high - low);
    (low + inset, high - inset)
}

/// The ground touches the scan's edge along most of a side.
pub(super) fn runs_along(field: &Field, ground: Ground, side: Side) -> bool {
    along(field, ground, side) > 0.5
}

/// Share of a side of the scan that the ground touches.
pub(super) fn along(field: &Field, ground: Ground, side: Side) -> f64 {
    let length = side.extent(field.size).0 as usize;
    let touches = |along: &usize| {
        (0..RUN).any(|depth| {
            let (x, y) = side.pixel(*along, depth, field.size);
            ground.holds(field.at(x, y))
        })
    };
    (0..length).filter(touches).count() as f64 / length as f64
}

/// Sides without an edge: at the scan's edge, or, where picture and level melt, as far in as the opposite side.
fn settle_unseen(outline: &mut Outline, size: Size) {
    for i in 0..4 {
        match outline.seen[i] {
            Seen::Edge { .. } | Seen::Placed => {}
            Seen::ScanEdge => {
                outline.lines[i].middle = 0.0;
                outline.lines[i].slope = 0.0;
            }
            Seen::Melted => {
                let opposite = outline.lines[(i + 2) % 4];
                let across = f64::from(opposite.side.extent(size).1);
                if matches!(outline.seen[(i + 2) % 4], Seen::Edge { .. }) && opposite.middle < across / 4.0 {
                    outline.lines[i].middle = opposite.middle;
                }
            }
        }
    }
}
