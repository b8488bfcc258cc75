//! Zones: the steps of exposure by which photographers place a tone, and the net density that a negative has in each.

use std::borrow::Cow;
use std::fmt;
use std::str::FromStr;

use crate::light::Density;
use crate::meter::{ZONE_NAMES, ZoneStep};

/// Zones that a table holds: I to IX. 0 is film base and X is paper white, and no density belongs to them.
const ZONES: usize = 9;
/// Parts of a zone that are told apart: thirds, as lenses and meters are marked.
const PARTS: f64 = 3.0;
/// Net densities that a zone can have.
const OF_A_ZONE: std::ops::RangeInclusive<f64> = 0.0..=4.0;

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
        let thirds = ((number - 1.0) * PARTS).round().clamp(0.0, PARTS * (ZONES - 1) as f64) as usize;
        let (whole, part) = (ZONE_NAMES[1 + thirds / 3], thirds % 3);
        if part == 0 { f.pad(whole) } else { f.pad(&format!("{whole} {part}/3")) }
    }
}

impl FromStr for Zone {
    type Err = String;

    /// Reads one of I to IX, with thirds: "VIII", "V 1/3".
    fn from_str(word: &str) -> Result<Self, String> {
        let number = word.parse().ok().map(ZoneStep::number);
        let in_thirds = |number: &f64| ((number * PARTS).round() - number * PARTS).abs() < 1e-9;
        let number = number.filter(in_thirds).filter(|number| (1.0..=ZONES as f64).contains(number));
        number.map(Self::At).ok_or_else(|| format!("\"{word}\" is no zone: use I to IX, or a third as V 1/3"))
    }
}

/// The net density of each zone. It depends on film, development and printing light, so a zone means nothing without
/// its table.
#[derive(Clone, Debug, PartialEq)]
pub struct ZoneTable {
    name: Cow<'static, str>,
    net: [f64; ZONES],
}

impl ZoneTable {
    /// The default: one published test of 35 mm film for a condenser enlarger (read): I 0.10, II 0.21, III 0.34, IV
    /// 0.48, V 0.62, VI 0.76, VII 0.97, VIII 1.18, IX 1.33.
    pub const fn condenser_test() -> Self {
        Self {
            name: Cow::Borrowed("a published zone test (35 mm film, condenser enlarger)"),
            net: [0.10, 0.21, 0.34, 0.48, 0.62, 0.76, 0.97, 1.18, 1.33],
        }
    }

    /// The table's name, to be printed wherever one of its zones is.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// The net density that a zone is to have, joined by straight lines between the table's; nothing for what lies
    /// below I or above IX.
    pub fn net(&self, zone: ZoneStep) -> Option<Density> {
        self.holds(zone.number()).then(|| self.density(zone.number()))
    }

    /// Whether the number of a zone lies from I to IX.
    pub fn holds(&self, number: f64) -> bool {
        (1.0..=ZONES as f64).contains(&number)
    }

    /// The net density at the number of a zone, on along the outer lines beyond I and IX.
    pub fn density(&self, number: f64) -> Density {
        let below = (number.floor().clamp(1.0, (ZONES - 1) as f64) - 1.0) as usize;
        let part = number - 1.0 - below as f64;
        Density::new(self.net[below] + part * (self.net[below + 1] - self.net[below]))
    }

    /// The number of the zone that a net density lies at, on along the outer lines beyond I and IX.
    pub fn number(&self, net: Density) -> f64 {
        let n = net.value();
        let i = self.net[1..ZONES - 1].iter().take_while(|above| **above <= n).count();
        1.0 + i as f64 + (n - self.net[i]) / (self.net[i + 1] - self.net[i])
    }

    /// Each zone with its net density, I first.
    pub fn zones(&self) -> impl Iterator<Item = (&'static str, Density)> {
        ZONE_NAMES.into_iter().skip(1).zip(self.net.map(Density::new))
    }

    /// The zone of a net density, joined by straight lines between the table's.
    pub fn zone(&self, net: Density) -> Zone {
        // The outer intervals run on by half a third, so that I and IX are rounded to as any other.
        let number = self.number(net);
        let half_a_part = 0.5 / PARTS;
        if number < 1.0 - half_a_part {
            Zone::Below
        } else if number > ZONES as f64 + half_a_part {
            Zone::Above
        } else {
            Zone::At(number)
        }
    }
}

