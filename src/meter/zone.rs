//! Where a reading is placed: the step of exposure that a tone is to get.

use std::fmt;
use std::str::FromStr;

use crate::light::Stops;

/// Names of the zones, 0 to X. A meter's reading by itself is V, and each is a stop from the next (common practice).
pub const ZONE_NAMES: [&str; 11] = ["0", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"];

/// Zone that a meter's reading gives what it is pointed at (common practice).
const METERED: f64 = 5.0;

/// Parts of a zone that can be written, in zones.
const PARTS: [(&str, f64); 3] = [("1/3", 1.0 / 3.0), ("1/2", 0.5), ("2/3", 2.0 / 3.0)];

/// A zone of exposure, 0 to X, in halves or thirds.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct ZoneStep(f64);

/// A word that is no zone.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\" is no zone: use 0, I to X, or a part as III 1/2")]
pub struct NoZone(String);

impl ZoneStep {
    /// That of a meter's reading: V.
    pub const METERED: Self = Self(METERED);

    /// The plain number: 3 for III.
    pub const fn number(self) -> f64 {
        self.0
    }

    /// How much more light than the meter says, so that what it read comes to lie here.
    pub fn from_metered(self) -> Stops {
        Stops::new(self.0 - METERED)
    }
}

impl FromStr for ZoneStep {
    type Err = NoZone;

    /// Reads "III", "III 1/2", "V 1/3".
    fn from_str(word: &str) -> Result<Self, NoZone> {
        let upper = word.trim().to_uppercase();
        let (name, part) = match upper.split_once(' ') {
            Some((name, part)) => (name, PARTS.iter().find(|(known, _)| *known == part.trim()).map(|(_, part)| *part)),
            None => (upper.as_str(), Some(0.0)),
        };
        let number =
            ZONE_NAMES.iter().position(|known| *known == name).zip(part).map(|(zone, part)| zone as f64 + part);
        let last = (ZONE_NAMES.len() - 1) as f64;
        number.filter(|number| *number <= last).map(Self).ok_or_else(|| NoZone(word.trim().to_owned()))
    }
}

impl fmt::Display for ZoneStep {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let whole = ZONE_NAMES[self.0 as usize];
        match PARTS.iter().find(|(_, part)| (self.0.fract() - part).abs() < 1e-9) {
            Some((part, _)) => f.pad(&format!("{whole} {part}")),
            None => f.pad(whole),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: a zone is a stop, and a meter makes V of whatever it reads.
    #[test]
    fn a_zone_is_a_stop_and_a_reading_is_five() {
        for (name, stops) in [("V", 0.0), ("III", -2.0), ("VIII", 3.0), ("0", -5.0), ("IV 1/2", -0.5), ("x", 5.0)] {
            assert!((name.parse::<ZoneStep>().unwrap().from_metered().value() - stops).abs() < 1e-12, "{name}");
        }
    }

    #[test]
    fn zones_are_written_as_they_are_read() {
        for name in ["0", "0 1/2", "I", "III 1/3", "VII 2/3", "IX 1/2", "X"] {
            assert_eq!(name.parse::<ZoneStep>().unwrap().to_string(), name);
        }
        for wrong in ["", "XI", "X 1/3", "3", "III 1/4", "IIII", "V  x"] {
            assert!(wrong.parse::<ZoneStep>().unwrap_err().to_string().contains("use 0, I to X"), "{wrong}");
        }
    }
}
