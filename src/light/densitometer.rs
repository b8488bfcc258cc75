//! From scan codes to density: the densitometer that a flatbed is.

use super::calibration::Calibration;
use super::density::Density;
use super::encoding::Encoding;

/// Number of codes of a 16-bit sample.
pub const CODES: usize = 65_536;

/// Light is counted in such steps of full scale, 2^40 of them (D 12, far beyond any scanner): sums of it in 64-bit
/// numbers are then exact, so that it does not matter in which order pixels are added.
const STEPS_OF_LIGHT: f64 = (1u64 << 40) as f64;

/// The density and the linear light of each of the 65,536 codes of a scan.
///
/// T = linear light / full scale, D = -log10 T: a scanner density, until a calibration puts it right. A code that
/// stands for no light at all has no density: it is *beyond range*, not infinity.
#[derive(Clone, Debug, PartialEq)]
pub struct Densitometer {
    densities: Vec<f64>,
    light: Vec<f32>,
}

impl Densitometer {
    /// Reads codes by a scan's transfer `encoding`.
    pub fn new(encoding: &Encoding) -> Self {
        let light: Vec<f64> = (0..CODES).map(|code| encoding.decode(code as f64 / 65_535.0)).collect();
        let densities = light.iter().map(|t| if *t > 0.0 { Density::of(*t).value() } else { f64::INFINITY }).collect();
        let light = light.iter().map(|t| ((t * STEPS_OF_LIGHT).round() / STEPS_OF_LIGHT) as f32).collect();
        Self { densities, light }
    }

    /// The same, with densities put right by a `calibration`. The light stays the scanner's own: in it frames are
    /// found.
    pub fn calibrated(mut self, calibration: &Calibration) -> Self {
        for d in self.densities.iter_mut().filter(|d| d.is_finite()) {
            *d = calibration.density(Density::new(*d)).value();
        }
        self
    }

    /// The density of `code`, or `None` where it is beyond the scanner's range.
    pub fn density(&self, code: u16) -> Option<Density> {
        let d = self.densities[usize::from(code)];
        d.is_finite().then(|| Density::new(d))
    }

    /// D of every code, falling with the code; infinite where a code stands for no light.
    pub fn densities(&self) -> &[f64] {
        &self.densities
    }

    /// Linear light of every code, 0 to 1, in steps of 2^-40. Sums of up to 4096 pixels are exact as `f64`.
    pub fn light(&self) -> &[f32] {
        &self.light
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Quantising, computed: with 16-bit linear codes D 1.00, 2.00 and 3.00 are the codes 6554, 655 and 66.
    #[test]
    #[expect(clippy::approx_constant, reason = "the figure as published")]
    fn linear_codes_have_their_known_densities() {
        let bench = Densitometer::new(&Encoding::Linear);
        for (code, d) in [(6554, 1.00), (655, 2.00), (66, 3.00)] {
            let read = bench.density(code).unwrap().value();
            // Half a code at this density, dD = 0.4343 / code.
            assert!((read - d).abs() <= 0.4343 * 0.501 / f64::from(code), "code {code} reads {read}");
        }
        assert_eq!(bench.density(65_535).unwrap().value(), 0.0);
    }

    #[test]
    fn no_light_has_no_density() {
        assert_eq!(Densitometer::new(&Encoding::Gamma(2.2)).density(0), None);
    }
}
