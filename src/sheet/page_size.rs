//! The sheets of paper a page is made for.

use crate::light::Millimetres;

use std::fmt;
use std::str::FromStr;

/// A sheet of paper, upright.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PageSize {
    /// 210 x 297 mm (ISO 216:2007).
    A4,
    /// 8 1/2 x 11 in, 215.9 x 279.4 mm (ANSI/ASME Y14.1, size A).
    Letter,
    /// 8 x 10 in, 203.2 x 254 mm, the trade's size of printing paper.
    EightByTen,
}

impl PageSize {
    /// Width of the upright sheet.
    pub const fn width(self) -> Millimetres {
        Millimetres::new(match self {
            Self::A4 => 210.0,
            Self::Letter => 215.9,
            Self::EightByTen => 203.2,
        })
    }

    /// Height of the upright sheet.
    pub const fn height(self) -> Millimetres {
        Millimetres::new(match self {
            Self::A4 => 297.0,
            Self::Letter => 279.4,
            Self::EightByTen => 254.0,
        })
    }
}

/// A name that is none of the page sizes.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no page size: use a4, letter or 8x10")]
pub struct UnknownPageSize(String);

const NAMES: [(PageSize, &str); 3] =
    [(PageSize::A4, "a4"), (PageSize::Letter, "letter"), (PageSize::EightByTen, "8x10")];

impl FromStr for PageSize {
    type Err = UnknownPageSize;

    fn from_str(name: &str) -> Result<Self, UnknownPageSize> {
        let wanted = name.to_lowercase();
        NAMES.iter().find(|(_, n)| *n == wanted).map(|(size, _)| *size).ok_or_else(|| UnknownPageSize(name.to_owned()))
    }
}

impl fmt::Display for PageSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(NAMES.iter().find(|(size, _)| size == self).map_or("", |(_, name)| name))
    }
}
