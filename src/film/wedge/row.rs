//! The row of steps: where it lies, how wide it is, and the grid of its steps.

use std::ops::RangeInclusive;

use rayon::prelude::*;

use super::field::{Axes, Field, median};
use super::plateau::{Plateau, Staircase, plateaus, reversed, staircase};

/// Tilts that are tried on both sides of each edge of the scan and how far apart, in degrees.
const TILT: f64 = 2.5;
const TILTS_APART: f64 = 0.5;
/// Lines that are looked along are this far apart, in pixels.
const LINES_APART: f64 = 3.0;
/// Within a step density differs by no more along a line, in D: noise of a flatbed at medium density, and the lamp.
const LINE_FLAT: f32 = 0.03;
/// The same once the lines have been taken together.
const ROW_FLAT: f32 = 0.02;
/// Fewest steps in sight that make a row.
pub(super) const LEAST_STEPS: usize = 6;
/// Least width of a row, in steps: tablets are as wide as several of their steps.
const LEAST_WIDTH: f64 = 0.8;
/// Lines on which dust or writing hides the row, one after another, at most.
const MISSED_LINES: usize = 6;
/// Two lines of one row read a step alike to within this, in D.
const ALIKE: f32 = 0.06;
/// The part of the row's width that is read: the middle, away from edges and writing.
pub(super) const MIDDLE: f64 = 0.4;

/// A row of steps. Density rises along `u`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Row {
    pub(super) axes: Axes,
    /// Its edges across.
    pub(super) across: (f64, f64),
    /// Where the middle of step 0 lies along it: a step of medium density, not the first.
    pub(super) zero: f64,
    /// From step to step.
    pub(super) pitch: f64,
    /// The first and the last step that a single look along the row tells apart, counted from step 0.
    pub(super) seen: (i32, i32),
}

impl Row {
    pub(super) fn width(&self) -> f64 {
        self.across.1 - self.across.0
    }
}

/// A line across which the row may run.
struct Line {
    v: f64,
    stairs: Staircase,
}

/// The best row in the picture.
pub(super) fn find(field: &Field) -> Option<Row> {
    let tilts = (TILT / TILTS_APART).round() as i32;
    let angles: Vec<f64> = [0.0, 90.0]
        .into_iter()
        .flat_map(|edge| (-tilts..=tilts).map(move |t| edge + f64::from(t) * TILTS_APART))
        .collect();
    let coarse = best(field, &angles)?;
    // The steps' own edges tell the tilt better than the lines that see most.
    let (_, _, lines) = look(field, coarse);
    let agreed = Agreed::on(&lines)?;
    let (_, axes, lines) = look(field, coarse - agreed.lean(&lines).clamp(-TILTS_APART, TILTS_APART));
    along(field, axes, &lines, Agreed::on(&lines)?)
}

fn best(field: &Field, angles: &[f64]) -> Option<f64> {
    let scores = angles.par_iter().map(|angle| (look(field, *angle).0, *angle));
    scores
        .filter(|(score, _)| *score > 0)
        .max_by(|a, b| a.0.cmp(&b.0).then(b.1.total_cmp(&a.1)))
        .map(|(_, angle)| angle)
}

/// How many steps all lines together see at this angle, in the better of the two directions.
fn look(field: &Field, angle: f64) -> (usize, Axes, Vec<Line>) {
    let axes = Axes::turned(field.size, angle);
    let (mut there, mut back) = (Vec::new(), Vec::new());
    let count = (2.0 * axes.half.1 / LINES_APART) as usize;
    for i in 0..count {
        let v = (i as f64 + 0.5) * LINES_APART - axes.half.1;
        let line = profile(field, &axes, &[v - 1.0, v, v + 1.0]);
        let flat = plateaus(&line, LINE_FLAT);
        there.push(Line { v, stairs: staircase(&flat) });
        back.push(Line { v: -v, stairs: staircase(&reversed(&flat, line.len())) });
    }
    back.reverse();
    let score = |lines: &[Line]| -> usize {
        lines.iter().map(|l| l.stairs.treads.len()).filter(|treads| *treads >= LEAST_STEPS).sum()
    };
    let (forward, backward) = (score(&there), score(&back));
    if forward >= backward { (forward, axes, there) } else { (backward, axes.reversed(), back) }
}

/// Median density of several parallel lines, pixel by pixel; NaN outside the picture.
fn profile(field: &Field, axes: &Axes, lines: &[f64]) -> Vec<f32> {
    let length = (2.0 * axes.half.0) as usize;
    let mut values = Vec::with_capacity(lines.len());
    (0..length)
        .map(|i| {
            let u = i as f64 + 0.5 - axes.half.0;
            values.clear();
            values.extend(lines.iter().filter_map(|v| axes.density(field, u, *v)));
            if values.len() * 2 < lines.len() { f32::NAN } else { median(&mut values).unwrap_or(f32::NAN) }
        })
        .collect()
}

/// Lines that agree on a row.
struct Agreed {
    /// The one that the others agree with.
    middle: usize,
    /// All from the first to the last that do.
    lines: RangeInclusive<usize>,
}

