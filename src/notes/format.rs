//! The program's part of a notes file, version 1. Densities are plain numbers in D, above base where they are a
//! frame's; lengths are pixels of the scan as stored.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::film::{Warning, gravity};

/// Version of this format. A file of a newer version is refused unharmed.
pub const VERSION: u32 = 1;

/// What the program writes into a notes file. The photographer's tables are not here: they are never parsed into types.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Notes {
    /// The scan as the scanner left it.
    pub scan: ScanNotes,
    /// What was measured.
    pub measured: MeasuredNotes,
    /// How the flat positive was made.
    pub flat: FlatNotes,
    /// How the proof was printed.
    pub print: PrintNotes,
    /// What made it, from which settings.
    pub record: RecordNotes,
}

/// The files that notes name as made, read on their own.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct Outputs {
    /// Flat positives.
    #[serde(default)]
    pub flat: OutputFiles,
    /// Proofs.
    #[serde(default)]
    pub print: OutputFiles,
    /// Those of an earlier run.
    #[serde(default)]
    pub record: FormerFiles,
}

/// Files of an earlier run that a run which was broken off has not yet cleared away.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct FormerFiles {
    /// Each with its folder: `flat/coil.tif`.
    #[serde(default)]
    pub former: Vec<FileNotes>,
}

/// Files of one kind.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct OutputFiles {
    /// One a frame.
    #[serde(default)]
    pub frames: Vec<OutputFile>,
}

/// A file as it was made.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
pub struct OutputFile {
    /// Its name, without folders.
    pub file: String,
    /// Its size; 0 while it is in the making.
    #[serde(default)]
    pub bytes: u64,
    /// BLAKE3 of it; empty while it is in the making.
    #[serde(default)]
    pub blake3: String,
    /// Of a proof: the picture of the same frame on the straight pages.
    #[serde(default)]
    pub straight: Option<FileNotes>,
    /// The file beside it that says the same of the picture.
    #[serde(default)]
    pub xmp: Option<FileNotes>,
}

/// `[scan]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ScanNotes {
    /// File name, without folders.
    pub file: String,
    /// Name of the folder that it was in.
    #[serde(default)]
    pub folder: String,
    /// File size in bytes.
    pub bytes: u64,
    /// When the file was last changed, UTC, RFC 3339.
    pub modified: String,
    /// BLAKE3 of the grey codes: of the hashes of all rows, each row as 16-bit little-endian numbers.
    pub codes_blake3: String,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// Bits a sample.
    pub bits: u8,
    /// Colour channels: 1 or 3.
    pub channels: u8,
    /// Which of three was read.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub channel: Option<String>,
    /// Pixels per inch, across and down.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ppi: Option<[f64; 2]>,
    /// TIFF 6.0 Orientation, 1 to 8.
    pub orientation: u16,
    /// Transfer encoding of the codes.
    pub encoding: String,
    /// Who said so: profile, given, assumed.
    pub encoding_source: String,
    /// The scanner's maker.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub make: Option<String>,
    /// The scanner.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// The scanning program.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub software: Option<String>,
    /// When it was scanned, as the file says it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// The file's own description.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub description: Option<String>,
    /// The calibration that makes its densities true ones; without it they are scanner densities.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wedge: Option<WedgeNotes>,
}

/// `[scan.wedge]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct WedgeNotes {
    /// Name of the calibration file, without folders.
    pub file: String,
    /// BLAKE3 of it.
    pub blake3: String,
    /// Its steps, thinnest first: scanner density and density.
    pub points: Vec<[f64; 2]>,
}

/// `[measured]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasuredNotes {
    /// What the measuring depended on; another key means it is measured again.
    pub key: String,
    /// The base that the scan itself shows, before any other was taken.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rebate: Option<f64>,
    /// How that is known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rebate_evidence: Option<RebateEvidence>,
    /// The base used.
    pub base: f64,
    /// rebate, batch, given, assumed.
    pub base_source: String,
    /// The place that the proofs' exposure was found by, if it was by one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spot: Option<SpotNotes>,
    /// The frames, in reading order.
    #[serde(default)]
    pub frames: Vec<MeasuredFrame>,
    /// What the measuring found a person should know.
    #[serde(default)]
    pub warnings: Vec<WarningNote>,
}

/// `[measured.spot]`
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct SpotNotes {
    /// Its middle, x and y.
    pub at: [f64; 2],
    /// Over the scanner's full scale, or by the wedge.
    pub density: f64,
}

/// `[measured.rebate_evidence]`: how the base is known.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RebateEvidence {
    /// 0 to 1.
    pub confidence: f64,
    /// Whether that is sure enough to speak for other scans of the batch.
    pub sure: bool,
    /// Sides of the frame on which it was read.
    pub sides: usize,
    /// Largest difference between two of them.
    pub spread: f64,
    /// Where most of it was read, clockwise from top left.
    pub patch: [[f64; 2]; 4],
}

/// `[[measured.frames]]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasuredFrame {
    /// 1 for the first.
    pub number: u32,
    /// The exposed area, clockwise from top left.
    pub corners: [[f64; 2]; 4],
    /// How sure that is, 0 to 1.
    pub confidence: f64,
    /// How its sides are known: top, right, bottom, left.
    pub sides: [String; 4],
    /// 0.1 percentile of net density.
    pub thin: f64,
    /// 50 percentile.
    pub median: f64,
    /// 99.9 percentile.
    pub dense: f64,
    /// dense - thin.
    pub range: f64,
    /// Pixels counted.
    pub pixels: u64,
    /// Of them at the scanner's full scale: light it could not tell apart.
    pub at_full_scale: u64,
    /// Of them at code 0: density beyond the scanner's range.
    pub at_zero: u64,
    /// Specks of dust and hairs that were left out of the ends.
    pub dust: u32,
    /// Share of the frame that they darken, 0 to 1.
    pub dust_share: f64,
    /// How its tones are spread.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tones: Option<TonesNotes>,
}