impl Default for ZoneTable {
    fn default() -> Self {
        Self::condenser_test()
    }
}

/// Its nine densities, as they are read; the default by its word.
impl fmt::Display for ZoneTable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if *self == Self::condenser_test() {
            return f.write_str(CONDENSER);
        }
        let words: Vec<String> = self.net.iter().map(|net| format!("{net:.2}")).collect();
        f.write_str(&words.join(" "))
    }
}

/// The word for the default table.
const CONDENSER: &str = "condenser";

impl FromStr for ZoneTable {
    type Err = String;

    /// Reads nine net densities, I to IX, each denser than the one before, with blanks or commas between; or
    /// "condenser". They are taken to a hundredth, as a densitometer shows them and as they are written down.
    fn from_str(word: &str) -> Result<Self, String> {
        if word.trim().eq_ignore_ascii_case(CONDENSER) {
            return Ok(Self::default());
        }
        let words = word.split([' ', ',']).filter(|part| !part.is_empty());
        let hundredth = |net: f64| (net * 100.0).round() / 100.0;
        let number = |n: &str| n.parse().ok().filter(|n| OF_A_ZONE.contains(n)).map(hundredth);
        let numbers: Option<Vec<f64>> = words.map(number).collect();
        let net = numbers.and_then(|numbers| <[f64; ZONES]>::try_from(numbers).ok());
        let net = net.filter(|net| net.windows(2).all(|pair| pair[0] < pair[1]));
        net.map(|net| Self { name: Cow::Borrowed("aims of your own"), net }).ok_or_else(|| {
            format!("\"{word}\" are no zones: use condenser, or nine net densities, I to IX, as 0.10 0.21 0.34 0.48 0.62 0.76 0.97 1.18 1.33")
        })
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
            assert_eq!(name(net), ZONE_NAMES[i + 1]);
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

    /// The published figures again, and half-way between two of them.
    #[test]
    fn a_zone_has_its_density_and_own_aims_are_read_as_they_are_written() {
        let table = ZoneTable::condenser_test();
        let net = |zone: &str| table.net(zone.parse().unwrap()).map(|d| (d.value() * 1e4).round() / 1e4);
        assert_eq!(["I", "III", "IX", "III 1/2"].map(net), [Some(0.10), Some(0.34), Some(1.33), Some(0.41)]);
        assert_eq!(["0", "X", "0 2/3", "IX 1/3"].map(net), [None; 4]);
        for number in [-1.0, 0.5, 1.0, 3.4, 9.0, 11.0] {
            assert!((table.number(table.density(number)) - number).abs() < 1e-9, "{number}");
        }
        let own = "0.09 0.18 0.30 0.45 0.70 0.85 1.05 1.30 1.45";
        assert_eq!(own.replace(' ', ", ").parse::<ZoneTable>().unwrap().to_string(), own);
        assert_eq!("Condenser".parse::<ZoneTable>().unwrap().to_string(), "condenser");
        for wrong in
            ["", "0.1", "0.1 0.2 0.3 0.4 0.5 0.6 0.7 0.8 0.8", "0.1 0.2 0.3 0.4 0.5 0.6 0.7 0.8 nan", "own.toml"]
        {
            assert!(wrong.parse::<ZoneTable>().unwrap_err().contains("nine net densities"), "{wrong}");
        }
    }

    #[test]
    fn what_lies_outside_the_table_is_said_so() {
        assert_eq!([-0.02, 0.0, 0.07].map(name), ["below I"; 3]);
        assert_eq!([0.09, 0.11].map(name), ["I"; 2]);
        assert_eq!([1.32, 1.35].map(name), ["IX"; 2]);
        assert_eq!([1.36, 2.5].map(name), ["above IX"; 2]);
    }

    /// Found by fuzzing: nearer to one another than they are written down, they could not be read back.
    #[test]
    fn densities_that_are_one_to_a_hundredth_are_not_two() {
        assert!("0.098 .10 0.30 0.45 0.70 0.85 1.05 1.30 1.45".parse::<ZoneTable>().is_err());
        let table: ZoneTable = "0.098 0.211 0.30 0.45 0.70 0.85 1.05 1.30 1.45".parse().unwrap();
        assert_eq!(table.to_string(), "0.10 0.21 0.30 0.45 0.70 0.85 1.05 1.30 1.45");
        assert_eq!(table.to_string().parse(), Ok(table));
    }
}
