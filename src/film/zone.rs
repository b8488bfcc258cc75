//! Zones: the steps of exposure by which photographers place a tone, and the net density that a negative has in each.

use std::fmt;
use std::str::FromStr;

use crate::light::Density;

/// Zones that a table holds: I to IX. 0 is film base and X is paper white, and no density belongs to them.
const NAMES: [&str; 9] = ["I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX"];
/// Parts of a zone that are told apart: thirds, as lenses and meters are marked.
const PARTS: f64 = 3.0;

/// Where a net density lies among the zones of a table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Zone {
    /// Thinner than zone I, by more than half a third of a zone.
    Below,
    /// The zone, fractions kept: 5.5 lies half-way between V and VI.
    At(f64),
    /// Denser than zone IX, by more than half a third of a zone.
    Above,
}

impl fmt::Display for Zone {
    /// To the nearest third, as it is written in a notebook: "V", "V 1/3", "IV 2/3"; "below I", "above IX".
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = match self {
            Self::Below => return f.pad("below I"),
            Self::Above => return f.pad("above IX"),
            Self::At(number) => number,
        };
        let thirds = ((number - 1.0) * PARTS).round().clamp(0.0, PARTS * (NAMES.len() - 1) as f64) as usize;
        let (whole, part) = (NAMES[thirds / 3], thirds % 3);
        if part == 0 { f.pad(whole) } else { f.pad(&format!("{whole} {part}/3")) }
    }
}

impl FromStr for Zone {
    type Err = String;

    /// Reads one of I to IX, with thirds: "VIII", "V 1/3".
    fn from_str(word: &str) -> Result<Self, String> {
        let upper = word.trim().to_uppercase();
        let (name, third) = match upper.split_once(' ') {
            Some((name, part)) => (name, ["1/3", "2/3"].iter().position(|p| *p == part.trim()).map(|p| p + 1)),
            None => (upper.as_str(), Some(0)),
        };
        let number = NAMES.iter().position(|known| *known == name).zip(third);
        let number = number.map(|(zone, third)| 1.0 + zone as f64 + third as f64 / PARTS);
        let number = number.filter(|number| *number <= NAMES.len() as f64);
        number.map(Self::At).ok_or_else(|| format!("\"{word}\" is no zone: use I to IX, or a third as V 1/3"))
    }
}

/// The net density of each zone. It depends on film, development and printing light, so a zone means nothing without
/// its table.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneTable {
    name: &'static str,
    net: [f64; 9],
}

impl ZoneTable {
    /// The default: one published test of 35 mm film for a condenser enlarger (read): I 0.10, II 0.21, III 0.34, IV 0.48,
    /// V 0.62, VI 0.76, VII 0.97, VIII 1.18, IX 1.33.
    pub const fn condenser_test() -> Self {
        Self {
            name: "a published zone test (35 mm film, condenser enlarger)",
            net: [0.10, 0.21, 0.34, 0.48, 0.62, 0.76, 0.97, 1.18, 1.33],
        }
    }

    /// The table's name, to be printed wherever one of its zones is.
    pub const fn name(&self) -> &'static str {
        self.name
    }

    /// Each zone with its net density, I first.
    pub fn zones(&self) -> impl Iterator<Item = (&'static str, Density)> {
        NAMES.into_iter().zip(self.net.map(Density::new))
    }

    /// The zone of a net density, joined by straight lines between the table's.
    pub fn zone(&self, net: Density) -> Zone {
        let n = net.value();
        // The outer intervals run on by half a third, so that I and IX are rounded to as any other.
        let i = self.net[1..self.net.len() - 1].iter().take_while(|above| **above <= n).count();
        let number = 1.0 + i as f64 + (n - self.net[i]) / (self.net[i + 1] - self.net[i]);
        let half_a_part = 0.5 / PARTS;
        if number < 1.0 - half_a_part {
            Zone::Below
        } else if number > NAMES.len() as f64 + half_a_part {
            Zone::Above
        } else {
            Zone::At(number)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn name(net: f64) -> String {
        ZoneTable::condenser_test().zone(Density::new(net)).to_string()
    }

    /// The published figures, one by one.
    #[test]
    fn each_published_density_is_its_zone() {
        let published = [0.10, 0.21, 0.34, 0.48, 0.62, 0.76, 0.97, 1.18, 1.33];
        for (i, net) in published.into_iter().enumerate() {
            assert_eq!(name(net), NAMES[i]);
            let Zone::At(number) = ZoneTable::condenser_test().zone(Density::new(net)) else { panic!("{net}") };
            assert!((number - (i as f64 + 1.0)).abs() < 1e-9);
        }
    }

    /// Worked out by hand between the published figures.
    #[test]
    fn between_two_zones_thirds_are_told() {
        // V 0.62 and VI 0.76 are 0.14 apart: from 0.6433, 0.69 and 0.7367 on the next third is the nearer one.
        assert_eq!([0.64, 0.65, 0.68, 0.70, 0.73, 0.74].map(name), ["V", "V 1/3", "V 1/3", "V 2/3", "V 2/3", "VI"]);
        assert_eq!(name(0.90), "VI 2/3");
    }

    #[test]
    fn zones_are_read_as_they_are_written() {
        for name in ["I", "V", "V 1/3", "VIII 2/3", "IX"] {
            assert_eq!(name.parse::<Zone>().unwrap().to_string(), name);
            assert_eq!(name.to_lowercase().parse::<Zone>(), name.parse());
        }
        for wrong in ["", "X", "0", "V 1/2", "IX 1/3", "8"] {
            assert!(wrong.parse::<Zone>().unwrap_err().contains("I to IX"), "{wrong}");
        }
    }

    #[test]
    fn what_lies_outside_the_table_is_said_so() {
        assert_eq!([-0.02, 0.0, 0.07].map(name), ["below I"; 3]);
        assert_eq!([0.09, 0.11].map(name), ["I"; 2]);
        assert_eq!([1.32, 1.35].map(name), ["IX"; 2]);
        assert_eq!([1.36, 2.5].map(name), ["above IX"; 2]);
    }
}
