//! The overview as densities, a little smoothed, and its four sides looked at from outside.

use rayon::prelude::*;

use super::levels::levels;
use crate::plane::{Overview, Point, Size};

/// Least light told from none, as a fraction of full scale: density 4, beyond any flatbed (common practice).
const LEAST_LIGHT: f32 = 1e-4;

/// Rows that a thread smooths at a time.
const ROWS: usize = 32;

/// Densities of an overview after a 3 x 3 mean of its light, which calms noise and leaves edges where they are.
pub(super) struct Field {
    pub(super) size: Size,
    density: Vec<f32>,
    levels: Vec<f32>,
}

impl Field {
    pub(super) fn of(overview: &Overview) -> Self {
        let size = overview.size();
        let (width, height) = (size.width as usize, size.height as usize);
        let mut density = vec![0.0; width * height];
        density.par_chunks_mut((width * ROWS).max(1)).enumerate().for_each(|(block, into)| {
            let rows = into.len() / width;
            // The rows before and after are needed too; at the edges the outermost stands for what is beyond.
            let row =
                |y: usize| &overview.light()[(block * ROWS + y).saturating_sub(1).min(height - 1) * width..][..width];
            let mut across = Vec::with_capacity((rows + 2) * width);
            (0..rows + 2).for_each(|y| across.extend(three(row(y))));
            for (y, into) in into.chunks_exact_mut(width).enumerate() {
                let row = |y: usize| &across[y * width..][..width];
                let rows = row(y).iter().zip(row(y + 1)).zip(row(y + 2));
                for (density, ((a, b), c)) in into.iter_mut().zip(rows) {
                    *density = -((a + b + c) / 9.0).max(LEAST_LIGHT).log10();
                }
            }
        });
        let levels = levels(&density, size);
        Self { size, density, levels }
    }

    /// Its bright levels, brightest first.
    pub(super) fn levels(&self) -> &[f32] {
        &self.levels
    }

    pub(super) fn at(&self, x: usize, y: usize) -> f32 {
        self.density[y * self.size.width as usize + x]
    }

    pub(super) fn row(&self, y: usize) -> &[f32] {
        let width = self.size.width as usize;
        &self.density[y * width..][..width]
    }

    /// Puts into `ray` the first `deep` densities from place `along` of a side inwards; fewer where the other side is
    /// nearer.
    pub(super) fn ray(&self, side: Side, along: usize, deep: usize, ray: &mut Vec<f32>) {
        let width = self.size.width as usize;
        ray.clear();
        match side {
            Side::Left => ray.extend(self.row(along).iter().take(deep)),
            Side::Right => ray.extend(self.row(along).iter().rev().take(deep)),
            Side::Top => ray.extend(self.density[along..].iter().step_by(width).take(deep)),
            Side::Bottom => ray
                .extend(self.density[..self.density.len() - width + along + 1].iter().rev().step_by(width).take(deep)),
        }
    }

    /// Density of the pixel that holds a place; `None` outside.
    pub(super) fn under(&self, place: Point) -> Option<f32> {
        let inside = place.x >= 0.0
            && place.y >= 0.0
            && place.x < f64::from(self.size.width)
            && place.y < f64::from(self.size.height);
        inside.then(|| self.at(place.x as usize, place.y as usize))
    }
}

/// Each pixel and its two neighbours added up.
fn three(row: &[f32]) -> impl Iterator<Item = f32> + '_ {
    let last = row.len() - 1;
    (0..=last).map(move |x| row[x.saturating_sub(1)] + row[x] + row[(x + 1).min(last)])
}

/// What a ray from outside crosses before it meets something else.
#[derive(Clone, Copy, Debug)]
pub(super) enum Ground {
    /// A bright level, open light or rebate, with this density: what follows is darker.
    Level(f32),
    /// The holder: what follows is film.
    Holder,
}

/// What belongs to a level lies within this of it, in D: lamp, flare and noise of a flatbed together (common practice).
pub(super) const TOLERANCE: f32 = 0.025;
/// A holder lets less than this through, in D (common practice: it is opaque, the rest is flare).
pub(super) const HOLDER: f32 = 1.5;

impl Ground {
    /// This density belongs to it.
    pub(super) fn holds(self, density: f32) -> bool {
        match self {
            Self::Level(level) => (density - level).abs() <= TOLERANCE,
            Self::Holder => density > HOLDER,
        }
    }

    /// This density lies behind its edge.
    pub(super) fn is_left_at(self, density: f32) -> bool {
        match self {
            Self::Level(level) => density > level + TOLERANCE,
            Self::Holder => density <= HOLDER,
        }
    }
}

/// A side of the scan, seen from outside: `along` it runs with x or y, `depth` goes inwards.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    Top,
    Right,
    Bottom,
    Left,
}

impl Side {
    /// Clockwise from the top, the order of a quad's edges.
    pub(super) const ALL: [Self; 4] = [Self::Top, Self::Right, Self::Bottom, Self::Left];

    /// Pixels along it, and from it to the opposite side.
    pub(super) fn extent(self, size: Size) -> (u32, u32) {
        match self {
            Self::Top | Self::Bottom => (size.width, size.height),
            Self::Left | Self::Right => (size.height, size.width),
        }
    }

    /// The place at (`along`, `depth`), both in pixels from the scan's edges.
    pub(super) fn place(self, along: f64, depth: f64, size: Size) -> Point {
        match self {
            Self::Top => Point { x: along, y: depth },
            Self::Bottom => Point { x: along, y: f64::from(size.height) - depth },
            Self::Left => Point { x: depth, y: along },
            Self::Right => Point { x: f64::from(size.width) - depth, y: along },
        }
    }

    /// The pixel at (`along`, `depth`).
    pub(super) fn pixel(self, along: usize, depth: usize, size: Size) -> (usize, usize) {
        match self {
            Self::Top => (along, depth),
            Self::Bottom => (along, size.height as usize - 1 - depth),
            Self::Left => (depth, along),
            Self::Right => (size.width as usize - 1 - depth, along),
        }
    }

    /// Slope of its line (depth over along) when the film is turned clockwise by an angle of this tangent.
    pub(super) fn slope(self, tangent: f64) -> f64 {
        match self {
            Self::Top | Self::Right => tangent,
            Self::Bottom | Self::Left => -tangent,
        }
    }
}

/// A straight edge along a side: depth = `middle` + `slope` (along - half the side).
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    pub(super) side: Side,
    pub(super) middle: f64,
    pub(super) slope: f64,
}

impl Line {
    pub(super) fn depth(self, along: f64, size: Size) -> f64 {
        self.middle + self.slope * (along - f64::from(self.side.extent(size).0) / 2.0)
    }

    pub(super) fn place(self, along: f64, size: Size) -> Point {
        self.side.place(along, self.depth(along, size), size)
    }

    /// Where two lines of adjacent sides cross.
    pub(super) fn crossing(self, other: Self, size: Size) -> Point {
        let ends = |line: Self| {
            let length = f64::from(line.side.extent(size).0);
            (line.place(0.0, size), line.place(length, size))
        };
        let ((a, b), (c, d)) = (ends(self), ends(other));
        let (r, s) = ((b.x - a.x, b.y - a.y), (d.x - c.x, d.y - c.y));
        // Lines of adjacent sides are within a few degrees of square, so the cross product is far from 0.
        let t = ((c.x - a.x) * s.1 - (c.y - a.y) * s.0) / (r.0 * s.1 - r.1 * s.0);
        Point { x: a.x + t * r.0, y: a.y + t * r.1 }
    }
}
