//! Dry-down: prints get darker while they dry.

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

use crate::light::Stops;

/// By how much prints get darker while they dry, as a share of the exposure that is taken away for it. 8 % of less
/// exposure is a common figure (common practice); a test with one's own paper tells.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DryDown(f64);

impl DryDown {
    /// What it may be, in per cent.
    pub const PERCENT: RangeInclusive<f64> = 0.0..=30.0;

    /// Less exposure: 8 % are 0.12 stops.
    pub fn stops(self) -> Stops {
        Stops::of_factor(1.0 - self.0 / 100.0)
    }

    /// In per cent.
    pub const fn percent(self) -> f64 {
        self.0
    }
}

impl fmt::Display for DryDown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}%", self.0)
    }
}

impl FromStr for DryDown {
    type Err = String;

    fn from_str(word: &str) -> Result<Self, String> {
        let percent: Option<f64> = word.trim().trim_end_matches('%').trim_end().parse().ok();
        // 0.08 is 8 % to some, and 0.08 % to nobody.
        if !word.contains('%') && percent.is_some_and(|p| p > 0.0 && p < 1.0) {
            return Err(format!("\"{word}\": use a percentage, as 8%"));
        }
        let percent = percent.filter(|p| Self::PERCENT.contains(p));
        let most = Self::PERCENT.end();
        percent
            .map(Self)
            .ok_or_else(|| format!("\"{word}\": use a number from 0 to {most} (per cent of exposure), as 8%"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: log2 0.92 = -0.1203.
    #[test]
    fn dry_down_takes_exposure_away() {
        let dry: DryDown = "8%".parse().unwrap();
        assert!((dry.stops().value() + 0.1203).abs() < 1e-4);
        assert_eq!((dry.to_string(), "8".parse(), "0 %".parse()), ("8%".to_owned(), Ok(dry), Ok(DryDown::default())));
        assert_eq!(DryDown::default().stops().value(), 0.0);
        assert!("0.08".parse::<DryDown>().unwrap_err().ends_with("use a percentage, as 8%"));
        assert!(["0", "0.5%", "1"].iter().all(|word| word.parse::<DryDown>().is_ok()));
        for wrong in ["-1", "50%", "a bit", "nan"] {
            assert!(wrong.parse::<DryDown>().is_err(), "{wrong}");
        }
    }
}
