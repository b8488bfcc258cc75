//! Signed distances: what the things of the store room are made of, each about its own middle.
//!
//! The formulas are the usual ones for distance fields (round boxes, drums, rings, bodies of revolution); metres.

use std::f64::consts::TAU;

use crate::rope::{Coil, Line};
use crate::vector::{V3, v};

/// A form about its own middle.
#[derive(Clone, Debug)]
pub(crate) enum Shape {
    /// A box of half size `half`, its edges rounded by `round`.
    Slab {
        half: V3,
        round: f64,
    },
    Ball {
        radius: f64,
    },
    /// A ball pulled to a drop, pointing up: a flame.
    Flame {
        radius: f64,
    },
    /// A round rod along y, thinner or thicker towards the top, edges rounded.
    Rod {
        foot: f64,
        top: f64,
        half: f64,
        round: f64,
    },
    /// A ring lying flat.
    Ring {
        wide: f64,
        thick: f64,
    },
    /// A thin open tube along y.
    Tube {
        radius: f64,
        half: f64,
        wall: f64,
    },
    /// A barrel along y of so many staves, its head sunk.
    Barrel {
        belly: f64,
        half: f64,
        staves: f64,
    },
    /// A hoop of a barrel, between two heights.
    Hoop {
        belly: f64,
        half: f64,
        from: f64,
        to: f64,
    },
    /// The shell of a pulley block: oval, flat along z, slotted for its sheaves.
    Shell {
        wide: f64,
        high: f64,
        thick: f64,
        slots: u32,
    },
    /// A grooved wheel about z.
    Sheave {
        radius: f64,
        half: f64,
    },
    /// Bowed wires about a lamp glass.
    Cage {
        wide: f64,
        half: f64,
        bars: f64,
        wire: f64,
    },
    /// A knotted net about a ball.
    Net {
        radius: f64,
        cord: f64,
        meshes: f64,
    },
    /// A ball of twine.
    Twine {
        radius: f64,
        cord: f64,
    },
    Coil(Coil),
    Line(Line),
}

/// How far the barrel's side is from its middle line at height `y`.
fn bulge(belly: f64, half: f64, y: f64) -> f64 {
    belly * (1.0 - 0.17 * (y / half) * (y / half))
}

/// Inside both a flat outline (distance `a`) and a thickness (distance `b`), edges rounded.
fn thickened(a: f64, b: f64, round: f64) -> f64 {
    let (a, b) = (a + round, b + round);
    a.max(b).min(0.0) + a.max(0.0).hypot(b.max(0.0)) - round
}

