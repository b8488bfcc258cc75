//! The patches of a row: followed to both ends, and told from what surrounds the tablet.

use crate::plane::Quad;

use super::field::{Field, median};
use super::row::{MIDDLE, Row};

/// A patch of a step tablet, or of what surrounds it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Patch {
    /// Its middle, where it is read, in scan pixels.
    pub area: Quad,
    /// It differs from what lies beside the row, or lies between patches that do.
    pub sure: bool,
}

/// Half the part of a patch that is read, along the row, as a share of the pitch.
const READ: f64 = 0.25;
/// Half the part that must be flat.
const FLAT: f64 = 0.3;
/// Flat means that its parts differ by no more than this, in D; more where it is noisy.
const LEVEL: f32 = 0.02;
/// A patch at the thin end is thinner than the next by this much, in D.
const THINNER: f32 = 0.01;
/// A patch is what lies beside the row when it differs from it by no more, in D: a third of the thinnest film base.
const BESIDE: f32 = 0.015;
/// Patches followed in either direction, at most.
const MOST: i32 = 64;

/// How a patch looks in the overview.
#[derive(Clone, Copy)]
struct Look {
    level: f32,
    /// Standard error of the level.
    error: f32,
    flat: bool,
}

/// All patches on the row's grid, thinnest first.
pub(super) fn along(field: &Field, row: &Row, scale: (f64, f64)) -> Vec<Patch> {
    let middle = (row.seen.0 + row.seen.1) / 2;
    let (mut first, mut last) = (middle, middle);
    while first > middle - MOST && follows(field, row, (first - 1, first), true) {
        first -= 1;
    }
    while last < middle + MOST && follows(field, row, (last, last + 1), false) {
        last += 1;
    }
    let sure = |k: &i32| !is_surroundings(field, row, *k);
    let first_sure = (first..=last).find(sure).unwrap_or(last + 1);
    let last_sure = (first..=last).rev().find(sure).unwrap_or(first - 1);
    let patch = |k| Patch { area: area(row, k, scale), sure: (first_sure..=last_sure).contains(&k) };
    (first..=last).map(patch).collect()
}

/// Whether patch `dense` can be the step after `thin`: both are there, the outer one is flat, and density does not
/// fall. At the thin end it must rise; at the dense end steps may drown in noise.
fn follows(field: &Field, row: &Row, (thin, dense): (i32, i32), outer_is_thin: bool) -> bool {
    let (Some(a), Some(b)) = (look(field, row, thin), look(field, row, dense)) else { return false };
    let rise = b.level - a.level;
    let noise = 3.0 * a.error.hypot(b.error);
    if outer_is_thin { a.flat && rise >= THINNER.max(noise) } else { b.flat && rise >= -noise.max(THINNER / 2.0) }
}

fn look(field: &Field, row: &Row, k: i32) -> Option<Look> {
    let (from, to) =
        (row.across.0 + row.width() * (1.0 - MIDDLE) / 2.0, row.across.1 - row.width() * (1.0 - MIDDLE) / 2.0);
    let middle = row.zero + row.pitch * f64::from(k);
    let (start, end) = (middle - FLAT * row.pitch, middle + FLAT * row.pitch);
    let (along, across) = ((end - start) / 3.0, (to - from) / 3.0);
    let side = |along, across| Some(level(read(field, row, along, across)?)?.0);
    let (head, tail) = (side((start, start + along), (from, to))?, side((end - along, end), (from, to))?);
    let [one, mid, other] = [0.0, 1.0, 2.0].map(|i| side((start, end), (from + i * across, from + (i + 1.0) * across)));
    let (one, mid, other) = (one?, mid?, other?);
    let (level, error) = level(read(field, row, (start, end), (from, to))?)?;
    let same = |a: f32, b: f32| (a - b).abs() <= LEVEL + 6.0 * error;
    // Across, a number may be printed on one side.
    Some(Look { level, error, flat: same(head, tail) && (same(one, mid) || same(mid, other)) })
}

/// Median density and its standard error.
fn level(mut densities: Vec<f32>) -> Option<(f32, f32)> {
    let level = median(&mut densities)?;
    let mut away: Vec<f32> = densities.iter().map(|d| (d - level).abs()).collect();
    // Standard error of a median: 1.25 sigma / sqrt n; sigma is 1.48 times the median deviation (normal distribution).
    Some((level, 1.25 * 1.48 * median(&mut away)? / (densities.len() as f32).sqrt()))
}

/// Densities at every pixel of a part of the row; `None` when some of it lies outside the picture.
fn read(field: &Field, row: &Row, along: (f64, f64), across: (f64, f64)) -> Option<Vec<f32>> {
    let places = |(from, to): (f64, f64)| {
        let count = ((to - from).round() as usize).max(1);
        (0..count).map(move |i| from + (to - from) * (i as f64 + 0.5) / count as f64)
    };
    places(along)
        .flat_map(|u| places(across).map(move |v| (u, v)))
        .map(|(u, v)| row.axes.density(field, u, v))
        .collect()
}

/// Whether patch `k` is the same as what lies on both sides of the row there, or, where the row fills the picture, as
/// the next one outwards.
fn is_surroundings(field: &Field, row: &Row, k: i32) -> bool {
    let Some(own) = look(field, row, k) else { return true };
    let middle = row.zero + row.pitch * f64::from(k);
    let along = (middle - READ * row.pitch, middle + READ * row.pitch);
    let (near, far) = (4.0 + 0.05 * row.width(), 6.0 + 0.3 * row.width());
    let sides = [(row.across.0 - far, row.across.0 - near), (row.across.1 + near, row.across.1 + far)];
    let beside: Vec<_> = sides.into_iter().filter_map(|side| level(read(field, row, along, side)?)).collect();
    let same = |(level, error): (f32, f32)| (level - own.level).abs() <= BESIDE.max(6.0 * own.error.hypot(error));
    if !beside.is_empty() {
        return beside.into_iter().all(same);
    }
    let outwards = if k <= (row.seen.0 + row.seen.1) / 2 { k - 1 } else { k + 1 };
    look(field, row, outwards).is_some_and(|next| same((next.level, next.error)))
}

/// The part of a patch that is read, in scan pixels, clockwise from top left as the row runs.
fn area(row: &Row, k: i32, scale: (f64, f64)) -> Quad {
    let middle = row.zero + row.pitch * f64::from(k);
    let by = row.width() * (1.0 - MIDDLE) / 2.0;
    let (from, to) = (row.across.0 + by, row.across.1 - by);
    let (start, end) = (middle - READ * row.pitch, middle + READ * row.pitch);
    Quad([(start, from), (end, from), (end, to), (start, to)].map(|(u, v)| row.axes.point(u, v)))
        .scaled(scale.0, scale.1)
}
