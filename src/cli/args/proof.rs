//! `dryside proof`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{Kinds, PAGE_PPI, ProofOrder};
use crate::light::PixelsPerInch;
use crate::notes::Mark;
use crate::sheet::{GridSize, PageSize};

use super::memory::MemoryArgs;

#[derive(Debug, Group)]
pub(in crate::cli) struct ProofArgs {
    /// Folders of results, or a choice of frames: notes, proofs, names as ropewalk-out/sheet-01
    #[arg(required = true, value_name = "OUT")]
    frames: Vec<PathBuf>,
    /// Only straight pages: nothing levelled, each from its own film base as the paper's black in grade 2
    #[arg(long, conflicts_with = "graded")]
    straight: bool,
    /// Only graded pages: each frame in its own grade
    #[arg(long)]
    graded: bool,
    /// Frames in their true size on strips of film, as on a contact sheet
    #[arg(long)]
    contact: bool,
    /// Pages of the loupe behind them: what is sharp in each frame, its sharpest places pixel by pixel, and how large
    /// it can be printed; needs the scans
    #[arg(long)]
    loupe: bool,
    /// Columns and rows, as 4x5; with --contact frames of a strip and strips [default: what suits the frames]
    #[arg(long, value_name = "CxR")]
    grid: Option<GridSize>,
    /// Paper: a4, letter, 8x10, a5, a3, a2, tabloid, 5x7, 11x14, 16x20, one of them with -landscape, or as 24x30cm
    /// [default: that of the batch]
    #[arg(long, value_name = "PAPER")]
    page: Option<PageSize>,
    /// Only frames that carry this mark in their notes: print, hold, skip
    #[arg(long, value_name = "MARK")]
    marked: Option<Mark>,
    /// Pixels per inch of the pages as pictures, 50 to 600 [default: 200]
    #[arg(long, value_parser = ppi)]
    ppi: Option<PixelsPerInch>,
    /// Folder of the scans, for the loupe, and to make proofs again that are gone [default: beside the results]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Folder of results that the sheet goes into; must be said where frames come from several [default: theirs]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Lay it again, also where other hands have changed it
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    memory: MemoryArgs,
}

impl ProofArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a page would have no resolution.
    pub(in crate::cli) fn settle(self) -> Result<ProofOrder, String> {
        Ok(ProofOrder {
            frames: self.frames,
            marked: self.marked,
            page: self.page,
            grid: self.grid,
            contact: self.contact,
            loupe: self.loupe,
            kinds: Kinds { straight: !self.graded, graded: !self.straight },
            ppi: self.ppi.or(PixelsPerInch::new(PAGE_PPI)).ok_or("a page has a resolution")?,
            scans: self.scans,
            out: self.out,
            force: self.force,
            memory: self.memory.settle(2),
        })
    }
}

/// A resolution of a page.
fn ppi(word: &str) -> Result<PixelsPerInch, String> {
    let number = word.trim().parse().ok().filter(|ppi| (50.0..=600.0).contains(ppi));
    number.and_then(PixelsPerInch::new).ok_or_else(|| "use a number from 50 to 600".to_owned())
}
