//! What a measuring pass writes down of one scan, version 1: a file of the program's own, for the shares of a batch.

use serde::{Deserialize, Serialize};

use super::format::MeasuredNotes;
use super::text::described;

/// Version of this format. A file of another is as good as none.
pub const MEASURED_VERSION: u32 = 1;

/// A scan as a measuring pass left it: either an error, or a reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeasuredFile {
    /// Version of this format.
    pub version: u32,
    /// Program and version.
    pub program: String,
    /// The scan's file name, without folders.
    pub file: String,
    /// Name of the folder that it was in.
    pub folder: String,
    /// Why it could not be measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub error: Option<String>,
    /// What was measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<ReadingNotes>,
}

/// `[reading]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ReadingNotes {
    /// Base that settings, notes or a flag give this scan, D over full scale.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub given: Option<f64>,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
    /// BLAKE3 of the grey codes, as in the notes.
    pub codes_blake3: String,
    /// As in the notes, but over full scale: no base is taken off yet.
    pub measured: MeasuredNotes,
}

impl MeasuredFile {
    /// Reads one; nothing when it is of another version or is none.
    pub fn parse(text: &str) -> Option<Self> {
        toml::from_str(text).ok().filter(|file: &Self| file.version == MEASURED_VERSION)
    }

    /// As it is written down.
    pub fn text(&self) -> String {
        described("What a measuring pass read of one scan, for the shares of a batch: the program's own.", self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_comes_back_as_it_was_written() {
        let measured = MeasuredNotes {
            key: "k".into(),
            rebate: None,
            rebate_evidence: None,
            base: 0.0,
            base_source: "assumed".into(),
            spot: None,
            frames: Vec::new(),
            warnings: Vec::new(),
        };
        let reading = ReadingNotes { given: Some(0.21), width: 3, height: 4, codes_blake3: "00".into(), measured };
        let of = |error: Option<&str>, reading| MeasuredFile {
            version: MEASURED_VERSION,
            program: "dryside".into(),
            file: "coil.tif".into(),
            folder: "loft".into(),
            error: error.map(str::to_owned),
            reading,
        };
        for file in [of(None, Some(reading)), of(Some("torn"), None)] {
            assert_eq!(MeasuredFile::parse(&file.text()), Some(file.clone()));
            assert_eq!(MeasuredFile::parse(&MeasuredFile { version: 2, ..file }.text()), None);
        }
    }
}
