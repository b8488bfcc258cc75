//! The sheets of paper a page is made for.

use super::named_sheets::{A4, EIGHT_BY_TEN, LETTER, NAMED_SHEETS, NamedSheet};
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
    /// By its name.
    Named(NamedSheet),
    /// By its sides, which lies as it was given.
    Own(PaperSize),
}

/// What is put behind a name to turn the sheet.
const LYING: &str = "-landscape";

/// Sides of a page, in mm: a head has room, and its pixels fit into memory.
const SIDES: RangeInclusive<f64> = 100.0..=1200.0;

impl PageSize {
    /// 210 x 297 mm.
    pub const A4: Self = Self { paper: Paper::Named(A4), lying: false };
    /// 8 1/2 x 11 in.
    pub const LETTER: Self = Self { paper: Paper::Named(LETTER), lying: false };
    /// 8 x 10 in.
    pub const EIGHT_BY_TEN: Self = Self { paper: Paper::Named(EIGHT_BY_TEN), lying: false };

    /// The pages that have a name, upright and lying, the smallest first.
    pub(super) fn named() -> impl Iterator<Item = Self> {
        sheets().flat_map(|sheet| [false, true].map(|lying| Self { paper: Paper::Named(sheet), lying }))
    }

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
            Paper::Named(sheet) => (Millimetres::new(sheet.width), Millimetres::new(sheet.height)),
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

/// Those that pages are laid on.
fn sheets() -> impl Iterator<Item = NamedSheet> {
    NAMED_SHEETS.into_iter().filter(|sheet| sheet.page)
}

fn names() -> String {
    sheets().map(|sheet| sheet.name).collect::<Vec<_>>().join(", ")
}

impl FromStr for PageSize {
    type Err = UnknownPageSize;

    fn from_str(word: &str) -> Result<Self, UnknownPageSize> {
        let wanted = word.trim().to_lowercase();
        let (name, lying) = wanted.strip_suffix(LYING).map_or((wanted.as_str(), false), |name| (name, true));
        if let Some(sheet) = sheets().find(|sheet| sheet.name == name) {
            return Ok(Self { paper: Paper::Named(sheet), lying });
        }
        let own = wanted.parse().ok().map(|size| Self { paper: Paper::Own(size), lying: false });
        let holds = |page: &Self| [page.width(), page.height()].iter().all(|side| SIDES.contains(&side.value()));
        own.filter(holds).ok_or_else(|| UnknownPageSize(word.to_owned()))
    }
}

impl fmt::Display for PageSize {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = match self.paper {
            Paper::Named(sheet) => sheet.name.to_owned(),
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
        assert_eq!(PageSize::named().count(), 20);
    }

    #[test]
    fn what_is_no_page_is_told_what_there_is() {
        for wrong in ["", "a9", "letter-upright", "9x30cm", "30x2m", "8x10-landscape-landscape"] {
            let told = wrong.parse::<PageSize>().unwrap_err().to_string();
            assert!(told.contains("use 5x7, a5, 8x10, letter, a4") && told.contains("as 24x30cm"), "{told}");
        }
    }
}
