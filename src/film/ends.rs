//! The ends of a frame: the densities between which its picture lies.

use crate::light::{CODES, Density};
use crate::plane::Histogram;

/// Share of a frame that lies beyond either end: 0.1 %, a patch of 3 x 4 mm on a 4x5 sheet, about what a spot meter
/// sees of it (house value): smaller points, and noise, do not set the scale.
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
    /// Share of the frame whose codes are too coarse to tell its density, 0 to 1; no end is read from it.
    pub unread: f64,
}

/// Longest range of a negative, in D: prints and slides reach further (common practice: 2.4 is a contact printer's,
/// with some to spare).
const LONGEST: f64 = 2.6;

impl Ends {
    /// From the thin to the dense end.
    pub fn range(&self) -> Density {
        self.dense - self.thin
    }

    /// The range is longer than a negative's.
    pub fn looks_positive(&self) -> bool {
        self.range().value() > LONGEST
    }
}

/// Two values of a file that follow one another and are further apart than this, in D, tell nothing of density any
/// more: a sixth of a stop, less than the step that printers work in (common practice). Holder and opaque edges lie
/// there too.
pub(super) const TELLS: f64 = 0.05;

/// Reads the ends from the histogram of a frame's `tones`, its codes evened over squares or as they are; what cannot be
/// told is counted from that of its `pixels`.
///
/// `densities` holds the density of each code, falling as codes rise; `step` is how many codes apart the values of the
/// file are (1 for 16 bits, 257 for 8); `base` is what net density counts from. `None` when nothing was counted that
/// the scanner can tell, or there is not one density for each code.
pub fn ends(pixels: &Histogram, tones: &Histogram, densities: &[f64], step: u16, base: Density) -> Option<Ends> {
    if densities.len() != CODES {
        return None;
    }
    let tells = |code: &u16| {
        let next = usize::from(code.saturating_add(step));
        let apart = densities[usize::from(*code)] - densities[next];
        apart > 0.0 && apart <= TELLS
    };
    let first = (0..=u16::MAX).find(tells)?;
    let readable = tones.upwards_of(first);
    let net = |share: f64| readable.percentile(share).map(|code| Density::new(densities[usize::from(code)]) - base);
    let unread = 1.0 - pixels.upwards_of(first).total() as f64 / pixels.total() as f64;
    Some(Ends { thin: net(1.0 - BEYOND)?, median: net(0.5)?, dense: net(BEYOND)?, unread })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plane::per_code;

    fn linear() -> Vec<f64> {
        per_code(|code| -(f64::from(code) / 65_535.0).log10())
    }

    /// The definition, on a sorted copy of the densities.
    #[test]
    fn the_ends_are_the_percentiles_of_net_density() {
        let codes: Vec<u16> = (0..20_000u32).map(|i| (2000 + (i * 7919) % 40_000) as u16).collect();
        let mut histogram = Histogram::default();
        histogram.add(&codes);
        let mut net: Vec<f64> = codes.iter().map(|c| -(f64::from(*c) / 65_535.0).log10() - 0.2).collect();
        net.sort_by(f64::total_cmp);
        let ends = ends(&histogram, &histogram, &linear(), 1, Density::new(0.2)).unwrap();
        assert!((ends.thin.value() - net[20]).abs() < 2e-4);
        assert!((ends.median.value() - net[10_000]).abs() < 2e-4);
        assert!((ends.dense.value() - net[19_979]).abs() < 2e-3);
        assert!(ends.unread <= BEYOND);
    }

    #[test]
    fn a_frame_without_pixels_has_no_ends() {
        assert_eq!(ends(&Histogram::default(), &Histogram::default(), &linear(), 1, Density::default()), None);
        let mut histogram = Histogram::default();
        histogram.add(&[1, 2, 3]);
        assert_eq!(ends(&histogram, &histogram, &linear(), 1, Density::default()), None, "nor has one of holder alone");
        assert_eq!(ends(&histogram, &histogram, &[0.0; 256], 1, Density::default()), None);
    }

    /// Quantising, computed: dD = 0.4343 / code, so linear codes below 9 are more than 0.05 D apart.
    #[test]
    fn what_the_scanner_cannot_tell_is_no_end() {
        let mut histogram = Histogram::default();
        histogram.add(&[0; 30]);
        histogram.add(&[5; 30]);
        histogram.add(&[655; 1000]);
        let ends = ends(&histogram, &histogram, &linear(), 1, Density::default()).unwrap();
        assert!((ends.dense.value() - 2.0).abs() < 0.001);
        assert!((ends.unread - 60.0 / 1060.0).abs() < 1e-9);
    }

    /// In 8 bits, neighbours at code 5 of linear light are 0.08 D apart; in 16 bits the same light is told finely.
    #[test]
    fn eight_bits_tell_less() {
        let mut histogram = Histogram::default();
        histogram.add(&[5 * 257; 100]);
        histogram.add(&[100 * 257; 100]);
        let dense = |step| ends(&histogram, &histogram, &linear(), step, Density::default()).unwrap().dense.value();
        assert!((dense(1) - 1.71).abs() < 0.01 && (dense(257) - 0.41).abs() < 0.01);
    }
}
