//! Unsharp masking: what a blurred copy lacks is added once more.

use std::ops::Range;

use rayon::prelude::*;

/// A bell cannot be seen beyond this many spreads: there it is 1 % of its height.
const REACH: f64 = 3.0;

/// Sharpening by the difference from a copy that is blurred with a bell (Gaussian) of a spread in pixels.
#[derive(Clone, Debug)]
pub struct Unsharp {
    amount: f32,
    /// The bell from its middle outwards.
    bell: Vec<f32>,
}

impl Unsharp {
    /// `amount` of the difference is added: 1 doubles what the blur takes away. `spread` is in pixels, above 0.
    pub fn new(amount: f64, spread: f64) -> Self {
        let reach = (REACH * spread).ceil().max(1.0) as usize;
        let bell = (0..=reach).map(|i| (-(i as f64 / spread).powi(2) / 2.0).exp() as f32).collect();
        Self { amount: amount as f32, bell }
    }

    /// Rows above and below that a row depends on.
    pub fn reach(&self) -> u32 {
        self.bell.len() as u32 - 1
    }

    /// The rows `wanted` of `rows`, sharpened. Beside the rows given there is nothing: the bell's weights there are
    /// brought to 1, so that an edge of the picture makes no seam.
    pub fn rows(&self, rows: &[Vec<f32>], wanted: Range<usize>) -> Vec<Vec<f32>> {
        let blurred: Vec<Vec<f32>> = rows.par_iter().map(|row| self.across(row)).collect();
        wanted.into_par_iter().map(|y| self.down(&rows[y], &blurred, y)).collect()
    }

    fn across(&self, row: &[f32]) -> Vec<f32> {
        let mean = |x: usize| {
            let (mut sum, mut all) = (0.0, 0.0);
            for (i, value) in self.around(x, row.len()).map(|i| (i, row[i])) {
                let weight = self.bell[i.abs_diff(x)];
                sum += weight * value;
                all += weight;
            }
            sum / all
        };
        (0..row.len()).map(mean).collect()
    }

    fn down(&self, row: &[f32], blurred: &[Vec<f32>], y: usize) -> Vec<f32> {
        let mut mean = vec![0.0; row.len()];
        let mut all = 0.0;
        for i in self.around(y, blurred.len()) {
            let weight = self.bell[i.abs_diff(y)];
            all += weight;
            mean.iter_mut().zip(&blurred[i]).for_each(|(mean, value)| *mean += weight * value);
        }
        row.iter().zip(mean).map(|(value, mean)| value + self.amount * (value - mean / all)).collect()
    }

    fn around(&self, at: usize, count: usize) -> Range<usize> {
        let reach = self.bell.len() - 1;
        at.saturating_sub(reach)..(at + reach + 1).min(count)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(width: usize, height: usize) -> Vec<Vec<f32>> {
        let value = |x: usize, y: usize| ((x * 911 + y * 577 + x * y * 13) % 1000) as f32 / 10.0;
        (0..height).map(|y| (0..width).map(|x| value(x, y)).collect()).collect()
    }

    /// The slow twin: the mask as one sum over the plane, in double precision.
    #[test]
    fn rows_are_sharpened_as_the_formula_says() {
        let (amount, spread) = (0.7, 1.3);
        let (unsharp, rows) = (Unsharp::new(amount, spread), picture(31, 23));
        let reach = unsharp.reach() as usize;
        let got = unsharp.rows(&rows, 5..20);
        for (y, row) in (5..20usize).zip(&got) {
            for (x, got) in row.iter().enumerate() {
                let (mut sum, mut all) = (0.0, 0.0);
                for (v, row) in rows.iter().enumerate().filter(|(v, _)| v.abs_diff(y) <= reach) {
                    for (u, value) in row.iter().enumerate().filter(|(u, _)| u.abs_diff(x) <= reach) {
                        let far = (v.abs_diff(y).pow(2) + u.abs_diff(x).pow(2)) as f64;
                        let weight = (-far / (2.0 * spread * spread)).exp();
                        sum += weight * f64::from(*value);
                        all += weight;
                    }
                }
                let value = f64::from(rows[y][x]);
                let should = value + amount * (value - sum / all);
                assert!((f64::from(*got) - should).abs() < 1e-3, "{x}, {y}: {got} for {should}");
            }
        }
    }

    #[test]
    fn an_even_field_stays_even_up_to_its_edge() {
        let rows = vec![vec![42.0; 12]; 9];
        let got = Unsharp::new(2.0, 1.2).rows(&rows, 0..9);
        assert!(got.iter().flatten().all(|v| (v - 42.0f32).abs() < 1e-4));
    }
}
