//! The splicer's bench: twine, a fid, a mallet.

use super::opening;
use crate::goods::{BRASS, HEMP, IRON, TARRED, block, coil, decking, plaster, rope, wire};
use crate::room::{Camera, Room, Thing};
use crate::rope::Coil;
use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::v;

/// The picture, lying.
pub(crate) fn room() -> Room {
    let mut things = decking(0.90, (-1.4, 1.4), (-0.30, 0.78), 0.18, 0.36, 611);
    things.push(plaster(-0.30, 0.45, 601));
    let rod = |foot: f64, top: f64, half: f64, round: f64| Shape::Rod { foot, top, half, round };
    // 1. Two balls of twine.
    let twine = |radius: f64| Shape::Twine { radius, cord: 0.0023 };
    things.push(Thing::new(twine(0.062), Stuff::Hemp { tone: 0.58 }, v(-0.20, 0.967, 0.02)).turned(30.0, 10.0, 40.0));
    things.push(Thing::new(twine(0.046), TARRED, v(-0.085, 0.950, 0.10)).turned(80.0, 20.0, 10.0));
    // 2. A coil with the mallet laid on it.
    let bed = Coil { wide: 0.135, rope: 0.0125, turns: 4.0, layers: 4.0, seed: 19 };
    things.push(coil(bed, HEMP, v(0.135, 0.90, -0.01)).turned(0.0, 275.0, 0.0));
    let wood = Stuff::Stave { tone: 0.40, seed: 621 };
    things.push(Thing::new(rod(0.040, 0.040, 0.066, 0.006), wood, v(0.125, 1.054, -0.035)).turned(90.0, 62.0, 0.0));
    things.push(
        Thing::new(rod(0.0125, 0.016, 0.135, 0.006), Stuff::Stave { tone: 0.5, seed: 631 }, v(0.0545, 1.036, 0.097))
            .turned(97.0, -28.0, 0.0),
    );
    // 3. A marlinspike and a wooden fid in front.
    things.push(Thing::new(rod(0.013, 0.0012, 0.135, 0.001), IRON, v(-0.13, 0.9072, 0.255)).turned(92.5, -76.0, 0.0));
    things.push(Thing::new(Shape::Ball { radius: 0.0155 }, IRON, v(0.003, 0.916, 0.222)));
    things.push(
        Thing::new(rod(0.024, 0.003, 0.125, 0.003), Stuff::Stave { tone: 0.55, seed: 641 }, v(0.15, 0.9135, 0.285))
            .turned(94.8, 74.0, 0.0),
    );
    // 4. Thimbles, and a tail of rope with its end whipped.
    for (x, z, size) in [(-0.285, 0.20, 0.021), (-0.312, 0.255, 0.017)] {
        things.push(Thing::new(Shape::Ring { wide: size, thick: 0.0052 }, BRASS, v(x, 0.9052, z)));
    }
    let tail = [
        v(0.245, 0.925, 0.075),
        v(0.285, 0.916, 0.115),
        v(0.300, 0.9125, 0.175),
        v(0.265, 0.9125, 0.235),
        v(0.270, 0.9125, 0.300),
        v(0.330, 0.9125, 0.345),
        v(0.420, 0.9125, 0.350),
    ];
    things.push(rope(&tail, 0.0122, v(0.0, 1.0, 0.0), HEMP));
    // 5. A block hung on the wall behind.
    things.extend(block(v(-0.10, 1.345, -0.21), 0.072, 1, 55.0, 0.0, 0.34, 651));
    things.push(wire(
        &[v(-0.10, 1.353, -0.31), v(-0.10, 1.349, -0.25), v(-0.10, 1.343, -0.21), v(-0.10, 1.350, -0.19)],
        0.0035,
    ));
    Room {
        things,
        light: opening(v(-1.35, 1.85, 0.55), v(0.0, 0.95, 0.05), 0.7, 0.8, 10.0),
        dusk: 0.035,
        camera: Camera {
            place: v(0.015, 1.36, 1.42),
            pan: 0.0,
            down: 12.0,
            focal: 210.0,
            rise: -1.0,
            stop: 16.0,
            sharp: 1.40,
        },
    }
}
