//! Pulley blocks on a plastered wall, side light.

use super::opening;
use crate::goods::{HEMP, block, plank, plaster, rope, wire};
use crate::room::{Camera, Room};
use crate::vector::v;

/// The picture, upright.
pub(crate) fn room() -> Room {
    let mut things = vec![plaster(0.0, 0.62, 301)];
    // 1. The rail and its hooks.
    things.push(plank(v(1.4, 0.045, 0.016), v(0.0, 1.78, 0.016), 0.30, 311));
    for (x, z) in [(-0.21, 0.085), (0.035, 0.080), (0.255, 0.080)] {
        things.push(wire(
            &[
                v(x, 1.79, 0.02),
                v(x, 1.785, 0.055),
                v(x, 1.762, z - 0.012),
                v(x, 1.752, z),
                v(x, 1.762, z + 0.012),
                v(x, 1.775, z + 0.016),
            ],
            0.0055,
        ));
    }
    // 2. Three blocks, each another size.
    things.extend(block(v(-0.21, 1.757, 0.085), 0.118, 2, 48.0, 0.0, 0.34, 321));
    things.extend(block(v(0.035, 1.757, 0.080), 0.088, 1, 40.0, 0.0, 0.46, 331));
    things.extend(block(v(0.255, 1.757, 0.080), 0.068, 1, 35.0, -2.0, 0.26, 341));
    // 3. A fall rove through the single block.
    let (sin, cos) = 40f64.to_radians().sin_cos();
    let rove = |x: f64, y: f64| v(0.035 + x * cos, 1.603 + y, 0.080 - x * sin);
    let fall = [
        v(-0.030, 1.02, 0.115),
        v(-0.028, 1.20, 0.118),
        rove(-0.060, -0.20),
        rove(-0.060, -0.09),
        rove(-0.058, 0.0),
        rove(-0.041, 0.041),
        rove(0.0, 0.058),
        rove(0.041, 0.041),
        rove(0.058, 0.0),
        rove(0.062, -0.10),
        rove(0.066, -0.22),
        v(0.098, 1.25, 0.042),
        v(0.135, 1.16, 0.055),
        v(0.195, 1.15, 0.045),
        v(0.225, 1.215, 0.035),
        v(0.190, 1.275, 0.032),
        v(0.135, 1.235, 0.036),
        v(0.112, 1.12, 0.032),
        v(0.116, 0.98, 0.032),
    ];
    things.push(rope(&fall, 0.0094, v(sin, 0.0, cos), HEMP));
    Room {
        things,
        light: opening(v(1.45, 2.35, 0.62), v(0.0, 1.5, 0.05), 0.42, 0.5, 40.0),
        dusk: 0.04,
        camera: Camera {
            place: v(0.015, 1.50, 1.95),
            pan: 0.0,
            down: 0.0,
            focal: 240.0,
            rise: 2.0,
            stop: 22.0,
            sharp: 1.86,
        },
    }
}
