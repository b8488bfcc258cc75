//! What a filter takes away.

use std::fmt;
use std::str::FromStr;

use crate::light::{Density, Stops};

/// Factors that a filter can have: a million is 20 stops.
const FACTORS: std::ops::RangeInclusive<f64> = 1.0..=1e6;

/// How much longer to expose through a filter; 1 is no filter. Several filters multiply.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct FilterFactor(f64);

/// A word that is no filter factor.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no filter factor: write it as 2, or as 1 1/3 stops, or a neutral filter by its density as ND 0.9")]
pub struct NoFactor(String);

impl FilterFactor {
    /// The factor, or nothing unless it lies between 1 and a million.
    pub fn new(factor: f64) -> Option<Self> {
        FACTORS.contains(&factor).then_some(Self(factor))
    }

    /// The plain number.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The same in stops.
    pub fn stops(self) -> Stops {
        Stops::of_factor(self.0)
    }
}

impl FromStr for FilterFactor {
    type Err = NoFactor;

    /// Reads "2", "x2", "2x", "1 1/3 stops", "ND 0.9".
    fn from_str(word: &str) -> Result<Self, NoFactor> {
        let plain = word.trim().to_lowercase();
        let in_stops = || {
            let number = plain.strip_suffix("stops").or_else(|| plain.strip_suffix("stop"))?;
            number.parse::<Stops>().ok().map(|stops| stops.value().exp2())
        };
        let by_density = || {
            let density = plain.strip_prefix("nd")?.trim().parse().ok().map(Density::new)?;
            Some(1.0 / density.transmittance())
        };
        let bare = plain.strip_prefix('x').or_else(|| plain.strip_suffix('x')).unwrap_or(&plain);
        let factor = in_stops().or_else(by_density).or_else(|| bare.trim().parse().ok());
        factor.and_then(Self::new).ok_or_else(|| NoFactor(word.trim().to_owned()))
    }
}

impl fmt::Display for FilterFactor {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", (self.0 * 100.0).round() / 100.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: a density of 0.9 lets 10^-0.9 through, which is 7.94, three stops.
    #[test]
    fn a_filter_is_told_by_factor_stops_or_density() {
        for (word, factor) in
            [("2", 2.0), ("x2.5", 2.5), ("4x", 4.0), ("1 stop", 2.0), ("1 1/2 stops", 2.8284), ("ND 0.9", 7.9433)]
        {
            assert!((word.parse::<FilterFactor>().unwrap().value() - factor).abs() < 1e-4, "{word}");
        }
        for wrong in ["", "0.5", "-2", "nan", "red", "ND", "-1 stop", "1e9"] {
            assert!(
                wrong.parse::<FilterFactor>().unwrap_err().to_string().contains("no filter factor: write it as 2"),
                "{wrong}"
            );
        }
    }
}
