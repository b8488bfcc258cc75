//! Kinds of picture files.

use std::fmt;
use std::str::FromStr;

/// What a picture is saved as.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PictureKind {
    /// 16 bits, written row by row.
    Tiff,
    /// 8 bits, lossy.
    Jpeg,
    /// 8 bits.
    Png,
}

const NAMES: [(PictureKind, &str, &str); 3] =
    [(PictureKind::Tiff, "tiff", "tif"), (PictureKind::Jpeg, "jpeg", "jpg"), (PictureKind::Png, "png", "png")];

impl PictureKind {
    /// How the names of its files end.
    pub fn ending(self) -> &'static str {
        NAMES.iter().find(|(kind, ..)| *kind == self).map_or("", |(_, _, ending)| ending)
    }
}

impl fmt::Display for PictureKind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(NAMES.iter().find(|(kind, ..)| kind == self).map_or("", |(_, name, _)| name))
    }
}

/// A word that is none of the kinds.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no kind of picture file: use tiff (16 bits), jpeg or png (8 bits)")]
pub struct UnknownPictureKind(String);

impl FromStr for PictureKind {
    type Err = UnknownPictureKind;

    /// Reads its name, or how its files end.
    fn from_str(word: &str) -> Result<Self, UnknownPictureKind> {
        let plain = word.trim().to_lowercase();
        let known = NAMES.iter().find(|(_, name, ending)| [*name, *ending].contains(&plain.as_str()));
        known.map(|(kind, ..)| *kind).ok_or_else(|| UnknownPictureKind(word.to_owned()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn kinds_are_known_by_name_and_by_ending() {
        for (word, kind) in [("tiff", PictureKind::Tiff), ("TIF", PictureKind::Tiff), ("jpg", PictureKind::Jpeg)] {
            assert_eq!(word.parse::<PictureKind>().unwrap(), kind);
            assert_eq!(kind.to_string().parse::<PictureKind>().unwrap(), kind);
        }
        assert!("gif".parse::<PictureKind>().unwrap_err().to_string().contains("tiff (16 bits)"));
    }
}
