//! Times: of a shutter, a lens cap, a bath.

use std::fmt;
use std::str::FromStr;

use crate::light::Stops;

/// Times that are read, in s: from faster than any shutter to eleven days with a pinhole.
const READ: std::ops::RangeInclusive<f64> = 1e-6..=1e6;

/// A time in seconds, above 0.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Seconds(f64);

/// A word that is no time.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no time: write it as 1/60, 4 s, 2m or 1m30s")]
pub struct NoTime(String);

impl Seconds {
    /// One second.
    pub const ONE: Self = Self(1.0);

    /// `s` seconds, or nothing unless it is a finite number above 0.
    pub fn new(s: f64) -> Option<Self> {
        (s.is_finite() && s > 0.0).then_some(Self(s))
    }

    /// The plain number of seconds.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// As long again as `stops` stops more light take.
    pub fn longer(self, stops: Stops) -> Self {
        self.times(stops.value().exp2())
    }

    /// So many times as long.
    pub(super) fn times(self, factor: f64) -> Self {
        Self(self.0 * factor)
    }

    /// How much more light than `other` it lets in.
    pub fn over(self, other: Self) -> Stops {
        Stops::of_factor(self.0 / other.0)
    }
}

impl FromStr for Seconds {
    type Err = NoTime;

    /// Reads "1/60", "4 s", "0.5", "1 1/2 s", "2m", "1m30s", "1h 5min"; a bare number is seconds.
    fn from_str(word: &str) -> Result<Self, NoTime> {
        let plain = word.trim().to_lowercase();
        let seconds = of_one_number(&plain).or_else(|| of_parts(&plain));
        seconds.filter(|s| READ.contains(s)).map(Self).ok_or_else(|| NoTime(word.trim().to_owned()))
    }
}

/// Names of units, longest first, and their seconds.
const UNITS: [(&str, f64); 6] =
    [("sec", 1.0), ("min", 60.0), ("s", 1.0), ("m", 60.0), ("h", 3600.0), ("\u{2032}", 60.0)];

/// "1/60", "0.5 s", "1 1/2".
fn of_one_number(plain: &str) -> Option<f64> {
    let number = ["sec", "s"].iter().find_map(|unit| plain.strip_suffix(unit)).unwrap_or(plain).trim_end();
    let (whole, fraction) = match number.rsplit_once(' ') {
        Some((whole, fraction)) if fraction.contains('/') => (figures(whole)?, fraction),
        _ => (0.0, number),
    };
    match fraction.split_once('/') {
        Some((over, under)) => Some(whole + figures(over)? / figures(under)?),
        None => figures(fraction),
    }
}

/// "1m30s", "2 min", "1h 5m": each part in a smaller unit than the one before.
fn of_parts(plain: &str) -> Option<f64> {
    let (mut rest, mut sum, mut before) = (plain, 0.0, f64::INFINITY);
    while !rest.is_empty() {
        let end = rest.find(|c: char| !c.is_ascii_digit() && c != '.')?;
        let (number, behind) = (figures(&rest[..end])?, rest[end..].trim_start());
        let (name, unit) = UNITS.into_iter().find(|(name, _)| behind.starts_with(name))?;
        if unit >= before {
            return None;
        }
        (sum, before, rest) = (sum + number * unit, unit, behind[name.len()..].trim_start());
    }
    (before.is_finite()).then_some(sum)
}

/// A number of figures and at most a point: no sign, no exponent, no "nan".
fn figures(word: &str) -> Option<f64> {
    let word = word.trim();
    let plain = !word.is_empty() && word.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    plain.then(|| word.parse().ok()).flatten()
}

/// Beyond this a fraction is no longer the time that it stands for.
const FRACTION: f64 = 0.02;

/// As on paper, to two hundredths: "1/60 s", "7.17 s", "20.4 s", "3 min 34 s", "1 h 12 min".
impl fmt::Display for Seconds {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let s = self.0;
        // What rounds up to the next kind is written as that.
        let under = fraction(1.0 / s);
        let text = if s < 0.29 && (s * under - 1.0).abs() <= FRACTION {
            format!("1/{under} s")
        } else if s < 0.29 {
            format!("{} s", trimmed(s, 3))
        } else if s < 9.995 {
            format!("{} s", trimmed(s, 2))
        } else if s < 59.95 {
            format!("{} s", trimmed(s, 1))
        } else if s < 3599.5 {
            let whole = s.round();
            parts((whole / 60.0).floor(), "min", whole % 60.0, "s")
        } else {
            let minutes = (s / 60.0).round();
            parts((minutes / 60.0).floor(), "h", minutes % 60.0, "min")
        };
        f.pad(&text)
    }
}

/// What stands below the line of a fraction, to three figures.
fn fraction(under: f64) -> f64 {
    let unit = 10f64.powf((under.log10().floor() - 2.0).max(0.0));
    (under / unit).round() * unit
}

fn trimmed(number: f64, decimals: usize) -> String {
    let text = format!("{number:.decimals$}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

fn parts(large: f64, unit: &str, small: f64, smaller: &str) -> String {
    if small == 0.0 { format!("{large} {unit}") } else { format!("{large} {unit} {small} {smaller}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(word: &str) -> f64 {
        word.parse::<Seconds>().unwrap().value()
    }

    #[test]
    fn times_are_read_as_photographers_write_them() {
        for (word, s) in [
            ("1/60", 1.0 / 60.0),
            ("1/60 s", 1.0 / 60.0),
            ("4 s", 4.0),
            ("4s", 4.0),
            ("4", 4.0),
            ("0.5", 0.5),
            ("1 1/2 s", 1.5),
            ("30 sec", 30.0),
            ("2m", 120.0),
            ("2 min", 120.0),
            ("1m30s", 90.0),
            ("1 min 30 s", 90.0),
            ("1H 5m", 3900.0),
            ("1.5m", 90.0),
        ] {
            assert!((read(word) - s).abs() < 1e-12, "{word}");
        }
    }

    #[test]
    fn what_is_no_time_is_told_with_how_to_write_one() {
        for wrong in ["", "s", "banana", "-4 s", "0", "nan", "inf", "1e3", "1/0", "30s1m", "1m1m", "2 x", "1,5", "1//2"]
        {
            let told = wrong.parse::<Seconds>().unwrap_err().to_string();
            assert!(told.starts_with(&format!("\"{wrong}\" is no time: write it as 1/60")), "{told}");
        }
        assert!("99999999999 s".parse::<Seconds>().is_err());
    }

    #[test]
    fn what_is_written_is_read_again_to_two_hundredths() {
        let written = |s: f64| Seconds::new(s).unwrap().to_string();
        for (s, word) in [
            (1.0 / 60.0, "1/60 s"),
            (1.0 / 8000.0, "1/8000 s"),
            (0.25, "1/4 s"),
            (0.28, "0.28 s"),
            (0.0717, "1/14 s"),
            (0.069, "0.069 s"),
            (0.5, "0.5 s"),
            (7.174, "7.17 s"),
            (18.0, "18 s"),
            (20.417, "20.4 s"),
            (59.97, "1 min"),
            (213.5, "3 min 34 s"),
            (3600.0, "1 h"),
            (4321.0, "1 h 12 min"),
        ] {
            assert_eq!(written(s), word);
        }
        let mut s = 1e-4;
        while s < 2e5 {
            let back = read(&written(s));
            // The coarsest are fractions, and 0.29 s.
            assert!((back / s - 1.0).abs() < 0.021, "{s}: {back}");
            s *= 1.003;
        }
    }
}
