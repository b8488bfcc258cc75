//! What a long bellows takes away.

use std::fmt;
use std::str::FromStr;

use crate::light::{LengthUnit, Millimetres, Stops};

/// Longest extension over the focal length: a camera that magnifies nineteen times.
const LONGEST: f64 = 20.0;

/// A bellows drawn out to E before a lens of focal length f, E no shorter than f.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bellows {
    extension: Millimetres,
    focal: Millimetres,
}

/// Why there is no such bellows.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NoBellows {
    /// Focused beyond infinity.
    #[error(
        "the bellows of {0} is shorter than the focal length {1}: no lens is focused so: measure from the lens board \
         to the film, or are the two exchanged?"
    )]
    Shorter(String, String),
    /// More than any camera.
    #[error("the bellows of {0} is more than {LONGEST} times the focal length {1}: measure it again")]
    Longer(String, String),
    /// Not two lengths.
    #[error("\"{0}\" is no bellows: write extension and focal length, as 450/300 (mm) or 18in/12in")]
    Word(String),
}

impl Bellows {
    /// Drawn out to `extension` before a lens of `focal`.
    ///
    /// # Errors
    /// When it is shorter than the focal length, or beyond any camera.
    pub fn new(extension: Millimetres, focal: Millimetres) -> Result<Self, NoBellows> {
        let (e, f) = (told(extension), told(focal));
        match extension / focal {
            over if over < 1.0 => Err(NoBellows::Shorter(e, f)),
            over if over <= LONGEST => Ok(Self { extension, focal }),
            _ => Err(NoBellows::Longer(e, f)),
        }
    }

    /// (E/f)^2: how many times as long to expose (US Army Subcourse SS0512; large-format handbooks; read).
    pub fn factor(self) -> f64 {
        (self.extension / self.focal).powi(2)
    }

    /// The same in stops.
    pub fn stops(self) -> Stops {
        Stops::of_factor(self.factor())
    }

    /// E.
    pub const fn extension(self) -> Millimetres {
        self.extension
    }

    /// f.
    pub const fn focal(self) -> Millimetres {
        self.focal
    }
}

fn told(length: Millimetres) -> String {
    format!("{} mm", (length.value() * 10.0).round() / 10.0)
}

impl fmt::Display for Bellows {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let plain = |length: Millimetres| (length.value() * 10.0).round() / 10.0;
        write!(f, "{}/{}", plain(self.extension), plain(self.focal))
    }
}

impl FromStr for Bellows {
    type Err = NoBellows;

    /// Reads "450/300" (millimetres), "450mm/300mm", "18in/12in"; a unit at the end holds for both.
    fn from_str(word: &str) -> Result<Self, NoBellows> {
        let none = || NoBellows::Word(word.trim().to_owned());
        let (extension, focal) = word.split_once('/').ok_or_else(none)?;
        let unit = LengthUnit::behind(focal).map_or(LengthUnit::Millimetre, |(_, unit)| unit);
        let length = |part: &str| {
            let with_unit = match LengthUnit::behind(part) {
                Some(_) => part.trim().to_owned(),
                None => format!("{}{}", part.trim(), unit.name()),
            };
            with_unit.parse::<Millimetres>().map_err(|_| none())
        };
        Self::new(length(extension)?, length(focal)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_lengths_are_read_with_one_unit_or_two() {
        for word in ["450/300", "450mm/300mm", "450 / 300 mm", "45cm/30cm", "45/30cm"] {
            assert!((word.parse::<Bellows>().unwrap().factor() - 2.25).abs() < 1e-9, "{word}");
        }
        for wrong in ["", "450", "450/", "a/b", "450/0", "-450/300", "450/300/2", "nan/300"] {
            assert!(wrong.parse::<Bellows>().unwrap_err().to_string().contains("as 450/300"), "{wrong}");
        }
        assert!("30000/300".parse::<Bellows>().unwrap_err().to_string().contains("more than 20 times"));
    }
}
