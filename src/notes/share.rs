//! What a share of a batch writes down of itself, version 1: rows of the table, and by what they were made, so that
//! shares can be gathered.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::table::Row;
use super::text::described;

/// Version of this format.
pub const SHARE_VERSION: u32 = 1;

/// A share as it was made.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ShareFile {
    /// Version of this format.
    pub version: u32,
    /// Program and version.
    pub program: String,
    /// Which share of how many, as 3/16.
    pub share: String,
    /// Name of the folder of scans.
    pub folder: String,
    /// What was decided for all scans in common, as a short name: shares of one batch have the same.
    pub in_common: String,
    /// All scans of the folder in name order.
    pub scans: Vec<String>,
    /// Settings of the batch, as words; of the calibration and of files of paper and table what is in them.
    pub settings: BTreeMap<String, String>,
    /// The paper of the batch, as the sheet names it.
    pub paper: String,
    /// The table that gives grades their range, as the sheet names it.
    pub table: String,
    /// The scans of this share in name order.
    #[serde(default)]
    pub made: Vec<MadeScan>,
}

/// `[[made]]`
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MadeScan {
    /// The scan's file name.
    pub file: String,
    /// The key in its notes; empty where it failed.
    pub key: String,
    /// Its rows of the table: one a frame, or one with an error.
    #[serde(default)]
    pub rows: Vec<Row>,
}

impl ShareFile {
    /// Reads one.
    ///
    /// # Errors
    /// When it is not TOML, a key is missing, or it is of another version.
    pub fn parse(text: &str) -> Result<Self, String> {
        let file: Self = toml::from_str(text).map_err(|e| e.message().lines().next().unwrap_or_default().to_owned())?;
        match file.version {
            SHARE_VERSION => Ok(file),
            other => Err(format!("it is of version {other}, this program knows {SHARE_VERSION}")),
        }
    }

    /// As it is written down.
    pub fn text(&self) -> String {
        described("What a share of a batch made, to be gathered with the other shares: the program's own.", self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_comes_back_as_it_was_written() {
        let row = Row { scan: "coil.tif".into(), base: Some(0.1 + 0.2), ..Row::default() };
        let made = [("coil.tif", vec![row.clone(), Row::default()]), ("torn.tif", Vec::new())];
        let file = ShareFile {
            version: SHARE_VERSION,
            program: "dryside".into(),
            share: "3/16".into(),
            folder: "loft".into(),
            in_common: "k".into(),
            scans: vec!["coil.tif".into(), "torn.tif".into()],
            settings: [("grade".to_owned(), "2".to_owned())].into(),
            paper: "glossy paper".into(),
            table: "bands".into(),
            made: made.map(|(file, rows)| MadeScan { file: file.into(), key: "k".into(), rows }).into(),
        };
        assert_eq!(ShareFile::parse(&file.text()), Ok(file.clone()));
        let newer = ShareFile { version: 2, ..file }.text();
        assert!(ShareFile::parse(&newer).unwrap_err().contains("version 2"));
        assert!(ShareFile::parse("version = 1\n").unwrap_err().contains("missing field"));
    }
}
