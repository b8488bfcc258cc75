//! A lantern on a bench, its light falling off.

use crate::goods::{HEMP, IRON, TARRED, boarding, coil, decking, hank, lantern, rope};
use crate::room::{Camera, Light, Room, Thing};
use crate::rope::Coil;
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::v;

/// The picture, upright.
pub(crate) fn room() -> Room {
    let mut things = boarding(-0.22, (-1.5, 1.5), 0.19, 0.30, 211);
    things.extend(decking(0.90, (-1.4, 1.4), (-0.20, 0.62), 0.137, 0.34, 240));
    let (lamp, flame) = lantern(v(-0.055, 0.90, 0.10), 40.0);
    things.extend(lamp);
    // A coil in its light, a ball of twine before it, and a hank on the boards behind.
    let big = Coil { wide: 0.115, rope: 0.0105, turns: 5.0, layers: 4.0, seed: 7 };
    things.push(coil(big, HEMP, v(0.185, 0.90, 0.055)).turned(0.0, 285.0, 0.0));
    let twine = Shape::Twine { radius: 0.043, cord: 0.0021 };
    things.push(Thing::new(twine, Stuff::Hemp { tone: 0.55 }, v(-0.175, 0.946, 0.235)).turned(20.0, 30.0, 50.0));
    let end = [
        v(-0.175, 0.906, 0.262),
        v(-0.15, 0.9023, 0.295),
        v(-0.08, 0.9023, 0.310),
        v(-0.01, 0.9023, 0.275),
        v(0.06, 0.9023, 0.295),
        v(0.105, 0.9023, 0.345),
        v(0.060, 0.9023, 0.385),
        v(-0.01, 0.9023, 0.375),
    ];
    things.push(rope(&end, 0.0021, v(0.0, 1.0, 0.0), Stuff::Hemp { tone: 0.55 }));
    let spike = Shape::Rod { foot: 0.011, top: 0.0014, half: 0.11, round: 0.001 };
    things.push(Thing::new(spike, IRON, v(0.175, 0.911, 0.315)).turned(0.0, 24.0, 87.0));
    let peg = Shape::Rod { foot: 0.012, top: 0.014, half: 0.06, round: 0.004 };
    things.push(Thing::new(peg, Stuff::Stave { tone: 0.3, seed: 3 }, v(-0.20, 1.47, -0.17)).turned(82.0, 0.0, 0.0));
    things.extend(hank(v(-0.20, 1.47, -0.21), 0.19, 0.36, 11, 0.0075, TARRED, 33));
    Room {
        things,
        light: Light::Flame { middle: flame, radius: 0.011, radiance: 900.0 },
        dusk: 0.012,
        camera: Camera {
            place: v(0.02, 1.26, 1.62),
            pan: 0.0,
            down: 7.0,
            focal: 210.0,
            rise: 6.0,
            stop: 16.0,
            sharp: 1.52,
        },
    }
}