/// `[measured.frames.tones]`: a histogram of net density.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct TonesNotes {
    /// Where the first cell begins.
    pub from: f64,
    /// Width of a cell.
    pub step: f64,
    /// What lies in each, in ten-thousandths of the frame; the outer two also hold what lies beyond.
    pub parts: Vec<u16>,
}

/// `[[measured.warnings]]`
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WarningNote {
    /// Stable name.
    pub code: String,
    /// The frame that it is about, if not the whole scan.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frame: Option<u32>,
    /// What to do.
    pub message: String,
}

impl From<&Warning> for WarningNote {
    fn from(warning: &Warning) -> Self {
        let frame = warning.frame().map(|number| number as u32);
        Self { code: warning.code().to_owned(), frame, message: warning.to_string() }
    }
}

impl WarningNote {
    /// The gravest is the least.
    pub fn gravity(&self) -> usize {
        gravity(&self.code)
    }

    /// Whether it concerns the frame of this number.
    pub fn is_about(&self, frame: usize) -> bool {
        self.frame.is_none_or(|number| number as usize == frame)
    }
}

/// `[flat]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FlatNotes {
    /// each, common or match=FILE.
    pub ends: String,
    /// Encoding of the codes in the file.
    pub encoding: String,
    /// How the files are packed: none, lzw, deflate, packbits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub compression: Option<String>,
    /// And whether by differences: TIFF 6.0 Predictor, 1 or 2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub predictor: Option<u16>,
    /// L* at the thin end.
    pub lo: f64,
    /// L* at the dense end.
    pub hi: f64,
    /// The frames' files.
    #[serde(default)]
    pub frames: Vec<FlatFrame>,
}

/// `[[flat.frames]]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct FlatFrame {
    /// 1 for the first.
    pub number: u32,
    /// File name in the folder of flat positives.
    pub file: String,
    /// Net density placed at `lo`.
    pub thin: f64,
    /// Net density placed at `hi`.
    pub dense: f64,
    /// Area of the scan that the file holds: first column, first row, columns, rows.
    pub area: [u32; 4],
    /// Size of the file; 0 while it is in the making.
    pub bytes: u64,
    /// BLAKE3 of the file; empty while it is in the making.
    pub blake3: String,
    /// Pixels of the frame at code 0 of the file.
    pub at_zero: u64,
    /// Pixels of the frame at full scale of the file.
    pub at_full_scale: u64,
    /// The file beside it that says the same of the picture, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub xmp: Option<FileNotes>,
}

/// `[print]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrintNotes {
    /// The paper.
    pub paper: String,
    /// The table that gives the grades their range.
    pub table: String,
    /// What was in the paper's file, where it is a person's own.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub paper_file: Option<String>,
    /// And in that of the table.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub table_file: Option<String>,
    /// What the exposure was found by: highlights, shadows, fixed, or a place and its zone.
    #[serde(default)]
    pub place: String,
    /// Exposure taken away because prints get darker while they dry, in per cent.
    #[serde(default)]
    pub dry_down: f64,
    /// The frames' proofs.
    #[serde(default)]
    pub frames: Vec<PrintFrame>,
}

/// `[[print.frames]]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct PrintFrame {
    /// 1 for the first.
    pub number: u32,
    /// File name in the folder of proofs.
    pub file: String,
    /// Size of the file; 0 while it is in the making.
    pub bytes: u64,
    /// BLAKE3 of the file; empty while it is in the making.
    pub blake3: String,
    /// Contrast grade.
    pub grade: String,
    /// Its ISO range R in the table.
    pub r: f64,
    /// auto or given.
    pub chosen: String,
    /// Stops of exposure beyond the placing.
    pub exposure: f64,
    /// Log exposure that film base receives on the paper curve's own scale.
    pub x0: f64,
    /// The exposure in two parts, if it was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub split: Option<SplitNotes>,
    /// The picture on the straight pages, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub straight: Option<FileNotes>,
    /// The file beside the proof that says the same of the picture, if there is one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub xmp: Option<FileNotes>,
}

/// `[print.frames.straight]`, `[flat.frames.xmp]`, `[print.frames.xmp]`, `[prints.xmp]`: a further file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct FileNotes {
    /// Its name, without folders.
    pub file: String,
    /// Size of the file; 0 while it is in the making.
    pub bytes: u64,
    /// BLAKE3 of the file; empty while it is in the making.
    pub blake3: String,
}

/// `[print.frames.split]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct SplitNotes {
    /// Both grades with their stops from the frame's own exposure.
    pub exposures: String,
    /// The one grade that is nearest.
    pub equivalent: String,
    /// ISO range R of both together.
    pub r: f64,
}

/// `[record]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RecordNotes {
    /// Version of the notes.
    pub version: u32,
    /// Program and version.
    pub program: String,
    /// What the outputs depended on; another key means they are made again.
    pub key: String,
    /// A short name for what the files say of the picture; notes of an earlier program have none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub said: Option<String>,
    /// While files are in the making: those of an earlier run that go when these are done, each with its folder.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub former: Vec<FileNotes>,
    /// What the batch's decisions add to the warnings of the measuring.
    #[serde(default)]
    pub warnings: Vec<WarningNote>,
    /// Every setting that was in force.
    pub settings: BTreeMap<String, String>,
    /// Where those came from that are not the default: flag, notes, settings.
    #[serde(default)]
    pub decided_by: BTreeMap<String, String>,
}
