//! The six pictures, one a file.

pub(crate) mod barrels;
pub(crate) mod bench;
pub(crate) mod blocks;
pub(crate) mod coils;
pub(crate) mod floats;
pub(crate) mod lantern;

use crate::room::Light;
use crate::vector::{V3, v};

/// A bright opening at `middle` facing `towards`, `wide` and `high` metres.
fn opening(middle: V3, towards: V3, wide: f64, high: f64, radiance: f64) -> Light {
    let facing = (towards - middle).unit();
    let across = v(0.0, 1.0, 0.0).cross(facing).unit();
    let up = facing.cross(across);
    Light::Opening { middle, across: across * (wide / 2.0), up: up * (high / 2.0), radiance }
}
