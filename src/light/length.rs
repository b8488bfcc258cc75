//! Lengths on film and paper, and the resolution that ties them to pixels.

use std::ops::{Add, AddAssign, Div, Mul, Sub};
use std::str::FromStr;

/// Millimetres in an inch, exactly (international yard and pound agreement of 1959).
const MM_PER_INCH: f64 = 25.4;

/// Points in an inch, as PDF counts them (ISO 32000-1:2008, 8.3.2.3: default user space unit 1/72 inch).
const POINTS_PER_INCH: f64 = 72.0;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Millimetres(f64);

impl Millimetres {
    /// `mm` millimetres.
    pub const fn new(mm: f64) -> Self {
        Self(mm)
    }

    /// A length given in points of 1/72 inch.
    pub const fn from_points(points: f64) -> Self {
        Self(points * MM_PER_INCH / POINTS_PER_INCH)
    }

    /// The length of so many pixels: pixels x 25.4 / ppi.
    pub const fn of_pixels(pixels: f64, ppi: PixelsPerInch) -> Self {
        Self(pixels * MM_PER_INCH / ppi.value())
    }

    /// The plain number of millimetres.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The same length in points of 1/72 inch.
    pub const fn points(self) -> f64 {
        self.0 * POINTS_PER_INCH / MM_PER_INCH
    }

    /// The same length in pixels, fractions kept: mm / 25.4 x ppi.
    pub const fn pixels(self, ppi: PixelsPerInch) -> f64 {
        self.0 * ppi.value() / MM_PER_INCH
    }

    /// The shorter of two lengths.
    pub fn min(self, other: Self) -> Self {
        Self(self.0.min(other.0))
    }

    /// The longer of two lengths.
    pub fn max(self, other: Self) -> Self {
        Self(self.0.max(other.0))
    }
}

/// The units in which people give lengths on film and paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LengthUnit {
    /// mm
    Millimetre,
    /// cm
    Centimetre,
    /// in
    Inch,
}

impl LengthUnit {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Millimetre, Self::Centimetre, Self::Inch];

    /// How it is written behind a number.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Millimetre => "mm",
            Self::Centimetre => "cm",
            Self::Inch => "in",
        }
    }

    /// So many of it.
    pub const fn times(self, number: f64) -> Millimetres {
        Millimetres(number * self.millimetres())
    }

    /// How many of it a length is.
    pub const fn count(self, length: Millimetres) -> f64 {
        length.0 / self.millimetres()
    }

    const fn millimetres(self) -> f64 {
        match self {
            Self::Millimetre => 1.0,
            Self::Centimetre => 10.0,
            Self::Inch => MM_PER_INCH,
        }
    }

    /// The unit at the end of a word, and what stands before it.
    pub fn behind(word: &str) -> Option<(&str, Self)> {
        Self::ALL.into_iter().find_map(|unit| Some((word.trim_end().strip_suffix(unit.name())?.trim_end(), unit)))
    }
}

/// A word that is no length.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no length: use millimetres, centimetres or inches, as 3mm, 0.3cm or 0.1in")]
pub struct UnknownLength(String);

impl FromStr for Millimetres {
    type Err = UnknownLength;

    /// Reads a length above 0 with its unit: `3mm`, `0.3cm`, `0.1in`, with or without a space.
    fn from_str(word: &str) -> Result<Self, UnknownLength> {
        let length = LengthUnit::behind(word.trim())
            .and_then(|(number, unit)| number.parse().ok().map(|number| unit.times(number)));
        length.filter(|l| l.0.is_finite() && l.0 > 0.0).ok_or_else(|| UnknownLength(word.to_owned()))
    }
}

impl Add for Millimetres {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl AddAssign for Millimetres {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sub for Millimetres {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<f64> for Millimetres {
    type Output = Self;
    fn mul(self, times: f64) -> Self {
        Self(self.0 * times)
    }
}

impl Div<f64> for Millimetres {
    type Output = Self;
    fn div(self, by: f64) -> Self {
        Self(self.0 / by)
    }
}

impl Div for Millimetres {
    type Output = f64;
    fn div(self, other: Self) -> f64 {
        self.0 / other.0
    }
}

/// Resolution of a scan or a print in pixels per inch; always above 0.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct PixelsPerInch(f64);

impl PixelsPerInch {
    /// `ppi` pixels per inch, or `None` unless it is a finite number above 0.
    pub fn new(ppi: f64) -> Option<Self> {
        (ppi.is_finite() && ppi > 0.0).then_some(Self(ppi))
    }

    /// From pixels per centimetre (TIFF 6.0, ResolutionUnit 3).
    pub fn per_centimetre(ppcm: f64) -> Option<Self> {
        Self::new(ppcm * MM_PER_INCH / 10.0)
    }

    /// The plain number of pixels per inch.
    pub const fn value(self) -> f64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Arithmetic: 96 x 120 mm at 2400 ppi is 9071 x 11339 pixels.
    #[test]
    fn a_four_by_five_at_2400_ppi_has_its_known_pixels() {
        let ppi = PixelsPerInch::new(2400.0).unwrap();
        assert_eq!(Millimetres::new(96.0).pixels(ppi).round(), 9071.0);
        assert_eq!(Millimetres::new(120.0).pixels(ppi).round(), 11339.0);
        assert_eq!(Millimetres::of_pixels(9600.0, ppi).value(), 101.6);
    }

    #[test]
    fn an_inch_is_seventy_two_points() {
        assert_eq!(Millimetres::new(25.4).points(), 72.0);
        assert_eq!(Millimetres::from_points(72.0), Millimetres::new(25.4));
        assert_eq!(Millimetres::new(60.0) / Millimetres::new(15.0), 4.0);
    }

    #[test]
    fn lengths_are_read_with_their_unit() {
        for (word, mm) in [("3mm", 3.0), ("0.5 mm", 0.5), ("1in", 25.4), (" 0.1in ", 2.54), ("3 cm", 30.0)] {
            assert!((word.parse::<Millimetres>().unwrap().value() - mm).abs() < 1e-12, "{word}");
        }
        for wrong in ["3", "mm", "-1mm", "0in", "inf mm", "3 ft", "NaNmm"] {
            assert!(wrong.parse::<Millimetres>().is_err(), "{wrong}");
        }
    }

    /// TIFF 6.0 units, computed: 944.88 per centimetre is 2400 per inch.
    #[test]
    fn centimetre_resolution_becomes_inches() {
        let ppi = PixelsPerInch::per_centimetre(944.88).unwrap();
        assert!((ppi.value() - 2400.0).abs() < 0.01);
        assert!(PixelsPerInch::new(0.0).is_none());
    }
}
