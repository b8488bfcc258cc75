//! Exposure value: what a meter shows instead of a time and an aperture.

use std::fmt;
use std::str::FromStr;

use super::seconds::Seconds;

/// Values that a meter shows, and then some.
const READ: std::ops::RangeInclusive<f64> = -20.0..=30.0;

/// EV = log2(N^2/t), N the f-number and t the time in s (APEX, read).
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ExposureValue(f64);

/// A word that is no exposure value.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no exposure value: write it as EV 8 or EV 8.3")]
pub struct NoExposureValue(String);

impl ExposureValue {
    /// That of f-number `n` and a time.
    pub fn of(n: f64, time: Seconds) -> Self {
        Self((n * n / time.value()).log2())
    }

    /// The time that it means at f-number `n`: N^2 / 2^EV.
    pub fn time(self, n: f64) -> Seconds {
        // N is above 0, and both are bounded: so is this.
        Seconds::ONE.times(n * n / self.0.exp2())
    }

    /// The plain number.
    pub const fn value(self) -> f64 {
        self.0
    }
}

impl FromStr for ExposureValue {
    type Err = NoExposureValue;

    /// Reads "EV 8", "EV8.3", "ev -2".
    fn from_str(word: &str) -> Result<Self, NoExposureValue> {
        let number = word.trim().to_lowercase().strip_prefix("ev").and_then(|number| number.trim().parse().ok());
        number.filter(|ev| READ.contains(ev)).map(Self).ok_or_else(|| NoExposureValue(word.trim().to_owned()))
    }
}

impl fmt::Display for ExposureValue {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "EV {}", (self.0 * 10.0).round() / 10.0 + 0.0)
    }
}
