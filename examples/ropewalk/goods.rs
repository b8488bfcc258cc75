//! What a ropewalk keeps in its store room, put together from forms and stuffs.

use std::f64::consts::TAU;

use crate::noise::{share, wander};
use crate::room::Thing;
use crate::rope::{Coil, Line};
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::{V3, v};

pub(crate) const HEMP: Stuff = Stuff::Hemp { tone: 0.46 };
pub(crate) const TARRED: Stuff = Stuff::Hemp { tone: 0.13 };
pub(crate) const IRON: Stuff = Stuff::Metal { tone: 0.06, shine: 0.10 };
pub(crate) const BRASS: Stuff = Stuff::Metal { tone: 0.24, shine: 0.34 };

/// A plank: half its size; its grain runs along x.
pub(crate) fn plank(half: V3, place: V3, tone: f64, seed: u64) -> Thing {
    Thing::new(Shape::Slab { half, round: 0.004 }, Stuff::Plank { tone, seed }, place)
}

/// A wall of upright boards, its face at `z`, between two x, from the floor up.
pub(crate) fn boarding(z: f64, x: (f64, f64), wide: f64, tone: f64, seed: u64) -> Vec<Thing> {
    let boards = ((x.1 - x.0) / wide).ceil() as u64;
    (0..boards)
        .map(|i| {
            let proud = 0.005 * share(seed, i);
            let half = v(1.6, wide / 2.0 - 0.0025, 0.02);
            let place = v(x.0 + (i as f64 + 0.5) * wide, 1.5, z - 0.02 + proud);
            plank(half, place, tone, seed + 100 * i).turned(0.0, 0.0, 90.0)
        })
        .collect()
}

/// A floor or a bench of boards lying along x, its face at `y`, from `z.0` to `z.1`.
pub(crate) fn decking(y: f64, x: (f64, f64), z: (f64, f64), wide: f64, tone: f64, seed: u64) -> Vec<Thing> {
    let boards = ((z.1 - z.0) / wide).round() as u64;
    (0..boards)
        .map(|i| {
            let sunk = 0.003 * share(seed, i);
            let half = v((x.1 - x.0) / 2.0, 0.022, wide / 2.0 - 0.002);
            let place = v((x.0 + x.1) / 2.0, y - 0.022 - sunk, z.0 + (i as f64 + 0.5) * wide);
            plank(half, place, tone, seed + 100 * i)
        })
        .collect()
}

/// A plastered wall, its face at `z`.
pub(crate) fn plaster(z: f64, tone: f64, seed: u64) -> Thing {
    Thing::new(Shape::Slab { half: v(4.0, 3.0, 0.1), round: 0.0 }, Stuff::Plaster { tone, seed }, v(0.0, 1.5, z - 0.1))
}

/// A coil lying on `place`.
pub(crate) fn coil(coil: Coil, stuff: Stuff, place: V3) -> Thing {
    let (_, middle) = coil.size();
    Thing::new(Shape::Coil(coil), stuff, place + v(0.0, middle, 0.0))
}

/// A rope through these points; `square` stands about square on it.
pub(crate) fn rope(knots: &[V3], radius: f64, square: V3, stuff: Stuff) -> Thing {
    let (middle, _) = Line::through(knots, 8, radius, square).bounds();
    let own: Vec<V3> = knots.iter().map(|&knot| knot - middle).collect();
    Thing::new(Shape::Line(Line::through(&own, 8, radius, square)), stuff, middle)
}

/// A bent iron wire through these points.
pub(crate) fn wire(knots: &[V3], radius: f64) -> Thing {
    let (middle, _) = Line::through(knots, 8, radius, v(0.0, 0.0, 1.0)).bounds();
    let own: Vec<V3> = knots.iter().map(|&knot| knot - middle).collect();
    let line = Line::through(&own, 8, radius, v(0.0, 0.0, 1.0)).wire();
    Thing::new(Shape::Line(line), IRON, middle)
}

/// A hank of rope hung over a peg at `peg`: loops `wide` and `high`.
pub(crate) fn hank(peg: V3, wide: f64, high: f64, loops: u64, radius: f64, stuff: Stuff, seed: u64) -> Vec<Thing> {
    let mut things: Vec<Thing> = (0..loops)
        .map(|i| {
            let (w, h) = (wide * (0.55 + 0.62 * share(seed, 4 * i)), high * (0.88 + 0.18 * share(seed, 4 * i + 1)));
            let z = peg.z + 0.012 + 1.75 * radius * (i % 4) as f64;
            let lean = 0.30 * wide * (share(seed, 4 * i + 2) - 0.5);
            let knots: Vec<V3> = (0..=12)
                .map(|k| {
                    let a = f64::from(k) / 12.0 * TAU;
                    // Narrow where it hangs, wide below.
                    let drop = (1.0 - a.cos()) / 2.0;
                    let x = 0.5 * w * a.sin() * (0.55 + 0.45 * drop) + lean * drop;
                    let sag = 0.25 * radius * wander(a.sin() * 2.0 + 9.0 * i as f64, seed);
                    v(peg.x + x, peg.y + 0.03 - h * drop - 0.4 * radius * (i / 4) as f64, z + sag)
                })
                .collect();
            rope(&knots, radius, v(0.0, 0.0, 1.0), stuff)
        })
        .collect();
    // The last turn is taken round the hank to hold it.
    let ring = Coil { wide: 0.30 * wide, rope: radius, turns: 3.0, layers: 1.0, seed };
    things.push(coil(ring, stuff, peg + v(0.0, -0.36 * high, 2.6 * radius)));
    things
}

