//! The exact histogram of 16-bit codes.

use crate::light::CODES;

/// How often each of the 65,536 codes occurs. Counts are exact up to 2^32 - 1 pixels a code.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Histogram {
    counts: Vec<u32>,
}

impl Default for Histogram {
    fn default() -> Self {
        Self { counts: vec![0; CODES] }
    }
}

impl Histogram {
    /// Counts every sample.
    pub fn add(&mut self, samples: &[u16]) {
        let counts: &mut [u32; CODES] = self.counts.as_mut_slice().try_into().expect("a count for each code");
        for &code in samples {
            counts[usize::from(code)] += 1;
        }
    }

    /// Adds what another has counted.
    pub fn merge(&mut self, other: &Self) {
        for (mine, theirs) in self.counts.iter_mut().zip(&other.counts) {
            *mine += theirs;
        }
    }

    /// What it counted from code `first` upwards.
    pub fn upwards_of(&self, first: u16) -> Self {
        let mut counts = self.counts.clone();
        counts[..usize::from(first)].fill(0);
        Self { counts }
    }

    /// Pixels counted in all.
    pub fn total(&self) -> u64 {
        self.counts.iter().map(|c| u64::from(*c)).sum()
    }

    /// Pixels with this code.
    pub fn count(&self, code: u16) -> u64 {
        u64::from(self.counts[usize::from(code)])
    }

    /// The code below which the fraction `share` (0 to 1) of the pixels lies: the nearest-rank percentile.
    /// `None` when nothing was counted.
    pub fn percentile(&self, share: f64) -> Option<u16> {
        let total = self.total();
        let rank = ((share * total as f64).ceil() as u64).clamp(1, total.max(1));
        let mut seen = 0;
        for (code, count) in self.counts.iter().enumerate() {
            seen += u64::from(*count);
            if seen >= rank {
                return Some(code as u16);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The nearest-rank definition worked out on a sorted copy.
    #[test]
    fn percentiles_are_those_of_the_sorted_samples() {
        let mut samples: Vec<u16> = (0..10_000u32).map(|i| ((i * 7919 + i * i) % 60_000) as u16).collect();
        let mut histogram = Histogram::default();
        histogram.add(&samples);
        samples.sort_unstable();
        for (share, rank) in [(0.001, 10), (0.5, 5000), (0.999, 9990), (0.0, 1), (1.0, 10_000)] {
            assert_eq!(histogram.percentile(share), Some(samples[rank - 1]), "{share}");
        }
        assert_eq!(Histogram::default().percentile(0.5), None);
    }

    #[test]
    fn halves_counted_apart_are_the_whole() {
        let samples: Vec<u16> = (0..5000).collect();
        let [mut whole, mut a, mut b] = [Histogram::default(), Histogram::default(), Histogram::default()];
        whole.add(&samples);
        a.add(&samples[..1234]);
        b.add(&samples[1234..]);
        a.merge(&b);
        assert_eq!(a, whole);
    }
}
