//! Densities of an overview, read along tilted lines.

use crate::plane::{Overview, Point, Size};

/// Light below this, of full scale, counts as this much: D 5, beyond any scanner.
const LEAST_LIGHT: f32 = 1e-5;

/// Density of every pixel.
pub(super) struct Field {
    pub(super) size: Size,
    densities: Vec<f32>,
}

impl Field {
    pub(super) fn of(overview: &Overview) -> Self {
        let densities = overview.light().iter().map(|t| -t.max(LEAST_LIGHT).log10()).collect();
        Self { size: overview.size(), densities }
    }

    /// Density at a place, between the four pixels around it. `None` outside the picture.
    fn at(&self, p: Point) -> Option<f32> {
        let (x, y) = (p.x - 0.5, p.y - 0.5);
        let (last_x, last_y) = (f64::from(self.size.width) - 1.0, f64::from(self.size.height) - 1.0);
        if !((-0.5..=last_x + 0.5).contains(&x) && (-0.5..=last_y + 0.5).contains(&y)) {
            return None;
        }
        let (x, y) = (x.clamp(0.0, last_x), y.clamp(0.0, last_y));
        let (x0, y0) = (x as usize, y as usize);
        let (x1, y1) = ((x0 + 1).min(last_x as usize), (y0 + 1).min(last_y as usize));
        let (right, down) = ((x - x0 as f64) as f32, (y - y0 as f64) as f32);
        let pixel = |x: usize, y: usize| self.densities[y * self.size.width as usize + x];
        let above = pixel(x0, y0) + (pixel(x1, y0) - pixel(x0, y0)) * right;
        let below = pixel(x0, y1) + (pixel(x1, y1) - pixel(x0, y1)) * right;
        Some(above + (below - above) * down)
    }
}

/// Directions on a picture: `u` along a row, `v` across it, both in pixels from the picture's centre.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axes {
    centre: Point,
    cos: f64,
    sin: f64,
    /// Half the way along and across that the picture reaches.
    pub(super) half: (f64, f64),
}

impl Axes {
    /// Turned clockwise by `degrees` from the picture's own.
    pub(super) fn turned(size: Size, degrees: f64) -> Self {
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (w, h) = (f64::from(size.width) / 2.0, f64::from(size.height) / 2.0);
        let half = (w * cos.abs() + h * sin.abs(), w * sin.abs() + h * cos.abs());
        Self { centre: Point { x: w, y: h }, cos, sin, half }
    }

    /// The same seen from the other end.
    pub(super) fn reversed(self) -> Self {
        Self { cos: -self.cos, sin: -self.sin, ..self }
    }

    pub(super) fn point(&self, u: f64, v: f64) -> Point {
        Point { x: self.centre.x + u * self.cos - v * self.sin, y: self.centre.y + u * self.sin + v * self.cos }
    }

    /// Density at (u, v); `None` outside the picture.
    pub(super) fn density(&self, field: &Field, u: f64, v: f64) -> Option<f32> {
        field.at(self.point(u, v))
    }
}

/// The middle one; `None` of none.
pub(super) fn median(values: &mut [f32]) -> Option<f32> {
    let middle = values.len() / 2;
    (!values.is_empty()).then(|| *values.select_nth_unstable_by(middle, f32::total_cmp).1)
}
