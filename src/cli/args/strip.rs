//! `dryside strip`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{STRIP_STEP, STRIP_STEPS, StripOrder};
use crate::light::Stops;
use crate::plane::Point;
use crate::sheet::PageSize;

use super::graded::GradedArgs;
use super::memory::MemoryArgs;
use super::place::place;

#[derive(Debug, Group)]
pub(in crate::cli) struct StripArgs {
    /// Frames: their names in the folder of results, as ropewalk-out/sheet-01, their proofs or notes there, or the
    /// whole folder
    #[arg(required = true, value_name = "FRAME")]
    frames: Vec<PathBuf>,
    /// Exposures, an odd number from 3 to 11: the middle one is the print's [default: 7]
    #[arg(long, value_name = "N", value_parser = steps)]
    steps: Option<u8>,
    /// From one exposure to the next, in stops, as 1/4 [default: 1/3]
    #[arg(long, value_name = "STOPS", value_parser = step)]
    step: Option<Stops>,
    /// Middle of the part that is shown in several grades, X,Y in pixels of the scan as stored [default: where the thin
    /// and the dense end meet]
    #[arg(long, value_name = "X,Y", value_parser = place)]
    at: Option<Point>,
    /// Set a frame upright that lies askew in its scan
    #[arg(long)]
    straighten: bool,
    #[command(flatten)]
    graded: GradedArgs,
    /// Page: a4, letter, 8x10, a5, a3, a2, tabloid, 5x7, 11x14, 16x20, one of them with -landscape, or as 24x30cm
    /// [default: a4]
    #[arg(long, value_name = "PAPER")]
    page: Option<PageSize>,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Folder for the strips [default: strip, in the folder of results]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Replace files of their names that other hands have put there or changed
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    memory: MemoryArgs,
}

impl StripArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<StripOrder, String> {
        Ok(StripOrder {
            frames: self.frames,
            graded: self.graded.settle()?,
            steps: self.steps.unwrap_or(7),
            step: self.step.unwrap_or(Stops::new(1.0 / 3.0)),
            at: self.at,
            straighten: self.straighten,
            page: self.page.unwrap_or(PageSize::A4),
            scans: self.scans,
            out: self.out,
            force: self.force,
            memory: self.memory.settle(2),
        })
    }
}

fn steps(word: &str) -> Result<u8, String> {
    let steps = word.trim().parse().ok().filter(|n: &u8| n % 2 == 1 && STRIP_STEPS.contains(n));
    steps.ok_or_else(|| {
        format!("use an odd number from {} to {}, so that one is in the middle", STRIP_STEPS.start(), STRIP_STEPS.end())
    })
}

fn step(word: &str) -> Result<Stops, String> {
    let step = word.parse::<Stops>().ok().filter(|step| STRIP_STEP.contains(&step.value()));
    step.ok_or_else(|| format!("use stops from {} to {}, as 1/3", STRIP_STEP.start(), STRIP_STEP.end()))
}
