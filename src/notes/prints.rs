//! `[[prints]]`: every print that was made of a scan's frames, with all that it was made by.

use serde::{Deserialize, Serialize};

use super::format::FileNotes;

/// A print as it was made. Everything that its file depends on, beside the scan itself and the calibration in
/// `[scan.wedge]`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrintRecord {
    /// Its file, without folders.
    pub file: String,
    /// Size of the file; 0 while it is in the making.
    pub bytes: u64,
    /// BLAKE3 of the file; empty while it is in the making.
    pub blake3: String,
    /// Program and version that made it.
    pub program: String,
    /// The frame, 1 for the first.
    pub frame: u32,
    /// tiff, jpeg or png.
    pub kind: String,
    /// The sheet: width and height with their unit.
    pub size: String,
    /// Pixels per inch of the print.
    pub ppi: f64,
    /// fit or fill.
    pub meeting: String,
    /// Whether the picture may have more pixels than the scan.
    pub upsampling: bool,
    /// Least width of the white border, in mm.
    pub border: f64,
    /// Degrees by which the frame was turned back, counted clockwise as it lies in the scan.
    pub tilt: f64,
    /// Unsharp mask: how much of what a blur takes away is added once more.
    #[serde(default)]
    pub sharpen: f64,
    /// The file's white: that of the sheet, or the paper's own tone.
    pub white: String,
    /// Hue by density: neutral, a name, or points.
    #[serde(default = "neutral")]
    pub tone: String,
    /// The paper.
    pub paper: String,
    /// The table that gives grades their range.
    pub table: String,
    /// The grade.
    pub grade: String,
    /// Its ISO range R.
    pub r: f64,
    /// What the exposure was found by: highlights, shadows, fixed, or a place and its zone.
    #[serde(default = "highlights")]
    pub place: String,
    /// Net density of that place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot: Option<f64>,
    /// Stops beyond the placing.
    pub exposure: f64,
    /// Exposure taken away because prints get darker while they dry, in per cent.
    #[serde(default)]
    pub dry_down: f64,
    /// The exposure in two parts, if it was: both grades with their stops from the whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub split: Option<String>,
    /// The one grade that the two come near to.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub split_grade: Option<String>,
    /// ISO range R of both together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub split_r: Option<f64>,
    /// Stops more at the middle of each side.
    #[serde(default)]
    pub edge_burn: f64,
    /// Log exposure that film base receives, on the own scale of the paper's curve in its grade.
    pub x0: f64,
    /// The base taken off, in D.
    pub base: f64,
    /// The outline through which the frame was printed, in pixels of the scan as stored, clockwise from top left.
    pub corners: [[f64; 2]; 4],
    /// TIFF 6.0 Orientation of the scan, 1 to 8.
    pub orientation: u16,
    /// Which channel of three was read.
    pub channel: String,
    /// The setting `encoding`: auto, or one of the scan's.
    pub encoding: String,
    /// BLAKE3 of the calibration.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wedge: Option<String>,
    /// BLAKE3 of the scan's codes, as in `[scan]`.
    pub codes_blake3: String,
    /// A short name for what its notes said of the picture, and so its file says.
    #[serde(default)]
    pub said: String,
    /// What was in the paper's file, if it is a person's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper_file: Option<String>,
    /// The same of the table of grades.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub table_file: Option<String>,
    /// The file beside it that says the same of the picture, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub xmp: Option<FileNotes>,
}

/// The tone of prints that were noted before there was another.
fn neutral() -> String {
    "neutral".to_owned()
}

/// The placing of prints that were noted before there was another.
fn highlights() -> String {
    "highlights".to_owned()
}

impl PrintRecord {
    /// Whether another is of the same frame and made by the same decisions, whatever became of the files and whichever
    /// version of the program made them.
    pub fn is_like(&self, other: &Self) -> bool {
        let plain = |of: &Self| Self {
            file: String::new(),
            bytes: 0,
            blake3: String::new(),
            program: String::new(),
            // Other words make it no other print.
            said: String::new(),
            // Allowed or not, it is the same print.
            upsampling: false,
            // Nor does a file beside it.
            xmp: None,
            ..of.clone()
        };
        plain(self) == plain(other)
    }
}
