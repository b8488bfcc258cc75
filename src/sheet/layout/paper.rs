//! Papers that a printer takes: sheets, and rolls by their width.

use std::fmt;
use std::str::FromStr;

use super::super::named_sheets::{NAMED_SHEETS, NamedSheet};
use crate::light::Millimetres;
use crate::paper::PaperSize;

/// What prints are laid on.
#[derive(Clone, Debug, PartialEq)]
pub enum LayoutPaper {
    /// A sheet: what it is called, its width and its height.
    Sheet(String, Millimetres, Millimetres),
    /// A roll of this width; how long a piece is follows from what lies on it.
    Roll(Millimetres),
}

/// A word that is no paper.
#[derive(Debug, thiserror::Error)]
#[error("\"{0}\" is no paper: use {names}, or width and height from 1 cm to 10 m, as 30x40cm", names = names())]
pub struct UnknownLayoutPaper(String);

fn printers() -> impl Iterator<Item = NamedSheet> {
    NAMED_SHEETS.into_iter().filter(|sheet| sheet.printer)
}

fn names() -> String {
    printers().map(|sheet| sheet.name).collect::<Vec<_>>().join(", ")
}

impl LayoutPaper {
    /// The sheets that have a name, the smallest first.
    pub fn sheets() -> impl Iterator<Item = Self> {
        let sheet = |NamedSheet { name, width, height, .. }: NamedSheet| {
            Self::Sheet(name.to_owned(), Millimetres::new(width), Millimetres::new(height))
        };
        printers().map(sheet)
    }
}

impl fmt::Display for LayoutPaper {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Sheet(name, ..) => f.pad(name),
            Self::Roll(width) => f.pad(&format!("a roll of {:.1} cm", width.value() / 10.0)),
        }
    }
}

impl FromStr for LayoutPaper {
    type Err = UnknownLayoutPaper;

    /// Reads the name of a sheet, or its sides.
    fn from_str(word: &str) -> Result<Self, UnknownLayoutPaper> {
        let plain = word.trim().to_lowercase();
        let named = Self::sheets().find(|sheet| matches!(sheet, Self::Sheet(name, ..) if *name == plain));
        named.map_or_else(
            || {
                let size: PaperSize = plain.parse().map_err(|_| UnknownLayoutPaper(word.to_owned()))?;
                // A square picture leaves a sheet as it was given.
                let (width, height) = size.turned_for((1.0, 1.0));
                Ok(Self::Sheet(size.to_string(), width, height))
            },
            Ok,
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 216:2007, ANSI/ASME Y14.1; inches are 25.4 mm.
    #[test]
    fn papers_have_the_sizes_of_their_standards() {
        let inch = |n: f64| n * 25.4;
        for (name, width, height) in [
            ("a4", 210.0, 297.0),
            ("A3", 297.0, 420.0),
            ("a2", 420.0, 594.0),
            ("letter", inch(8.5), inch(11.0)),
            ("13x19in", inch(13.0), inch(19.0)),
            ("17x22in", inch(17.0), inch(22.0)),
            ("50x70cm", 500.0, 700.0),
        ] {
            let LayoutPaper::Sheet(_, w, h) = name.parse().unwrap() else { panic!("{name} is a sheet") };
            assert!((w.value() - width).abs() < 1e-9 && (h.value() - height).abs() < 1e-9, "{name}");
        }
        for wrong in ["", "a9", "24in", "30x40"] {
            assert!(
                wrong.parse::<LayoutPaper>().unwrap_err().to_string().contains("letter, a4, a3, 13x19in"),
                "{wrong}"
            );
        }
    }
}
