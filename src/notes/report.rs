//! The measuring report: what `measure --json` prints.

use serde::Serialize;

use super::format::WarningNote;

/// One file of the report: measured, or refused.
#[derive(Clone, Debug, Serialize)]
#[serde(untagged)]
pub enum ScanReport {
    /// What was measured.
    Measured(Box<ReportScan>),
    /// Why it was not.
    Failed {
        /// The file.
        file: String,
        /// What is wrong and what to do.
        error: String,
    },
}

/// A measured scan.
#[derive(Clone, Debug, Serialize)]
pub struct ReportScan {
    /// The file.
    pub file: String,
    /// What the file says of itself.
    pub scan: ReportFacts,
    /// Film base, or nothing where there is none to be had.
    pub base: Option<ReportBase>,
    /// What the scan's own rebate reads, and how that is known.
    pub rebate: Option<ReportRebate>,
    /// Frames in reading order.
    pub frames: Vec<ReportFrame>,
    /// Places that were to be read, in the order in which they were given.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub spots: Vec<ReportSpot>,
    /// Whatever a person should know.
    pub warnings: Vec<WarningNote>,
}

/// Facts of the file.
#[derive(Clone, Debug, Serialize)]
pub struct ReportFacts {
    /// Columns as stored.
    pub width: u32,
    /// Rows as stored.
    pub height: u32,
    /// Bits a sample.
    pub bits: u8,
    /// Colour channels.
    pub channels: u8,
    /// Pixels per inch, across.
    pub ppi: Option<f64>,
    /// Transfer encoding.
    pub encoding: ReportEncoding,
    /// What its densities are: scanner, or wedge if a calibration made them true ones.
    pub densities: &'static str,
}

/// Transfer encoding and who said so.
#[derive(Clone, Debug, Serialize)]
pub struct ReportEncoding {
    /// Its name.
    pub transfer: String,
    /// profile, given, assumed.
    pub source: &'static str,
}

/// Film base.
#[derive(Clone, Debug, Serialize)]
pub struct ReportBase {
    /// In D, to 4 decimals.
    pub density: f64,
    /// rebate, batch, given, assumed.
    pub source: &'static str,
}

/// The rebate.
#[derive(Clone, Debug, Serialize)]
pub struct ReportRebate {
    /// In D, to 4 decimals.
    pub density: f64,
    /// 0 to 1; below 0.5 it is unsure.
    pub confidence: f64,
    /// Sides of the frame on which it was read.
    pub sides: usize,
    /// Largest difference between two of them, in D.
    pub spread: f64,
    /// Where most of it was read: pixels of the scan as stored, clockwise from top left.
    pub patch: [[f64; 2]; 4],
}

/// A frame.
#[derive(Clone, Debug, Serialize)]
pub struct ReportFrame {
    /// 1 for the first.
    pub number: u32,
    /// Exposed area in pixels of the scan as stored, clockwise from top left.
    pub corners: [[f64; 2]; 4],
    /// How sure that is, 0 to 1; below 0.5 a side is unsure.
    pub confidence: f64,
    /// How its sides are known, top, right, bottom, left: edge (with the share of the side that shows one), size, cut,
    /// melted, given, none.
    pub sides: [String; 4],
    /// Net densities.
    pub net: ReportNet,
    /// Dust on it.
    pub dust: ReportDust,
    /// The grade that suits its range.
    pub grade: ReportGrade,
}

/// Net densities, in D to 4 decimals.
#[derive(Clone, Debug, Serialize)]
pub struct ReportNet {
    /// 0.1 percentile.
    pub thin: f64,
    /// 50 percentile.
    pub median: f64,
    /// 99.9 percentile.
    pub dense: f64,
    /// dense - thin.
    pub range: f64,
}

/// Specks of dust and hairs, which the net densities leave out.
#[derive(Clone, Debug, Serialize)]
pub struct ReportDust {
    /// How many.
    pub count: u32,
    /// Share of the frame that they darken, 0 to 1.
    pub share: f64,
}

/// A grade with the table that gives it its meaning.
#[derive(Clone, Debug, Serialize)]
pub struct ReportGrade {
    /// Contrast step.
    pub name: String,
    /// ISO range R.
    pub r: f64,
    /// Where R comes from.
    pub table: String,
}

/// A place read through a round opening. What could not be read is nothing, and a warning says why.
#[derive(Clone, Debug, Serialize)]
pub struct ReportSpot {
    /// The opening's middle, in pixels of the scan as stored.
    pub at: [f64; 2],
    /// Its diameter on the film, where the scan says its resolution.
    pub aperture_mm: Option<f64>,
    /// Its diameter in pixels, across.
    pub aperture_px: f64,
    /// Over the scanner's full scale, in D to 4 decimals.
    pub density: Option<f64>,
    /// Above base, where there is one.
    pub net: Option<f64>,
    /// Zone of the net density, to a third, as in "V 1/3".
    pub zone: Option<String>,
    /// Where zones come from.
    pub table: String,
    /// Half the width of the 95 % interval that grain and noise leave, in D.
    pub uncertainty: Option<f64>,
}

/// The report as JSON, one document for all files.
pub fn report_json(scans: &[ScanReport]) -> String {
    #[derive(Serialize)]
    struct Report<'a> {
        scans: &'a [ScanReport],
    }
    serde_json::to_string_pretty(&Report { scans }).expect("plain numbers and words are JSON")
}
