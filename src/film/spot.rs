//! A spot read as a bench densitometer reads it: the light through a round opening, averaged, then its density.

use std::f64::consts::LOG10_E;
use std::ops::Range;

use crate::light::Density;
use crate::plane::Point;

/// Patches across an opening, at the most: enough of them to tell their spread.
const PATCHES_ACROSS: f64 = 8.0;
/// Side of a patch in pixels where the opening is too narrow for more of them. Grain seen through a scanner's lens
/// hangs together over two or three pixels; a patch must be wider by far, so that neighbours are strangers.
const LEAST_PATCH: f64 = 8.0;
/// A patch with less of its area inside the opening tells too little.
const LEAST_SHARE: f64 = 0.25;
/// Fewest patches from which a spread is read, three of which the plane takes.
const FEWEST: usize = 6;

/// A round opening laid on a scan: an ellipse of pixels where the scan is not as fine down as across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Its middle, in pixels of the scan.
    pub middle: Point,
    /// Its diameter across, in pixels.
    pub width: f64,
    /// Its diameter down, in pixels.
    pub height: f64,
}

impl Opening {
    /// The rows that it touches in a scan of so many.
    pub fn rows(&self, of: u32) -> Range<u32> {
        let within = |v: f64| v.clamp(0.0, f64::from(of)) as u32;
        let radius = self.height / 2.0;
        within((self.middle.y - radius).floor())..within((self.middle.y + radius).ceil())
    }

    /// The pixels of row `y` whose centres lie inside, as a range of columns below `width`.
    pub fn row_span(&self, y: u32, width: u32) -> Range<usize> {
        let down = (f64::from(y) + 0.5 - self.middle.y) / (self.height / 2.0);
        if down.abs() >= 1.0 {
            return 0..0;
        }
        let half = self.width / 2.0 * (1.0 - down * down).sqrt();
        let column = |x: f64| (x - 0.5).ceil().clamp(0.0, f64::from(width)) as usize;
        column(self.middle.x - half)..column(self.middle.x + half)
    }
}

/// What was read through an opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpotReading {
    /// Density of the mean light, over the scanner's full scale; nothing where no light came through at all.
    pub density: Option<Density>,
    /// 95 % of the readings of such grain and noise lie within this of their mean; nothing where the opening is too
    /// small to tell.
    pub uncertainty: Option<Density>,
    /// Pixels read.
    pub pixels: u64,
    /// Share of them at the scanner's full scale, 0 to 1: where it is more than a few, the film is thinner than
    /// `density`.
    pub at_full_scale: f64,
}

/// The cell behind an opening: takes in light row by row.
#[derive(Clone, Debug)]
pub struct Cell {
    opening: Opening,
    /// Patches across and down, and those of their sides.
    across: usize,
    down: usize,
    patches: Vec<Patch>,
    at_full_scale: u64,
}

/// Part of what the cell sees.
#[derive(Clone, Copy, Debug, Default)]
struct Patch {
    light: f64,
    pixels: u64,
    /// Sums of columns and rows, counted from the opening's middle.
    columns: f64,
    rows: f64,
}

impl Cell {
    /// A cell that has seen nothing yet.
    pub fn behind(opening: Opening) -> Self {
        let count = |diameter: f64| (diameter / LEAST_PATCH).clamp(1.0, PATCHES_ACROSS).round() as usize;
        let (across, down) = (count(opening.width), count(opening.height));
        Self { opening, across, down, patches: vec![Patch::default(); across * down], at_full_scale: 0 }
    }

    /// Takes in `codes` of row `y` from column `first` on, each standing for `light[code]` (0 to 1 of full scale).
    pub fn take(&mut self, y: u32, first: usize, codes: &[u16], light: &[f32]) {
        let patch = |at: f64, middle: f64, diameter: f64, count: usize| {
            let share = (at + 0.5 - middle) / diameter + 0.5;
            ((share * count as f64) as usize).min(count - 1)
        };
        let Opening { middle, width, height } = self.opening;
        let row = patch(f64::from(y), middle.y, height, self.down) * self.across;
        for (x, code) in (first..).zip(codes) {
            let patch = &mut self.patches[row + patch(x as f64, middle.x, width, self.across)];
            patch.light += f64::from(light[usize::from(*code)]);
            patch.pixels += 1;
            patch.columns += x as f64 - middle.x;
            patch.rows += f64::from(y) - middle.y;
            self.at_full_scale += u64::from(*code == u16::MAX);
        }
    }

    /// What it has seen; nothing if that was no pixel.
    pub fn reading(&self) -> Option<SpotReading> {
        let pixels: u64 = self.patches.iter().map(|p| p.pixels).sum();
        if pixels == 0 {
            return None;
        }
        let mean = self.patches.iter().map(|p| p.light).sum::<f64>() / pixels as f64;
        let lit = mean > 0.0;
        Some(SpotReading {
            density: lit.then(|| Density::of(mean)),
            uncertainty: self.error_of_mean().filter(|_| lit).map(|error| Density::new(LOG10_E * error / mean)),
            pixels,
            at_full_scale: self.at_full_scale as f64 / pixels as f64,
        })
    }

    /// Half the width of the 95 % interval of the mean light.
    ///
    /// The spread of patches about a plane laid through them, so that a gradient in the picture is no noise. A patch of
    /// n pixels has the variance s2/n, so all N have s2/N.
    fn error_of_mean(&self) -> Option<f64> {
        let full = self.opening.width * self.opening.height / (self.across * self.down) as f64;
        let seen: Vec<[f64; 4]> = self
            .patches
            .iter()
            .map(|p| (p.pixels as f64, p))
            .filter(|(n, _)| *n >= LEAST_SHARE * full)
            .map(|(n, p)| [n, p.columns / n, p.rows / n, p.light / n])
            .collect();
        if seen.len() < FEWEST {
            return None;
        }
        let freedom = seen.len() - 3;
        let total: f64 = seen.iter().map(|p| p[0]).sum();
        Some(student(freedom) * (about_plane(&seen)? / freedom as f64 / total).sqrt())
    }
}

