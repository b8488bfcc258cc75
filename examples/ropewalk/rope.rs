//! Rope as geometry: three strands laid together, along a line or wound up in a coil.

use std::f64::consts::TAU;

use crate::noise::wander;
use crate::vector::V3;

/// Distance to a rope of three strands: `u`, `v` across it, `s` along it, `r` its radius (metres).
fn laid(u: f64, w: f64, s: f64, r: f64) -> f64 {
    let round = u.hypot(w);
    if round > 2.2 * r {
        return round - 1.1 * r;
    }
    // 1. The lay: one turn in three and a half diameters.
    let angle = w.atan2(u) - TAU * s / (7.0 * r);
    // 2. The nearest of the three strands.
    let third = TAU / 3.0;
    let a = angle - (angle / third).round() * third;
    let (sin, cos) = a.sin_cos();
    let (p, q) = (round * cos - 0.5 * r, round * sin);
    let strand = p.hypot(q) - 0.5 * r;
    if strand > 0.4 * r {
        return strand;
    }
    // 3. The yarns of a strand, twisted the other way.
    let yarn = (9.0 * q.atan2(p) + TAU * s / (1.9 * r)).cos();
    strand - 0.028 * r * yarn
}

/// A rope wound up about its own y axis, its lowest turn on y = 0.
#[derive(Clone, Debug)]
pub(crate) struct Coil {
    /// Radius of the outermost turn's middle line.
    pub(crate) wide: f64,
    /// Radius of the rope.
    pub(crate) rope: f64,
    /// Turns one on the other.
    pub(crate) turns: f64,
    /// Turns one inside the other.
    pub(crate) layers: f64,
    pub(crate) seed: u64,
}

impl Coil {
    pub(crate) fn distance(&self, p: V3) -> f64 {
        let r = self.rope;
        let rise = 1.92 * r;
        let rho = p.x.hypot(p.z);
        let layer = ((self.wide - rho) / rise).round().clamp(0.0, self.layers - 1.0);
        // Every layer begins somewhere else.
        let around = p.z.atan2(p.x) / TAU + 0.11 * layer;
        let around = around - around.round();
        let height = p.y - r - rise * (around + 0.5);
        let turn = (height / rise).round().clamp(0.0, self.turns - 1.0);
        // A hand has wound it: every turn wanders a little.
        let wound = turn + around;
        let seed = self.seed + 10 * layer as u64;
        let u = rho - (self.wide - layer * rise) - 0.28 * r * wander(2.1 * wound + 50.0, seed);
        let w = height - turn * rise - 0.16 * r * wander(2.7 * wound + 90.0, seed + 5);
        laid(u, w, TAU * wound * (self.wide - layer * rise), r)
    }

    /// Half the size of the box about the coil, and the middle of that box.
    pub(crate) fn size(&self) -> (V3, f64) {
        let high = 1.92 * self.rope * (self.turns + 0.5) + self.rope;
        let wide = self.wide + 1.5 * self.rope;
        (crate::vector::v(wide, high / 2.0 + 0.4 * self.rope, wide), high / 2.0)
    }
}

/// A rope or a wire along a line of points.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    points: Vec<V3>,
    along: Vec<f64>,
    /// Every eight pieces: the ball about them.
    balls: Vec<(V3, f64)>,
    radius: f64,
    /// Roughly square on the plane the line lies in, so that the lay runs on smoothly.
    square: V3,
    laid: bool,
}

impl Line {
    /// A smooth line (Catmull-Rom) through `knots`, `steps` pieces from knot to knot.
    pub(crate) fn through(knots: &[V3], steps: usize, radius: f64, square: V3) -> Line {
        let at = |i: isize| knots[i.clamp(0, knots.len() as isize - 1) as usize];
        let mut points = Vec::new();
        for i in 0..knots.len() as isize - 1 {
            let (a, b, c, d) = (at(i - 1), at(i), at(i + 1), at(i + 2));
            for step in 0..steps {
                let t = step as f64 / steps as f64;
                points.push(
                    (b * 2.0
                        + (c - a) * t
                        + (a * 2.0 - b * 5.0 + c * 4.0 - d) * (t * t)
                        + (b * 3.0 - a - c * 3.0 + d) * (t * t * t))
                        * 0.5,
                );
            }
        }
        points.push(at(knots.len() as isize - 1));
        let mut along = vec![0.0];
        for pair in points.windows(2) {
            along.push(along[along.len() - 1] + (pair[1] - pair[0]).length());
        }
        let balls = (0..points.len() - 1).step_by(8).map(|i| {
            let part = &points[i..(i + 9).min(points.len())];
            let middle = part.iter().fold(V3::default(), |sum, &p| sum + p) * (1.0 / part.len() as f64);
            (middle, part.iter().fold(0.0, |far: f64, &p| far.max((p - middle).length())))
        });
        Line { balls: balls.collect(), points, along, radius, square, laid: true }
    }

    /// The same line as a smooth wire.
    pub(crate) fn wire(mut self) -> Line {
        self.laid = false;
        self
    }

    pub(crate) fn distance(&self, p: V3) -> f64 {
        let (mut best, mut piece, mut part) = (f64::INFINITY, 0, 0.0);
        for (ball, &(middle, reach)) in self.balls.iter().enumerate() {
            let least = ((p - middle).length() - reach).max(0.0);
            if least * least >= best {
                continue;
            }
            for i in 8 * ball..(8 * ball + 8).min(self.points.len() - 1) {
                let run = self.points[i + 1] - self.points[i];
                let t = ((p - self.points[i]).dot(run) / run.dot(run).max(1e-12)).clamp(0.0, 1.0);
                let off = p - self.points[i] - run * t;
                let d = off.dot(off);
                if d < best {
                    (best, piece, part) = (d, i, t);
                }
            }
        }
        let far = best.sqrt();
        if !self.laid || far > 2.2 * self.radius {
            return far - if self.laid { 1.1 } else { 1.0 } * self.radius;
        }
        let (a, b) = (self.points[piece], self.points[piece + 1]);
        let tangent = (b - a).unit();
        let side = self.square.cross(tangent).unit();
        let up = tangent.cross(side);
        let off = p - a - (b - a) * part;
        let s = self.along[piece] + part * (self.along[piece + 1] - self.along[piece]);
        // A cut end is flat; elsewhere what sticks out along the line is nothing.
        let beyond = off.dot(tangent).abs();
        laid(off.dot(side), off.dot(up), s, self.radius).max(beyond - 0.2 * self.radius)
    }

    /// The box about the line: its middle and half its size.
    pub(crate) fn bounds(&self) -> (V3, V3) {
        let (mut low, mut high) = (self.points[0], self.points[0]);
        for p in &self.points {
            low = crate::vector::v(low.x.min(p.x), low.y.min(p.y), low.z.min(p.z));
            high = crate::vector::v(high.x.max(p.x), high.y.max(p.y), high.z.max(p.z));
        }
        let rim = 1.2 * self.radius;
        ((low + high) * 0.5, (high - low) * 0.5 + crate::vector::v(rim, rim, rim))
    }
}
