//! A corner of the store room: window light, barrels, rope.

use crate::goods::{HEMP, TARRED, barrel, coil, decking, hank, plank, plaster, rope};
use crate::room::{Camera, Light, Room, Thing};
use crate::rope::Coil;
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::{V3, v};

/// Where the wall with the window stands.
const LEFT: f64 = -1.30;

/// The picture, lying.
pub(crate) fn room() -> Room {
    let mut things = decking(0.0, (-1.5, 5.0), (-0.1, 4.1), 0.21, 0.26, 511);
    things.push(plaster(0.0, 0.50, 501));
    // 1. The wall on the left, open where the window is.
    let (low, high, near, deep) = (1.00, 1.95, 1.75, 0.75);
    let wall = |half: V3, place: V3| {
        let stuff = Stuff::Plaster { tone: 0.50, seed: 521 };
        Thing::new(Shape::Slab { half, round: 0.006 }, stuff, place)
    };
    let x = LEFT - 0.12;
    things.push(wall(v(0.12, low / 2.0, 2.2), v(x, low / 2.0, 2.0)));
    things.push(wall(v(0.12, 0.6, 2.2), v(x, high + 0.6, 2.0)));
    things.push(wall(v(0.12, 0.5, deep / 2.0), v(x, 1.5, deep / 2.0)));
    things.push(wall(v(0.12, 0.5, 1.2), v(x, 1.5, near + 1.2)));
    let middle = v(LEFT - 0.20, (low + high) / 2.0, (near + deep) / 2.0);
    let (half_z, half_y) = ((near - deep) / 2.0, (high - low) / 2.0);
    things.push(plank(v(half_z, 0.016, 0.018), middle + v(0.03, 0.0, 0.0), 0.4, 531).turned(0.0, 90.0, 0.0));
    things.push(plank(v(half_y, 0.016, 0.018), middle + v(0.03, 0.0, 0.0), 0.4, 532).turned(0.0, 0.0, 90.0));
    things.push(plank(v(half_z, 0.02, 0.13), v(LEFT - 0.09, low - 0.005, middle.z), 0.4, 533).turned(0.0, 90.0, 0.0));
    let pane = Shape::Slab { half: v(0.004, half_y, half_z), round: 0.0 };
    things.push(Thing::new(pane, Stuff::Glow(3.5), middle + v(-0.02, 0.0, 0.0)));
    // 2. Barrels, and a coil on the one in front.
    things.extend(barrel(v(-0.62, 0.0, 0.46), 0.31, 0.44, 0.36, 10.0, 541));
    things.extend(barrel(v(0.06, 0.0, 0.42), 0.29, 0.41, 0.28, 75.0, 551));
    things.extend(barrel(v(-0.25, 0.0, 1.02), 0.23, 0.30, 0.40, 33.0, 561));
    let on = Coil { wide: 0.165, rope: 0.016, turns: 4.0, layers: 3.0, seed: 9 };
    things.push(coil(on, HEMP, v(-0.25, 0.60, 1.02)).turned(0.0, 270.0, 0.0));
    // 3. A great coil on the floor, with its end led away.
    let great = Coil { wide: 0.33, rope: 0.027, turns: 4.0, layers: 4.0, seed: 31 };
    things.push(coil(great, Stuff::Hemp { tone: 0.40 }, v(0.62, 0.0, 1.02)).turned(0.0, 240.0, 0.0));
    let end = [
        v(0.36, 0.028, 1.28),
        v(0.50, 0.027, 1.39),
        v(0.66, 0.027, 1.43),
        v(0.84, 0.027, 1.40),
        v(0.98, 0.027, 1.50),
        v(1.04, 0.027, 1.68),
        v(1.20, 0.027, 1.78),
        v(1.50, 0.027, 1.74),
    ];
    things.push(rope(&end, 0.026, v(0.0, 1.0, 0.0), Stuff::Hemp { tone: 0.40 }));
    // 4. Hanks on the wall, and spars leaning in the corner.
    let rail = plank(v(0.75, 0.04, 0.02), v(0.55, 1.66, 0.02), 0.24, 571);
    things.push(rail);
    for (x, wide, stuff, seed) in [(0.22, 0.24, TARRED, 71), (0.62, 0.28, HEMP, 72), (1.02, 0.22, TARRED, 73)] {
        let peg = Shape::Rod { foot: 0.016, top: 0.019, half: 0.08, round: 0.004 };
        things.push(Thing::new(peg, Stuff::Stave { tone: 0.3, seed: 3 }, v(x, 1.65, 0.09)).turned(80.0, 0.0, 0.0));
        things.extend(hank(v(x, 1.65, 0.05), wide, 0.66, 13, 0.012, stuff, seed));
    }
    for (x, lean, seed) in [(-1.12, 4.0, 81), (-1.00, 7.5, 82), (-0.93, 2.5, 83)] {
        let spar = Shape::Rod { foot: 0.038, top: 0.030, half: 1.25, round: 0.01 };
        things.push(Thing::new(spar, Stuff::Stave { tone: 0.42, seed }, v(x, 1.24, 0.17)).turned(
            -6.0,
            0.0,
            lean - 4.0,
        ));
    }
    Room {
        things,
        light: Light::Opening { middle, across: v(0.0, 0.0, -half_z), up: v(0.0, half_y, 0.0), radiance: 7.0 },
        dusk: 0.05,
        camera: Camera {
            place: v(0.80, 1.25, 4.35),
            pan: -11.0,
            down: 0.0,
            focal: 135.0,
            rise: -14.0,
            stop: 22.0,
            sharp: 3.5,
        },
    }
}
