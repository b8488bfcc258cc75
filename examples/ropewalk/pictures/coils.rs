//! Coils of rope on a plank shelf.

use super::opening;
use crate::goods::{HEMP, TARRED, boarding, coil, hank, plank, rope};
use crate::room::{Camera, Room, Thing};
use crate::rope::Coil;
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::v;

/// The picture, lying.
pub(crate) fn room() -> Room {
    let mut things = boarding(0.0, (-2.2, 2.2), 0.172, 0.30, 11);
    // 1. The shelf on its two brackets.
    things.push(plank(v(1.5, 0.019, 0.17), v(0.1, 0.981, 0.19), 0.40, 23));
    for x in [-0.47, 0.52] {
        let bracket = Shape::Slab { half: v(0.022, 0.09, 0.11), round: 0.004 };
        things.push(Thing::new(bracket, Stuff::Stave { tone: 0.25, seed: 31 }, v(x, 0.87, 0.12)));
    }
    // 2. A heavy coil, a small one on it, and a tarred one beside.
    let heavy = Coil { wide: 0.185, rope: 0.0165, turns: 5.0, layers: 3.0, seed: 5 };
    things.push(coil(heavy, HEMP, v(-0.30, 1.0, 0.195)).turned(0.0, 250.0, 0.0));
    let small = Coil { wide: 0.105, rope: 0.0085, turns: 6.0, layers: 3.0, seed: 8 };
    things.push(coil(small, Stuff::Hemp { tone: 0.60 }, v(-0.325, 1.169, 0.19)).turned(2.0, 290.0, 3.0));
    let tarred = Coil { wide: 0.125, rope: 0.0115, turns: 7.0, layers: 3.0, seed: 14 };
    things.push(coil(tarred, TARRED, v(0.085, 1.0, 0.205)).turned(0.0, 265.0, 0.0));
    // 3. One stood on edge against the boards.
    let stood = Coil { wide: 0.165, rope: 0.0125, turns: 4.0, layers: 4.0, seed: 21 };
    things.push(coil(stood, Stuff::Hemp { tone: 0.40 }, v(0.42, 1.13, 0.085)).turned(76.0, 14.0, 0.0));
    // 4. The heavy coil's end, over the edge of the shelf.
    let end = [
        v(-0.31, 1.020, 0.372),
        v(-0.235, 1.017, 0.375),
        v(-0.165, 1.015, 0.372),
        v(-0.120, 1.000, 0.383),
        v(-0.105, 0.950, 0.388),
        v(-0.112, 0.860, 0.384),
        v(-0.100, 0.770, 0.386),
        v(-0.104, 0.700, 0.388),
    ];
    things.push(rope(&end, 0.0158, v(0.2, 0.0, 1.0), HEMP));
    // 5. A hank on a peg, above.
    let peg = Shape::Rod { foot: 0.012, top: 0.014, half: 0.06, round: 0.004 };
    things.push(Thing::new(peg, Stuff::Stave { tone: 0.3, seed: 3 }, v(0.14, 1.545, 0.05)).turned(82.0, 0.0, 0.0));
    things.extend(hank(v(0.14, 1.545, 0.012), 0.15, 0.31, 12, 0.0062, Stuff::Hemp { tone: 0.5 }, 61));
    Room {
        things,
        light: opening(v(-1.75, 1.95, 1.15), v(0.0, 1.1, 0.1), 0.7, 0.8, 20.0),
        dusk: 0.06,
        camera: Camera {
            place: v(0.04, 1.36, 2.25),
            pan: 0.0,
            down: 4.5,
            focal: 210.0,
            rise: -4.0,
            stop: 22.0,
            sharp: 1.95,
        },
    }
}
