//! The ends of a frame: the densities between which its picture lies.

use crate::light::Density;
use crate::plane::{CODES, Histogram};

/// Share of a frame's pixels left beyond either end: 0.1 % (ours, see the README; a spot meter's smallest spot is larger).
pub const BEYOND: f64 = 0.001;

/// Net densities (above base) of a frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ends {
    /// 0.1 % of the frame is thinner.
    pub thin: Density,
    /// Half of the frame is thinner.
    pub median: Density,
    /// 0.1 % of the frame is denser.
    pub dense: Density,
    /// How far apart two neighbouring codes are at the dense end: what the scanner can still tell there.
    pub dense_step: Density,
}

impl Ends {
    /// The frame's range, d - t.
    pub fn range(&self) -> Density {
        self.dense - self.thin
    }

    /// Neighbouring codes at the dense end are further apart than a tone one can see: the scan has run out there.
    pub fn dense_end_in_noise(&self) -> bool {
        /// A tenth of a grade's density step, about the least difference seen side by side (common practice), in D.
        const LEAST_SEEN: f64 = 0.02;
        self.dense_step.value() > LEAST_SEEN || !self.dense.value().is_finite()
    }
}

/// Reads the ends from the histogram of a frame's codes.
///
/// `densities` holds the density of each code, falling as codes rise; `base` is what net density counts from.
/// `None` when nothing was counted or there is not one density for each code.
pub fn ends(histogram: &Histogram, densities: &[f64], base: Density) -> Option<Ends> {
    if densities.len() != CODES {
        return None;
    }
    let net = |share: f64| histogram.percentile(share).map(|c| (c, Density::new(densities[usize::from(c)]) - base));
    let (code, dense) = net(BEYOND)?;
    let next = densities[usize::from(code.saturating_add(1))];
    let dense_step = Density::new(densities[usize::from(code)] - next);
    Some(Ends { thin: net(1.0 - BEYOND)?.1, median: net(0.5)?.1, dense, dense_step })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::per_code;

    fn linear() -> Vec<f64> {
        per_code(|code| -(f64::from(code.max(1)) / 65_535.0).log10())
    }

    /// The definition, on a sorted copy of the densities.
    #[test]
    fn the_ends_are_the_percentiles_of_net_density() {
        let codes: Vec<u16> = (0..20_000u32).map(|i| (2000 + (i * 7919) % 40_000) as u16).collect();
        let mut histogram = Histogram::default();
        histogram.add(&codes);
        let mut net: Vec<f64> = codes.iter().map(|c| -(f64::from(*c) / 65_535.0).log10() - 0.2).collect();
        net.sort_by(f64::total_cmp);
        let ends = ends(&histogram, &linear(), Density::new(0.2)).unwrap();
        assert!((ends.thin.value() - net[20]).abs() < 2e-4);
        assert!((ends.median.value() - net[10_000]).abs() < 2e-4);
        assert!((ends.dense.value() - net[19_979]).abs() < 2e-3);
        assert!(!ends.dense_end_in_noise());
    }

    #[test]
    fn a_frame_without_pixels_has_no_ends() {
        assert_eq!(ends(&Histogram::default(), &linear(), Density::default()), None);
        let mut histogram = Histogram::default();
        histogram.add(&[1, 2, 3]);
        assert_eq!(ends(&histogram, &[0.0; 256], Density::default()), None);
    }

    #[test]
    fn the_last_codes_above_nothing_are_noise() {
        let mut histogram = Histogram::default();
        histogram.add(&[3; 1000]);
        assert!(ends(&histogram, &linear(), Density::default()).unwrap().dense_end_in_noise());
    }
}
