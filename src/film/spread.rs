//! How the tones of a frame are spread: a histogram of density, small enough to be written down.

use super::ends::Ends;
use crate::light::Density;
use crate::plane::Histogram;

/// Shares of a frame by density, in cells of one width, the thinnest first.
#[derive(Clone, Debug, PartialEq)]
pub struct Spread {
    /// Where the first cell begins, over whatever the densities count from.
    pub from: Density,
    /// Width of a cell.
    pub step: Density,
    /// What lies in each cell, in ten-thousandths of the frame, rounded. The outer two also hold what lies beyond.
    pub parts: [u16; CELLS],
}

/// Cells of a frame: as many as a column of a page shows apart (house value).
pub const CELLS: usize = 64;

/// Cells that lie outside the ends, on both sides together.
const OUTSIDE: usize = 4;

/// Widths of a cell are whole numbers of this, in D: round numbers read well.
const GRAIN: f64 = 0.005;

/// What a whole frame counts as.
const WHOLE: f64 = 10_000.0;

impl Spread {
    /// Counts a frame's `tones` by the density of each code, around its ends; densities and ends count from the same.
    pub fn of(tones: &Histogram, densities: &[f64], ends: &Ends) -> Self {
        let inside = (CELLS - OUTSIDE) as f64;
        let step = (ends.range().value() / inside / GRAIN).ceil().max(1.0) * GRAIN;
        let from = ((ends.thin.value() / step).floor() - (OUTSIDE / 2) as f64) * step;
        let mut counts = [0u64; CELLS];
        for (code, density) in (0..=u16::MAX).zip(densities) {
            // Code 0 has no density: it lies beyond the last cell. Casting keeps what is outside at the outermost.
            let cell = ((density - from) / step).floor() as usize;
            counts[cell.min(CELLS - 1)] += tones.count(code);
        }
        let all = tones.total().max(1) as f64;
        let parts = counts.map(|count| (count as f64 / all * WHOLE).round() as u16);
        Self { from: Density::new(from).noted(), step: Density::new(step).noted(), parts }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::per_code;

    fn linear() -> Vec<f64> {
        per_code(|code| -(f64::from(code) / 65_535.0).log10())
    }

    fn ends(thin: f64, dense: f64) -> Ends {
        let [thin, median, dense] = [thin, (thin + dense) / 2.0, dense].map(Density::new);
        Ends { thin, median, dense, unread: 0.0 }
    }

    /// Worked out by hand: a range of 1.2 D over 60 cells makes them 0.02 D wide, the first two below D 0.20. Code
    /// 32,767 is D 0.30, code 6,554 D 1.00.
    #[test]
    fn each_code_is_counted_where_its_density_lies() {
        let mut histogram = Histogram::default();
        histogram.add(&[32_750; 300]);
        histogram.add(&[6_540; 600]);
        histogram.add(&[0; 60]);
        histogram.add(&[65_535; 40]);
        let tones = Spread::of(&histogram, &linear(), &ends(0.2, 1.4));
        assert_eq!((tones.from.value(), tones.step.value()), (0.16, 0.02));
        let cell = |density: f64| ((density - 0.16) / 0.02).floor() as usize;
        assert_eq!((tones.parts[cell(0.3012)], tones.parts[cell(1.0009)]), (3000, 6000));
        assert_eq!((tones.parts[0], tones.parts[CELLS - 1]), (400, 600), "what lies beyond is in the outermost");
    }

    #[test]
    fn the_ends_lie_inside_whatever_the_range() {
        for (thin, dense) in [(0.0, 0.0), (0.1, 0.11), (0.3, 2.9), (-0.02, 3.4), (0.499, 0.501)] {
            let tones = Spread::of(&Histogram::default(), &linear(), &ends(thin, dense));
            let to = tones.from.value() + CELLS as f64 * tones.step.value();
            assert!(tones.from.value() <= thin && dense <= to, "{thin} to {dense}: {} to {to}", tones.from);
        }
    }
}
