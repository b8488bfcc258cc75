//! `dryside layout`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{Captions, LayoutOrder};
use crate::light::{LengthUnit, Millimetres, UnknownLength};
use crate::sheet::{LayoutPaper, Stand};

/// White at the edges of a paper, and between prints: what most printers leave white by themselves, and room for a
/// knife (common practice).
const WHITE: Millimetres = Millimetres::new(10.0);

#[derive(Debug, Group)]
pub(in crate::cli) struct LayoutArgs {
    /// Finished prints, in the order in which they are to lie: files that dryside print made (TIFF, JPEG, PNG)
    #[arg(required = true, value_name = "PRINT")]
    prints: Vec<PathBuf>,
    /// Sheet: letter, a4, a3, 13x19in, 17x22in, a2, or width and height as 30x40cm; it is turned to suit the prints
    #[arg(long, value_name = "PAPER", required_unless_present = "roll")]
    page: Option<LayoutPaper>,
    /// Paper from a roll of this width, as 24in or 61cm; its length follows from what lies on it
    #[arg(long, value_name = "WIDTH", conflicts_with = "page")]
    roll: Option<Millimetres>,
    /// White at the paper's edges, at least: 15mm, 0.5in, or 0, up to 30cm [default: 10mm]
    #[arg(long, value_name = "WIDTH", value_parser = white)]
    margin: Option<Millimetres>,
    /// White between prints, at least [default: 10mm]
    #[arg(long, value_name = "WIDTH", value_parser = white)]
    gap: Option<Millimetres>,
    /// Caption "TITLE; YEAR; EDITION", once for all or once for each print in order [default: title, date and edition
    /// of [shot] in the notes that name the print]
    #[arg(long, value_name = "WORDS", conflicts_with_all = ["no_captions", "notes"])]
    caption: Vec<String>,
    /// Edition, as 2/10, in place of that of the notes: once for all or once for each print in order
    #[arg(long, value_name = "WORDS", conflicts_with = "no_captions")]
    edition: Vec<String>,
    /// Folder of results whose notes name the prints, where the prints lie elsewhere
    #[arg(long, value_name = "FOLDER")]
    notes: Option<PathBuf>,
    /// Set no captions
    #[arg(long, conflicts_with = "notes")]
    no_captions: bool,
    /// Draw short lines along which a print is cut
    #[arg(long)]
    cut_marks: bool,
    /// Draw a fine line around each print
    #[arg(long)]
    key_line: bool,
    /// Let the prints stand a little above the middle: the foot is a fifth wider than the head
    #[arg(long)]
    raised: bool,
    /// File to write: .tif, .pdf, or both where it has no such ending [default: in layout, beside the prints]
    #[arg(long, value_name = "FILE")]
    out: Option<PathBuf>,
    /// Replace a file of its name that other hands have put there or changed
    #[arg(long)]
    force: bool,
}

impl LayoutArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When no paper is named.
    pub(in crate::cli) fn settle(self) -> Result<LayoutOrder, String> {
        let paper = self.page.or(self.roll.map(LayoutPaper::Roll));
        let captions = match (self.no_captions, self.caption.is_empty()) {
            (true, _) => Captions::None,
            (false, true) => Captions::Noted(self.notes),
            (false, false) => Captions::Given(self.caption),
        };
        Ok(LayoutOrder {
            prints: self.prints,
            paper: paper.ok_or("give the paper, as --page a3 or --roll 24in")?,
            margin: self.margin.unwrap_or(WHITE),
            gap: self.gap.unwrap_or(WHITE),
            stand: if self.raised { Stand::Raised } else { Stand::Centred },
            cut_marks: self.cut_marks,
            key_line: self.key_line,
            captions,
            editions: self.edition,
            out: self.out,
            force: self.force,
        })
    }
}

/// More white than that is a slip of the hand (house).
const MOST_WHITE: Millimetres = Millimetres::new(300.0);

/// A width of white, which may be none.
fn white(word: &str) -> Result<Millimetres, String> {
    let number = LengthUnit::behind(word).map_or(word, |(number, _)| number);
    if number.trim().parse() == Ok(0.0) {
        return Ok(Millimetres::default());
    }
    let width: Millimetres = word.parse().map_err(|e: UnknownLength| e.to_string())?;
    if width <= MOST_WHITE { Ok(width) } else { Err("use a width from 0 to 30 cm, as 15mm or 0.5in".to_owned()) }
}
