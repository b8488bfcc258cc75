//! Apertures, kept as they were written.

use std::fmt;
use std::str::FromStr;

use crate::light::Stops;

/// Full stops as lenses are marked. The i-th is exactly 2^(i/2) (ISO 517, from memory).
const FULL: [f64; 19] =
    [0.7, 1.0, 1.4, 2.0, 2.8, 4.0, 5.6, 8.0, 11.0, 16.0, 22.0, 32.0, 45.0, 64.0, 90.0, 128.0, 180.0, 256.0, 360.0];
/// Place of f/1 among them.
const ONE: i32 = 1;
/// Half stops between, as marked (common practice).
const HALVES: [f64; 14] = [1.2, 1.7, 2.4, 3.3, 4.8, 6.7, 9.5, 13.0, 19.0, 27.0, 38.0, 54.0, 76.0, 107.0];
/// Third stops between, as marked (common practice).
const THIRDS: [f64; 28] = [
    1.1, 1.2, 1.6, 1.8, 2.2, 2.5, 3.2, 3.5, 4.5, 5.0, 6.3, 7.1, 9.0, 10.0, 13.0, 14.0, 18.0, 20.0, 25.0, 29.0, 36.0,
    40.0, 51.0, 57.0, 72.0, 80.0, 102.0, 114.0,
];
/// f-numbers that are read: to that of a pinhole.
const READ: std::ops::RangeInclusive<f64> = 0.5..=1500.0;

/// An aperture. What stands on the lens is rounded, and one word can mean two openings: f/13 is the third after 11
/// (12.70) and the half (13.45). So the word is kept, and what it may mean is told.
#[derive(Clone, Debug, PartialEq)]
pub struct FNumber {
    written: String,
    meant: Vec<f64>,
}

/// A word that is no aperture.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no aperture: write it as f/22, or f/22 1/2 for a half stop beyond")]
pub struct NoFNumber(String);

impl FNumber {
    /// As it was written.
    pub fn written(&self) -> &str {
        &self.written
    }

    /// The f-numbers that it can mean, least first: one or two.
    pub fn meant(&self) -> &[f64] {
        &self.meant
    }

    /// The one to reckon with: between two, the one half-way in stops.
    pub fn value(&self) -> f64 {
        let logs: f64 = self.meant.iter().map(|n| n.ln()).sum();
        (logs / self.meant.len() as f64).exp()
    }

    /// How far apart in stops the openings lie that it can mean; 0 where it is but one.
    pub fn doubt(&self) -> Stops {
        match self.meant[..] {
            [least, .., most] => Stops::of_factor((most / least).powi(2)),
            _ => Stops::default(),
        }
    }

    /// How much longer than at `self` to expose at `other`.
    pub fn stops_to(&self, other: &Self) -> Stops {
        Stops::of_factor((other.value() / self.value()).powi(2))
    }
}

/// What a marked number means exactly: itself where no lens is marked so.
fn exact(marked: f64) -> Vec<f64> {
    let at = |list: &[f64]| list.iter().position(|known| *known == marked);
    if let Some(i) = at(&FULL) {
        return vec![(f64::from(i as i32 - ONE) / 2.0).exp2()];
    }
    // The first half and the first two thirds follow f/1.
    let half = at(&HALVES).map(|i| ((i as f64 + 0.5) / 2.0).exp2());
    let third = at(&THIRDS).map(|i| (((i / 2) as f64 + (i % 2 + 1) as f64 / 3.0) / 2.0).exp2());
    let mut meant: Vec<f64> = half.into_iter().chain(third).collect();
    if meant.is_empty() {
        meant.push(marked);
    }
    meant.sort_by(f64::total_cmp);
    meant
}

impl FromStr for FNumber {
    type Err = NoFNumber;

    /// Reads "f/22", "f22", "22.5", "f/22 1/2" (half a stop beyond 22), "f/16 2/3".
    fn from_str(word: &str) -> Result<Self, NoFNumber> {
        let written = word.trim();
        let read = || {
            let plain = written.to_lowercase();
            let number =
                plain.strip_prefix('f').map_or(plain.as_str(), |rest| rest.trim_start_matches(['/', ':', ' ']));
            let (marked, beyond) = number.split_once(' ').unwrap_or((number, "0"));
            let figures = marked.bytes().all(|b| b.is_ascii_digit() || b == b'.');
            let marked = marked.parse::<f64>().ok().filter(|n| figures && READ.contains(n))?;
            let beyond = beyond.trim().trim_start_matches('+').parse::<Stops>().ok()?.value();
            let beyond = Some(beyond).filter(|part| (0.0..1.0).contains(part))?;
            Some(exact(marked).into_iter().map(|n| n * (beyond / 2.0).exp2()).collect())
        };
        match read() {
            Some(meant) => Ok(Self { written: written.to_owned(), meant }),
            None => Err(NoFNumber(written.to_owned())),
        }
    }
}

impl fmt::Display for FNumber {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.written)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn meant(word: &str) -> Vec<f64> {
        word.parse::<FNumber>().unwrap().meant().to_vec()
    }

    #[test]
    fn every_mark_lies_near_what_it_means() {
        for marked in FULL.iter().chain(&HALVES).chain(&THIRDS) {
            for n in exact(*marked) {
                assert!((2.0 * (n / marked).log2()).abs() < 0.15, "{marked}: {n}");
            }
        }
    }

    #[test]
    fn a_word_is_kept_and_a_part_of_a_stop_counts_from_the_mark() {
        for (word, n) in
            [("f/22 1/2", 26.909), ("F22", 22.627), ("22.5", 22.5), ("f/16 2/3", 20.159), ("f/8 +1/3", 8.980)]
        {
            assert!((meant(word)[0] - n).abs() < 1e-3, "{word}");
            assert_eq!(word.parse::<FNumber>().unwrap().to_string(), word);
        }
        for wrong in ["", "f/", "f/banana", "f/-8", "nan", "f/8 3/2", "0", "f/1e3", "8 8"] {
            assert!(wrong.parse::<FNumber>().unwrap_err().to_string().contains("write it as f/22"), "{wrong}");
        }
    }
}
