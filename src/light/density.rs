//! Optical density, and exposure in stops and logarithms.

use std::fmt;
use std::ops::{Add, Sub};
use std::str::FromStr;

/// log10 2: one stop as a difference in density or log exposure.
const STOP: f64 = std::f64::consts::LOG10_2;

/// Optical density D = -log10 T (ISO 5-1 notation), or a difference of two: net density is density above base.
///
/// dryside reads densities with a flatbed, so without a wedge they are *scanner densities*, not ISO densities.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Density(f64);

impl Density {
    /// The density `d`, in D units.
    pub const fn new(d: f64) -> Self {
        Self(d)
    }

    /// The density that lets the fraction `transmittance` (above 0, at most 1 for film) of the light through.
    pub fn of(transmittance: f64) -> Self {
        Self(-transmittance.log10())
    }

    /// T = 10^-D, the fraction of light let through.
    pub fn transmittance(self) -> f64 {
        10f64.powf(-self.0)
    }

    /// The plain number, in D units.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// To four decimals, as densities are written down. What is written is what is worked with, so that a run from the
    /// notes and a run from the scan agree to the bit. (Adding zero turns the -0 of clear light into 0.)
    pub fn noted(self) -> Self {
        Self((self.0 * 1e4).round() / 1e4 + 0.0)
    }
}

/// Two decimals: what a bench densitometer shows.
impl fmt::Display for Density {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:.2}", self.0)
    }
}

impl Add for Density {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Density {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

/// Logarithm to base 10 of an exposure, relative to a paper's own zero.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct LogExposure(f64);

impl LogExposure {
    /// The log exposure `x`.
    pub const fn new(x: f64) -> Self {
        Self(x)
    }

    /// The plain number.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// Exposure that reaches the paper through a negative of net density `n`: x = x0 - n.
    pub fn through(self, n: Density) -> Self {
        Self(self.0 - n.value())
    }
}

impl Add<Stops> for LogExposure {
    type Output = Self;
    fn add(self, stops: Stops) -> Self {
        Self(self.0 + stops.log_exposure())
    }
}

impl Sub for LogExposure {
    type Output = f64;
    fn sub(self, other: Self) -> f64 {
        self.0 - other.0
    }
}

/// A change of exposure in stops: one stop doubles the light.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Stops(f64);

impl Stops {
    /// `stops` stops; more light is positive.
    pub const fn new(stops: f64) -> Self {
        Self(stops)
    }

    /// The plain number of stops.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The change that makes this difference of log exposure.
    pub const fn of_log_exposure(difference: f64) -> Self {
        Self(difference / STOP)
    }

    /// The change that multiplies the light by `factor`, above 0.
    pub fn of_factor(factor: f64) -> Self {
        Self(factor.log2())
    }

    /// The same change as a difference of log exposure: one stop is log10 2 = 0.30103.
    pub fn log_exposure(self) -> f64 {
        self.0 * STOP
    }
}

impl Add for Stops {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

/// As printers write them, with their sign: "+1/3", "-1 1/2", "0"; in decimals where they are neither thirds nor
/// quarters.
impl fmt::Display for Stops {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (sign, size) = (if self.0 < 0.0 { '-' } else { '+' }, self.0.abs());
        // Thirds and quarters meet in twelfths.
        let twelfths = (size * 12.0).round();
        let part = match twelfths % 12.0 {
            0.0 => "",
            3.0 => "1/4",
            4.0 => "1/3",
            6.0 => "1/2",
            8.0 => "2/3",
            9.0 => "3/4",
            _ => return write!(f, "{:+}", self.0),
        };
        if (size * 12.0 - twelfths).abs() > 1e-9 {
            return write!(f, "{:+}", self.0);
        }
        match ((twelfths / 12.0).floor(), part) {
            (0.0, "") => f.write_str("0"),
            (0.0, part) => write!(f, "{sign}{part}"),
            (whole, "") => write!(f, "{sign}{whole}"),
            (whole, part) => write!(f, "{sign}{whole} {part}"),
        }
    }
}

impl FromStr for Stops {
    type Err = String;

    /// As printers write them: "1/3", "-1 1/2", or in decimals.
    fn from_str(word: &str) -> Result<Self, String> {
        let stops = || {
            let (sign, plain) = match word.trim().strip_prefix('-') {
                Some(rest) => (-1.0, rest),
                None => (1.0, word.trim().trim_start_matches('+')),
            };
            let (whole, fraction) = plain.rsplit_once(' ').unwrap_or(("0", plain));
            let Some((over, under)) = fraction.split_once('/') else { return word.trim().parse().ok() };
            let [whole, over, under] = [whole, over, under].map(|n| n.trim().parse::<u8>().ok());
            let under = under.filter(|n| *n > 0)?;
            Some(sign * (f64::from(whole?) + f64::from(over?) / f64::from(under)))
        };
        let stops = stops().filter(|s: &f64| s.is_finite());
        stops.map(Self).ok_or_else(|| format!("\"{word}\" are no stops: write them as 1/3, -1 1/2 or 0.5"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 5-1 notation, from memory: D = -log10 T.
    #[test]
    fn a_tenth_of_the_light_is_density_one() {
        assert!((Density::of(0.1).value() - 1.0).abs() < 1e-12);
        assert!((Density::new(2.0).transmittance() - 0.01).abs() < 1e-12);
    }

    #[test]
    fn stops_are_written_as_they_are_read() {
        for (stops, word) in [
            (0.0, "0"),
            (1.0 / 3.0, "+1/3"),
            (-1.5, "-1 1/2"),
            (2.0, "+2"),
            (-0.75, "-3/4"),
            (5.0 / 3.0, "+1 2/3"),
            (0.1, "+0.1"),
            (1.0 / 12.0 + 1.0, "+1.0833333333333333"),
        ] {
            assert_eq!(Stops::new(stops).to_string(), word);
            assert!((word.parse::<Stops>().unwrap().value() - stops).abs() < 1e-12, "{word}");
        }
        for wrong in ["", "a", "1/0", "1 1", "inf", "1//2"] {
            assert!(wrong.parse::<Stops>().is_err(), "{wrong}");
        }
    }

    /// Arithmetic: twice the light is a stop, half of it a stop less; 0.30103 of log exposure is one.
    #[test]
    #[expect(clippy::approx_constant, reason = "the figure as published")]
    fn stops_come_from_factors_and_log_exposures() {
        assert!(
            (Stops::of_factor(2.0).value() - 1.0).abs() < 1e-12 && (Stops::of_factor(0.5).value() + 1.0).abs() < 1e-12
        );
        assert!((Stops::of_log_exposure(0.301_03).value() - 1.0).abs() < 1e-5);
    }

    /// Common practice: one stop is 0.30103 in density.
    #[test]
    #[expect(clippy::approx_constant, reason = "the figure as published")]
    fn a_stop_is_three_tenths() {
        assert!((Stops::new(1.0).log_exposure() - 0.301_03).abs() < 1e-5);
        let x = LogExposure::new(0.5) + Stops::new(-1.0);
        assert!((x.value() - 0.198_97).abs() < 1e-5);
    }
}
