//! Film drawn for tests, with nothing of what is tested.

use crate::plane::{Overview, Point, Size};

/// Light through a holder, and beside film.
pub(super) const HOLDER_LIGHT: f32 = 0.0007;
/// Open light.
pub(super) const OPEN: f32 = 0.93;

/// Size of the overviews.
pub(super) const SIZE: Size = Size { width: 400, height: 500 };
/// Density of the rebate.
pub(super) const BASE: f64 = 0.22;

/// Film laid down at a tilt: what lies around it, its rebate's density, and frames (x, y, width, height) on it.
pub(super) struct Sheet {
    pub(super) around: f32,
    pub(super) film: [f64; 4],
    pub(super) frames: Vec<[f64; 4]>,
    pub(super) degrees: f64,
    /// Only a few lit windows show, the rest of the frames is as thin as the rebate.
    pub(super) night: bool,
}

impl Sheet {
    pub(super) fn one(around: f32, film: [f64; 4], frame: [f64; 4], degrees: f64) -> Self {
        Self { around, film, frames: vec![frame], degrees, night: false }
    }

    /// Turns a place of the film into one of the scan, about the scan's middle; with a negative angle, back.
    fn turned(x: f64, y: f64, degrees: f64) -> (f64, f64) {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (u, v) = (x - 200.0, y - 250.0);
        (200.0 + cos * u - sin * v, 250.0 + sin * u + cos * v)
    }

    fn light(&self, x: f64, y: f64) -> f32 {
        let (u, v) = Self::turned(x, y, -self.degrees);
        let holds = |r: &[f64; 4]| u >= r[0] && u < r[0] + r[2] && v >= r[1] && v < r[1] + r[3];
        let base = 10f64.powf(-BASE) as f32;
        let lit = !self.night || ((u / 37.0).floor() + 3.0 * (v / 29.0).floor()).rem_euclid(7.0) == 0.0;
        match (self.frames.iter().any(holds) && lit, holds(&self.film)) {
            // A picture: net densities 0.3 to 1.1, uneven at two scales.
            (true, _) => base * 10f64.powf(-0.7 - 0.2 * (u / 9.0).sin() - 0.2 * (v / 31.0).cos()) as f32,
            (false, true) => base,
            (false, false) => self.around,
        }
    }

    /// Scanned at sixteen samples a pixel, for a scan twice the overview's size.
    pub(super) fn overview(&self) -> Overview {
        let mut light = Vec::new();
        for y in 0..SIZE.height {
            for x in 0..SIZE.width {
                let sub = |k: u32| (f64::from(k) + 0.5) / 4.0;
                let samples = (0..16).map(|k| self.light(f64::from(x) + sub(k % 4), f64::from(y) + sub(k / 4)));
                light.push(samples.sum::<f32>() / 16.0);
            }
        }
        Overview::new(SIZE, light, Size { width: 2 * SIZE.width, height: 2 * SIZE.height })
    }

    pub(super) fn corners(&self, frame: usize) -> [Point; 4] {
        let [x, y, w, h] = self.frames[frame];
        [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| {
            let (x, y) = Self::turned(x, y, self.degrees);
            Point { x: 2.0 * x, y: 2.0 * y }
        })
    }
}
