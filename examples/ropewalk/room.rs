//! A picture before it is taken: things, one light, the camera, and what a ray meets.

use crate::shape::Shape;
use crate::stuff::Stuff;
use crate::vector::{Turn, V3, v};

/// One thing, somewhere in the room.
#[derive(Clone, Debug)]
pub(crate) struct Thing {
    pub(crate) shape: Shape,
    pub(crate) stuff: Stuff,
    pub(crate) place: V3,
    pub(crate) turn: Turn,
    half: V3,
}

/// Where the light comes from.
#[derive(Clone, Copy, Debug)]
pub(crate) enum Light {
    /// A bright opening: its middle, its two half sides, its radiance.
    Opening { middle: V3, across: V3, up: V3, radiance: f64 },
    /// A small glowing ball.
    Flame { middle: V3, radius: f64, radiance: f64 },
}

/// A camera on a stand, held level; the picture is placed by shifting, as a view camera does.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Camera {
    pub(crate) place: V3,
    /// The way it looks, degrees to the right of straight ahead (-z), and degrees down.
    pub(crate) pan: f64,
    pub(crate) down: f64,
    /// Focal length and film shift upwards, millimetres; the stop; metres to what is sharp.
    pub(crate) focal: f64,
    pub(crate) rise: f64,
    pub(crate) stop: f64,
    pub(crate) sharp: f64,
}

/// Everything of one picture.
#[derive(Clone, Debug)]
pub(crate) struct Room {
    pub(crate) things: Vec<Thing>,
    pub(crate) light: Light,
    /// Radiance that comes from everywhere the room is open.
    pub(crate) dusk: f64,
    pub(crate) camera: Camera,
}

/// What a ray met.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meeting<'a> {
    pub(crate) far: f64,
    pub(crate) thing: &'a Thing,
    /// The spot, seen from the thing.
    pub(crate) own: V3,
}

impl Thing {
    pub(crate) fn new(shape: Shape, stuff: Stuff, place: V3) -> Thing {
        let half = shape.half();
        Thing { shape, stuff, place, turn: Turn::NONE, half }
    }

    pub(crate) fn turned(mut self, x: f64, y: f64, z: f64) -> Thing {
        self.turn = Turn::degrees(x, y, z);
        self
    }

    /// Where a ray meets this thing nearer than `limit`.
    fn meet(&self, from: V3, way: V3, limit: f64) -> Option<f64> {
        // 1. Into the thing's own view, and through its box.
        let o = self.turn.inward(from - self.place);
        let d = self.turn.inward(way);
        let (mut enter, mut leave) = (1e-4, limit);
        for (o, d, half) in [(o.x, d.x, self.half.x), (o.y, d.y, self.half.y), (o.z, d.z, self.half.z)] {
            let half = half + 1e-3;
            let slope = 1.0 / if d.abs() < 1e-12 { 1e-12 } else { d };
            let (a, b) = ((-half - o) * slope, (half - o) * slope);
            enter = a.min(b).max(enter);
            leave = a.max(b).min(leave);
            if enter > leave {
                return None;
            }
        }
        // 2. Step by step as far as nothing can be in the way.
        let care = self.shape.care();
        let glass = matches!(self.stuff, Stuff::Glass { .. });
        let mut t = enter;
        for _ in 0..160 {
            let distance = self.shape.distance(o + d * t);
            // Glass is a shell: from inside it is met on the far side.
            let distance = if glass { distance.abs() } else { distance };
            if distance < 1.5e-4 {
                return Some(t);
            }
            t += distance * care;
            if t > leave {
                return None;
            }
        }
        None
    }

    /// The way the surface faces at a spot seen from the thing, roughness of the stuff included.
    pub(crate) fn facing(&self, own: V3) -> (V3, V3) {
        let slope = |f: &dyn Fn(V3) -> f64, h: f64| {
            let corners = [v(1.0, -1.0, -1.0), v(-1.0, -1.0, 1.0), v(-1.0, 1.0, -1.0), v(1.0, 1.0, 1.0)];
            corners.iter().fold(V3::default(), |sum, &c| sum + c * f(own + c * h)) * (0.25 / h)
        };
        let smooth = slope(&|p| self.shape.distance(p), 3e-4).unit();
        if !self.stuff.is_rough() {
            let out = self.turn.outward(smooth);
            return (out, out);
        }
        let bump = slope(&|p| self.stuff.height(p), 4e-4);
        let rough = (smooth - (bump - smooth * bump.dot(smooth))).unit();
        (self.turn.outward(smooth), self.turn.outward(rough))
    }
}

impl Room {
    /// The nearest thing along a ray.
    pub(crate) fn look(&self, from: V3, way: V3) -> Option<Meeting<'_>> {
        let mut found: Option<(f64, &Thing)> = None;
        for thing in &self.things {
            let limit = found.map_or(40.0, |(far, _)| far);
            if let Some(far) = thing.meet(from, way, limit) {
                found = Some((far, thing));
            }
        }
        found.map(|(far, thing)| Meeting { far, thing, own: thing.turn.inward(from + way * far - thing.place) })
    }

    /// How much light comes through from `from` over the way to a light `far` away.
    pub(crate) fn open(&self, from: V3, way: V3, far: f64) -> f64 {
        let mut through = 1.0;
        for thing in &self.things {
            match thing.stuff {
                Stuff::Glow(_) => {}
                Stuff::Glass { clear } => {
                    if thing.meet(from, way, far).is_some() {
                        through *= 0.82 * clear * clear;
                    }
                }
                _ => {
                    if thing.meet(from, way, far).is_some() {
                        return 0.0;
                    }
                }
            }
        }
        through
    }
}