impl Agreed {
    /// The row that most lines agree on.
    fn on(lines: &[Line]) -> Option<Self> {
        // 1. the lines that see the most steps; of them the middle one
        let most = lines.iter().map(|l| l.stairs.treads.len()).max().filter(|most| *most >= LEAST_STEPS)?;
        let best: Vec<usize> = (0..lines.len()).filter(|i| lines[*i].stairs.treads.len() == most).collect();
        let middle = best[best.len() / 2];
        // 2. as far across as others agree with it
        let reach = |order: &mut dyn Iterator<Item = usize>| {
            let (mut last, mut missed) = (middle, 0);
            for i in order {
                let agrees = !same_treads(&lines[i].stairs, &lines[middle].stairs).is_empty();
                (last, missed) = if agrees { (i, 0) } else { (last, missed + 1) };
                if missed > MISSED_LINES {
                    break;
                }
            }
            last
        };
        Some(Self { middle, lines: reach(&mut (0..middle).rev())..=reach(&mut (middle + 1..lines.len())) })
    }

    /// How far the steps' edges lean, in degrees: where they lie along each line, over where the lines lie.
    fn lean(&self, lines: &[Line]) -> f64 {
        let reference = &lines[self.middle].stairs;
        let shifts = self.lines.clone().filter_map(|i| {
            let same = same_treads(&lines[i].stairs, reference);
            let shift = same.iter().sum::<f64>() / same.len() as f64;
            (!same.is_empty()).then_some((lines[i].v - lines[self.middle].v, shift * reference.pitch()))
        });
        let (mut over, mut under) = (0.0, 0.0);
        for (across, shift) in shifts {
            over += across * shift;
            under += across * across;
        }
        if under > 0.0 { (over / under).atan().to_degrees() } else { 0.0 }
    }
}

/// Treads of one line that another sees in the same place: how far off they are there, in steps. None unless that is a
/// third of what the other sees: a hair across the row cuts its staircase in two.
fn same_treads(one: &Staircase, reference: &Staircase) -> Vec<f64> {
    let (pitch, zero) = (reference.pitch(), reference.treads[0].1.centre());
    let level_of = |number: f64| reference.treads.iter().find(|(n, _)| *n as f64 == number).map(|(_, p)| p.level);
    let same: Vec<f64> = one
        .treads
        .iter()
        .filter_map(|(_, plateau)| {
            let at = (plateau.centre() - zero) / pitch;
            let off = at - at.round();
            (off.abs() <= 0.25 && (level_of(at.round())? - plateau.level).abs() <= ALIKE).then_some(off)
        })
        .collect();
    if same.len() * 3 >= reference.treads.len() { same } else { Vec::new() }
}

/// The row that was agreed on, measured.
fn along(field: &Field, axes: Axes, lines: &[Line], agreed: Agreed) -> Option<Row> {
    let (first, last) = agreed.lines.into_inner();
    let across = (lines[first].v - LINES_APART / 2.0, lines[last].v + LINES_APART / 2.0);
    if (across.1 - across.0) < LEAST_WIDTH * lines[agreed.middle].stairs.pitch() {
        return None;
    }
    // 1. all lines as one, and its steps
    let inside = (1.0 - MIDDLE) / 2.0 * (across.1 - across.0);
    let (from, to) = (across.0 + inside, across.1 - inside);
    let count = ((to - from).round() as usize).clamp(3, MOST_LINES);
    let places: Vec<f64> = (0..count).map(|i| from + (to - from) * (i as f64 + 0.5) / count as f64).collect();
    let line = profile(field, &axes, &places);
    let stairs = staircase(&plateaus(&line, ROW_FLAT));
    if stairs.treads.len() < LEAST_STEPS {
        return None;
    }
    // 2. the grid through their middles
    let (zero, pitch) = grid(&stairs.treads)?;
    let last = stairs.treads[stairs.treads.len() - 1].0;
    Some(Row { axes, across, zero: zero - axes.half.0, pitch, seen: (0, last as i32) })
}

/// Lines taken together, at most: more make nothing steadier.
const MOST_LINES: usize = 41;

/// Middle of tread 0 and the pitch, by least squares; treads far off the line are left out the second time.
fn grid(treads: &[(usize, Plateau)]) -> Option<(f64, f64)> {
    let fit = |treads: &[&(usize, Plateau)]| {
        let n = treads.len() as f64;
        let mean = |of: &dyn Fn(&(usize, Plateau)) -> f64| treads.iter().map(|t| of(t)).sum::<f64>() / n;
        let (k, c) = (mean(&|t| t.0 as f64), mean(&|t| t.1.centre()));
        let (above, below) = (mean(&|t| (t.0 as f64 - k) * (t.1.centre() - c)), mean(&|t| (t.0 as f64 - k).powi(2)));
        let pitch = above / below;
        (c - pitch * k, pitch)
    };
    let all: Vec<_> = treads.iter().collect();
    let (zero, pitch) = fit(&all);
    let near: Vec<_> =
        all.into_iter().filter(|t| (t.1.centre() - zero - pitch * t.0 as f64).abs() <= 0.15 * pitch).collect();
    (near.len() >= LEAST_STEPS).then(|| fit(&near))
}