/// A pulley block hanging by its hook from `hook`, turned to the side by degrees.
pub(crate) fn block(hook: V3, size: f64, slots: u32, turn: f64, lean: f64, tone: f64, seed: u64) -> Vec<Thing> {
    let thick = if slots == 1 { 0.42 * size } else { 0.62 * size };
    let middle = hook + v(0.0, -1.75 * size, 0.0);
    let shell = Shape::Shell { wide: 0.78 * size, high: size, thick, slots };
    let mut things = vec![Thing::new(shell, Stuff::Stave { tone, seed }, middle).turned(0.0, turn, lean)];
    let (sin, cos) = turn.to_radians().sin_cos();
    let lanes: &[f64] = if slots == 1 { &[0.0] } else { &[-0.45, 0.45] };
    for lane in lanes {
        let off = lane * thick;
        let sheave = Shape::Sheave { radius: 0.60 * size, half: 0.19 * thick };
        things.push(Thing::new(sheave, BRASS, middle + v(off * sin, -0.04 * size, off * cos)).turned(0.0, turn, lean));
    }
    // The strop about cheeks and ends, and the hook.
    let strop = 0.085 * size;
    let (side, end) = (1.24 * thick + 0.5 * strop, size + 0.6 * strop);
    let about = [(0.0, 1.0), (0.62, 0.90), (0.88, 0.62), (1.0, 0.0), (0.88, -0.62), (0.62, -0.90), (0.0, -1.0)];
    let knots: Vec<V3> = about
        .iter()
        .chain(about.iter().rev().skip(1))
        .enumerate()
        .map(|(i, &(z, y))| v(0.0, y * end, if i < about.len() { z } else { -z } * side))
        .collect();
    let line = Line::through(&knots, 6, strop, v(1.0, 0.0, 0.0));
    things.push(Thing::new(Shape::Line(line), TARRED, middle).turned(0.0, turn, lean));
    let eye = Shape::Ring { wide: 0.20 * size, thick: 0.055 * size };
    things.push(Thing::new(eye, IRON, middle + v(0.0, 1.15 * size, 0.0)).turned(90.0, turn + 70.0, 0.0));
    let bend = |x: f64, y: f64| hook + v(x * size * 0.9, y * size, 0.0);
    things.push(wire(
        &[
            bend(0.0, -0.45),
            bend(0.17, -0.30),
            bend(0.17, -0.10),
            bend(0.0, 0.04),
            bend(-0.16, -0.06),
            bend(-0.17, -0.16),
        ],
        0.05 * size,
    ));
    things
}

/// A barrel standing on `foot`.
pub(crate) fn barrel(foot: V3, belly: f64, half: f64, tone: f64, turn: f64, seed: u64) -> Vec<Thing> {
    let place = foot + v(0.0, half, 0.0);
    let staves = Shape::Barrel { belly, half, staves: 18.0 };
    let mut things = vec![Thing::new(staves, Stuff::Stave { tone, seed }, place).turned(0.0, turn, 0.0)];
    for (from, to) in [(0.84, 0.97), (0.42, 0.53), (-0.53, -0.42), (-0.97, -0.84)] {
        let hoop = Shape::Hoop { belly, half, from: from * half, to: to * half };
        things.push(Thing::new(hoop, IRON, place).turned(0.0, turn, 0.0));
    }
    things
}

/// A hollow glass float, in its net or bare.
pub(crate) fn float(middle: V3, radius: f64, clear: f64, net: Option<Stuff>, turn: (f64, f64)) -> Vec<Thing> {
    let mut things = vec![Thing::new(Shape::Ball { radius }, Stuff::Glass { clear }, middle)];
    if let Some(cord) = net {
        let net = Shape::Net { radius: radius + 0.001, cord: 0.0024, meshes: 13.0 };
        things.push(Thing::new(net, cord, middle).turned(turn.0, 0.0, turn.1));
    }
    things
}

/// A lantern standing on `foot`; its flame is given back as the place of the light.
pub(crate) fn lantern(foot: V3, glow: f64) -> (Vec<Thing>, V3) {
    let at = |y: f64| foot + v(0.0, y, 0.0);
    let rod = |low: f64, high: f64, half: f64| Shape::Rod { foot: low, top: high, half, round: 0.003 };
    let flame = at(0.128);
    let mut things = vec![
        Thing::new(rod(0.082, 0.078, 0.026), BRASS, at(0.026)),
        Thing::new(rod(0.060, 0.040, 0.012), BRASS, at(0.064)),
        Thing::new(rod(0.016, 0.012, 0.010), IRON, at(0.086)),
        Thing::new(Shape::Flame { radius: 0.0095 }, Stuff::Glow(glow), flame),
        Thing::new(Shape::Tube { radius: 0.050, half: 0.085, wall: 0.0006 }, Stuff::Glass { clear: 0.95 }, at(0.158)),
        Thing::new(Shape::Cage { wide: 0.066, half: 0.088, bars: 6.0, wire: 0.0022 }, IRON, at(0.160)),
        Thing::new(rod(0.062, 0.056, 0.007), BRASS, at(0.250)),
        Thing::new(rod(0.054, 0.024, 0.024), BRASS, at(0.280)),
        Thing::new(rod(0.030, 0.034, 0.009), BRASS, at(0.312)),
    ];
    let bail = |x: f64, y: f64| foot + v(x, y, 0.02 * y);
    things.push(wire(
        &[
            bail(-0.066, 0.25),
            bail(-0.088, 0.33),
            bail(-0.05, 0.405),
            bail(0.0, 0.425),
            bail(0.05, 0.405),
            bail(0.088, 0.33),
            bail(0.066, 0.25),
        ],
        0.0026,
    ));
    (things, flame)
}
