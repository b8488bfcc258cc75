//! Transfer encodings: how a code between 0 and 1 stands for linear light.

use std::fmt;
use std::str::FromStr;

use super::lightness::{lightness, luminance};

/// A transfer curve between an encoded value and linear light, both 0 to 1.
#[derive(Clone, Debug, PartialEq)]
pub enum Encoding {
    /// Codes proportional to light.
    Linear,
    /// light = code^gamma, without a straight part.
    Gamma(f64),
    /// IEC 61966-2-1.
    Srgb,
    /// Codes proportional to CIE L* (CIE 15).
    Lstar,
    /// A profile's sampled curve: light at evenly spaced codes, joined by straight lines (ICC.1 `curv`).
    Table(Vec<u16>),
    /// A profile's formula (ICC.1 `para`, types 1 to 4 written as type 4):
    /// (a X + b)^g + e from X >= d, else c X + f; in the order g, a, b, c, d, e, f.
    Formula([f64; 7]),
}

/// A name that is none of the encodings.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no encoding: use gamma2.2 (or another from gamma1.0 to gamma3.0), srgb, lstar or linear")]
pub struct UnknownEncoding(String);

impl Encoding {
    /// Linear light (0 to 1) of an encoded value (0 to 1, clamped).
    pub fn decode(&self, code: f64) -> f64 {
        let x = code.clamp(0.0, 1.0);
        match self {
            Self::Linear => x,
            Self::Gamma(g) => x.powf(*g),
            // IEC 61966-2-1, decoding knee 0.04045.
            Self::Srgb if x <= 0.04045 => x / 12.92,
            Self::Srgb => ((x + 0.055) / 1.055).powf(2.4),
            Self::Lstar => luminance(100.0 * x),
            Self::Table(points) => between(points, x),
            Self::Formula([g, a, b, c, d, e, f]) => {
                let y = if x >= *d { (a * x + b).max(0.0).powf(*g) + e } else { c * x + f };
                y.clamp(0.0, 1.0)
            }
        }
    }

    /// Encoded value (0 to 1) of linear light (0 to 1, clamped): the inverse of [`Encoding::decode`].
    pub fn encode(&self, light: f64) -> f64 {
        let y = light.clamp(0.0, 1.0);
        match self {
            Self::Linear => y,
            Self::Gamma(g) => y.powf(1.0 / g),
            // IEC 61966-2-1, encoding knee 0.0031308.
            Self::Srgb if y <= 0.003_130_8 => 12.92 * y,
            Self::Srgb => 1.055 * y.powf(1.0 / 2.4) - 0.055,
            Self::Lstar => lightness(y) / 100.0,
            Self::Table(_) | Self::Formula(_) => self.bisect(y),
        }
    }

    /// Inverts a rising profile curve by halving, to better than 1e-9 of full scale.
    fn bisect(&self, y: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..32 {
            let middle = (low + high) / 2.0;
            if self.decode(middle) < y { low = middle } else { high = middle }
        }
        (low + high) / 2.0
    }

    /// The curve that a person would name for this one: a profile's table or formula that follows a named curve to
    /// within 0.002 of full scale is called by its name in reports. The numbers always come from the curve itself.
    fn nearest_name(&self) -> Option<Self> {
        const NAMED: [Encoding; 5] =
            [Encoding::Linear, Encoding::Gamma(2.2), Encoding::Gamma(1.8), Encoding::Srgb, Encoding::Lstar];
        NAMED.into_iter().find(|named| {
            (0..=64).all(|i| {
                let x = f64::from(i) / 64.0;
                (named.decode(x) - self.decode(x)).abs() < 0.002
            })
        })
    }
}

fn between(points: &[u16], x: f64) -> f64 {
    let last = points.len() - 1;
    let at = x * last as f64;
    let i = (at as usize).min(last - 1);
    let (a, b) = (f64::from(points[i]), f64::from(points[i + 1]));
    (a + (b - a) * (at - i as f64)) / 65535.0
}

