//! Points and directions in the store room: metres, x to the right, y up, z towards the camera.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a direction.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct V3 {
    pub(crate) x: f64,
    pub(crate) y: f64,
    pub(crate) z: f64,
}

/// The vector of three numbers.
pub(crate) const fn v(x: f64, y: f64, z: f64) -> V3 {
    V3 { x, y, z }
}

impl V3 {
    pub(crate) fn dot(self, other: V3) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    pub(crate) fn cross(self, o: V3) -> V3 {
        v(self.y * o.z - self.z * o.y, self.z * o.x - self.x * o.z, self.x * o.y - self.y * o.x)
    }

    pub(crate) fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction, one metre long.
    pub(crate) fn unit(self) -> V3 {
        self * (1.0 / self.length().max(1e-12))
    }

    pub(crate) fn abs(self) -> V3 {
        v(self.x.abs(), self.y.abs(), self.z.abs())
    }

    /// Two directions that stand square on this one and on each other.
    pub(crate) fn sides(self) -> (V3, V3) {
        let off = if self.x.abs() > 0.7 { v(0.0, 1.0, 0.0) } else { v(1.0, 0.0, 0.0) };
        let a = self.cross(off).unit();
        (a, self.cross(a))
    }
}

impl Add for V3 {
    type Output = V3;
    fn add(self, o: V3) -> V3 {
        v(self.x + o.x, self.y + o.y, self.z + o.z)
    }
}

impl Sub for V3 {
    type Output = V3;
    fn sub(self, o: V3) -> V3 {
        v(self.x - o.x, self.y - o.y, self.z - o.z)
    }
}

impl Mul<f64> for V3 {
    type Output = V3;
    fn mul(self, k: f64) -> V3 {
        v(self.x * k, self.y * k, self.z * k)
    }
}

impl Neg for V3 {
    type Output = V3;
    fn neg(self) -> V3 {
        v(-self.x, -self.y, -self.z)
    }
}

/// How a thing is turned: its own x, y and z directions seen from the room.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Turn([V3; 3]);

impl Turn {
    /// Not turned at all.
    pub(crate) const NONE: Turn = Turn([v(1.0, 0.0, 0.0), v(0.0, 1.0, 0.0), v(0.0, 0.0, 1.0)]);

    /// Turned about x, then about y, then about z, by degrees.
    pub(crate) fn degrees(x: f64, y: f64, z: f64) -> Turn {
        let spin = |p: V3| {
            let (sx, cx) = x.to_radians().sin_cos();
            let p = v(p.x, p.y * cx - p.z * sx, p.y * sx + p.z * cx);
            let (sy, cy) = y.to_radians().sin_cos();
            let p = v(p.x * cy + p.z * sy, p.y, p.z * cy - p.x * sy);
            let (sz, cz) = z.to_radians().sin_cos();
            v(p.x * cz - p.y * sz, p.x * sz + p.y * cz, p.z)
        };
        Turn(Turn::NONE.0.map(spin))
    }

    /// A direction of the room, seen from the thing.
    pub(crate) fn inward(&self, p: V3) -> V3 {
        v(self.0[0].dot(p), self.0[1].dot(p), self.0[2].dot(p))
    }

    /// A direction of the thing, seen from the room.
    pub(crate) fn outward(&self, p: V3) -> V3 {
        self.0[0] * p.x + self.0[1] * p.y + self.0[2] * p.z
    }
}
