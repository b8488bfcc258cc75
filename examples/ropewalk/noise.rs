//! Chance that comes out the same every time: hashes, dice and cloudy noise.

use crate::vector::{V3, v};

/// Scrambles a number (the finalizer of splitmix64, Steele, Lea and Flood 2014, from memory).
pub(crate) fn scramble(n: u64) -> u64 {
    let n = n.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let n = (n ^ (n >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    let n = (n ^ (n >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    n ^ (n >> 31)
}

/// A number from 0 up to 1, for a seed and an index.
pub(crate) fn share(seed: u64, index: u64) -> f64 {
    (scramble(seed ^ scramble(index)) >> 11) as f64 / (1u64 << 53) as f64
}

/// A row of dice, each throw after the last.
#[derive(Clone, Debug)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64, index: u64) -> Dice {
        Dice(scramble(seed ^ scramble(index)))
    }

    /// A number from 0 up to 1.
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        (scramble(self.0) >> 11) as f64 / (1u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// Bell-shaped, mean 0, standard deviation 1: three throws added.
    pub(crate) fn bell(&mut self) -> f64 {
        (self.unit() + self.unit() + self.unit() - 1.5) * 2.0
    }
}

/// Smooth noise from -1 to 1 that changes over about one unit of `p`.
pub(crate) fn noise(p: V3, seed: u64) -> f64 {
    let (fx, fy, fz) = (p.x.floor(), p.y.floor(), p.z.floor());
    let ease = |t: f64| t * t * (3.0 - 2.0 * t);
    let (ax, ay, az) = (ease(p.x - fx), ease(p.y - fy), ease(p.z - fz));
    let (ix, iy, iz) = (fx as i64, fy as i64, fz as i64);
    let knot = |dx: i64, dy: i64, dz: i64| {
        let key = (ix + dx) as u64 ^ ((iy + dy) as u64).rotate_left(21) ^ ((iz + dz) as u64).rotate_left(42);
        (scramble(key.wrapping_add(seed.wrapping_mul(0xD6E8_FEB8_6659_FD93))) >> 40) as f64 / (1u64 << 23) as f64 - 1.0
    };
    let along = |dy: i64, dz: i64| {
        let a = knot(0, dy, dz);
        a + (knot(1, dy, dz) - a) * ax
    };
    let across = |dz: i64| {
        let a = along(0, dz);
        a + (along(1, dz) - a) * ay
    };
    let a = across(0);
    a + (across(1) - a) * az
}

/// Noise on noise, each octave twice as fine and half as strong; about -1 to 1.
pub(crate) fn cloud(p: V3, octaves: u32, seed: u64) -> f64 {
    let (mut sum, mut weight, mut total, mut q) = (0.0, 1.0, 0.0, p);
    for octave in 0..octaves {
        sum += weight * noise(q, seed + u64::from(octave));
        total += weight;
        weight *= 0.5;
        q = q * 2.03 + v(7.1, 3.7, 1.3);
    }
    sum / total
}

/// Smooth noise along a line.
pub(crate) fn wander(t: f64, seed: u64) -> f64 {
    noise(v(t, 0.5, 0.5), seed)
}