/// The name used in reports and notes; [`FromStr`] reads the named ones back.
impl fmt::Display for Encoding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Linear => f.write_str("linear"),
            // A profile stores 2.2 as 563/256 = 2.19922; other gammas are told as they are.
            Self::Gamma(g) => {
                let short = (g * 10.0).round() / 10.0;
                write!(f, "gamma {}", if (g - short).abs() < 0.001 { short } else { *g })
            }
            Self::Srgb => f.write_str("srgb"),
            Self::Lstar => f.write_str("lstar"),
            Self::Table(points) => match self.nearest_name() {
                Some(named) => write!(f, "{named}"),
                None => write!(f, "table of {} points", points.len()),
            },
            Self::Formula(_) => match self.nearest_name() {
                Some(named) => write!(f, "{named}"),
                None => f.write_str("formula"),
            },
        }
    }
}

impl FromStr for Encoding {
    type Err = UnknownEncoding;

    /// Reads `linear`, `gamma2.2` or `gamma 1.8` (1.0 to 3.0), `srgb`, `lstar`.
    fn from_str(name: &str) -> Result<Self, UnknownEncoding> {
        let unknown = || UnknownEncoding(name.to_owned());
        match name {
            "linear" => Ok(Self::Linear),
            "srgb" => Ok(Self::Srgb),
            "lstar" => Ok(Self::Lstar),
            _ => {
                let gamma: f64 = name.strip_prefix("gamma").and_then(|g| g.trim().parse().ok()).ok_or_else(unknown)?;
                // A name holds what a key and a record can tell apart.
                let told = Self::Gamma(gamma).to_string() == format!("gamma {gamma}");
                if (1.0..=3.0).contains(&gamma) && told { Ok(Self::Gamma(gamma)) } else { Err(unknown()) }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use palette::{LinSrgb, Srgb};

    /// IEC 61966-2-1 through the `palette` crate, every 16-bit code at a step of 17.
    #[test]
    fn srgb_agrees_with_an_independent_library() {
        for code in (0..=65535u32).step_by(17) {
            let x = f64::from(code) / 65535.0;
            let theirs: LinSrgb<f64> = Srgb::new(x, x, x).into_linear();
            assert!((Encoding::Srgb.decode(x) - theirs.red).abs() < 1e-6, "code {code}");
        }
    }

    /// 18 % grey: sRGB 118, gamma 2.2 117 in 8 bit (computed with colour-science 0.4.7).
    #[test]
    fn middle_grey_has_its_known_codes() {
        let grey = crate::light::Density::new(0.7447).transmittance();
        assert_eq!((255.0 * Encoding::Srgb.encode(grey)).round(), 118.0);
        assert_eq!((255.0 * Encoding::Gamma(2.2).encode(grey)).round(), 117.0);
    }

    #[test]
    fn every_encoding_comes_back() {
        let table = Encoding::Table(
            (0..1024u32).map(|i| (65535.0 * (f64::from(i) / 1023.0).powf(1.9)).round() as u16).collect(),
        );
        let formula = Encoding::Formula([2.4, 1.0 / 1.055, 0.055 / 1.055, 1.0 / 12.92, 0.04045, 0.0, 0.0]);
        for encoding in [Encoding::Linear, Encoding::Gamma(1.8), Encoding::Srgb, Encoding::Lstar, table, formula] {
            for i in 1..=200 {
                let y = f64::from(i) / 200.0;
                assert!((encoding.decode(encoding.encode(y)) - y).abs() < 1e-6, "{encoding} at {y}");
            }
        }
    }

    #[test]
    fn a_name_is_read_back_and_a_wrong_one_says_what_there_is() {
        for name in ["linear", "gamma2.2", "gamma 1.8", "srgb", "lstar"] {
            let encoding: Encoding = name.parse().unwrap();
            assert_eq!(encoding.to_string().parse::<Encoding>().unwrap(), encoding);
        }
        assert!("rec709".parse::<Encoding>().unwrap_err().to_string().contains("use gamma2.2"));
        assert!("gamma9".parse::<Encoding>().is_err());
        assert!("gamma2.2004".parse::<Encoding>().is_err(), "a record could not tell it from 2.2");
        assert_eq!("gamma2.15".parse::<Encoding>().unwrap().to_string(), "gamma 2.15");
    }
}
