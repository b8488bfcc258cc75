//! Sheets of printing paper.

use std::fmt;
use std::str::FromStr;

use crate::light::{LengthUnit, Millimetres};

/// The least and the longest side of a sheet: a contact of one frame, and a roll's width and more.
const SIDES: std::ops::RangeInclusive<f64> = 10.0..=10_000.0;

/// Sheets as they are commonly sold, in centimetres and in inches (common practice).
const SOLD: [&[[f64; 2]]; 2] =
    [&[[18.0, 13.0], [24.0, 18.0], [30.0, 24.0], [40.0, 30.0]], &[[7.0, 5.0], [10.0, 8.0], [14.0, 11.0], [20.0, 16.0]]];

/// Width and height of a sheet, as a person gave them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PaperSize {
    sides: [f64; 2],
    unit: LengthUnit,
}

/// A word that is no size of a sheet.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no size of a sheet: give width and height from 1 cm to 10 m, as 30x24cm, 300x240mm or 8x10in")]
pub struct UnknownPaperSize(String);

impl PaperSize {
    /// Width and height of the sheet, turned so that its long side lies where `picture` (width, height) has its own. A
    /// square picture leaves it as it was given.
    pub fn turned_for(&self, (across, down): (f64, f64)) -> (Millimetres, Millimetres) {
        let [width, height] = self.sides.map(|side| self.unit.times(side));
        let other_way = (across - down) * (width.value() - height.value()) < 0.0;
        if other_way { (height, width) } else { (width, height) }
    }

    /// A few sheets to choose from, small ones first: as they are sold in its own system of units, and this one among
    /// them.
    pub fn choices(self) -> Vec<Self> {
        let (unit, sold) = match self.unit {
            LengthUnit::Inch => (LengthUnit::Inch, SOLD[1]),
            LengthUnit::Millimetre | LengthUnit::Centimetre => (LengthUnit::Centimetre, SOLD[0]),
        };
        let area = |size: &Self| size.sides.iter().map(|side| size.unit.times(*side).value()).product::<f64>();
        let mut all: Vec<Self> = sold.iter().map(|sides| Self { sides: *sides, unit }).collect();
        if !all.contains(&self) {
            all.push(self);
            all.sort_by(|a, b| area(a).total_cmp(&area(b)));
        }
        all
    }

    /// The unit it was given in.
    pub fn unit(&self) -> LengthUnit {
        self.unit
    }
}

/// As it is read: `30x24cm`.
impl fmt::Display for PaperSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [width, height] = self.sides;
        write!(f, "{width}x{height}{}", self.unit.name())
    }
}

impl FromStr for PaperSize {
    type Err = UnknownPaperSize;

    /// Reads `30x24cm`, `8 x 10 in`, `300mm x 240mm`.
    fn from_str(word: &str) -> Result<Self, UnknownPaperSize> {
        let read = || {
            let plain = word.trim().to_lowercase();
            let (width, height) = plain.split_once(['x', '\u{d7}'])?;
            let (height, unit) = LengthUnit::behind(height)?;
            let width = match LengthUnit::behind(width) {
                Some((number, same)) if same == unit => number,
                Some(_) => return None,
                None => width,
            };
            let side = |number: &str| {
                let side: f64 = number.trim().parse().ok()?;
                SIDES.contains(&unit.times(side).value()).then_some(side)
            };
            Some(Self { sides: [side(width)?, side(height)?], unit })
        };
        read().ok_or_else(|| UnknownPaperSize(word.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_read_as_people_write_them_and_come_back() {
        for (word, width, height, plain) in [
            ("30x24cm", 300.0, 240.0, "30x24cm"),
            ("8 x 10 in", 203.2, 254.0, "8x10in"),
            ("300mm x 240mm", 300.0, 240.0, "300x240mm"),
            ("9.5\u{d7}12IN", 241.3, 304.8, "9.5x12in"),
        ] {
            let size: PaperSize = word.parse().unwrap();
            let (w, h) = size.turned_for((1.0, 1.0));
            assert!((w.value() - width).abs() < 1e-9 && (h.value() - height).abs() < 1e-9, "{word}");
            assert_eq!(size.to_string(), plain);
            assert_eq!(plain.parse::<PaperSize>().unwrap(), size);
        }
        for wrong in ["0x24cm", "30x24", "30cm", "30x-2cm", "30cm x 9in", "1e9x2cm", "NaNx3cm", "", "x cm"] {
            assert!(wrong.parse::<PaperSize>().unwrap_err().to_string().contains("as 30x24cm"), "{wrong}");
        }
    }

    #[test]
    fn the_sheet_that_is_asked_for_is_among_those_to_choose_from() {
        let choices = |word: &str| {
            let all: Vec<_> = word.parse::<PaperSize>().unwrap().choices().iter().map(ToString::to_string).collect();
            all.join(" ")
        };
        assert_eq!(choices("30x24cm"), "18x13cm 24x18cm 30x24cm 40x30cm");
        assert_eq!(choices("80x60mm"), "80x60mm 18x13cm 24x18cm 30x24cm 40x30cm");
        assert_eq!(choices("12x9.5in"), "7x5in 10x8in 12x9.5in 14x11in 20x16in");
    }

    #[test]
    fn the_sheet_is_turned_to_suit_the_picture() {
        let size: PaperSize = "30x24cm".parse().unwrap();
        assert_eq!(size.turned_for((5.0, 4.0)).0, Millimetres::new(300.0));
        assert_eq!(size.turned_for((4.0, 5.0)).0, Millimetres::new(240.0));
        assert_eq!(size.turned_for((5.0, 5.0)).0, Millimetres::new(300.0));
    }
}