impl Shape {
    /// Distance from `p` to the form, negative inside; never more than the true distance by much.
    pub(crate) fn distance(&self, p: V3) -> f64 {
        match self {
            Shape::Slab { half, round } => {
                let q = p.abs() - *half + v(*round, *round, *round);
                let out = v(q.x.max(0.0), q.y.max(0.0), q.z.max(0.0)).length();
                out + q.x.max(q.y).max(q.z).min(0.0) - round
            }
            Shape::Ball { radius } => p.length() - radius,
            Shape::Flame { radius } => {
                let y = p.y / radius;
                let slim = (1.0 - 0.28 * y).max(0.25);
                (v(p.x / slim, p.y * 0.5, p.z / slim).length() - radius) * 0.5
            }
            Shape::Rod { foot, top, half, round } => {
                let rho = p.x.hypot(p.z);
                let radius = foot + (top - foot) * (p.y / (2.0 * half) + 0.5).clamp(0.0, 1.0);
                let steep = ((top - foot) / (2.0 * half)).hypot(1.0);
                thickened((rho - radius) / steep, p.y.abs() - half, *round)
            }
            Shape::Ring { wide, thick } => (p.x.hypot(p.z) - wide).hypot(p.y) - thick,
            Shape::Tube { radius, half, wall } => {
                thickened((p.x.hypot(p.z) - radius).abs() - wall, p.y.abs() - half, wall * 0.9)
            }
            Shape::Barrel { belly, half, staves } => {
                let rho = p.x.hypot(p.z);
                let around = p.z.atan2(p.x) / TAU * staves;
                let seam = (around - around.floor() - 0.5).abs();
                // Staves are flat planks with a seam between them.
                let groove = 0.006 * ((seam - 0.44) / 0.06).clamp(0.0, 1.0) + 0.010 * seam * seam;
                let side = (rho - bulge(*belly, *half, p.y) + groove * belly / 0.3) * 0.9;
                let body = thickened(side, p.y.abs() - half, 0.006);
                let head = (rho - bulge(*belly, *half, *half) + 0.022).max(half - 0.035 - p.y);
                body.max(-head)
            }
            Shape::Hoop { belly, half, from, to } => {
                let middle = (from + to) / 2.0;
                let side = (p.x.hypot(p.z) - bulge(*belly, *half, p.y)).abs() - 0.004;
                thickened(side, (p.y - middle).abs() - (to - from) / 2.0, 0.0015)
            }
            Shape::Shell { wide, high, thick, slots } => {
                let near = v(p.x / wide, p.y / high, 0.0).length();
                let steep = v(p.x / (wide * wide), p.y / (high * high), 0.0).length().max(1e-9);
                let oval = (near * (near - 1.0) / steep).max(near * wide - wide * 1.2);
                let bow = 0.25 * thick * (1.0 - near * near).clamp(0.0, 1.0);
                let body = thickened(oval, p.z.abs() - thick - bow, 0.014) * 0.8;
                let (lane, gap) = match slots {
                    1 => (p.z.abs(), 0.30 * thick),
                    _ => ((p.z.abs() - 0.45 * thick).abs(), 0.24 * thick),
                };
                let slot = (lane - gap).max(p.y.abs() - 0.68 * high);
                body.max(-slot)
            }
            Shape::Sheave { radius, half } => {
                let rho = p.x.hypot(p.y);
                let groove = (rho - radius - 0.4 * half).hypot(p.z) - 0.9 * half;
                thickened(rho - radius, p.z.abs() - half, 0.002).max(-groove)
            }
            Shape::Cage { wide, half, bars, wire } => {
                let rho = p.x.hypot(p.z);
                let around = p.z.atan2(p.x) / TAU * bars;
                let side = (around - around.round()) / bars * TAU * rho;
                let bow = wide * (1.0 - 0.35 * (p.y / half) * (p.y / half));
                let bar = ((rho - bow) * 0.8).hypot(side).max(p.y.abs() - half);
                let belt = (rho - wide).hypot(p.y);
                bar.min(belt) - wire
            }
            Shape::Net { radius, cord, meshes } => {
                let far = p.length();
                if far > radius + 4.0 * cord {
                    return far - radius - 2.0 * cord;
                }
                let around = p.z.atan2(p.x) / TAU * meshes;
                let down = (p.y / far).clamp(-1.0, 1.0).acos() / TAU * 2.0;
                let tall = meshes * 0.62 * down;
                let run = TAU / meshes * far * (down * TAU / 2.0).sin();
                let one = (around + tall) - (around + tall).round();
                let two = (around - tall) - (around - tall).round();
                let d = one.abs().min(two.abs()) * run * 0.62;
                let knot = one.hypot(two) * run * 0.62 - 0.9 * cord;
                ((far - radius - cord).hypot(d.min(knot.max(0.0))) - cord) * 0.8
            }
            Shape::Twine { radius, cord } => {
                let far = p.length();
                if far > radius + 5.0 * cord {
                    return far - radius - 3.0 * cord;
                }
                let n = p * (1.0 / far.max(1e-9));
                // Under the crossing windings lies one that covers all.
                let under = 1.0 - ((p.y / cord).rem_euclid(2.0) - 1.0).powi(2);
                let mut rim = cord * under.max(0.0).sqrt();
                for k in 0..9 {
                    let turn = f64::from(k) * 2.4;
                    let lean = (f64::from(k) * 0.618).fract() * 1.6 - 0.8;
                    let flat = (1.0 - lean * lean).sqrt();
                    let axis = v(flat * turn.cos(), lean, flat * turn.sin());
                    let off = n.dot(axis) * radius;
                    let lap = off.abs() - radius * (0.16 + 0.02 * f64::from(k % 4));
                    let line = (1.0 - ((off / cord).rem_euclid(2.0) - 1.0).powi(2)).max(0.0).sqrt();
                    let high = cord * (line + 0.22 * f64::from(k)) - lap.max(0.0) * 3.0;
                    rim = rim.max(high);
                }
                (far - radius - rim) * 0.55
            }
            Shape::Coil(coil) => {
                let (_, middle) = coil.size();
                coil.distance(v(p.x, p.y + middle, p.z))
            }
            Shape::Line(line) => line.distance(p),
        }
    }

    /// Half the size of the box the form fits in.
    pub(crate) fn half(&self) -> V3 {
        match self {
            Shape::Slab { half, .. } => *half,
            Shape::Ball { radius } => v(*radius, *radius, *radius),
            Shape::Flame { radius } => v(1.7 * radius, 2.1 * radius, 1.7 * radius),
            Shape::Rod { foot, top, half, .. } => v(foot.max(*top), *half, foot.max(*top)),
            Shape::Ring { wide, thick } => v(wide + thick, *thick, wide + thick),
            Shape::Tube { radius, half, wall } => v(radius + wall, *half, radius + wall),
            Shape::Barrel { belly, half, .. } => v(*belly, *half, *belly),
            Shape::Hoop { belly, half, .. } => v(belly + 0.01, *half, belly + 0.01),
            Shape::Shell { wide, high, thick, .. } => v(*wide, *high, 1.26 * thick),
            Shape::Sheave { radius, half } => v(*radius, *radius, *half),
            Shape::Cage { wide, half, wire, .. } => v(wide + wire, *half, wide + wire),
            Shape::Net { radius, cord, .. } => {
                let r = radius + 2.2 * cord;
                v(r, r, r)
            }
            Shape::Twine { radius, cord } => {
                let r = radius + 3.5 * cord;
                v(r, r, r)
            }
            Shape::Coil(coil) => coil.size().0,
            Shape::Line(line) => {
                let (middle, half) = line.bounds();
                half + middle.abs()
            }
        }
    }

    /// Part of the distance a ray may safely go.
    pub(crate) fn care(&self) -> f64 {
        match self {
            Shape::Coil(_) | Shape::Line(_) => 0.72,
            Shape::Barrel { .. } | Shape::Shell { .. } => 0.85,
            _ => 0.95,
        }
    }
}
