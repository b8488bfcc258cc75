//! `dryside loupe`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::LoupeOrder;
use crate::plane::Point;
use crate::sheet::PageSize;

use super::memory::MemoryArgs;
use super::place::place;

#[derive(Debug, Group)]
pub(in crate::cli) struct LoupeArgs {
    /// Frames: their names in the folder of results, as ropewalk-out/sheet-01, their proofs or notes there, or the
    /// whole folder
    #[arg(required = true, value_name = "FRAME")]
    frames: Vec<PathBuf>,
    /// Look at a place, too: X,Y in pixels of the scan as stored; may be given several times
    #[arg(long, value_name = "X,Y", value_parser = place)]
    at: Vec<Point>,
    /// Page: a4, letter, 8x10, a5, a3, a2, tabloid, 5x7, 11x14, 16x20, one of them with -landscape, or as 24x30cm
    /// [default: a4]
    #[arg(long, value_name = "PAPER")]
    page: Option<PageSize>,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Folder for the pages [default: loupe, in the folder of results]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace files of their names that other hands have put there or changed
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    memory: MemoryArgs,
}

impl LoupeArgs {
    /// What is ordered.
    pub(in crate::cli) fn settle(self) -> LoupeOrder {
        LoupeOrder {
            frames: self.frames,
            at: self.at,
            page: self.page.unwrap_or(PageSize::A4),
            scans: self.scans,
            out: self.out,
            force: self.force,
            memory: self.memory.settle(2),
        }
    }
}
