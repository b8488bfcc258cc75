//! The flat law as one table from scan code to output code, and the way back.

use super::law::Law;
use crate::light::{Densitometer, Density, Encoding, lightness, luminance};
use crate::plane::Table;

/// Full scale of a 16-bit sample.
const FULL: f64 = 65_535.0;

/// Scan code to flat code: density above `base`, the flat law, L* to Y, `encoding`.
///
/// The outermost codes are kept for what the scanner itself lost: 65,535 stands for codes without light, and 0 can
/// only come from clear full scale. Everything else stays within 1 and 65,534.
pub fn table(bench: &Densitometer, base: Density, law: &Law, encoding: &Encoding) -> Table {
    Table::of(|code| match bench.density(code) {
        None => u16::MAX,
        Some(d) => {
            let least = if code == u16::MAX { 0.0 } else { 1.0 };
            let light = luminance(law.lightness(d - base));
            (FULL * encoding.encode(light)).round().clamp(least, FULL - 1.0) as u16
        }
    })
}

/// Net density of a flat code: the way back, with the law and the encoding that the notes name. `None` for the two
/// outermost codes, which stand for what the scanner did not see.
pub fn read_back(code: u16, law: &Law, encoding: &Encoding) -> Option<Density> {
    if code == 0 || code == u16::MAX {
        return None;
    }
    Some(law.net(lightness(encoding.decode(f64::from(code) / FULL))))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn law() -> Law {
        Law::between(Density::new(0.08), Density::new(1.26))
    }

    /// Half a code is all that rounding may cost: from the flat code back to net density, and on to where that net
    /// density lies on the output scale. Every code of film (to net density 3) and every output encoding.
    #[test]
    fn net_density_comes_back_within_half_a_code() {
        let base = Density::new(0.21);
        for scan in [Encoding::Linear, Encoding::Gamma(2.2), Encoding::Srgb, Encoding::Lstar] {
            let bench = Densitometer::new(&scan);
            for out in [Encoding::Gamma(2.2), Encoding::Srgb, Encoding::Lstar, Encoding::Linear, Encoding::Gamma(1.8)] {
                let table = table(&bench, base, &law(), &out);
                let exact = |net: Density| FULL * out.encode(luminance(law().lightness(net)));
                for code in 1..u16::MAX {
                    let net = bench.density(code).unwrap() - base;
                    let flat = table.get(code);
                    // The outermost codes are held back from the limit by up to one code.
                    if flat == 1 || flat == u16::MAX - 1 {
                        continue;
                    }
                    let back = read_back(flat, &law(), &out).unwrap();
                    let off = (exact(back) - exact(net)).abs();
                    assert!(off <= 0.5 + 1e-6, "{scan} to {out}: code {code} comes back {off} codes off");
                }
            }
        }
    }

    #[test]
    fn only_what_the_scanner_lost_reaches_the_limits() {
        let bench = Densitometer::new(&Encoding::Gamma(2.2));
        let table = table(&bench, Density::new(0.21), &law(), &Encoding::Gamma(2.2));
        assert_eq!(table.get(0), u16::MAX);
        for code in 1..u16::MAX {
            assert!((1..u16::MAX).contains(&table.get(code)), "code {code}");
            assert!(table.get(code) >= table.get(code + 1), "the positive falls as the negative's light rises");
        }
    }
}
