//! Arguments as typed, and what they settle to; a file a task.

mod batch;
mod exposure;
mod graded;
mod layout;
mod light;
mod loupe;
mod mark;
mod measure;
mod memory;
mod notes;
mod paper;
mod place;
mod print;
mod proof;
mod strip;
mod table;
mod watch;
mod wedge;
mod wished;
mod work;

use clap::{Parser, Subcommand};

use exposure::ExposureArgs;
use layout::LayoutArgs;
use loupe::LoupeArgs;
pub(super) use mark::MarkArgs;
use measure::MeasureArgs;
pub(super) use notes::{NotesArgs, NotesTask};
use print::PrintArgs;
use proof::ProofArgs;
use strip::StripArgs;
use table::TableArgs;
use watch::WatchArgs;
use wedge::WedgeArgs;

pub(super) use batch::Batch;
use batch::BatchArgs;
pub(super) use paper::{PaperArgs, PaperTask};

/// Turns scans of black-and-white negatives into flat positives, proofs, a proof sheet and notes.
///
/// A scan is never written to, moved or renamed.
///
/// Exit status: 0 all well; 1 something failed and is named, the rest is done; 2 nothing was done, as the command makes
/// no sense or nothing of what it names is there; 130 stopped.
#[derive(Debug, Parser)]
#[command(name = "dryside", version, arg_required_else_help = true)]
pub(super) struct Args {
    #[command(subcommand)]
    pub(super) task: Task,
}

#[derive(Debug, Subcommand)]
pub(super) enum Task {
    /// Work through a folder of scans.
    ///
    /// Every scan becomes a flat positive, a proof in its grade and notes; all together a proof sheet and a table. What
    /// is up to date is left alone, so a run that was broken off is finished by running it again.
    #[command(
        override_usage = "dryside batch [OPTIONS] <SCANS>\n       dryside batch --gather <OUT>... [--out <FOLDER>]"
    )]
    Batch(Box<BatchArgs>),
    /// Work through scans as the scanner finishes them.
    ///
    /// Looks into the folder every second, works on each scan as soon as its file is whole and no longer grows, and
    /// keeps table and proof sheet up to date. Ctrl-C ends it; started again, or with dryside batch, it goes on where
    /// it was.
    Watch(Box<WatchArgs>),
    /// Measure scans, each for itself, and write nothing.
    ///
    /// Settings files and notes are not read: what is given here is what holds.
    Measure(MeasureArgs),
    /// Mark frames: print, hold or skip.
    ///
    /// The marks stand in the notes, show on proof sheets as ring, dot and stroke, and choose frames for --marked. As:
    /// dryside mark print ropewalk-out/sheet-01 ropewalk-out/sheet-05
    Mark(MarkArgs),
    /// Make prints at size, from scans and their notes.
    ///
    /// A print is made from the scan itself, upright and cut to its frame, on the paper and in the grade and exposure
    /// of its proof unless others are given. Its notes keep every decision, so that --from makes the same file again.
    /// Work through the scans with dryside batch first.
    Print(PrintArgs),
    /// Lay proof sheets again, from what a batch left: to choose by, to mark, to pin up.
    ///
    /// Straight pages judge the negatives, all in one exposure; graded pages show each in its own grade. Marks in the
    /// notes are drawn beside the frames. Several folders of results may be joined.
    Proof(ProofArgs),
    /// Look through a batch on a light table: a page in your browser, on this machine alone.
    ///
    /// Frames as negatives or positives, side by side, one full screen with a loupe; grade and exposure by eye; marks,
    /// titles and remarks, written into the notes at once. Open the address that it tells. Ctrl-C ends it.
    Table(TableArgs),
    /// Lay out a test strip of a frame, before it is printed.
    ///
    /// A page with the whole frame in bands of exposure, as under an enlarger, and a part of it in five grades and
    /// several exposures. Each patch is what dryside print makes there; the middle one is the print as its notes, or
    /// what is given here, decide it. Nothing is recorded. It is a test for the eye: make one on your own paper before
    /// the print.
    Strip(StripArgs),
    /// Look at a frame through the loupe: what is sharp, and how large it can be printed.
    ///
    /// A page with the sharpest places, the corners and the places given, pixel by pixel; a map of where the lens was
    /// focused; and the largest print by pixels and by sharpness.
    Loupe(LoupeArgs),
    /// Lay finished prints on one paper, each at its own size, with captions.
    ///
    /// Pixels are placed one to one, never resampled, so all prints of a paper have one resolution and one profile.
    /// Writes a 16-bit TIFF and a PDF with the same pixels, unpacked, and its words as letters.
    Layout(LayoutArgs),
    /// Calibrate a scanner: read a scanned step tablet.
    ///
    /// Writes NAME.wedge.toml, a calibration to be named with --wedge or in dryside.toml, and NAME.wedge.png, its plot.
    /// Scan the tablet as you scan negatives, with the same settings of the scanner and nothing set automatically.
    Wedge(WedgeArgs),
    /// Look at printing papers and grades, or make a paper of your own.
    ///
    /// Plain "dryside paper" lists papers and tables of grades; with a name it tells that paper's figures and their
    /// sources.
    Paper(PaperArgs),
    /// Work out an exposure, from the meter's reading to the time you give.
    ///
    /// In this order: reading, zone, aperture, filter and bellows, and the film's reciprocity last. Each line can be
    /// followed on paper.
    Exposure(ExposureArgs),
    /// Write, read and check what you keep of each picture: [shot] in its notes.
    Notes(NotesArgs),
}