/// Weighted sum of squares of [weight, x, y, value] about the plane that fits them best (least squares, Cramer's rule);
/// nothing where they lie along one line.
fn about_plane(points: &[[f64; 4]]) -> Option<f64> {
    let total: f64 = points.iter().map(|p| p[0]).sum();
    let mean = |k: usize| points.iter().map(|p| p[0] * p[k]).sum::<f64>() / total;
    let middle = [mean(1), mean(2), mean(3)];
    let product =
        |a: usize, b: usize| points.iter().map(|p| p[0] * (p[a] - middle[a - 1]) * (p[b] - middle[b - 1])).sum::<f64>();
    let (xx, xy, yy) = (product(1, 1), product(1, 2), product(2, 2));
    let (xv, yv, vv) = (product(1, 3), product(2, 3), product(3, 3));
    let determinant = xx * yy - xy * xy;
    if determinant <= 1e-9 * xx * yy {
        return None;
    }
    let (a, b) = ((xv * yy - yv * xy) / determinant, (yv * xx - xv * xy) / determinant);
    Some((vv - a * xv - b * yv).max(0.0))
}

/// Student's t that 95 % lie within, for so many degrees of freedom, 3 at least: its expansion about the normal
/// distribution's z = 1.960 (Abramowitz and Stegun, 26.7.5, from memory), within 1 %: 3.16 for 3, 2.23 for 10.
pub(super) fn student(freedom: usize) -> f64 {
    const Z: f64 = 1.959_964;
    let n = freedom as f64;
    let z = |power: i32| Z.powi(power);
    Z + (z(3) + Z) / (4.0 * n)
        + (5.0 * z(5) + 16.0 * z(3) + 3.0 * Z) / (96.0 * n * n)
        + (3.0 * z(7) + 19.0 * z(5) + 17.0 * z(3) - 15.0 * Z) / (384.0 * n * n * n)
}

#[cfg(test)]
mod tests {
    use super::*;

    const LINEAR: f64 = 65_535.0;

    /// Reads a round spot of `diameter` pixels on a picture of linear codes.
    fn read(diameter: f64, mut code: impl FnMut(u32, u32) -> f64) -> SpotReading {
        let light: Vec<f32> = (0..65_536).map(|c| c as f32 / 65_535.0).collect();
        let opening = Opening { middle: Point { x: 60.2, y: 50.7 }, width: diameter, height: diameter };
        let mut cell = Cell::behind(opening);
        for y in opening.rows(120) {
            let span = opening.row_span(y, 120);
            let codes: Vec<u16> = span.clone().map(|x| code(x as u32, y) as u16).collect();
            cell.take(y, span.start, &codes, &light);
        }
        cell.reading().unwrap()
    }

    #[test]
    fn an_opening_holds_as_many_pixels_as_its_area() {
        let area = std::f64::consts::PI / 4.0 * 90.0 * 90.0;
        let read = read(90.0, |_, _| 1000.0);
        assert!((read.pixels as f64 / area - 1.0).abs() < 0.003, "{} for {area}", read.pixels);
        let at_the_edge = Opening { middle: Point { x: 1.0, y: 118.0 }, width: 20.0, height: 20.0 };
        assert_eq!(at_the_edge.rows(120), 108..120);
        assert_eq!(at_the_edge.row_span(118, 120), 0..11);
    }

    /// Arithmetic: half the light at D 0.3 and half at D 1.3 is a mean of 0.27565, D 0.5596, not D 0.8.
    #[test]
    fn light_is_averaged_and_not_density() {
        let read = read(80.0, |x, y| LINEAR * if (x + y) % 2 == 0 { 10f64.powf(-0.3) } else { 10f64.powf(-1.3) });
        assert!((read.density.unwrap().value() - 0.5596).abs() < 0.001);
    }

    #[test]
    fn a_gradient_is_no_noise_and_an_edge_is() {
        let gradient = read(80.0, |x, y| 20_000.0 + 100.0 * f64::from(x) + 40.0 * f64::from(y));
        assert!(gradient.uncertainty.unwrap().value() < 1e-4, "{gradient:?}");
        let edge = read(80.0, |x, _| if x < 60 { 20_000.0 } else { 30_000.0 });
        assert!(edge.uncertainty.unwrap().value() > 0.005, "{edge:?}");
    }

    #[test]
    fn a_small_opening_tells_no_spread_and_darkness_no_density() {
        assert_eq!(read(12.0, |_, _| 900.0).uncertainty, None);
        assert_eq!(read(40.0, |_, _| 0.0).density, None);
        assert_eq!(read(40.0, |_, _| LINEAR).at_full_scale, 1.0);
        assert_eq!(Cell::behind(Opening { middle: Point { x: 0.0, y: 0.0 }, width: 9.0, height: 9.0 }).reading(), None);
    }

    /// Two-sided 95 % points of Student's distribution (any table of it, from memory).
    #[test]
    fn the_factor_is_students() {
        for (freedom, t) in [(3, 3.182), (5, 2.571), (10, 2.228), (30, 2.042), (60, 2.000)] {
            assert!((student(freedom) / t - 1.0).abs() < 0.01, "{freedom}: {}", student(freedom));
        }
    }
}
