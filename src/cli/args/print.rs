//! `dryside print`.

use std::path::PathBuf;

use clap::Args as Group;

use crate::batch::{Meeting, PPI, PrintOrder, PrintTask, PrintWishes, SHARPEN};
use crate::light::{Millimetres, PixelsPerInch, Stops};
use crate::notes::Mark;
use crate::paper::{EdgeBurn, PaperSize, Rendering, Tone};
use crate::save::PictureKind;

use super::graded::GradedArgs;

#[derive(Debug, Group)]
pub(in crate::cli) struct PrintArgs {
    /// Frames: their names in the folder of results, as ropewalk-out/sheet-01, their proofs or notes there, or the
    /// whole folder
    #[arg(required_unless_present = "from", value_name = "FRAME")]
    frames: Vec<PathBuf>,
    /// Make all prints again that notes tell of, to the byte: notes files, frames, or a folder of results
    #[arg(long, value_name = "NOTES", num_args = 1.., conflicts_with_all = ["frames", "size", "asked", "graded"])]
    from: Vec<PathBuf>,
    /// Sheet, as 30x24cm, 300x240mm or 12x9.5in; it is turned to suit the picture
    #[arg(long, required_unless_present = "from")]
    size: Option<PaperSize>,
    /// Only frames that carry this mark in their notes: print, hold, skip
    #[arg(long, value_name = "MARK", conflicts_with = "from")]
    marked: Option<Mark>,
    #[command(flatten)]
    asked: AskedArgs,
    /// Folder of the scans [default: beside the results, under the name that the notes give]
    #[arg(long, value_name = "FOLDER")]
    scans: Option<PathBuf>,
    /// Folder for the prints [default: print, in the folder of results]
    #[arg(long, value_name = "FOLDER")]
    out: Option<PathBuf>,
    /// Make again what is there, also where other hands have changed it
    #[arg(long)]
    force: bool,
}

#[derive(Debug, Group)]
#[group(id = "asked", multiple = true)]
struct AskedArgs {
    /// Pixels per inch of the print [default: 300]
    #[arg(long, value_parser = ppi)]
    ppi: Option<PixelsPerInch>,
    /// Show all of the picture, and leave white what is left of the sheet [default]
    #[arg(long, conflicts_with = "fill")]
    fit: bool,
    /// Fill the sheet, and cut off what lies beyond
    #[arg(long)]
    fill: bool,
    /// Paper that stays white on all sides, at least: 5mm, 1cm, 0.25in [default: none]
    #[arg(long, value_name = "WIDTH")]
    border: Option<Millimetres>,
    /// Set a frame upright that lies askew in its scan
    #[arg(long)]
    straighten: bool,
    /// Sharpen for the print by an unsharp mask: 0 to 2, 0.5 is mild [default: 0]
    #[arg(long, value_name = "AMOUNT", value_parser = sharpen)]
    sharpen: Option<f64>,
    /// Burn in the edges, in stops at the middle of each side, as 1/4; corners get more [default: 0]
    #[arg(long, value_name = "STOPS", allow_hyphen_values = true, value_parser = edge_burn)]
    edge_burn: Option<EdgeBurn>,
    /// Hue: neutral, warm, cool, or points of density above paper white with CIE a* and b*, as "0.3:1,6 1.8:0,-5"
    /// [default: neutral]
    #[arg(long)]
    tone: Option<Tone>,
    /// White of the file: full (the sheet it is printed on gives its own) or paper (the paper's tone) [default: full]
    #[arg(long, value_name = "WHITE")]
    white: Option<Rendering>,
    #[command(flatten)]
    graded: GradedArgs,
    /// Kind of file: tiff (16 bits), jpeg or png (8 bits) [default: tiff]
    #[arg(long = "as", value_name = "KIND")]
    kind: Option<PictureKind>,
    /// What the print says of the picture also in NAME.xmp beside it
    #[arg(long)]
    xmp: bool,
    /// Print also where the scan has too few pixels for this size
    #[arg(long)]
    allow_upsampling: bool,
}

impl PrintArgs {
    /// What is ordered.
    ///
    /// # Errors
    /// When a setting cannot take what it is given.
    pub(in crate::cli) fn settle(self) -> Result<PrintOrder, String> {
        let task = match (self.from.is_empty(), self.size) {
            (false, _) => PrintTask::Again(self.from),
            (true, Some(size)) => PrintTask::New(self.frames, Box::new(self.asked.wishes(size)?)),
            (true, None) => return Err("give the size of the sheet, as --size 30x24cm".to_owned()),
        };
        Ok(PrintOrder { task, marked: self.marked, scans: self.scans, out: self.out, force: self.force })
    }
}

impl AskedArgs {
    fn wishes(self, size: PaperSize) -> Result<PrintWishes, String> {
        let plain = PrintWishes::plain(size);
        Ok(PrintWishes {
            ppi: self.ppi.unwrap_or(plain.ppi),
            meeting: if self.fill { Meeting::Fill } else { plain.meeting },
            border: self.border.unwrap_or(plain.border),
            straighten: self.straighten,
            sharpen: self.sharpen.unwrap_or(plain.sharpen),
            edge_burn: self.edge_burn.unwrap_or(plain.edge_burn),
            tone: self.tone.unwrap_or(plain.tone),
            white: self.white.unwrap_or(plain.white),
            kind: self.kind.unwrap_or(plain.kind),
            size,
            upsampling: self.allow_upsampling,
            xmp: self.xmp,
            graded: self.graded.settle()?,
        })
    }
}

/// An amount of sharpening.
fn sharpen(word: &str) -> Result<f64, String> {
    let number = word.trim().parse().ok().filter(|amount| SHARPEN.contains(amount));
    number.ok_or_else(|| format!("use a number from {} to {}", SHARPEN.start(), SHARPEN.end()))
}

/// How edges are burnt in.
fn edge_burn(word: &str) -> Result<EdgeBurn, String> {
    let burn = word.parse::<Stops>().ok().and_then(EdgeBurn::new);
    burn.ok_or_else(|| "use a number from 0 to 2 (stops, or thirds as 1/3)".to_owned())
}

/// A resolution of a print.
fn ppi(word: &str) -> Result<PixelsPerInch, String> {
    let number = word.trim().parse().ok().filter(|ppi| PPI.contains(ppi));
    number.and_then(PixelsPerInch::new).ok_or_else(|| format!("use a number from {} to {}", PPI.start(), PPI.end()))
}
