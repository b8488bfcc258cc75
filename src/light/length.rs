//! Lengths on film and paper, and the resolution that ties them to pixels.

/// Millimetres in an inch (exact, by definition).
const MM_PER_INCH: f64 = 25.4;

/// Typographic points in an inch (the PDF unit).
const POINTS_PER_INCH: f64 = 72.0;

/// A length in millimetres.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
pub struct Millimetres(f64);

impl Millimetres {
    /// `mm` millimetres.
    pub const fn new(mm: f64) -> Self {
        Self(mm)
    }

    /// The plain number of millimetres.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The same length in PDF points, 1/72 inch.
    pub fn points(self) -> f64 {
        self.0 / MM_PER_INCH * POINTS_PER_INCH
    }

    /// The same length in pixels at a resolution: mm / 25.4 x ppi.
    pub fn pixels(self, ppi: PixelsPerInch) -> f64 {
        self.0 / MM_PER_INCH * ppi.value()
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

    /// How long `pixels` are on the film.
    pub fn length(self, pixels: f64) -> Millimetres {
        Millimetres(pixels / self.0 * MM_PER_INCH)
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
    }

    /// TIFF 6.0 units, computed: 944.88 per centimetre is 2400 per inch.
    #[test]
    fn centimetre_resolution_becomes_inches() {
        let ppi = PixelsPerInch::per_centimetre(944.88).unwrap();
        assert!((ppi.value() - 2400.0).abs() < 0.01);
        assert!(PixelsPerInch::new(0.0).is_none());
    }
}
