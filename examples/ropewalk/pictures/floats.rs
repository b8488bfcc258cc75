//! Glass floats on a window sill, against the light.

use crate::goods::{HEMP, coil, float, plank, rope};
use crate::room::{Camera, Light, Room, Thing};
use crate::rope::Coil;
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::{V3, v};

/// Half the window, and its middle.
const HALF: (f64, f64) = (0.40, 0.33);
const MIDDLE: V3 = v(0.04, 1.36, -0.24);

/// The picture, lying.
pub(crate) fn room() -> Room {
    let wall = Stuff::Plaster { tone: 0.55, seed: 401 };
    let slab = |half: V3, place: V3, stuff: Stuff| Thing::new(Shape::Slab { half, round: 0.004 }, stuff, place);
    let wood = |seed: u64| Stuff::Plank { tone: 0.45, seed };
    // 1. The wall round the opening, a hand's width deep, and the sill.
    let mut things = vec![
        slab(v(1.0, 2.0, 0.12), MIDDLE + v(-HALF.0 - 1.0, 0.0, 0.12), wall),
        slab(v(1.0, 2.0, 0.12), MIDDLE + v(HALF.0 + 1.0, 0.0, 0.12), wall),
        slab(v(HALF.0, 1.0, 0.12), MIDDLE + v(0.0, HALF.1 + 1.0, 0.12), wall),
        slab(v(HALF.0, 1.0, 0.10), MIDDLE + v(0.0, -HALF.1 - 1.04, 0.10), wall),
        plank(v(HALF.0 + 0.10, 0.02, 0.20), MIDDLE + v(0.0, -HALF.1 - 0.02, 0.18), 0.42, 411),
    ];
    // 2. The bars between the panes.
    things.push(slab(v(0.33, 0.013, 0.012), MIDDLE + v(-0.13, 0.04, -0.01), wood(421)).turned(0.0, 0.0, 90.0));
    things.push(slab(v(0.33, 0.013, 0.012), MIDDLE + v(0.14, 0.04, -0.01), wood(422)).turned(0.0, 0.0, 90.0));
    things.push(slab(v(HALF.0, 0.012, 0.011), MIDDLE + v(0.0, 0.045, -0.011), wood(423)));
    things.push(slab(v(HALF.0, 0.03, 0.014), MIDDLE + v(0.0, -HALF.1 + 0.02, -0.01), wood(424)));
    // 3. Out there: the sky, a slope, the long roof of the walk.
    let sky = Shape::Slab { half: v(1.2, 0.9, 0.004), round: 0.0 };
    things.push(Thing::new(sky, Stuff::Glow(1.55), MIDDLE + v(0.0, 0.0, -0.70)));
    let slope = Shape::Slab { half: v(1.2, 0.20, 0.001), round: 0.0 };
    things.push(Thing::new(slope, Stuff::Glow(0.85), MIDDLE + v(0.20, -0.44, -0.60)).turned(0.0, 0.0, 2.2));
    let roof = Shape::Slab { half: v(0.9, 0.16, 0.001), round: 0.0 };
    things.push(Thing::new(roof, Stuff::Glow(0.45), MIDDLE + v(-0.30, -0.43, -0.30)).turned(0.0, 0.0, -7.0));
    // Behind the camera another window, seen in the glass only.
    let other = Shape::Slab { half: v(0.30, 0.38, 0.002), round: 0.0 };
    things.push(Thing::new(other, Stuff::Glow(30.0), v(-1.5, 1.75, 1.9)).turned(0.0, 40.0, 0.0));
    // 4. The floats, one in its net; a coil and a lanyard.
    let sill = MIDDLE.y - HALF.1;
    things.extend(float(v(-0.165, sill + 0.132, 0.0), 0.125, 0.80, Some(HEMP), (14.0, 24.0)));
    things.extend(float(v(0.105, sill + 0.088, 0.035), 0.088, 0.72, None, (0.0, 0.0)));
    things.extend(float(v(0.255, sill + 0.062, -0.055), 0.062, 0.84, None, (0.0, 0.0)));
    let small = Coil { wide: 0.058, rope: 0.0058, turns: 4.0, layers: 3.0, seed: 44 };
    things.push(coil(small, HEMP, v(0.262, sill, 0.095)));
    let lanyard = [
        v(-0.13, sill + 0.012, 0.085),
        v(-0.075, sill + 0.0058, 0.098),
        v(-0.02, sill + 0.0058, 0.125),
        v(0.035, sill + 0.0058, 0.13),
        v(0.085, sill + 0.0058, 0.141),
        v(0.108, sill + 0.001, 0.151),
        v(0.116, sill - 0.03, 0.149),
        v(0.112, sill - 0.12, 0.148),
    ];
    things.push(rope(&lanyard, 0.0056, v(0.1, 0.9, 0.4), HEMP));
    Room {
        things,
        light: Light::Opening {
            middle: MIDDLE + v(0.0, 0.0, -0.03),
            across: v(HALF.0, 0.0, 0.0),
            up: v(0.0, HALF.1, 0.0),
            radiance: 2.2,
        },
        dusk: 0.40,
        camera: Camera {
            place: v(0.03, 1.30, 1.42),
            pan: 0.0,
            down: 3.0,
            focal: 210.0,
            rise: -2.0,
            stop: 16.0,
            sharp: 1.42,
        },
    }
}
