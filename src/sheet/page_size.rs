//! The sheets of paper a page is made for.

use crate::light::Millimetres;
use crate::paper::PaperSize;

use std::fmt;
use std::ops::RangeInclusive;
use std::str::FromStr;

/// A sheet of paper, upright or lying.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PageSize {
    paper: Paper,
    lying: bool,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Paper {
    /// By its name: width and height of the upright sheet in mm.
    Named(&'static str, f64, f64),
    /// By its sides, which lies as it was given.
    Own(PaperSize),
}

/// ISO 216:2007.
const A5: Paper = Paper::Named("a5", 148.0, 210.0);
const A4: Paper = Paper::Named("a4", 210.0, 297.0);
const A3: Paper = Paper::Named("a3", 297.0, 420.0);
const A2: Paper = Paper::Named("a2", 420.0, 594.0);
/// 8 1/2 x 11 in and 11 x 17 in (ANSI/ASME Y14.1, sizes A and B).
const LETTER: Paper = Paper::Named("letter", 215.9, 279.4);
const TABLOID: Paper = Paper::Named("tabloid", 279.4, 431.8);
/// The trade's sizes of printing paper, in inches.
const FIVE_BY_SEVEN: Paper = Paper::Named("5x7", 127.0, 177.8);
const EIGHT_BY_TEN: Paper = Paper::Named("8x10", 203.2, 254.0);
const ELEVEN_BY_FOURTEEN: Paper = Paper::Named("11x14", 279.4, 355.6);
const SIXTEEN_BY_TWENTY: Paper = Paper::Named("16x20", 406.4, 508.0);

const NAMED: [Paper; 10] =
    [A4, A5, A3, A2, LETTER, TABLOID, FIVE_BY_SEVEN, EIGHT_BY_TEN, ELEVEN_BY_FOURTEEN, SIXTEEN_BY_TWENTY];

/// What is put behind a name to turn the sheet.
const LYING: &str = "-landscape";

/// Sides of a page, in mm: a head has room, and its pixels fit into memory.
const SIDES: RangeInclusive<f64> = 100.0..=1200.0;

impl PageSize {
    /// 210 x 297 mm.
    pub const A4: Self = Self { paper: A4, lying: false };
    /// 8 1/2 x 11 in.
    pub const LETTER: Self = Self { paper: LETTER, lying: false };
    /// 8 x 10 in.
    pub const EIGHT_BY_TEN: Self = Self { paper: EIGHT_BY_TEN, lying: false };

    /// Width of the sheet as it lies.
    pub fn width(self) -> Millimetres {
        self.sides().0
    }

    /// Height of the sheet as it lies.
    pub fn height(self) -> Millimetres {
        self.sides().1
    }

    fn sides(self) -> (Millimetres, Millimetres) {
        let (width, height) = match self.paper {
            Paper::Named(_, width, height) => (Millimetres::new(width), Millimetres::new(height)),
            Paper::Own(size) => size.turned_for((1.0, 1.0)),
        };
        if self.lying { (height, width) } else { (width, height) }
    }
}

/// A name that is none of the page sizes.
#[derive(Debug, thiserror::Error)]
#[error(
    "\"{0}\" is no page size: use {all}, one of them with {LYING}, or width and height from 10 cm to 1.2 m, as 24x30cm",
    all = names()
)]
pub struct UnknownPageSize(String);

fn names() -> String {
    let name = |paper: &Paper| match paper {
        Paper::Named(name, ..) => Some(*name),
        Paper::Own(_) => None,
    };
    NAMED.iter().filter_map(name).collect::<Vec<_>>().join(", ")
}

impl FromStr for PageSize {
    type Err = UnknownPageSize;

    fn from_str(word: &str) -> Result<Self, UnknownPageSize> {
        let wanted = word.trim().to_lowercase();
        let (name, lying) = wanted.strip_suffix(LYING).map_or((wanted.as_str(), false), |name| (name, true));
        let named = NAMED.into_iter().find(|paper| matches!(paper, Paper::Named(known, ..) if *known == name));
        if let Some(paper) = named {
            return Ok(Self { paper, lying });
        }
        let own = wanted.parse().ok().map(|size| Self { paper: Paper::Own(size), lying: false });
        let holds = |page: &Self| [page.width(), page.height()].iter().all(|side| SIDES.contains(&side.value()));
        own.filter(holds).ok_or_else(|| UnknownPageSize(word.to_owned()))
    }
}

impl fmt::Display for PageSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match self.paper {
            Paper::Named(name, ..) => name.to_owned(),
            Paper::Own(size) => size.to_string(),
        };
        f.pad(&(name + if self.lying { LYING } else { "" }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 216:2007; ANSI/ASME Y14.1; inches of 25.4 mm.
    #[test]
    fn every_page_has_its_size_and_comes_back_by_its_name() {
        for (name, width, height) in [
            ("a5", 148.0, 210.0),
            ("a4", 210.0, 297.0),
            ("a3", 297.0, 420.0),
            ("a2", 420.0, 594.0),
            ("letter", 8.5 * 25.4, 11.0 * 25.4),
            ("tabloid", 11.0 * 25.4, 17.0 * 25.4),
            ("5x7", 5.0 * 25.4, 7.0 * 25.4),
            ("8x10", 8.0 * 25.4, 10.0 * 25.4),
            ("11x14", 11.0 * 25.4, 14.0 * 25.4),
            ("16x20", 16.0 * 25.4, 20.0 * 25.4),
            ("a4-landscape", 297.0, 210.0),
            ("24x30cm", 240.0, 300.0),
            ("12x9.5in", 304.8, 241.3),
        ] {
            let page: PageSize = name.parse().unwrap();
            assert!((page.width().value() - width).abs() < 1e-6, "{name}");
            assert!((page.height().value() - height).abs() < 1e-6, "{name}");
            assert_eq!(page.to_string(), name);
            assert_eq!(name.to_uppercase().parse::<PageSize>().unwrap(), page);
        }
        assert_eq!(NAMED.len(), names().split(", ").count());
    }

    #[test]
    fn what_is_no_page_is_told_what_there_is() {
        for wrong in ["", "a9", "letter-upright", "9x30cm", "30x2m", "8x10-landscape-landscape"] {
            let told = wrong.parse::<PageSize>().unwrap_err().to_string();
            assert!(told.contains("a4, a5") && told.contains("as 24x30cm"), "{told}");
        }
    }
}
